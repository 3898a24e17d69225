package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"barwright/batch"
)

// pastRack is what was weighed of a batch's bars beside the law, and how it left
// the mould.
type pastRack struct {
	TurnedOut string         `toml:"turned_out"` // clean or torn, clean when not given
	Cut       string         `toml:"cut"`        // smooth or crumbled, smooth when not given
	CutH      float64        `toml:"cut_h"`      // when it was seen, if not at the cut
	Forgotten []int          `toml:"forgotten"`  // days on which nobody weighed
	Mistyped  []pastMistyped `toml:"mistyped"`
}

type pastMistyped struct {
	Day int     `toml:"day"`
	Bar int     `toml:"bar"`
	G   float64 `toml:"g"`
}

// The law the demo's bars dry by, which the drying does not know: two terms and
// a slow loss for good. Invented.
const (
	fastShare, fastDays = 0.35, 4.0
	slowShare, slowDays = 0.65, 24.0
	hiddenLossOfWater   = 0.62 // at 60 % humidity
	hiddenPerRH         = 0.006
	hiddenYearly        = 0.003
	hiddenScaleScatter  = 0.0015
)

// weighDays are the days after the cut on which she weighs.
var weighDays = []int{3, 7, 14, 21, 28, 42, 60, 90, 120, 180}

// marked are her three bars against their mean, others those she weighed beside
// them at the cut.
var (
	marked = []float64{1, 0.987, 1.013}
	others = []float64{0.994, 1.008, 0.985, 1.003, 1.011, 0.992, 0.997}
)

// kept is the share of its weight at the cut that a bar still has.
func (b pastBatch) kept(days float64) float64 {
	water := b.WaterG / (b.FatsG + b.NaOHG + b.WaterG)
	loss := hiddenLossOfWater * water * (1 - hiddenPerRH*(b.RHPct-60))
	return 1 - loss*(fastShare*-math.Expm1(-days/fastDays)+slowShare*-math.Expm1(-days/slowDays)) - hiddenYearly*days/365
}

// each is what the bars weigh at the cut that she weighed [g], the marked ones
// first.
func (b pastBatch) each(bars int) (out []float64) {
	all := append(slices.Clone(marked), others...)
	for _, m := range all[:min(bars, len(all))] {
		out = append(out, tenth(b.BarG*m))
	}
	return out
}

func tenth(g float64) float64 { return math.Round(10*g) / 10 }

// rack is how the batch came out and what its bars weighed until now, on the
// slip of paper that hangs there.
func (b pastBatch) rack(index int, cutAt, now time.Time) []batch.Event {
	random := rand.New(rand.NewPCG(20261125, uint64(100+index)))
	var out []batch.Event
	at := func(when time.Time, a batch.Action) {
		n := int64(len(out) + 1)
		out = append(out, batch.Event{ID: fmt.Sprintf("%s-r%d", b.ID, n), Device: "rack", Seq: n, At: when, By: "helper 2", Do: a})
	}
	room, rh := b.RoomC, b.RHPct
	b.cameOut(cutAt, at)
	at(cutAt.Add(10*time.Minute), batch.Racked{Place: "Rack by the stairs", C: &room, RHPct: &rh})
	for _, day := range weighDays {
		when := cutAt.AddDate(0, 0, day)
		for bar, m := range marked {
			g := tenth(b.BarG * m * b.kept(float64(day)) * (1 + hiddenScaleScatter*random.NormFloat64()))
			for _, slip := range b.Rack.Mistyped {
				if slip.Day == day && slip.Bar == bar+1 {
					g = slip.G
				}
			}
			if when.Before(now) && !b.forgot(day) {
				at(when.Add(time.Duration(5*bar)*time.Second), batch.BarWeighed{Bar: bar + 1, G: g})
			}
		}
	}
	return out
}

func (b pastBatch) forgot(day int) bool {
	for _, d := range b.Rack.Forgotten {
		if d == day {
			return true
		}
	}
	return false
}

// cameOut is how it left the mould and how the wire went through it.
func (b pastBatch) cameOut(cutAt time.Time, at func(time.Time, batch.Action)) {
	hours := func(h, usual float64) *float64 {
		if h == 0 {
			h = usual
		}
		return &h
	}
	out, cut := "clean", "smooth"
	if b.Rack.TurnedOut != "" {
		out = b.Rack.TurnedOut
	}
	if b.Rack.Cut != "" {
		cut = b.Rack.Cut
	}
	at(cutAt.Add(time.Minute), batch.CameOut{Of: "turn_out", How: out, Hours: hours(b.TurnedOutH, usualOutH)})
	after := b.Rack.CutH
	if after == 0 {
		after = b.CutH
	}
	at(cutAt.Add(2*time.Minute), batch.CameOut{Of: "cut", How: cut, Hours: hours(after, usualCutH)})
}
