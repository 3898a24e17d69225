package batch

import (
	"fmt"
	"math"
	"strings"

	"barwright/finding"
	"barwright/source"
)

func (s *State) find(id string, severity finding.Severity, grade source.Grade, title, because, fix string) {
	s.Findings = append(s.Findings, finding.Finding{ID: id, Severity: severity, Title: title, Because: because, Fix: fix, Grade: grade, Sources: []string{}})
}

// findHeavy is the stop of a plan, of what was really weighed.
func (s *State) findHeavy() {
	if s.Judged.TooMuchLye == "" {
		return
	}
	b := s.Judged.Superfat
	because := "As weighed, " + s.Judged.TooMuchLye
	if s.Judged.Superfat.Typical != s.Weighed.Superfat.Typical {
		because = "If what does not add up is lye, " + s.Judged.TooMuchLye
	}
	if cause := s.overweighed(); cause != "" {
		because = cause + ". " + because
	}
	s.find("lye_heavy", finding.Stop, source.Derived, fmt.Sprintf("Too much lye: superfat %s %% (%s to %s)", number(b.Typical, 1), number(b.Low, 1), number(b.High, 1)), because,
		"Do not go on. Check every weight")
}

// overweighed names the alkali that was weighed over its target, "" when none was.
func (s *State) overweighed() string {
	var out []string
	for _, st := range s.Steps {
		if st.Type == Weigh && st.Weigh.List == "alkali" && st.G != nil && st.Off == "over" {
			out = append(out, fmt.Sprintf("%s g of %s instead of %s g", number(*st.G, 2), lowerFirst(st.Weigh.Name), number(st.ThenG, 2)))
		}
	}
	return strings.Join(out, ", ")
}

// notWeighed is the stop that typing in what was weighed ends.
const notWeighed = "not_weighed"

// findUnweighed is a fat or an alkali that nobody weighed before lye and fats
// met: what is in the pot is not known.
func (s *State) findUnweighed() {
	if !s.combined() {
		return
	}
	var names []string
	for _, st := range s.Steps {
		if st.Type == Weigh && st.G == nil && (st.Weigh.List == "fats" || st.Weigh.List == "alkali" || st.Weigh.List == "water") {
			names = append(names, lowerFirst(st.Weigh.Name))
		}
	}
	if len(names) > 0 {
		s.find(notWeighed, finding.Stop, source.Derived, "Not weighed, or not stamped: "+strings.Join(names, ", "), "Lye and fats are together, and what is in them is not known",
			"Type in what was weighed; if it was forgotten, weigh it in while it is fluid")
	}
}

// findUnchecked is a vessel that was never put on the scale as a whole.
func (s *State) findUnchecked() {
	if !s.combined() {
		return
	}
	for _, st := range s.Steps {
		if st.Type == Check && st.GotG == nil {
			s.find("not_checked", finding.Caution, source.Derived, fmt.Sprintf("The %s was not checked on the scale", st.Vessel), "A forgotten fat or a heavy lye shows there and nowhere else", "Look at every weight once more")
		}
	}
}

func (s *State) findSlips() {
	for i := range s.Steps {
		if st := &s.Steps[i]; st.Slip != "" && st.G != nil && !st.Kept {
			s.find("units_slip", finding.Caution, source.Derived, st.Weigh.Name+": "+st.Slip, fmt.Sprintf("%s g was to be weighed", number(st.ThenG, 2)), "Look at the scale and weigh it again")
		}
	}
}

func (s *State) findOff() {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.G == nil || st.Off == "" || st.Kept || st.Slip != "" {
			continue
		}
		id, severity := "weight_off", finding.Caution
		if st.Weigh.List == "alkali" && st.Off == "over" {
			id = "alkali_over"
		}
		s.find(id, severity, source.Derived, fmt.Sprintf("%s: %s g instead of %s g", st.Weigh.Name, number(*st.G, 2), number(st.ThenG, 2)),
			fmt.Sprintf("Superfat is now %s %% (%s to %s)", number(s.Weighed.Superfat.Typical, 1), number(s.Weighed.Superfat.Low, 1), number(s.Weighed.Superfat.High, 1)), "Weigh it again, or choose how to go on")
	}
}

// findChecks is a vessel that does not weigh what is in it.
func (s *State) findChecks() {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Check || st.GotG == nil || st.isFine() || st.Kept {
			continue
		}
		off := st.offG()
		more := "more"
		if off < 0 {
			more = "less"
		}
		title := fmt.Sprintf("The %s weighs %s g %s than what is in it", st.Vessel, number(math.Abs(off), 1), more)
		because := fmt.Sprintf("%s g on the scale, %s g expected, within %s g", number(*st.GotG, 1), number(st.TareG+st.InG, 1), number(checkTolerance(st.InG), 1))
		fix := "Weigh it again. If it stays so, make the lye again"
		switch {
		case st.Vessel == "jug" && off > 0:
			because += fmt.Sprintf(". If that is alkali, superfat is %s %%", number(s.Judged.Superfat.Typical, 1))
		case st.Vessel == "pot" && off < 0:
			fix = "Look which fat is not in it, weigh it in, and weigh the pot again"
			if _, name := s.missing(st); name != "" {
				because += fmt.Sprintf(". That is the %s: it is not in the pot", lowerFirst(name))
			}
		case st.Vessel == "pot":
			fix = "Was one weighed in twice? Choose how to go on"
		}
		s.find(st.Vessel+"_off", finding.Caution, source.Derived, title, because, fix)
	}
}

func (s *State) findSecond() {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Weigh || st.G == nil || s.ReadAlike(st) {
			continue
		}
		if st.SecondG == nil {
			s.find("second_reading", finding.Note, source.Measured, st.Weigh.Name+": a second person reads the scale", "This batch asks for it", "Let somebody else read it and say the number")
			continue
		}
		s.find("readings_differ", finding.Caution, source.Measured, fmt.Sprintf("%s: one read %s g, the other %s g", st.Weigh.Name, number(*st.G, 2), number(*st.SecondG, 2)),
			"They lie more than a step of the scale apart", "Weigh it again, and read it again")
	}
}

// highPoints is how much more superfat than planned is worth a word [points].
const highPoints = 2

func (s *State) findHigh() {
	was, now := s.Sheet.Plan.Superfat.AsWeighed.Typical, s.Weighed.Superfat.Typical
	if now-was > highPoints {
		s.find("superfat_rose", finding.Note, source.Derived, fmt.Sprintf("Superfat is %s %%, planned %s %%", number(now, 1), number(was, 1)), "By what was weighed so far", "It will be softer, and keep less long")
	}
}

func (s *State) findClocks() {
	for _, j := range s.Jumps {
		s.find("clock_jumped", finding.Note, source.Measured, fmt.Sprintf("The clock of %s moved by %s", j.Device, j.By), "Its own counter went on; the times here follow that", "")
	}
	for _, g := range s.Gaps {
		s.find("taps_missing", finding.Note, source.Measured, fmt.Sprintf("%s has taps that have not arrived: %d to %d", g.Device, g.First, g.Last), "They are on that device until it reaches the workshop", "Open the batch on it")
	}
}
