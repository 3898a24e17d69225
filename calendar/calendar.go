// Package calendar says what is due and when, backward from a day too, and
// writes it as an iCalendar that ordinary calendars read.
//
// Start with Due and Write; Backward plans from a fair to the pour. It keeps no
// clock: the caller says which day it is. Days are all-day dates, so no time
// zone is needed. How long things take is the caller's: package cure knows.
package calendar

import (
	"cmp"
	"slices"

	"barwright/quantity"
)

// Kind is what is to be done.
type Kind string

// What can be due.
const (
	TurnOut    Kind = "turn out"
	Cut        Kind = "cut"
	Weigh      Kind = "weigh"
	Ready      Kind = "ready"
	Retest     Kind = "retest"
	BestBefore Kind = "best before"
	Pour       Kind = "pour"
)

// Entry is one thing due of one batch. Its UID is made of batch and kind and
// number, so that it stays when the day moves.
type Entry struct {
	Batch string // its code
	ID    string // its id, which no other workshop's batch has; "" makes the UID of the code
	Name  string // of the soap
	Kind  Kind
	N     int // the nth weighing, from 0
	On    quantity.Date
	Until quantity.Date // last day, when the day is a range; On when it is not
	Why   string
}

// Sort puts what is due first in front, the rest in one order.
func Sort(entries []Entry) {
	slices.SortFunc(entries, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.On.String(), b.On.String()), cmp.Compare(a.Batch, b.Batch), cmp.Compare(a.Kind, b.Kind), a.N-b.N)
	})
}

// After moves a day.
func After(d quantity.Date, days int) quantity.Date {
	return quantity.DateOf(d.Time().AddDate(0, 0, days))
}

// WeighDays are the days after the cut on which marked bars are weighed: often
// while they change quickly. Common practice, no source.
var WeighDays = []int{0, 3, 7, 14, 21, 28, 42, 60, 90, 120, 180, 365}

// Steps is how long a batch takes [whole days, rounded up], each at its cautious
// end.
type Steps struct {
	PourToCut   int
	CutToReady  int
	ReadyToFair int // bands, boxes, labels
}

// Plan is the last day of each step for soap to be on the table on a day.
type Plan struct {
	Pour, Cut, Ready, Fair quantity.Date
}

// Backward returns the last day on which a batch can be poured so that it is
// ready and packed on the day of a fair, and the days between. Negative steps
// panic.
func Backward(fair quantity.Date, s Steps) Plan {
	if s.PourToCut < 0 || s.CutToReady < 0 || s.ReadyToFair < 0 {
		panic("calendar: a step that takes less than no time")
	}
	p := Plan{Fair: fair, Ready: After(fair, -s.ReadyToFair)}
	p.Cut = After(p.Ready, -s.CutToReady)
	p.Pour = After(p.Cut, -s.PourToCut)
	return p
}

// IsLate reports that the pour of a plan is past.
func (p Plan) IsLate(today quantity.Date) bool { return p.Pour.Before(today) }
