package batch

import (
	"fmt"
	"math"
	"time"

	"barwright/calendar"
	"barwright/cure"
	"barwright/mould"
	"barwright/plan"
	"barwright/quantity"
)

// Forecast is what is believed of a batch's days in the mould and on the rack.
// Start with Expect, which knows the plan alone; weighings narrow it.
type Forecast struct {
	TurnOutH, TooLateH cure.Range // hours after the pour: it comes out clean, it crumbles
	Ready              cure.Ready // days after the cut
}

// usualSetting is a batch of which only the plan is known. Package cure's hours
// are of batches with 35 % of soft fats.
var usualSetting = cure.Setting{SoftPct: 35}

// Known is what a workshop knows of a batch before it is made.
type Known struct {
	Rules cure.Rules   // by which it will count as dry
	Habit cure.Habit   // what like batches taught
	Mould *mould.Mould // nil for any
	Bars  int          // usually cut from it, 0 when nobody knows
}

// Expect returns the forecast of a plan's batch by practice and by the drying
// of its bar, before it is made; false for soap that makes no bar.
func Expect(p *plan.Plan, k Known) (Forecast, bool) {
	fresh := p.Bar.Fresh
	bar := cure.Bar{WaterFraction: fresh.Water / 100, DrySoapFraction: min(fresh.Soap+fresh.Glycerol+fresh.FreeFat, 100-fresh.Water) / 100}
	if p.Paste || bar.Check() != nil {
		return Forecast{}, false
	}
	bar.SidesMM = sidesOf(k.Mould, p.Batter.VolumeML, k.Bars)
	if bar.Check() != nil {
		bar.SidesMM = nil // a mould that cuts no bars
	}
	d, err := cure.Fit(bar, bar.Prior().With(k.Habit), nil)
	if err != nil {
		return Forecast{}, false
	}
	return Forecast{TurnOutH: cure.TurningHours(usualSetting.TurnOut(), nil), TooLateH: cure.TurningHours(usualSetting.TooLate(), nil), Ready: d.Ready(k.Rules)}, true
}

// Steps are the days from the pour to soap that can be packed, each at its
// cautious end; packing takes so many days.
func (f Forecast) Steps(packDays int) calendar.Steps {
	return calendar.Steps{PourToCut: int(math.Ceil(f.TurnOutH.High / 24)), CutToReady: int(math.Ceil(f.Ready.Day.High)), ReadyToFair: packDays}
}

// Weeks after the cut at which testers get the bars again, and months after it
// until which a bar is at its best. Common practice, no source.
var judgeWeeks = []int{4, 8}

const bestMonths = 12

// Due returns what is due of the batch, in the zone of the workshop: nothing of
// one that was given up or not poured, no ready day and no best before of one
// on hold. Days of what is not stamped yet follow from what is. weighed is when
// marked bars were weighed after the cut.
func (s *State) Due(code, id string, f Forecast, weighed []time.Time, zone *time.Location) []calendar.Entry {
	d := duer{s: s, f: f, zone: zone, entry: calendar.Entry{Batch: code, ID: id, Name: s.Sheet.Start.Name}}
	poured, ok := s.Marks["pour"]
	if s.Stopped != nil || !ok && s.Cut == nil {
		return nil
	}
	d.poured = poured.At
	d.cut = cutRange{d.after(f.TurnOutH.Low), d.after(f.TurnOutH.High)}
	if s.Cut != nil {
		d.cut = cutRange{s.Cut.At, s.Cut.At}
	} else {
		d.mould()
	}
	d.tests()
	if s.Cut != nil {
		d.weighings(weighed)
		d.judgings()
	}
	if s.MayLabel() {
		d.ready()
	}
	calendar.Sort(d.out)
	return d.out
}

// duer gathers what is due of one batch.
type duer struct {
	s      *State
	f      Forecast
	zone   *time.Location
	entry  calendar.Entry // what all have in common
	poured time.Time
	cut    cutRange
	out    []calendar.Entry
}

// cutRange is when it was cut, or can be at the earliest and at the latest.
type cutRange struct{ first, last time.Time }

func (d *duer) after(hours float64) time.Time {
	return d.poured.Add(time.Duration(hours * float64(time.Hour)))
}

