package batch

import (
	"time"

	"barwright/finding"
	"barwright/plan"
)

// State is what a batch's events amount to. It holds no instant of its own:
// what depends on now is in At.
type State struct {
	Sheet *Sheet
	Steps []StepState // of the sheet, and those that were added on the way

	RoomC     float64
	BegunAt   time.Time
	Vessels   map[string]float64 // empty weights [g], of those that were weighed
	Marks     map[string]Mark    // when steps and marks were stamped, by their names
	Readings  []Measured
	Rests     []RestState
	Cut       *CutState
	Rack      RackState
	Troubles  []TroubleState
	Notes     []Note
	Rinses    []Rinse
	Photos    []PhotoState
	Corrected []CorrectedState
	Tests     []TestState // those that were allowed
	Codes     []CodeState // in rounds of blind judging
	Cards     []CardState // of testers

	Weights  plan.Weights // what went in, and the target of what has not yet
	Weighed  plan.Weighed // superfat and lye of that
	Judged   plan.Weighed // the same if every doubt is lye: what a hold goes by
	Findings []finding.Finding
	Choices  []Choice // the ways on from what is wrong

	Hold        *Standing // it must not go on
	Quarantined *Standing // it went on: no label, nothing in stock
	Released    *Release
	Stopped     *Standing // given up

	Events    []Event     // those that count, in the order that counts
	Uncounted []Uncounted // kept, and why they do not count
	Jumps     []ClockJump
	Gaps      []Gap
	Ahead     map[string]time.Duration // how far each device's clock was ahead when it was last compared

	when      map[string]time.Time // instant of each counted event
	wasted    []Taken              // of what was thrown away and made again
	byHand    bool                 // the hold is a person's
	isHard    bool                 // the hold is of what was weighed, not of figures that are missing
	more      int                  // rounds of more lye or fat
	judgedFor string
	moreLye   bool // the alkali may follow fats that are more than planned
}

// StepState is one step and what was done of it.
type StepState struct {
	Step
	Done  bool
	At    time.Time
	By    string
	Event string // id of the event that did it
	Text  string

	G        *float64 // weighed [g]
	JudgeG   *float64 // what a hold goes by: of two figures after combining, the worse
	ThenG    float64  // target when it was weighed
	From     []Taken
	Off      string // "over" or "under" what is fine
	Kept     bool   // taken as it is
	Slip     string // what it looks like instead, "" when it looks right
	Reader   string // who stands behind G: who stamped it, or put it right
	SecondG  *float64
	SecondBy string

	GotG      *float64 // of a check: what the scale showed
	TareG     float64  // the vessel alone
	InG       float64  // what should have been in it then, by the weighings as they stand now
	ReadItems map[string]Mark
}

// Taken is what came from one lot of the shelf.
type Taken struct {
	Lot      string
	Material string
	Step     string
	G        float64
	At       time.Time // when it was weighed
}

// Mark is who stamped something when.
type Mark struct {
	At   time.Time
	By   string
	Text string
}

// Measured is a temperature that was read.
type Measured struct {
	Of    string
	C     float64
	At    time.Time
	By    string
	Event string
}

// RestState is how it rested from an instant on.
type RestState struct {
	Rested
	At time.Time
	By string
}

// CutState is the cutting.
type CutState struct {
	Cut
	At time.Time
	By string
}

// TroubleState is a trouble that was asked about, and whether it was handled.
type TroubleState struct {
	Triaged
	Remedy Remedy
	At     time.Time
	By     string
	Event  string
	Done   *Mark
}

// Note is anything that was written down.
type Note struct {
	At   time.Time
	By   string
	Text string
}

// PhotoState is a photo of the batch.
type PhotoState struct {
	Pictured
	At time.Time
	By string
}

// Rinse is a call for the emergency card.
type Rinse struct {
	What string
	At   time.Time
	By   string
}

// CorrectedState is one correction: what stood there before.
type CorrectedState struct {
	Corrected
	When  time.Time
	By    string
	Was   string
	Wants string
}

// Standing is a hold, a quarantine or an end: since when, why, by whom.
type Standing struct {
	At  time.Time
	By  string
	Why string
}

// Release is the written end of a quarantine.
type Release struct {
	Released
	At time.Time
	By string
}

// Choice is one way on. The event that takes it is Chose.
type Choice struct {
	ID   string
	Text string // what to do, with its number
}

// Step returns the state of a step, nil when there is none.
func (s *State) Step(id string) *StepState {
	for i := range s.Steps {
		if s.Steps[i].ID == id {
			return &s.Steps[i]
		}
	}
	return nil
}

// Current returns the first step that is not done, nil when all are.
func (s *State) Current() *StepState {
	for i := range s.Steps {
		if !s.Steps[i].Done {
			return &s.Steps[i]
		}
	}
	return nil
}

// Place returns the number of a step, from 1, and how many there are.
func (s *State) Place(id string) (n, of int) {
	for i := range s.Steps {
		if s.Steps[i].ID == id {
			return i + 1, len(s.Steps)
		}
	}
	return 0, len(s.Steps)
}

// NetG is what is in a vessel now [g], without it. What was weighed in the cup
// for the alkali is in the jug once it was mixed.
func (s *State) NetG(vessel string) float64 { return s.netAt(vessel, time.Time{}) }

// netAt is what was in a vessel at an instant [g]; the zero time is now.
func (s *State) netAt(vessel string, at time.Time) (g float64) {
	for _, st := range s.Steps {
		in := st.Vessel
		if mixed, ok := s.mixed(st.ID); in == "mix" && ok && (at.IsZero() || !mixed.After(at)) {
			in = "jug"
		}
		if st.Type == Weigh && st.G != nil && in == vessel && (at.IsZero() || !st.At.After(at)) {
			g += *st.G
		}
	}
	return g
}

// ReadsG is what the scale shows with the vessel once the target of a step is
// in [g]; false while the empty vessel was not weighed.
func (s *State) ReadsG(st *StepState) (g float64, ok bool) {
	tare, ok := s.Vessels[st.Vessel]
	if st.Weigh == nil || !ok {
		return 0, false
	}
	in := s.NetG(st.Vessel)
	if st.G != nil {
		in -= *st.G
	}
	return tare + in + st.Weigh.G, true
}

// Bars returns how many bars may go to the shelf: none of a batch on hold, in
// quarantine or given up.
func (s *State) Bars() int {
	if s.Cut == nil || !s.MayLabel() {
		return 0
	}
	return s.Cut.Bars - s.Cut.Aside
}

// MayLabel reports whether a label may be made.
func (s *State) MayLabel() bool {
	return s.Hold == nil && s.Stopped == nil && (s.Quarantined == nil || s.Released != nil)
}
