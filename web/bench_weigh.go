package web

import (
	"context"
	"fmt"
	"math"

	"barwright/batch"
)

// lastTares are the weights of the empty vessels as they were last weighed in
// another batch.
func (a *App) lastTares(ctx context.Context, but string) (map[string]float64, error) {
	all, err := a.store.Batches(ctx)
	if err != nil {
		return nil, err
	}
	tares, looked := map[string]float64{}, 0
	for _, b := range all {
		if b.ID == but || b.Events == 0 || len(tares) == 2 || looked == 3 {
			continue
		}
		looked++
		events, err := a.store.Events(ctx, b.ID)
		if err != nil {
			return nil, err
		}
		for _, e := range events {
			if t, ok := e.Do.(batch.Tared); ok && (t.Vessel == "jug" || t.Vessel == "pot") {
				if _, known := tares[t.Vessel]; !known {
					tares[t.Vessel] = t.G
				}
			}
		}
	}
	return tares, nil
}

func (p *benchPage) tareScreen(st *batch.StepState, tares map[string]float64) *screen {
	g, known := tares[st.Vessel]
	by, shown := scaled(p.State.Sheet.Plan.Scale.Fats, g)
	x := &screen{ID: st.ID, Kind: "tared", Title: st.Do, Number: shown, Unit: by.Unit, Button: "It weighs that", Fields: []field{{"s.vessel", st.Vessel}}}
	x.Fine = "0 means: the scale was set to zero with it on"
	if known {
		x.Fine = "as it weighed last time; look whether it is so"
	}
	by.By = byScale(p.State.Sheet.Plan.Scale.Fats.StepG/gramsOf[by.Unit], 1000/gramsOf[by.Unit])
	x.Step1 = by
	return x
}

func (p *benchPage) weighScreens(st *batch.StepState) []*screen {
	t := st.Weigh
	value, unit := parted(t.Scale.Show(t.G))
	x := &screen{ID: st.ID, Kind: "weighed", Title: t.Name, Name: t.Name, Number: value, Unit: unit, Button: "Done", Fields: []field{{"s.step", st.ID}}, Weighs: true}
	if t.Lot != "" && t.Lot != t.Material {
		x.Title += ", " + p.lotLabel(t.Lot)
	}
	x.Say = st.Do
	low, _ := parted(t.Scale.Show(t.LowG))
	high, _ := parted(t.Scale.Show(t.HighG))
	x.Fine = "fine from " + low + " to " + high
	if low == high {
		x.Fine = "fine at " + low + " only"
	}
	x.ReadsIn = p.State.Sheet.Plan.Scale.Fats.Unit
	if reads, ok := p.State.ReadsG(st); ok {
		by, shown := scaled(p.State.Sheet.Plan.Scale.Fats, reads)
		x.Reads = st.Vessel + " reads " + shown + "\u202f" + by.Unit
	}
	x.Step1, _ = scaled(t.Scale, t.G)
	if l := p.lots[st.ID]; l != nil {
		x.from(p.query, l)
	}
	x.Done = st.Done
	if st.SecondG != nil && !p.State.ReadAlike(st) {
		x.Warn = append(x.Warn, fmt.Sprintf("One read %s, the other %s: weigh it again, and read it again", t.Scale.Show(*st.G), t.Scale.Show(*st.SecondG)))
	}
	out := []*screen{x}
	if p.Start.SecondReader && t.List == "alkali" && st.G != nil && st.SecondG == nil {
		x.Done = true
		by, shown := scaled(t.Scale, t.G) // what it should be, not what the first one read
		out = append(out, &screen{ID: "second." + st.ID, Kind: "read_back", Title: "Somebody else reads the scale: " + lowerFirst(t.Name), Number: shown, Unit: by.Unit, Button: "It reads so", Say: "Under another name (More), here or on another phone. Look at the scale: does it show this? Until both agree nothing is mixed, and a lid is on it.",
			Fields: []field{{"s.step", st.ID}}, Step1: by, FirstBy: st.Reader})
	}
	return out
}

func (p *benchPage) checkScreen(st *batch.StepState) *screen {
	in := p.State.NetG(st.Vessel)
	tare := p.State.Vessels[st.Vessel]
	off := math.Max(2, 0.005*in)
	by, shown := scaled(p.State.Sheet.Plan.Scale.Fats, tare+in)
	_, empty := scaled(p.State.Sheet.Plan.Scale.Fats, tare)
	places := 1
	if by.Unit != "g" {
		places = 3 // of a larger unit
	}
	return &screen{ID: st.ID, Kind: "gross", Title: st.Do, Number: shown, Unit: by.Unit, Button: "It reads so", Fields: []field{{"s.vessel", st.Vessel}},
		Should: shown + "\u202f" + by.Unit, Fine: fmt.Sprintf("within %s %s · the empty %s %s", bare(off/gramsOf[by.Unit], places), by.Unit, st.Vessel, empty),
		Step1: by}
}
