package batch

import (
	"fmt"
	"slices"
	"time"

	"barwright/cure"
)

// Racked says where the bars stand from now on, and in what air.
type Racked struct {
	Place string   `json:"place"`
	C     *float64 `json:"c,omitempty"`
	RHPct *float64 `json:"rh_pct,omitempty"`
}

// BarWeighed is one weight of one marked bar; marked bars count from 1. At is
// when it was weighed, where that is not when it was written down.
type BarWeighed struct {
	Bar int        `json:"bar"`
	G   float64    `json:"g"`
	At  *time.Time `json:"at,omitempty"`
}

// CameOut is how the batch left the mould, or how the wire went through it.
// Hours count from the pour, where that is not when it was written down.
type CameOut struct {
	Of    string   `json:"of"`  // turn_out or cut
	How   string   `json:"how"` // clean or torn; smooth or crumbled
	Hours *float64 `json:"hours,omitempty"`
}

// ReadyBy is by which rules the batch counts as dry; 0 is a rule that is off. With
// all of them off it counts by the workshop's again.
type ReadyBy struct {
	WeeklyPct  float64 `json:"weekly_pct"`
	GonePct    float64 `json:"gone_pct"`
	LeastWeeks float64 `json:"least_weeks"`
}

// RackTeaches says whether the batch's drying, turning out and cutting teach what to
// expect of the next one.
type RackTeaches struct {
	Counts bool `json:"counts"`
}

func (Racked) Kind() string      { return "racked" }
func (BarWeighed) Kind() string  { return "bar_weighed" }
func (CameOut) Kind() string     { return "came_out" }
func (ReadyBy) Kind() string     { return "ready_by" }
func (RackTeaches) Kind() string { return "rack_teaches" }

func init() {
	register[Racked]()
	register[BarWeighed]()
	register[CameOut]()
	register[ReadyBy]()
	register[RackTeaches]()
}

const (
	mostBarG  = 5000.0
	mostHours = 24 * 60.0
)

func (a Racked) check() error {
	if err := checkWhy("place", a.Place); err != nil {
		return err
	}
	if err := checkText("place", a.Place, mostLine); err != nil {
		return err
	}
	return cure.Bar{RHPct: a.RHPct, TC: a.C}.Check()
}

func (a BarWeighed) check() error {
	switch {
	case a.Bar < 1 || a.Bar > cure.MostBars:
		return fault(fmt.Sprintf("mark %d bars at most, from 1", cure.MostBars), "bar: %d", a.Bar)
	case !(a.G > 0 && a.G <= mostBarG):
		return fault(gramsAdvice, "g: %g g for a bar", a.G)
	case a.At != nil && (a.At.Year() < 1990 || a.At.Year() > 2200):
		return fault("when it was weighed", "at: the year %d", a.At.Year())
	}
	return nil
}

// howWords are the ways each of the two can go; the first is past the turning
// point for turning out, the last for cutting.
var howWords = map[string]string{"turn_out": "clean torn", "cut": "smooth crumbled"}

func (a CameOut) check() error {
	if err := checkWord("of", a.Of, "turn_out cut", "turn_out or cut"); err != nil {
		return err
	}
	if a.Hours != nil && !(*a.Hours >= 0.1 && *a.Hours <= mostHours) {
		return fault("hours after the pour, 60 days at most", "hours: %g", *a.Hours)
	}
	return checkWord("how", a.How, howWords[a.Of], "turned out clean or torn, cut smooth or crumbled")
}

func (a ReadyBy) check() error {
	if a == (ReadyBy{}) {
		return nil
	}
	return a.Rules().Check()
}

func (a RackTeaches) check() error { return nil }

// Rules are the rules as the drying knows them.
func (a ReadyBy) Rules() cure.Rules {
	return cure.Rules{WeeklyPct: a.WeeklyPct, GonePct: a.GonePct, LeastWeeks: a.LeastWeeks}
}

// RulesOr are the batch's own rules, else the workshop's.
func (r RackState) RulesOr(workshop cure.Rules) cure.Rules {
	if r.Rules != nil {
		return *r.Rules
	}
	return workshop
}

// RackState is what became of the bars.
type RackState struct {
	Places    []RackedState // where they stood, the last one is where they are
	Weighings []BarState
	Came      []CameState
	Rules     *cure.Rules // its own, nil when it goes by the workshop's
	LeftOut   bool        // it teaches the next one nothing, by the maker's wish
}

