package web

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"barwright/batch"
	"barwright/chart"
	"barwright/cure"
)

// batchRackPage is one batch on the rack.
type batchRackPage struct {
	drying
	Hold          string
	Place         string
	Picture       template.HTML
	PictureNarrow template.HTML
	Ready, Range  string
	Reason        string
	Age           string
	Lost          string
	Outvoted      []outvoted
	Weights       []weightRow // the newest first
	Marked        []int
	Later         laterWords
	Turning       turningWords
	Got           []gotRow
	GotSays       string
	Learned       string
	Net           netWords
	Today         string

	Sent *rackSent // the form that failed, nil when none did
}

// outvoted is a weighing that the others outvote, and what would put it right.
type outvoted struct {
	Text, Event string
	Meant       string // the likeliest slip's weight [g], "" when none fits
}

// weightRow is one day of weighing, bar beside bar.
type weightRow struct {
	Day, When string
	Cells     []weightCell
}

type weightCell struct {
	G, Was   string
	Outvoted bool
}

// gotRow is one weighing beside what was said of it two weeks after the cut.
type gotRow struct {
	Day, Said, Got string
	Missed         bool
}

func (a *App) batchRack(w http.ResponseWriter, r *http.Request) error {
	p, err := a.rackOf(r, nil)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if p.Net.Fault != "" || p.Later.Fault != "" {
		status = http.StatusUnprocessableEntity
	}
	return a.show(w, r, status, "rackbatch", "rack", p.Code+" on the rack", p)
}

// rackOf gathers the page of a batch; with a form that failed.
func (a *App) rackOf(r *http.Request, sent *rackSent) (*batchRackPage, error) {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return nil, err
	}
	p := &batchRackPage{drying: l.dry(m), Hold: heldOf(m.State), Sent: sent, Today: a.now().Format(time.DateOnly)}
	if n := len(m.State.Rack.Places); n > 0 {
		p.Place = placeWords(m.State.Rack.Places[n-1].Racked)
	}
	p.Turning = turningOf(m.State, l.others(m.ID))
	if p.Dry != nil {
		p.fill(a.now())
		p.Later = p.later(r.FormValue("day"), a.now())
		p.Net = p.net(r.Form)
	}
	return p, nil
}

func (p *batchRackPage) fill(now time.Time) {
	d := p.drawn(now)
	p.Picture, p.PictureNarrow = template.HTML(chart.Drying(d)), template.HTML(chart.DryingNarrow(d))
	p.Ready, p.Range = p.readyWords(p.ready.Day)
	p.Reason, p.Age = p.ready.Reason, ageWords(p.day(now))
	p.Lost, _ = p.lostWords(now)
	p.weights()
	p.Learned = habitWords(p.Habit, p.State.Like())
	p.besideGot()
}

// weights lists the weighings, those that are outvoted named with what was
// expected.
func (p *batchRackPage) weights() {
	series := p.State.Series()
	wrong := map[int]bool{}
	for _, m := range p.Dry.Mistyped {
		w := series[m.Index]
		o := outvoted{Event: w.Event}
		o.Text = fmt.Sprintf("Bar %d on day %.0f reads %s\u202fg, where the others say %s. It is most likely mistyped; it stays in the list and is outvoted.", w.Bar, p.State.Days(w), bare(w.G, 1), rangeG(m.ExpectedG))
		if meant := cure.Slips(w.G, wider(m.ExpectedG)); len(meant) > 0 && w.Event != "" {
			o.Meant = bare(meant[0], 1)
		}
		p.Outvoted = append(p.Outvoted, o)
		wrong[m.Index] = true
	}
	p.Marked = p.State.Marked()
	for i, w := range series {
		day := number(p.State.Days(w), 0)
		if n := len(p.Weights); n == 0 || p.Weights[n-1].Day != day {
			p.Weights = append(p.Weights, weightRow{day, w.At.Format("2 Jan 2006"), make([]weightCell, len(p.Marked))})
		}
		c := weightCell{G: number(w.G, 1), Outvoted: wrong[i]}
		if w.WasG != nil {
			c.Was = number(*w.WasG, 1)
		}
		p.Weights[len(p.Weights)-1].Cells[slices.Index(p.Marked, w.Bar)] = c
	}
	slices.Reverse(p.Weights)
}

// wider is a range in which a slip is looked for: two per cent more each way.
func wider(r cure.Range) cure.Range {
	return cure.Range{Low: 0.98 * r.Low, Middle: r.Middle, High: 1.02 * r.High}
}

func rangeG(r cure.Range) string {
	return fmt.Sprintf("%s\u202fg (%s to %s)", number(r.Middle, 1), number(r.Low, 1), number(r.High, 1))
}

// fromDay is the day after the cut from which predictions are looked back on.
const fromDay = 14.0

