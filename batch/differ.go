package batch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/material"
	"barwright/recipe"
)

// Difference is what sets two batches apart: what was done otherwise, which may
// be a cause, and what came of it, which is none.
type Difference struct {
	Recipe     []recipe.Change // of the recipes as planned
	Done       []string        // what was done otherwise, at the bench
	Outcomes   []string        // what came of it
	Causes     int             // how many of these could each explain an outcome
	Confounded bool            // more than one: no cause is proven
	Says       string
}

// Below these two readings are the same: two thermometers, two clocks, the step
// of a scale.
const (
	sameC    = 2.0  // [K]
	sameRoom = 3.0  // [K]
	sameMin  = 1.0  // [min]
	sameG    = 0.02 // of the weight
)

// Differ compares batch b with batch a. Temperatures and covers that the
// recipes plan count once: as they were done, where that was stamped.
func Differ(a, b *State, lib *material.Library) Difference {
	d := Difference{Recipe: recipe.Diff(a.Sheet.Recipe, b.Sheet.Recipe, lib)}
	d.Causes = recipe.Causes(slices.DeleteFunc(slices.Clone(d.Recipe), func(c recipe.Change) bool { return a.isDone(c, b) }))
	d.Recipe = slices.DeleteFunc(d.Recipe, func(c recipe.Change) bool { return a.isDone(c, b) })
	for _, compare := range []func(a, b *State) []string{differTemps, differRoom, differRest, differWeights, differLots, differOrder, differTroubles} {
		d.Done = append(d.Done, compare(a, b)...)
	}
	d.Causes += len(d.Done)
	d.Confounded = d.Causes > 1
	d.Outcomes = differOutcomes(a, b)
	switch {
	case d.Causes == 0:
		d.Says = "Nothing that was noted differs"
	case d.Confounded:
		d.Says = fmt.Sprintf("%d things differ at once: confounded, no cause is proven. Change one of them alone", d.Causes)
	default:
		d.Says = "One thing differs: it may be the cause. One pair of batches proves nothing"
	}
	return d
}

// isDone reports a change of the plan that the bench stamped too, so that it is
// told by what was done.
func (s *State) isDone(c recipe.Change, b *State) bool {
	both := func(of string) bool { return s.had(of) != nil && b.had(of) != nil }
	switch {
	case strings.HasPrefix(c.Text, "fats at "):
		return both("fats")
	case strings.HasPrefix(c.Text, "lye at "):
		return both("lye")
	case strings.HasPrefix(c.Text, "rest"), strings.HasPrefix(c.Text, "no longer: rest"):
		return len(s.Rests) > 0 && len(b.Rests) > 0
	}
	return false
}

// had is a temperature as combined [°C], nil when it was not read.
func (s *State) had(of string) *float64 {
	for _, b := range s.tempsBeside() {
		if b.What == of {
			return b.Had
		}
	}
	return nil
}

func differTemps(a, b *State) (out []string) {
	for _, of := range []string{"fats", "lye"} {
		if was, now := a.had(of), b.had(of); was != nil && now != nil && math.Abs(*was-*now) >= sameC {
			out = append(out, fmt.Sprintf("%s combined at %s → %s °C", of, number(*was, 1), number(*now, 1)))
		}
	}
	return out
}

func differRoom(a, b *State) []string {
	if math.Abs(a.RoomC-b.RoomC) < sameRoom {
		return nil
	}
	return []string{fmt.Sprintf("room %s → %s °C", number(a.RoomC, 1), number(b.RoomC, 1))}
}

func differRest(a, b *State) []string {
	words := func(s *State) string {
		var parts []string
		for _, r := range s.Rests {
			r.C = nil
			parts = append(parts, RestWords(r.Rested))
		}
		return strings.Join(parts, ", then ")
	}
	if was, now := words(a), words(b); was != now && was != "" && now != "" {
		return []string{was + " → " + now}
	}
	return nil
}

