package batch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/finding"
	"barwright/material"
	"barwright/plan"
)

// lines finds the figure of a target among weights.
type lines struct{ plan.Weights }

func (w *lines) line(t *Target) *float64 {
	switch t.List {
	case "fats":
		return &w.Fats[t.Index]
	case "alkali":
		return &w.Alkali[t.Index]
	case "additions":
		return &w.Additions[t.Index]
	}
	return &w.WaterG
}

// offer lists the ways on from what is wrong, the gentlest first. Before lye
// and fats are together there may be more lye; afterwards only more fat, the
// superfat as it is, or the end.
func (s *State) offer() {
	if s.Stopped != nil {
		return
	}
	heavy := s.Judged.TooMuchLye != ""
	wrong := heavy
	for i := range s.Steps {
		st := &s.Steps[i]
		switch {
		case st.Type == Weigh && st.G != nil && (st.Off != "" || st.Slip != "") && !st.Kept:
			wrong = true
			s.offerWeighing(st, heavy)
		case st.Type == Check && st.GotG != nil && !st.isFine() && !st.Kept:
			wrong = true
			s.choice("weigh_again."+st.ID, fmt.Sprintf("Put the %s on the scale again", st.Vessel))
			if st.Vessel == "jug" && !s.combined() {
				s.choice("lye_again", "Set this lye aside and make it again")
			}
			if !heavy && !(st.Vessel == "jug" && st.offG() > 0) {
				s.choice("keep."+st.ID, "Go on with it as it is")
			}
		}
	}
	if !wrong {
		return
	}
	s.offerMoreLye(heavy)
	s.offerMoreFat(heavy)
	s.choice("stop", "Give this batch up")
}

func (s *State) choice(id, text string) {
	if !slices.ContainsFunc(s.Choices, func(c Choice) bool { return c.ID == id }) {
		s.Choices = append(s.Choices, Choice{id, text})
	}
}

func (s *State) offerWeighing(st *StepState, heavy bool) {
	isAlkali := st.Weigh.List == "alkali"
	switch {
	case isAlkali && s.isMixed(st.ID) && !s.combined() && st.Off == "over":
		s.choice("lye_again", "Set this lye aside and make it again")
	case !s.combined() && !(isAlkali && s.isMixed(st.ID)):
		s.choice("weigh_again."+st.ID, fmt.Sprintf("Weigh the %s again", lowerFirst(st.Weigh.Name)))
	}
	if !heavy && !(isAlkali && st.Off == "over") && st.Slip == "" {
		s.choice("keep."+st.ID, fmt.Sprintf("Leave it: superfat %s %%", number(s.Weighed.Superfat.Typical, 1)))
	}
}

// offerMoreLye offers to bring the superfat down again to what was planned.
func (s *State) offerMoreLye(heavy bool) {
	extra, waterG, ok := s.extraLye()
	if s.combined() || heavy || !ok {
		return
	}
	var parts []string
	for i, g := range extra {
		if g > 0 {
			parts = append(parts, fmt.Sprintf("%s of %s", s.Sheet.Plan.Scale.Alkali.Show(g), lowerFirst(s.Sheet.Plan.Alkali[i].Name)))
		}
	}
	if len(parts) > 0 {
		text := "More lye: " + strings.Join(parts, " and ") + " more"
		if s.isMixed("") {
			text += fmt.Sprintf(", dissolved in %.0f g of cold water of its own", waterFor(extra, waterG))
		}
		s.choice("more_lye", text)
	}
}

// waterFor is the water that more alkali is dissolved in [g]: what the plan wants
// on top, and never a lye stronger than half, for undissolved lye is the worst of
// lye.
func waterFor(extra []float64, waterG float64) float64 {
	alkaliG := 0.0
	for _, g := range extra {
		alkaliG += g
	}
	return math.Max(math.Ceil(waterG), math.Ceil(alkaliG))
}

// extraLye is what the fats as weighed need beyond what was weighed and is
// still meant to be [g].
func (s *State) extraLye() (extra []float64, waterG float64, ok bool) {
	dose, water, ok := s.Sheet.Plan.Dose(s.Weights)
	if !ok || s.isDoubtful() {
		return nil, 0, false
	}
	any := false
	for i, g := range dose {
		g = math.Max(0, g-s.Weights.Alkali[i])
		step := s.Sheet.Plan.Scale.Alkali.StepG
		extra = append(extra, math.Floor(g/step+1e-9)*step)
		any = any || extra[i] > 0
	}
	return extra, math.Max(0, water-s.Weights.WaterG), any
}

// isDoubtful reports a reading that nobody may build on: more lye is never
// offered on top of a slip.
func (s *State) isDoubtful() bool {
	return slices.ContainsFunc(s.Steps, func(st StepState) bool {
		return st.Slip != "" && st.G != nil && !st.Kept || st.Type == Check && st.GotG != nil && !st.isFine() && !st.Kept
	})
}

// offerMoreFat offers the fat that brings the superfat up to what was planned,
// as long as it can still be stirred in.
func (s *State) offerMoreFat(heavy bool) {
	i, g := s.moreFat()
	if s.poured() || g <= 0 || i < 0 {
		return
	}
	over := slices.ContainsFunc(s.Steps, func(st StepState) bool {
		return st.Weigh != nil && st.G != nil && st.Off == "over" && st.Weigh.List == "alkali"
	})
	if heavy || over {
		s.choice("more_fat", fmt.Sprintf("More fat: %s of %s, melted, into the pot", s.Sheet.Plan.Scale.Fats.Show(g), lowerFirst(s.Sheet.Plan.Fats[i].Name)))
	}
}

