package web

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"barwright/batch"
	"barwright/cure"
	"barwright/quantity"
)

// weighPage is a weighing day: every bar that is due on one screen.
type weighPage struct {
	Rows   []weighRow
	Batch  string // of one batch alone, "" of all that are due
	All    bool   // also of batches that are not due
	More   int    // batches that are not due and not shown
	By     string
	Sorry  *sorry
	Asks   int
	Filled int // that a paste filled in
	Unread []string
	Paste  string
}

// weighRow is one bar to be weighed.
type weighRow struct {
	Batch, Code, Name string
	Bar               int
	First             bool   // of its batch
	Said              string // what is expected [g], "" when nothing says
	Range             string
	Low, High         string // between which nobody is asked
	Done              string // what it weighed today [g]
	Value             string
	ID                string // of the tap
	Fault             string
	Ask               *slipAsk // a question about what was typed
	Sure              bool     // it was answered

	said  cure.Range
	known bool
}

// Key names the row's fields.
func (r weighRow) Key() string { return fmt.Sprintf("%s.%d", r.Batch, r.Bar) }

// dueWithin is how many days ahead a weighing may be done.
const dueWithin = 7

func (a *App) weighingDay(w http.ResponseWriter, r *http.Request) error {
	p, err := a.weighPage(r)
	if err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "weigh", "rack", "Weighing day", p)
}

// weighPage lists the bars that are due; those of one batch, or of all.
func (a *App) weighPage(r *http.Request) (*weighPage, error) {
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return nil, err
	}
	p := &weighPage{Batch: r.FormValue("batch"), All: r.FormValue("all") != "", By: handOf(r)}
	racked := a.onRack(l)
	slices.SortStableFunc(racked, func(x, y drying) int { return cmp.Compare(x.dueIn(a.now()), y.dueIn(a.now())) })
	for _, d := range racked {
		rows := d.rows(a.now())
		switch {
		case p.Batch != "" && p.Batch != d.ID && p.Batch != d.Code:
		case p.Batch == "" && !p.All && d.dueIn(a.now()) > dueWithin && !anyDone(rows):
			p.More++
		default:
			p.Rows = append(p.Rows, rows...)
		}
	}
	return p, nil
}

func anyDone(rows []weighRow) bool {
	return slices.ContainsFunc(rows, func(r weighRow) bool { return r.Done != "" })
}

// dueIn is in how many days the next weighing is due, below 0 when it is late.
func (d *drying) dueIn(now time.Time) float64 {
	day, ok := d.dueDay()
	if !ok {
		return 1e6
	}
	return quantity.DateOf(d.on(day)).Time().Sub(quantity.DateOf(now).Time()).Hours() / 24
}

// usualBars are how many bars are marked where none is yet.
const usualBars = 3

// rows are the marked bars of a batch; without any, the first three.
func (d *drying) rows(now time.Time) (out []weighRow) {
	marked := d.State.Marked()
	for i := 0; i < min(usualBars, d.State.Cut.Bars) && len(d.State.Cut.Each)+len(d.State.Rack.Weighings) == 0; i++ {
		if !slices.Contains(marked, i+1) {
			marked = append(marked, i+1)
		}
	}
	known := len(d.State.Marked())
	for i, bar := range marked {
		row := weighRow{Batch: d.ID, Code: d.Code, Name: d.Start.Name, Bar: bar, First: i == 0, ID: newID()}
		if row.said, row.known = d.plausible(bar, d.day(now)); row.known {
			row.Said, row.Low, row.High = number(row.said.Middle, 1), bare(row.said.Low, 2), bare(row.said.High, 2)
		}
		if i < known && row.known {
			said := d.Dry.MassG(i, d.day(now))
			row.Range = number(said.Low, 1) + " to " + number(said.High, 1) + "\u202fg"
		}
		for _, w := range d.State.Rack.Weighings {
			if w.Bar == bar && sameDay(now, w.At) {
				row.Done = number(w.G, 1)
			}
		}
		out = append(out, row)
	}
	return out
}

