package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"time"

	"barwright/batch"
	"barwright/calendar"
	"barwright/cure"
	"barwright/mould"
	"barwright/quantity"
	"barwright/stock"
	"barwright/store"
)

// rackRoutes are the bars on the rack: how they dry, what they weigh, what may
// be printed on them.
func (a *App) rackRoutes() map[string]page {
	return map[string]page{
		"GET /rack":                       a.rack,
		"GET /rack/weigh":                 a.weighingDay,
		"POST /rack/weigh":                a.weigh,
		"GET /rack/learned":               a.rackLearned,
		"POST /rack/learned":              a.putRackLessons,
		"GET /batches/{id}/rack":          a.batchRack,
		"POST /batches/{id}/rack":         a.stampRack,
		"GET /batches/{id}/rack/weights":  a.rackFile,
		"GET /batches/{id}/rack/picture":  a.rackPicture,
		"POST /batches/{id}/rack/lessons": a.putRackLesson,
	}
}

// onRackFor is how long after the cut a batch is looked for on the rack.
const onRackFor = 400 * 24 * time.Hour

// drying is a batch with what is believed of its bars.
type drying struct {
	making
	Habit cure.Habit // what the others taught
	Rules cure.Rules // by which it counts as dry: its own, or the workshop's
	Dry   *cure.Drying
	ready cure.Ready
	Fault string // why nothing can be said
}

// learning is every batch of the workshop, the oldest first, with what it
// teaches.
type learning struct {
	all     []making
	lessons batch.RackLessons
	rules   cure.Rules // of the workshop
	fits    *fits
}

func (a *App) rackLearning(ctx context.Context) (l learning, err error) {
	all, err := a.store.Batches(ctx)
	if err != nil {
		return l, err
	}
	l.fits = &a.fits
	shop, err := a.workshop(ctx)
	if err != nil {
		return l, err
	}
	l.rules = rulesOf(shop.Dry)
	for _, b := range slices.Backward(all) {
		if _, bad := a.sheetOf(b); bad != nil {
			continue // it cannot be told any more
		}
		m, err := a.replay(ctx, b)
		if err != nil {
			return l, err
		}
		l.all = append(l.all, m)
	}
	l.lessons = sideBySide(l.all, a.fits.lesson)
	return l, nil
}

// rulesOf are the workshop's rules, the usual ones where it chose none.
func rulesOf(d stock.DryBy) cure.Rules {
	if d == (stock.DryBy{}) {
		return cure.UsualRules
	}
	out := cure.Rules{LeastWeeks: float64(d.Weeks)}
	if d.Weekly != nil {
		out.WeeklyPct = d.Weekly.Percent
	}
	if d.Gone != nil {
		out.GonePct = d.Gone.Percent
	}
	return out
}

// known is what the workshop knows of a batch in a mould, nil for any, before it
// is made; the lessons of one batch, by its id, are left out.
func (l learning) known(m *mould.Mould, except string) batch.Known {
	like := batch.LikeOf(m)
	k := batch.Known{Rules: l.rules, Habit: l.others(except).Habit(like), Mould: m}
	for _, made := range l.all { // the newest says how many bars are cut now
		if made.State.Cut != nil && made.State.Like() == like {
			k.Bars = made.State.Cut.Bars
		}
	}
	return k
}

// mouldOf is what a recipe was last poured into, by its id; else its own mould.
func (l learning) mouldOf(recipe string, own *mould.Mould) *mould.Mould {
	for _, made := range slices.Backward(l.all) {
		if made.Recipe == recipe && made.State.Cut != nil {
			return made.State.Sheet.Recipe.Mould
		}
	}
	return own
}

// others are the lessons of all batches but one: nothing teaches itself.
func (l learning) others(id string) (out batch.RackLessons) {
	for i, m := range l.all {
		if m.ID != id {
			out = append(out, l.lessons[i])
		}
	}
	return out
}

// dry fits a batch's weighings, beginning from what the others taught.
func (l learning) dry(m making) drying {
	d := drying{making: m, Habit: l.others(m.ID).Habit(m.State.Like()), Rules: m.State.Rack.RulesOr(l.rules)}
	if m.State.Cut == nil {
		d.Fault = "It is not cut yet."
		return d
	}
	fit, err := l.fits.dry(m, d.Habit)
	if err != nil {
		d.Fault = upperFirst(err.Error()) + "."
		return d
	}
	d.Dry, d.ready = fit, l.fits.ready(m, d.Habit, fit, d.Rules)
	return d
}

// onRack are the batches that were cut and not given up, the newest first.
func (a *App) onRack(l learning) []drying {
	var cut []making
	for _, m := range slices.Backward(l.all) {
		if m.State.Cut != nil && m.State.Stopped == nil && a.now().Sub(m.State.Cut.At) < onRackFor {
			cut = append(cut, m)
		}
	}
	return sideBySide(cut, l.dry)
}

