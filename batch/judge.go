package batch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/finding"
	"barwright/plan"
)

// judge works out, after every event, what is wrong, what can be done about it,
// and whether the batch may go on.
func (s *State) judge(e told) {
	s.weighUp()
	s.settleWeighings()
	s.Findings, s.Choices = nil, nil
	for _, look := range []func(){s.findHeavy, s.findUnweighed, s.findUnchecked, s.findSlips, s.findOff, s.findChecks, s.findSecond, s.findHigh, s.findClocks} {
		look()
	}
	finding.Sort(s.Findings)
	s.offer()
	s.hold(e)
}

// weighUp sums what went in, and what every doubt would make of it.
func (s *State) weighUp() {
	for i := range s.Steps {
		if st := &s.Steps[i]; st.Type == Check && st.GotG != nil {
			st.InG = s.netAt(st.Vessel, st.At)
		}
	}
	s.Weights = s.sum(func(st *StepState) float64 { return *st.G })
	judged := s.judgedWeights()
	key := fmt.Sprint(s.Weights, judged)
	if key == s.judgedFor {
		return
	}
	s.judgedFor = key
	s.Weighed = s.Sheet.Plan.Weighed(s.Weights)
	s.Judged = s.Weighed
	if fmt.Sprint(judged) != fmt.Sprint(s.Weights) {
		s.Judged = s.Sheet.Plan.Weighed(judged)
	}
	s.aim()
}

// sum adds up the steps' weights; what is not weighed yet counts as planned.
func (s *State) sum(of func(*StepState) float64) plan.Weights {
	w := lines{s.Sheet.Plan.WeighOut()}
	clear := map[string]bool{}
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Weigh || st.G == nil {
			continue
		}
		line := w.line(st.Weigh)
		if key := fmt.Sprintf("%s.%d", st.Weigh.List, st.Weigh.Index); !clear[key] {
			clear[key] = true
			if !strings.HasPrefix(st.ID, "more.") {
				*line = 0
			}
		}
		*line += of(st)
	}
	return w.Weights
}

// doubtJug counts what a jug weighs too much as alkali, until it is explained.
func (s *State) doubtJug(w *plan.Weights) {
	for i := range s.Steps {
		if st := &s.Steps[i]; st.Type == Check && st.Vessel == "jug" && st.GotG != nil && !st.isFine() && st.offG() > 0 && len(w.Alkali) > 0 {
			w.Alkali[0] += st.offG()
		}
	}
}

// doubtPot counts what a pot lacks as the fat that was forgotten, or as the one
// that binds most.
func (s *State) doubtPot(w *plan.Weights) {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Check || st.Vessel != "pot" || st.GotG == nil || st.isFine() || st.offG() > 0 {
			continue
		}
		k, _ := s.missing(st)
		if k < 0 {
			for n, f := range s.Sheet.Plan.Fats {
				if k < 0 || f.Sap.Dose > s.Sheet.Plan.Fats[k].Sap.Dose {
					k = n
				}
			}
		}
		// Some fat must be left to reckon with.
		w.Fats[k] = math.Max(1, w.Fats[k]+st.offG())
	}
}

// missing returns the fat whose weight a pot lacks, -1 when no single one fits.
func (s *State) missing(st *StepState) (i int, name string) {
	best := -1
	off := math.Inf(1)
	for k := range s.Steps {
		if w := s.Steps[k].Weigh; w != nil && w.List == "fats" && s.Steps[k].G != nil {
			if d := math.Abs(*s.Steps[k].G + st.offG()); d < off && d <= math.Max(checkTolerance(st.InG), 0.02**s.Steps[k].G) {
				best, off, name = w.Index, d, w.Name
			}
		}
	}
	return best, name
}

// aim sets the targets of the alkali that is not weighed yet to what the fats
// need: less at once, more only when that was chosen.
func (s *State) aim() {
	dose, waterG, ok := s.Sheet.Plan.Dose(s.Weights)
	if !ok {
		return
	}
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Weigh || st.G != nil || strings.HasPrefix(st.ID, "more.") {
			continue
		}
		switch st.Weigh.List {
		case "alkali":
			planned := s.Sheet.Plan.Alkali[st.Weigh.Index].WeighG
			st.Weigh.G = math.Min(planned, dose[st.Weigh.Index])
			if s.moreLye {
				st.Weigh.G = dose[st.Weigh.Index]
			}
			s.Sheet.tolerate(st.Weigh)
		case "water":
			if s.moreLye {
				st.Weigh.G = waterG
				s.Sheet.tolerate(st.Weigh)
			}
		}
	}
}