// RackedState is a place and since when.
type RackedState struct {
	Racked
	At time.Time
	By string
}

// BarState is one weighing of a marked bar. WasG is what stood there before it
// was corrected.
type BarState struct {
	Bar   int
	G     float64
	WasG  *float64
	At    time.Time
	By    string
	Event string // "" of a weight that was written down with the cut
}

// CameState is how it came out, and how long after the pour.
type CameState struct {
	CameOut
	AfterH float64
	By     string
}

// rack folds an event of the rack in, or says why it does not count.
func (s *State) rack(action Action, e told) string {
	switch a := action.(type) {
	case Racked:
		s.Rack.Places = append(s.Rack.Places, RackedState{a, e.when, e.By})
	case BarWeighed:
		if s.Cut == nil {
			return "there are no bars before the cut"
		}
		at := e.when
		if a.At != nil {
			at = a.At.UTC()
		}
		if at.Before(s.Cut.At) {
			return "that was before the cut"
		}
		// The same bar on the same day again: the later one stands.
		s.Rack.Weighings = slices.DeleteFunc(s.Rack.Weighings, func(w BarState) bool { return w.Bar == a.Bar && sameDay(w.At, at) })
		s.Rack.Weighings = append(s.Rack.Weighings, BarState{Bar: a.Bar, G: a.G, At: at, By: e.By, Event: e.ID})
	case CameOut:
		after := 0.0
		switch poured := s.Marks["pour"].At; {
		case a.Hours != nil:
			after = *a.Hours
		case poured.IsZero() || !e.when.After(poured):
			return "nobody stamped the pour, so nothing says how long it stood"
		default:
			after = e.when.Sub(poured).Hours()
		}
		s.Rack.Came = append(s.Rack.Came, CameState{a, after, e.By})
	case ReadyBy:
		s.Rack.Rules = nil
		if own := a.Rules(); a != (ReadyBy{}) {
			s.Rack.Rules = &own
		}
	case RackTeaches:
		s.Rack.LeftOut = !a.Counts
	}
	return ""
}

// sameDay reports two weighings within half a day of each other.
func sameDay(a, b time.Time) bool { return a.Sub(b).Abs() < 12*time.Hour }

// correctBar puts the weight of a marked bar right.
func (s *State) correctBar(a Corrected) (was, wants string) {
	for i := range s.Rack.Weighings {
		w := &s.Rack.Weighings[i]
		if w.Event != a.Of {
			continue
		}
		was, wants = number(w.G, 2)+" g", number(*a.G, 2)+" g"
		old := w.G
		w.WasG, w.G = &old, *a.G
	}
	return was, wants
}

// correctBarAt puts right when a marked bar was weighed.
func (s *State) correctBarAt(of string, at time.Time) (was, wants string) {
	for i := range s.Rack.Weighings {
		if w := &s.Rack.Weighings[i]; w.Event == of {
			was, wants = dayClock(w.At), dayClock(at)
			w.At = at
		}
	}
	return was, wants
}

func dayClock(t time.Time) string { return t.UTC().Format("2 January 2006 15:04") }

// rackWords says what an event of the rack did.
func rackWords(action Action) string {
	switch a := action.(type) {
	case Racked:
		text := "on the rack: " + a.Place
		if a.C != nil {
			text += ", " + number(*a.C, 1) + " °C"
		}
		if a.RHPct != nil {
			text += ", " + number(*a.RHPct, 0) + " % humidity"
		}
		return text
	case BarWeighed:
		text := fmt.Sprintf("bar %d weighs %s g", a.Bar, number(a.G, 2))
		if a.At != nil {
			text += ", on " + a.At.UTC().Format("2 January 2006")
		}
		return text
	case CameOut:
		if a.Of == "cut" {
			return "the cut: " + a.How
		}
		return "out of the mould: " + a.How
	case ReadyBy:
		if a == (ReadyBy{}) {
			return "the workshop's rules say when it is dry"
		}
		return "rules of its own say when it is dry"
	case RackTeaches:
		if a.Counts {
			return "teaches the next batch again"
		}
		return "teaches the next batch nothing from here on"
	}
	return ""
}
