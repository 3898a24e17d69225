package batch

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// weigh folds a weighing in. A later one of the same step takes the place of
// the earlier: what was too much was taken out again. Alkali that is in the
// water already cannot be weighed again.
func (s *State) weigh(a Weighed, e told) string {
	st := s.Step(a.Step)
	if st == nil || st.Type != Weigh {
		return "nothing is weighed at a step of that name"
	}
	g, why := s.net(st, a)
	if why != "" {
		return why
	}
	if st.G != nil && st.Weigh.List == "alkali" && s.isMixed(st.ID) {
		return "the alkali is in the water: make the lye again, or correct the figure"
	}
	if st.G != nil && s.combined() && st.Weigh.List != "additions" {
		return "lye and fats are together: correct the figure, or weigh more fat"
	}
	st.G, st.JudgeG, st.ThenG, st.SecondG, st.SecondBy, st.Kept = &g, nil, st.Weigh.G, nil, "", false
	st.At, st.By, st.Event, st.Reader = e.when, e.By, e.ID, e.By
	st.Slip = slip(g, st.Weigh)
	st.From = taken(st, a, g, e.when)
	s.recheck(st.Vessel, st.ID)
	return ""
}

// net is what was put in [g].
func (s *State) net(st *StepState, a Weighed) (g float64, why string) {
	if a.G != nil {
		return *a.G, ""
	}
	tare, ok := s.Vessels[st.Vessel]
	if !ok {
		return 0, "the empty " + vesselName(st.Vessel) + " was not weighed"
	}
	in := s.NetG(st.Vessel)
	if st.G != nil && !(st.Vessel == "mix" && s.isMixed(st.ID)) {
		in -= *st.G
	}
	if g = *a.GrossG - tare - in; g < 0 {
		return 0, fmt.Sprintf("with the %s it should be %s g at least", vesselName(st.Vessel), number(tare+in, 1))
	}
	return math.Round(g*1000) / 1000, ""
}

func vesselName(v string) string {
	if v == "mix" {
		return "cup for the alkali"
	}
	return v
}

// taken is what a weighing took from which lots.
func taken(st *StepState, a Weighed, g float64, at time.Time) (out []Taken) {
	if len(a.From) == 0 && st.Weigh.Lot != "" {
		return []Taken{{st.Weigh.Lot, st.Weigh.Material, st.ID, g, at}}
	}
	for _, p := range a.From {
		part := g
		if p.G != nil {
			part = *p.G
		}
		out = append(out, Taken{p.Lot, st.Weigh.Material, st.ID, part, at})
	}
	return out
}

// units that a scale may show instead of grams, as what it shows for a gram.
var units = []struct {
	word  string
	grams float64
}{{"ounces", 28.349523125}, {"pounds", 453.59237}, {"kilograms", 1000}}

// slipNear is how near a reading must be to the target in another unit.
const slipNear = 0.03

// slip says what a reading looks like when it is far from the target and near
// it in another unit, or with a digit moved.
func slip(g float64, t *Target) string {
	near := func(v float64) bool { return t.G > 0 && math.Abs(v-t.G) <= math.Max(slipNear*t.G, t.Scale.StepG) }
	if near(g) || g <= 0 {
		return ""
	}
	for _, u := range units {
		if near(g * u.grams) {
			return fmt.Sprintf("%s looks like %s: the scale shows another unit", number(g, 3), u.word)
		}
		if near(g / u.grams) {
			return fmt.Sprintf("%s looks like grams typed as %s", number(g, 1), u.word)
		}
	}
	for _, f := range []float64{10, 0.1} {
		if near(g * f) {
			return fmt.Sprintf("%s looks like %s with the point in another place", number(g, 2), number(t.G, 2))
		}
	}
	return ""
}

// SecondReading tells why somebody cannot give the second reading of a step, ""
// when she can: whoever gave the first, or put it right, does not.
func (s *State) SecondReading(step, by string) string {
	st := s.Step(step)
	switch {
	case st == nil || st.Type != Weigh || st.G == nil:
		return "nothing was weighed there yet"
	case samePerson(st.Reader, by):
		return fmt.Sprintf("%s gave the first reading: another person reads, under her own name", st.Reader)
	}
	return ""
}

func samePerson(a, b string) bool {
	plain := func(name string) string { return strings.Join(strings.Fields(name), " ") }
	return strings.EqualFold(plain(a), plain(b))
}

// readBack is a second person's reading.
func (s *State) readBack(a ReadBack, e told) string {
	if why := s.SecondReading(a.Step, e.By); why != "" {
		return why
	}
	st := s.Step(a.Step)
	st.SecondG, st.SecondBy = &a.G, e.By
	return ""
}

// gross checks a whole vessel: the first check of it that is open, else the
// last one again.
func (s *State) gross(a Gross, e told) string {
	var check *StepState
	for i := range s.Steps {
		if st := &s.Steps[i]; st.Type == Check && st.Vessel == a.Vessel && (check == nil || !check.Done || st.GotG == nil) {
			if check == nil || check.Done {
				check = st
			}
		}
	}
	tare, ok := s.Vessels[a.Vessel]
	switch {
	case check == nil:
		return "nothing is checked in that vessel"
	case !ok:
		return "the empty " + vesselName(a.Vessel) + " was not weighed"
	}
	check.GotG, check.TareG, check.Kept = &a.G, tare, false
	check.At, check.By, check.Event = e.when, e.By, e.ID
	return ""
}

// offG is how much more than it should a checked vessel weighs [g].
func (st *StepState) offG() float64 {
	if st.GotG == nil {
		return 0
	}
	return *st.GotG - st.TareG - st.InG
}

// isFine reports a checked vessel that weighs what it should.
func (st *StepState) isFine() bool {
	return st.GotG != nil && math.Abs(st.offG()) <= checkTolerance(st.InG)
}