// weigh takes a weighing day that came as a form, or fills it in from a paste or
// a file of a scale. It is written down whole or not at all.
func (a *App) weigh(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseMultipartForm(maxForm); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return err
	}
	p, err := a.weighPage(r)
	if err != nil {
		return err
	}
	p.typed(r.PostForm)
	if r.PostFormValue("do") == "fill" {
		if err := p.paste(r); err != nil {
			return err
		}
		p.check()
		return a.show(w, r, http.StatusOK, "weigh", "rack", "Weighing day", p)
	}
	filled := p.check()
	switch {
	case p.Sorry == nil && filled == 0:
		p.Sorry = &sorry{Text: "No weight was typed.", Advice: "Weigh a bar and type what the scale shows."}
		fallthrough
	case p.Sorry != nil:
		return a.show(w, r, http.StatusUnprocessableEntity, "weigh", "rack", "Weighing day", p)
	}
	if err := a.writeWeights(r, p); err != nil {
		return err
	}
	to := "/rack"
	if p.Batch != "" {
		to = "/batches/" + url.PathEscape(p.Batch) + "/rack"
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// typed puts what the form says into its rows.
func (p *weighPage) typed(form url.Values) {
	for i := range p.Rows {
		row := &p.Rows[i]
		row.Value = strings.TrimSpace(form.Get("w." + row.Key()))
		row.Sure = row.Value != "" && form.Get("so."+row.Key()) == row.Value // of this weight, no other
		if id := form.Get("id." + row.Key()); id != "" {
			row.ID = id
		}
	}
}

// check reads what was typed and asks about what looks like a slip. It returns
// how many weights there are.
func (p *weighPage) check() (filled int) {
	faults := 0
	for i := range p.Rows {
		row := &p.Rows[i]
		if row.Value == "" {
			continue
		}
		filled++
		g, err := numberTyped(row.Value)
		switch {
		case err != nil || !isBarG(g):
			row.Fault = "That is no weight of a bar in grams."
			faults++
		case !row.Sure && row.known:
			if row.Ask = askAbout(g, row.said); row.Ask != nil {
				row.Ask.Name, row.Ask.Value = "so."+row.Key(), row.Value
				p.Asks++
			}
		}
	}
	if faults+p.Asks > 0 {
		p.Sorry = &sorry{Text: "Nothing is written down yet: " + asksWords(faults, p.Asks) + "."}
	}
	return filled
}

func asksWords(faults, asks int) string {
	var out []string
	for _, one := range []struct {
		n         int
		one, many string
	}{{faults, "one field holds no weight", "%d fields hold no weight"}, {asks, "one weight looks like a slip", "%d weights look like slips"}} {
		switch {
		case one.n == 1:
			out = append(out, one.one)
		case one.n > 1:
			out = append(out, fmt.Sprintf(one.many, one.n))
		}
	}
	return strings.Join(out, ", ")
}

// writeWeights keeps what was typed, all of it or nothing.
func (a *App) writeWeights(r *http.Request, p *weighPage) error {
	var taps []formTap
	for _, row := range p.Rows {
		if row.Value == "" {
			continue
		}
		g, err := numberTyped(row.Value)
		if err != nil {
			return err
		}
		taps = append(taps, formTap{row.Batch, row.ID, handOf(r), batch.BarWeighed{}.Kind(), batch.BarWeighed{Bar: row.Bar, G: g}})
	}
	return a.stampAll(r, taps)
}

// mostPaste is the longest paste or file that is read [bytes].
const mostPaste = 1 << 18

// paste fills the rows in from pasted text or a file.
func (p *weighPage) paste(r *http.Request) error {
	p.Paste = r.PostFormValue("paste")
	text := p.Paste
	f, _, err := r.FormFile("file")
	switch {
	case err == nil:
		defer f.Close()
		data, err := io.ReadAll(io.LimitReader(f, mostPaste+1))
		if err != nil {
			return err
		}
		text += "\n" + string(data)
	case !errors.Is(err, http.ErrMissingFile) && !errors.Is(err, http.ErrNotMultipart):
		return err
	}
	if len(text) > mostPaste {
		return &tapFault{"That is more than a weighing day.", "A file of a scale has a line a bar."}
	}
	lines, unread := readScale(text)
	p.Unread = unread
	next := 0
	for _, l := range lines {
		if l.Code == "" {
			for next < len(p.Rows) && p.Rows[next].Value != "" {
				next++
			}
			if next == len(p.Rows) {
				p.Unread = append(p.Unread, fmt.Sprintf("%s\u202fg: more weights than bars", bare(l.G, 2)))
				continue
			}
			p.Rows[next].Value = bare(l.G, 2)
			p.Filled++
			continue
		}
		i := slices.IndexFunc(p.Rows, func(r weighRow) bool { return r.Code == l.Code && r.Bar == l.Bar })
		if i < 0 {
			p.Unread = append(p.Unread, fmt.Sprintf("%s bar %d: not on this page", l.Code, l.Bar))
			continue
		}
		p.Rows[i].Value = bare(l.G, 2)
		p.Filled++
	}
	return nil
}