func (d *duer) add(kind calendar.Kind, n int, from, until time.Time, why string) {
	e := d.entry
	e.Kind, e.N, e.Why = kind, n, why
	e.On, e.Until = quantity.DateOf(from.In(d.zone)), quantity.DateOf(until.In(d.zone))
	if e.Until.Before(e.On) {
		e.Until = e.On
	}
	d.out = append(d.out, e)
}

// mould is what is due before the cut.
func (d *duer) mould() {
	from := d.after(d.f.TurnOutH.Low)
	if out, ok := d.s.Marks["turn_out"]; ok {
		from = out.At
	} else {
		d.add(calendar.TurnOut, 0, from, d.after(d.f.TurnOutH.High), fmt.Sprintf("Comes out clean %s to %s hours after the pour, by practice and your own batches", number(d.f.TurnOutH.Low, 0), number(d.f.TurnOutH.High, 0)))
	}
	d.add(calendar.Cut, 0, from, d.after(d.f.TooLateH.Low), fmt.Sprintf("Cuts without crumbling until about %s hours after the pour, by practice and your own batches", number(d.f.TooLateH.Low, 0)))
}

// HoldTest is the number of the retest that a hold waits for.
const HoldTest = 3

// tests is the first test, of soap old enough for one; on hold it is the
// laboratory's.
func (d *duer) tests() {
	if !d.s.MayLabel() {
		since := d.s.Quarantined
		if d.s.Hold != nil {
			since = d.s.Hold
		}
		d.add(calendar.Retest, HoldTest, since.At, since.At, "No label until a laboratory releases it: drop test with gloves on, no tongue")
		return
	}
	for _, t := range d.s.Tests {
		if t.Test != "ph" && !(t.Hours < corrosiveFor.Hours()) {
			return
		}
	}
	from := d.after(corrosiveFor.Hours())
	if d.poured.IsZero() {
		from = d.s.Cut.At.Add(corrosiveFor)
	}
	d.add(calendar.Retest, 0, from, from, "Two days old: mass balance, then the drop test")
}

// weighings are the days on which marked bars are weighed that have not come.
func (d *duer) weighings(weighed []time.Time) {
	last := time.Time{}
	for _, at := range weighed {
		if at.After(last) {
			last = at
		}
	}
	for n, day := range calendar.WeighDays {
		at := d.cut.first.AddDate(0, 0, day)
		if n == 0 && (len(d.s.Cut.Each) > 0 || d.s.Cut.Mean != nil) || !dayOf(last, d.zone).Before(dayOf(at, d.zone)) {
			continue
		}
		d.add(calendar.Weigh, n, at, at, fmt.Sprintf("The marked bars, %d days after the cut", day))
	}
}

func dayOf(at time.Time, zone *time.Location) quantity.Date { return quantity.DateOf(at.In(zone)) }

// judgings are the weeks in which testers get the bars, where they may.
func (d *duer) judgings() {
	if !d.s.MayLabel() {
		return
	}
	for i, weeks := range judgeWeeks {
		at := d.cut.first.AddDate(0, 0, 7*weeks)
		done := false
		for _, c := range d.s.Cards {
			done = done || !dayOf(c.At, d.zone).Before(dayOf(at, d.zone))
		}
		if !done {
			d.add(calendar.Retest, i+1, at, at, fmt.Sprintf("Score cards at %d weeks, and the drop test again", weeks))
		}
	}
}

func (d *duer) ready() {
	days := func(at time.Time, days float64) time.Time {
		return at.Add(time.Duration(days * 24 * float64(time.Hour)))
	}
	r := d.f.Ready
	d.add(calendar.Ready, 0, days(d.cut.first, r.Day.Low), days(d.cut.last, r.Day.High), "Nine in ten such batches are dry between these days: "+r.Reason)
	best := d.cut.first.AddDate(0, bestMonths, 0)
	d.add(calendar.BestBefore, 0, best, best, "Twelve months after the cut; common practice, no source")
}

// InCalendars returns entries as calendar programs had better show them: a
// range of weeks as the one day at its cautious end.
func InCalendars(entries []calendar.Entry) []calendar.Entry {
	out := make([]calendar.Entry, len(entries))
	for i, e := range entries {
		if e.Kind == calendar.Ready && e.On != e.Until {
			e.Why = fmt.Sprintf("From %s on it may be; by this day it nearly surely is. %s", e.On, e.Why)
			e.On = e.Until
		}
		out[i] = e
	}
	return out
}