func (p *batchRackPage) besideGot() {
	got, err := p.got()
	if err != nil || len(got) == 0 {
		p.GotSays = "Nothing to compare yet: that takes weighings until day 14, and later ones."
		return
	}
	missed := 0
	for _, g := range got {
		if g.Missed() {
			missed++
		}
		p.Got = append(p.Got, gotRow{number(g.Day, 0), rangeG(g.Predicted), number(g.GotG, 1) + "\u202fg", g.Missed()})
	}
	p.GotSays = fmt.Sprintf("Of %d later weighings %d lay in the range that was said on day 14. Nine in ten should.", len(got), len(got)-missed)
}

// got sets the weighings after day 14 beside what would have been said then.
func (d *drying) got() ([]cure.Got, error) {
	b := d.State.Bar()
	return cure.PredictedBesideGot(b, b.Prior().With(d.Habit), d.State.Weighings(), fromDay+0.5)
}

// drawn is the batch as it is drawn: in the weight of its mean marked bar.
func (d *drying) drawn(now time.Time) chart.Dried {
	marked := d.State.Marked()
	ready := d.ready.Day
	out := chart.Dried{Name: d.Code + ", " + d.Start.Name, Ready: ready, TodayDay: d.day(now)}
	meanG := 0.0
	first := map[int]float64{}
	for i, bar := range marked {
		first[bar] = d.Dry.MassG(i, 0).Middle
		meanG += first[bar] / float64(len(marked))
	}
	if meanG == 0 {
		meanG = 100 // nothing was weighed: then grams of a bar of 100 g
	}
	for i, w := range d.State.Series() {
		out.LastDay = max(out.LastDay, d.State.Days(w))
		point := chart.BarPoint{Day: d.State.Days(w), MassG: w.G * meanG / first[w.Bar], Bar: w.Bar, ReadG: w.G}
		for _, m := range d.Dry.Mistyped {
			point.Outvoted = point.Outvoted || m.Index == i
		}
		out.Weighed = append(out.Weighed, point)
	}
	until := min(400, max(60, 1.15*out.LastDay, 1.1*min(ready.High, 365)))
	const steps = 120
	for i := range steps + 1 {
		day := until * float64(i) / steps
		kept := d.Dry.Kept(day)
		out.Days = append(out.Days, day)
		out.Mass = append(out.Mass, cure.Range{Low: meanG * kept.Low, Middle: meanG * kept.Middle, High: meanG * kept.High})
	}
	return out
}

// rackPicture is the drying as a picture by itself.
func (a *App) rackPicture(w http.ResponseWriter, r *http.Request) error {
	d, err := a.dryOf(r)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(chart.Drying(d.drawn(a.now()))))
	return err
}

// rackFile is the drying as a table for other programs.
func (a *App) rackFile(w http.ResponseWriter, r *http.Request) error {
	d, err := a.dryOf(r)
	if err != nil {
		return err
	}
	attach(w, "text/csv; charset=utf-8", d.Code+"-drying.csv")
	_, err = w.Write([]byte(chart.DryingCSV(d.drawn(a.now()))))
	return err
}

func (a *App) dryOf(r *http.Request) (d drying, err error) {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return d, err
	}
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return d, err
	}
	if d = l.dry(m); d.Dry == nil {
		return d, &tapFault{"Nothing dries here. " + d.Fault, "Cut the batch at the bench first."}
	}
	return d, nil
}

// turningWords are when it comes out clean and is cut.
type turningWords struct {
	Out, Wire string // ranges of hours after the pour
	Learned   bool   // by the maker's own stamps too
	Came      []string
}

func turningOf(s *batch.State, l batch.RackLessons) (t turningWords) {
	out, wire := l.Hours(s.Setting())
	t.Out = hoursBetween(out.Low, out.High) + ", most likely " + hoursWords(out.Middle)
	t.Wire = hoursBetween(wire.Low, wire.High)
	for _, one := range l {
		t.Learned = t.Learned || len(one.TurnOut)+len(one.Wire) > 0
	}
	for _, c := range s.Rack.Came {
		what := "Turned out " + c.How
		if c.Of == "cut" {
			what = "Cut " + c.How
		}
		t.Came = append(t.Came, what+", "+hoursWords(c.AfterH)+" after the pour")
	}
	return t
}

// hoursWords is a span no finer than it is known: hours, days from three on.
func hoursWords(h float64) string {
	switch {
	case h < 10:
		return number(h, 1) + "\u202fh"
	case h < 96:
		return number(h, 0) + "\u202fh"
	}
	return number(h/24, 0) + " days"
}

// hoursBetween says two spans, the unit once where it is the same.
func hoursBetween(low, high float64) string {
	a, b := hoursWords(low), hoursWords(high)
	for _, unit := range []string{"\u202fh", " days"} {
		if strings.HasSuffix(a, unit) && strings.HasSuffix(b, unit) {
			a = strings.TrimSuffix(a, unit)
		}
	}
	return a + " to " + b
}
