package batch

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"barwright/judging"
)

// Tested is one test and what it found, with its method where the figure needs
// one.
type Tested struct {
	Test             string   `json:"test"`                        // drop, ph, tongue or laboratory
	Found            string   `json:"found,omitempty"`             // clear or pink, nothing or sting; a laboratory's words
	Where            string   `json:"where,omitempty"`             // which bar, and where on it
	FreeAlkaliPct    *float64 `json:"free_alkali_pct,omitempty"`   // as NaOH, of a laboratory
	PH               *float64 `json:"ph,omitempty"`                // of the solution
	ConcentrationPct *float64 `json:"concentration_pct,omitempty"` // of soap in it
	C                *float64 `json:"c,omitempty"`                 // its temperature
	Meter            string   `json:"meter,omitempty"`             // what it was read with
}

// Kind is the action's word.
func (Tested) Kind() string { return "tested" }

func (a Tested) check() error {
	for _, t := range []struct{ key, text string }{{"where", a.Where}, {"meter", a.Meter}} {
		if err := checkText(t.key, t.text, mostLine); err != nil {
			return err
		}
	}
	if err := checkText("found", a.Found, mostText); err != nil {
		return err
	}
	return a.Result().Check()
}

// Result is the test as package judging knows it.
func (a Tested) Result() judging.Result {
	return judging.Result{Test: a.Test, Found: a.Found, Where: a.Where, FreeAlkaliPct: a.FreeAlkaliPct, PH: a.PH, ConcentrationPct: a.ConcentrationPct, TC: a.C, Meter: a.Meter}
}

// TestState is one test that counts.
type TestState struct {
	Tested
	At    time.Time
	By    string
	Event string
	Hours float64 // the batch's age then, NaN when nobody stamped the pour
}

// Judging is what the tests need to know of the batch at an instant. What was
// not stamped counts against a test that touches skin.
func (s *State) Judging(at time.Time) judging.Batch {
	b := judging.Batch{Quarantined: !s.MayLabel(), Pocketed: s.pocketed(), Alkali: s.alkali(), HoursOld: s.hoursOld(at)}
	if s.Cut != nil {
		b.BarsCut = s.Cut.Bars
	}
	if s.combined() && !s.has(notWeighed) {
		low := s.Judged.Superfat.Low
		b.SuperfatLowPct = &low
	}
	return b
}

// hoursOld is the batch's age since the pour, or at least since the cut [h].
func (s *State) hoursOld(at time.Time) float64 {
	switch m, ok := s.Marks["pour"]; {
	case ok:
		return at.Sub(m.At).Hours()
	case s.Cut != nil:
		return at.Sub(s.Cut.At).Hours()
	}
	return math.NaN()
}

func (s *State) has(finding string) bool {
	for _, f := range s.Findings {
		if f.ID == finding {
			return true
		}
	}
	return false
}

// pocketed reports a trouble that leaves pockets of lye or oil behind.
func (s *State) pocketed() bool {
	return slices.ContainsFunc(s.Troubles, func(t TroubleState) bool {
		return t.Remedy.What == "separation" || t.Remedy.What == "lumps of lye or soap"
	})
}

// alkali reports a sign of free alkali that nothing has cleared since: of young
// soap a clear drop test at an age at which lye is used up, of older soap only a
// release.
func (s *State) alkali() (found bool) {
	for _, t := range s.Tests {
		old := t.Hours >= judging.YoungH
		switch {
		case s.Released != nil && !t.At.After(s.Released.At):
		case t.Result().SaysAlkali():
			found = true
		case t.Test == "drop" && old && s.Hold == nil:
			found = false
		}
	}
	return found
}

// tested keeps a test. One that was not allowed then is told of and counts for
// nothing. Free alkali in soap of an age at which it should be used up puts the
// batch on hold.
func (s *State) tested(a Tested, e told) string {
	if err := s.Judging(e.when).Check(a.Result()); err != nil {
		return err.Error()
	}
	t := TestState{a, e.when, e.By, e.ID, s.hoursOld(e.when)}
	s.Tests = append(s.Tests, t)
	if a.Result().SaysAlkali() && !(t.Hours < judging.YoungH) && s.MayLabel() {
		s.Hold, s.byHand = &Standing{e.when, e.By, "A test found free alkali: " + a.Words()}, true
	}
	return ""
}

// Words says what the test found.
func (a Tested) Words() string {
	var out string
	switch a.Test {
	case "ph":
		out = fmt.Sprintf("a pH of %s, %s %% of soap in water at %s °C, by %s", number(*a.PH, 1), number(*a.ConcentrationPct, 1), number(*a.C, 0), a.Meter)
	case "laboratory":
		out = "laboratory: " + a.Found
		if a.FreeAlkaliPct != nil {
			out += fmt.Sprintf(", free alkali %s %%", number(*a.FreeAlkaliPct, 3))
		}
	default:
		for _, t := range (judging.Batch{}).Tests() {
			for _, f := range t.Finds {
				if t.Key == a.Test && f.Key == a.Found {
					out = strings.ToLower(t.Name) + " test: " + f.Text
				}
			}
		}
	}
	if a.Where != "" {
		out += ", " + a.Where
	}
	return out
}