// differWeights are weighings that strayed from their plan in one of the two
// and not alike in the other.
func differWeights(a, b *State) (out []string) {
	stray := func(s *State, id string) (f float64, st *StepState) {
		if st = s.Step(id); st == nil || st.G == nil || st.ThenG == 0 {
			return 1, nil
		}
		return *st.G / st.ThenG, st
	}
	for _, st := range b.Steps {
		if st.Type != Weigh {
			continue
		}
		was, old := stray(a, st.ID)
		now, cur := stray(b, st.ID)
		if old != nil && cur != nil && old.Weigh.Material == cur.Weigh.Material && math.Abs(now/was-1) > sameG {
			out = append(out, fmt.Sprintf("%s weighed %s → %s %% of its target", lowerFirst(st.Weigh.Name), number(100*was, 0), number(100*now, 0)))
		}
	}
	return out
}

// differLots are materials that came from other lots.
func differLots(a, b *State) (out []string) {
	lots := func(s *State) map[string][]string {
		m := map[string][]string{}
		for _, t := range s.Taken() {
			of := s.base(t)
			if !slices.Contains(m[of], t.Lot) {
				m[of] = append(m[of], t.Lot)
			}
		}
		for of := range m {
			slices.Sort(m[of])
		}
		return m
	}
	was, now := lots(a), lots(b)
	for _, st := range b.Steps {
		if st.Weigh == nil {
			continue
		}
		of := b.base(Taken{Material: st.Weigh.Material, Step: st.ID})
		x, y := strings.Join(was[of], " and "), strings.Join(now[of], " and ")
		delete(now, of)
		if x != "" && y != "" && x != y {
			out = append(out, fmt.Sprintf("%s from lot %s → %s", strings.ReplaceAll(of, "_", " "), x, y))
		}
	}
	return out
}

// base is the material that a lot is of.
func (s *State) base(t Taken) string {
	if st := s.Step(t.Step); st != nil && st.Weigh != nil {
		var of string
		switch st.Weigh.List {
		case "fats":
			of = s.Sheet.Plan.FatMaterial(st.Weigh.Index).Of
		case "additions":
			of = s.Sheet.Plan.AdditionMaterial(st.Weigh.Index).Of
		case "alkali":
			of = s.Sheet.Plan.AlkaliMaterial(st.Weigh.Index).Of
		}
		if of != "" {
			return of
		}
	}
	return t.Material
}

// differOrder is how long it waited from trace to pour: a maker's doing.
func differOrder(a, b *State) []string {
	wait := func(s *State) (float64, bool) {
		trace, okT := s.Marks["trace"]
		pour, okP := s.Marks["pour"]
		return pour.At.Sub(trace.At).Minutes(), okT && okP
	}
	was, okA := wait(a)
	now, okB := wait(b)
	if !okA || !okB || math.Abs(was-now) < math.Max(sameMin, 0.5*math.Min(was, now)) {
		return nil
	}
	return []string{fmt.Sprintf("poured %s → %s min after the trace", number(was, 1), number(now, 1))}
}

// differTroubles are remedies that one had and the other not.
func differTroubles(a, b *State) (out []string) {
	what := func(s *State) (w []string) {
		for _, t := range s.Troubles {
			w = append(w, t.Remedy.What)
		}
		slices.Sort(w)
		return slices.Compact(w)
	}
	was, now := what(a), what(b)
	for _, w := range was {
		if !slices.Contains(now, w) {
			out = append(out, "treated for "+w+" → not")
		}
	}
	for _, w := range now {
		if !slices.Contains(was, w) {
			out = append(out, "treated for "+w+", was not")
		}
	}
	return out
}

// differOutcomes are the times of the marks and the hottest core: what came of
// it, never a cause.
func differOutcomes(a, b *State) (out []string) {
	for i, now := range b.timesBeside() {
		if now.What == "pour" || i >= len(a.timesBeside()) {
			continue
		}
		if was := a.timesBeside()[i]; was.Had != nil && now.Had != nil && math.Abs(*was.Had-*now.Had) >= sameMin/2 {
			out = append(out, fmt.Sprintf("%s after %s → %s min", now.What, number(*was.Had, 1), number(*now.Had, 1)))
		}
	}
	hottest := func(s *State) (c float64) {
		for _, r := range s.Readings {
			if r.Of == "core" {
				c = math.Max(c, r.C)
			}
		}
		return c
	}
	if x, y := hottest(a), hottest(b); x > 0 && y > 0 && math.Abs(x-y) >= sameC {
		out = append(out, fmt.Sprintf("core at most %s → %s °C", number(x, 1), number(y, 1)))
	}
	return out
}