// moreFat is which fat and how much of it [g] brings the superfat to the set
// one: the fat there is most of.
func (s *State) moreFat() (i int, g float64) {
	i = -1
	for k, f := range s.Sheet.Plan.Fats {
		if s.Sheet.Plan.FatMaterial(k).Kind == material.Triglyceride && (i < 0 || f.MassG > s.Sheet.Plan.Fats[i].MassG) {
			i = k
		}
	}
	if i < 0 {
		return -1, 0
	}
	aim := s.Sheet.Plan.Superfat.Typical
	if set := s.Sheet.Plan.Superfat.Set; set != nil {
		aim = *set
	}
	return i, s.Sheet.Plan.MoreFat(s.judgedWeights(), i, aim)
}

// judgedWeights is what a hold goes by: of doubtful figures the worse ones.
func (s *State) judgedWeights() plan.Weights {
	w := s.sum(func(st *StepState) float64 {
		if st.JudgeG != nil {
			return *st.JudgeG
		}
		return *st.G
	})
	s.doubtJug(&w)
	s.doubtPot(&w)
	return w
}

// choose takes one of the ways on.
func (s *State) choose(a Chose, e told) string {
	if !slices.ContainsFunc(s.Choices, func(c Choice) bool { return c.ID == a.Choice }) {
		return "it was not offered at that moment"
	}
	what, step, _ := strings.Cut(a.Choice, ".")
	switch what {
	case "weigh_again":
		st := s.Step(step)
		st.G, st.JudgeG, st.From, st.Off, st.Slip, st.GotG, st.Done = nil, nil, nil, "", "", nil, false
	case "keep":
		s.Step(step).Kept = true
	case "lye_again":
		s.lyeAgain()
	case "more_lye":
		s.addMoreLye()
	case "more_fat":
		s.addMoreFat()
	case "stop":
		s.Stopped = &Standing{e.when, e.By, "given up"}
	}
	return ""
}

// lyeAgain opens every step of the lye anew. What was in the jug is gone from
// the shelf all the same.
func (s *State) lyeAgain() {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Part != theLye || st.Type == Tare {
			continue
		}
		s.wasted = append(s.wasted, st.From...)
		*st = StepState{Step: st.Step}
		delete(s.Marks, st.ID)
	}
	s.Steps = slices.DeleteFunc(s.Steps, func(st StepState) bool { return strings.HasPrefix(st.ID, "more.") && st.Part == theLye })
	s.judgedFor = ""
}

// keepWeights takes every weight that is off as it is: more lye or fat makes up
// for it.
func (s *State) keepWeights(list string) {
	for i := range s.Steps {
		if st := &s.Steps[i]; st.Weigh != nil && st.G != nil && st.Off != "" && (list == "" || st.Weigh.List == list) {
			st.Kept = true
		}
	}
}

// addMoreLye adds the steps of more lye: weighed, dissolved in water of
// its own, the jug checked once more. While no lye was made, the targets grow
// instead.
func (s *State) addMoreLye() {
	extra, waterG, _ := s.extraLye()
	s.keepWeights("fats")
	if _, mixed := s.Marks["mix"]; !mixed {
		s.moreLye, s.judgedFor = true, ""
		for i := range s.Steps {
			if st := &s.Steps[i]; st.Weigh != nil && st.Weigh.List == "alkali" && st.G != nil {
				*st = StepState{Step: st.Step}
			}
		}
		return
	}
	s.keepWeights("alkali")
	s.more++
	var steps []Step
	id := func(name string) string { return fmt.Sprintf("more.%d.%s", s.more, name) }
	water := s.Sheet.target("water", 0)
	water.G = waterFor(extra, waterG)
	s.Sheet.tolerate(water)
	water.Name = "Water for more lye"
	steps = append(steps, Step{ID: id("water"), Type: Weigh, Part: theLye, Vessel: "mix", Do: "Cold, into a cup of its own", Weigh: water})
	for i, g := range extra {
		if g > 0 {
			t := s.Sheet.target("alkali", i)
			t.G = g
			s.Sheet.tolerate(t)
			steps = append(steps, Step{ID: id(fmt.Sprintf("alkali.%d", i)), Type: Weigh, Part: theLye, Vessel: "mix", Do: "Weigh it dry, in its own cup", Weigh: t, Warn: []string{"Not a step more than this"}})
		}
	}
	steps = append(steps,
		Step{ID: id("mix"), Type: Act, Part: theLye, Vessel: "jug", Do: "Dissolve it in its water, until clear, and pour it into the jug", Warn: []string{"Goggles on: so little water gets hot at once"}},
		Step{ID: id("jug"), Type: Check, Part: theLye, Vessel: "jug", Do: "Jug on the scale once more"})
	s.insert(steps)
}

// addMoreFat adds the step of more fat.
func (s *State) addMoreFat() {
	i, g := s.moreFat()
	s.more++
	t := s.Sheet.target("fats", i)
	t.G = g
	s.Sheet.tolerate(t)
	t.LowG = t.G // too little of it would be no remedy
	s.insert([]Step{{ID: fmt.Sprintf("more.%d.fats.%d", s.more, i), Type: Weigh, Part: theFats, Vessel: "pot", Do: "Melted, into the pot", Weigh: t}})
}

// insert puts steps before lye and fats meet, or before what comes next.
func (s *State) insert(steps []Step) {
	at := slices.IndexFunc(s.Steps, func(st StepState) bool { return st.ID == "temperatures" })
	if s.combined() {
		at = max(at, slices.IndexFunc(s.Steps, func(st StepState) bool { return !st.Done && st.Part != theLye && st.Part != theFats }))
	}
	for k, step := range steps {
		s.Steps = slices.Insert(s.Steps, at+k, StepState{Step: step})
	}
}

// Worst is the worst finding, OK when there is none.
func (s *State) Worst() finding.Severity { return finding.Worst(s.Findings) }