// settleWeighings says of every weighing and check whether it is done.
func (s *State) settleWeighings() {
	for i := range s.Steps {
		st := &s.Steps[i]
		switch {
		case st.Type == Check:
			st.Done = st.GotG != nil && (st.isFine() || st.Kept)
		case st.Type == Weigh && st.G != nil:
			st.Off = s.off(st)
			st.Kept = st.Kept || s.Sheet.Start.Recorded // it is what stood on paper
			st.Done = (st.Off == "" || st.Kept) && (st.Slip == "" || st.Kept) && s.ReadAlike(st)
		case st.Type == Weigh:
			st.Done, st.Off = false, ""
		}
	}
}

// slack is less than any scale shows: the last bits of the arithmetic [g].
const slack = 1e-6

// off reports how a weighing lies to what was fine when it was done. Alkali
// that is over is all right again once more fat needs it.
func (s *State) off(st *StepState) string {
	then := *st.Weigh
	then.G = st.ThenG
	s.Sheet.tolerate(&then)
	switch g := *st.G; {
	case st.Weigh.List == "alkali" && g > then.HighG+slack && s.fatsFor(st.Weigh.Index) < g-slack, st.Weigh.List != "alkali" && g > then.HighG+slack:
		return "over"
	case g < then.LowG-slack && !(st.Weigh.List == "alkali" && s.hasMoreLye()):
		return "under"
	}
	return ""
}

// fatsFor is the alkali that the fats as weighed need [g].
func (s *State) fatsFor(i int) float64 {
	dose, _, ok := s.Sheet.Plan.Dose(s.Weights)
	if !ok {
		return s.Sheet.Plan.Alkali[i].WeighG
	}
	return dose[i]
}

// hasMoreLye reports that more lye was weighed on top.
func (s *State) hasMoreLye() bool {
	return slices.ContainsFunc(s.Steps, func(st StepState) bool {
		return strings.HasPrefix(st.ID, "more.") && st.Weigh != nil && st.Weigh.List == "alkali" && st.G != nil
	})
}

// ReadAlike reports whether a second person read the scale as well, where that is
// wanted.
func (s *State) ReadAlike(st *StepState) bool {
	if !s.Sheet.Start.SecondReader || s.Sheet.Start.Recorded || st.Weigh.List != "alkali" {
		return true
	}
	return st.SecondG != nil && math.Abs(*st.SecondG-*st.G) <= st.Weigh.Scale.StepG+slack
}

// hold sets or ends a hold. A batch that goes on from lye and fats together
// while it is on hold is quarantined by that; one that only lacks figures stays
// on hold until they are typed in.
func (s *State) hold(e told) {
	if s.Stopped != nil {
		return
	}
	var stops, hard []finding.Finding
	for _, f := range s.Findings {
		if f.Severity == finding.Stop {
			stops = append(stops, f)
			if f.ID != notWeighed {
				hard = append(hard, f)
			}
		}
	}
	if s.Hold != nil && s.goesOn(e) && (s.byHand || s.isHard) {
		s.quarantine(e, "It was gone on with")
		return
	}
	switch {
	case len(stops) == 0 && s.Hold != nil && !s.byHand:
		s.Hold = nil
	case len(stops) > 0 && s.Quarantined == nil && (s.Hold == nil || !s.isHard && !s.byHand && len(hard) > 0):
		first := append(hard, stops...)[0]
		s.Hold, s.isHard = &Standing{e.when, "", first.Title + ". " + first.Because}, len(hard) > 0
		if s.isHard && s.goesOn(e) && !s.found(e) {
			s.quarantine(e, "It was gone on with")
		}
	}
}

// found reports an event that brings what is wrong to light, rather than going
// on from it.
func (s *State) found(e told) bool {
	switch e.Do.(type) {
	case Weighed, Gross, Corrected:
		return true
	}
	return false
}

// goesOn reports an event that makes soap of what is in jug and pot.
func (s *State) goesOn(e told) bool {
	var step string
	switch a := e.Do.(type) {
	case Stamped:
		step = a.Step
	case Cut:
		step = "cut"
	case Rested:
		return s.combined()
	}
	for _, start := range []string{"combine", "trace", "cook", "add.", "pour", "finish", "rest.", "turn_out", "cut"} {
		if step == start || strings.HasSuffix(start, ".") && strings.HasPrefix(step, start) {
			return true
		}
	}
	return false
}
