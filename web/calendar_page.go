package web

import (
	"context"
	"html/template"
	"net/http"
	"slices"
	"time"

	"barwright/batch"
	"barwright/calendar"
	"barwright/chart"
	"barwright/quantity"
)

// calendarRoutes are what is due, and how other calendars get it.
func (a *App) calendarRoutes() map[string]page {
	return map[string]page{
		"GET /calendar":               a.calendar,
		"GET /calendar.ics":           a.calendarFile,
		"POST /calendar/feeds":        a.newFeed,
		"POST /calendar/feeds/remove": a.removeFeed,
		feedPattern:                   a.feed,
	}
}

// calendarPage is what is due over all batches, day by day.
type calendarPage struct {
	Today  quantity.Date
	Late   []dueLine
	Days   []dueDay // the next weeks
	Beyond []dueDay // after them
	Back   backForm
	Feeds  feedsPart
	Any    bool

	soon []calendar.Entry
}

// dueDay is one day and what is due on it.
type dueDay struct {
	Name  string
	Lines []dueLine
}

// dueLine is one thing that is due.
type dueLine struct {
	Kind, Name, Code, ID string
	Until                string // "" for a single day
	Since                string // of what is late
	Why                  string
}

// Spans of the page: the strip, and how long something undone is told of [d].
const (
	stripWeeks = 9
	lateFor    = 30
)

// Strip is the picture. The chart package escapes what people wrote.
func (p calendarPage) Strip() template.HTML {
	return template.HTML(chart.Strip(p.soon, p.Today, stripWeeks))
}

func (a *App) calendar(w http.ResponseWriter, r *http.Request) error {
	p := calendarPage{Today: quantity.DateOf(a.now())}
	all, err := a.due(r.Context())
	if err != nil {
		return err
	}
	p.fill(all)
	if p.Back, err = a.backward(r, p.Today); err != nil {
		return err
	}
	if p.Feeds, err = a.feedsPart(r); err != nil {
		return err
	}
	status := http.StatusOK
	if p.Back.Fault != "" {
		status = http.StatusUnprocessableEntity
	}
	return a.show(w, r, status, "calendar", "calendar", "Calendar", &p)
}

// fill parts what is due into days.
func (p *calendarPage) fill(all []calendar.Entry) {
	end := calendar.After(p.Today, 7*stripWeeks)
	for _, e := range all {
		l := dueLine{Kind: upperFirst(string(e.Kind)), Name: e.Name, Code: e.Batch, ID: e.ID, Why: e.Why}
		day := e.On
		switch {
		case e.Until.Before(p.Today):
			if isLate(e, p.Today) {
				l.Since = dayWords(e.Until)
				p.Late = append(p.Late, l)
			}
			continue
		case e.On.Before(p.Today):
			day = p.Today
		}
		if e.Until != e.On && e.Until != day {
			l.Until = dayWords(e.Until)
		}
		into := &p.Days
		if p.soon = append(p.soon, e); !day.Before(end) {
			into = &p.Beyond
		}
		name := dayName(day, p.Today)
		if n := len(*into); n == 0 || (*into)[n-1].Name != name {
			*into = append(*into, dueDay{Name: name})
		}
		last := &(*into)[len(*into)-1]
		last.Lines = append(last.Lines, l)
	}
	p.Any = len(p.Days)+len(p.Beyond)+len(p.Late) > 0
}

// isLate reports what is still to be done although its day is over. Nobody
// weighs yesterday's bars, and a ready bar waits for nobody.
func isLate(e calendar.Entry, today quantity.Date) bool {
	switch e.Kind {
	case calendar.TurnOut, calendar.Cut, calendar.Retest:
		if e.Kind == calendar.Retest && e.N == batch.HoldTest {
			return true
		}
		return e.Until.DaysUntil(today) <= lateFor
	}
	return false
}

// dayName says a day as people do.
func dayName(d, today quantity.Date) string {
	switch today.DaysUntil(d) {
	case 0:
		return "Today, " + d.Time().Format("Monday 2 January")
	case 1:
		return "Tomorrow, " + d.Time().Format("Monday 2 January")
	}
	if d.Time().Year() != today.Time().Year() {
		return d.Time().Format("Monday 2 January 2006")
	}
	return d.Time().Format("Monday 2 January")
}

// dueFor is how long after its start something of a batch can be due.
const dueFor = 500 * 24 * time.Hour

// due is what is due of every batch of the last sixteen months.
func (a *App) due(ctx context.Context) (out []calendar.Entry, err error) {
	l, err := a.rackLearning(ctx)
	if err != nil {
		return nil, err
	}
	young := slices.DeleteFunc(slices.Clone(l.all), func(m making) bool { return a.now().Sub(m.MadeAt) > dueFor })
	for _, one := range sideBySide(young, func(m making) []calendar.Entry { return l.due(m, a.now().Location()) }) {
		out = append(out, one...)
	}
	calendar.Sort(out)
	return out, nil
}

// due is what is due of one batch, by its own weighings and by what the others
// taught.
func (l learning) due(m making, zone *time.Location) []calendar.Entry {
	var f batch.Forecast
	if d := l.dry(m); d.Dry != nil && !m.State.Sheet.Plan.Paste {
		f.Ready = d.ready
	} else {
		var bar bool
		if f, bar = batch.Expect(m.State.Sheet.Plan, l.known(m.State.Sheet.Recipe.Mould, m.ID)); !bar {
			return nil
		}
	}
	f.TurnOutH, f.TooLateH = l.others(m.ID).Hours(m.State.Setting())
	var weighed []time.Time
	for _, w := range m.State.Series() {
		weighed = append(weighed, w.At)
	}
	return m.State.Due(m.Code, m.ID, f, weighed, zone)
}