// day is how long after the cut an instant is.
func (d *drying) day(at time.Time) float64 { return at.Sub(d.State.Cut.At).Hours() / 24 }

// on is the day so many days after the cut.
func (d *drying) on(day float64) time.Time {
	return d.State.Cut.At.Add(time.Duration(day * 24 * float64(time.Hour)))
}

// rackLine is a batch of the rack.
type rackLine struct {
	store.Batch
	Age, Place, Bars string
	Lost, Last       string
	Ready, Range     string
	Reason           string
	Due              string
	Overdue          bool
	Hold, Fault      string
	Outvoted         int
}

// rackPage is the rack: what still dries, and what is dry.
type rackPage struct{ Drying, Dry []rackLine }

func (a *App) rack(w http.ResponseWriter, r *http.Request) error {
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return err
	}
	var p rackPage
	for _, d := range a.onRack(l) {
		line := d.line(a.now())
		if d.Dry != nil && d.ready.Day.Middle <= d.day(a.now()) {
			p.Dry = append(p.Dry, line)
		} else {
			p.Drying = append(p.Drying, line)
		}
	}
	return a.show(w, r, http.StatusOK, "rack", "rack", "Rack", p)
}

func (d *drying) line(now time.Time) rackLine {
	l := rackLine{Batch: d.Batch, Hold: heldOf(d.State), Fault: d.Fault, Age: ageWords(d.day(now)), Place: "no place noted", Bars: fmt.Sprintf("%d bars", d.State.Cut.Bars)}
	if n := len(d.State.Rack.Places); n > 0 {
		l.Place = placeWords(d.State.Rack.Places[n-1].Racked)
	}
	if d.Dry == nil {
		return l
	}
	l.Lost, l.Last = d.lostWords(now)
	l.Ready, l.Range = d.readyWords(d.ready.Day)
	l.Reason = d.ready.Reason
	l.Due, l.Overdue = d.dueWords(now)
	l.Outvoted = len(d.Dry.Mistyped)
	return l
}

func placeWords(p batch.Racked) string {
	text := p.Place
	if p.C != nil {
		text += ", " + number(*p.C, 0) + "\u202f°C"
	}
	if p.RHPct != nil {
		text += ", " + number(*p.RHPct, 0) + "\u202f% humidity"
	}
	return text
}

func ageWords(days float64) string {
	switch n := int(days); {
	case n < 1:
		return "today"
	case n == 1:
		return "1 day"
	default:
		return fmt.Sprintf("%d days", n)
	}
}

// readyWords are the likely day on which it is dry, and the days between which
// it lies.
func (d *drying) readyWords(day cure.Range) (likely, between string) {
	return d.on(day.Middle).Format("2 January 2006"), d.on(day.Low).Format("2 Jan") + " to " + d.on(day.High).Format("2 Jan 2006")
}

// lostWords are what the bars have lost by now, and between the last two
// weighings.
func (d *drying) lostWords(now time.Time) (all, last string) {
	kept := d.Dry.Kept(d.day(now))
	all = number(100*(1-kept.Middle), 1) + "\u202f%"
	days := d.weighedOn()
	if len(days) < 2 {
		return all, "no two weighings yet"
	}
	from, to := days[len(days)-2], days[len(days)-1]
	loss := 100 * (1 - d.Dry.Kept(to).Middle/d.Dry.Kept(from).Middle)
	return all, fmt.Sprintf("%s\u202f%% between day %.0f and day %.0f", number(loss, 2), from, to)
}

// weighedOn are the days on which bars were weighed.
func (d *drying) weighedOn() (days []float64) {
	for _, w := range d.State.Series() {
		if on := d.State.Days(w); len(days) == 0 || on-days[len(days)-1] > 0.5 {
			days = append(days, on)
		}
	}
	return days
}

// dueWords say what comes next: a weighing of the usual days that was not done
// yet, and whether it is late.
func (d *drying) dueWords(now time.Time) (due string, late bool) {
	day, ok := d.dueDay()
	if !ok {
		return "nothing more", false
	}
	on := d.on(day)
	switch away := quantity.DateOf(on).Time().Sub(quantity.DateOf(now).Time()).Hours() / 24; {
	case away < 0:
		return "weigh it, due since " + on.Format("2\u00a0Jan"), true
	case away == 0:
		return "weigh it today", true
	case on.Year() != now.Year():
		return "weigh it on " + on.Format("2\u00a0Jan\u00a02006"), false
	default:
		return "weigh it on " + on.Format("2\u00a0Jan"), false
	}
}

// dueDay is the next usual day after the last weighing.
func (d *drying) dueDay() (day float64, ok bool) {
	last := -1.0
	if days := d.weighedOn(); len(days) > 0 {
		last = days[len(days)-1]
	}
	for _, usual := range calendar.WeighDays {
		if float64(usual) > last+0.5 {
			return float64(usual), true
		}
	}
	return 0, false
}
