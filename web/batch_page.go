package web

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"barwright/batch"
	"barwright/material"
	"barwright/stock"
)

// recordPage is what a batch was planned as and what was done.
type recordPage struct {
	making
	Record   batch.Record
	Rows     []recordRow
	Lots     []lotTaken
	Lines    []recordLine
	Superfat [2]string
	Hold     string
	Why      string
	Can      recordCan
	Fixable  []recordLine // taps that a correction can put right
	When     string
	Heat     batchHeat
	Curve    *heatView // in the part that is asked for: it takes a while
	Typed    curveForm
	Others   []named // to compare it with
}

// recordCan is what may be written now.
type recordCan struct{ Bench, Release, Hold bool }

// recordRow is one figure, planned and had.
type recordRow struct{ What, Planned, Had, By string }

// lotTaken is what came from one lot.
type lotTaken struct{ ID, Label, What, G string }

// lotsTaken are the lots a batch was made of, as people call them.
func lotsTaken(taken []batch.Taken, shelf stock.Shelf, lib *material.Library) (out []lotTaken) {
	labels := map[string]string{}
	for _, l := range shelf {
		labels[l.ID] = l.Label()
	}
	for _, t := range taken {
		out = append(out, lotTaken{t.Lot, cmp.Or(labels[t.Lot], t.Lot), nameOf(t.Material, lib), scaleNumber(t.G) + "\u202fg"})
	}
	return out
}

// recordLine is one line of the story.
type recordLine struct{ At, By, Text, Event, Kind string }

func (a *App) record(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	return a.showRecord(w, r, http.StatusOK, m, curveForm{})
}

func (a *App) showRecord(w http.ResponseWriter, r *http.Request, status int, m making, typed curveForm) error {
	p := recordPage{making: m, Typed: typed, Record: m.State.Record(), When: a.moment(m.MadeAt), Hold: holdOf(m.State)}
	p.Why = p.Record.Why
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	shelf, err := a.shelf(r.Context())
	if err != nil {
		return err
	}
	p.fill(a.now().Location())
	p.Lots = lotsTaken(p.Record.Lots, shelf, lib)
	if p.Others, err = a.others(r, m); err != nil {
		return err
	}
	if p.Heat, err = a.heatOf(r.Context(), m); err != nil {
		return err
	}
	if r.FormValue("part") == "curve" && p.HasCurve() {
		if p.Curve, err = a.curveOf(r, m, p.Heat); err != nil {
			return err
		}
	}
	return a.show(w, r, status, "batch", "batches", "Batch "+m.Code, &p)
}

func (p *recordPage) fill(zone *time.Location) {
	s, rec := p.State, p.Record
	p.Rows = recordRows(rec)
	for i, f := range rec.Superfat {
		p.Superfat[i] = fmt.Sprintf("%s\u202f%% (%s to %s)", number(f.Typical, 1), number(f.Low, 1), number(f.High, 1))
	}
	kinds := map[string]string{}
	for _, e := range s.Events {
		kinds[e.ID] = e.Do.Kind()
	}
	for _, l := range rec.Lines {
		line := recordLine{l.At.In(zone).Format("2 Jan 15:04:05"), l.By, l.Text, l.Event, kinds[l.Event]}
		p.Lines = append(p.Lines, line)
		switch line.Kind {
		case "weighed", "gross", "reading":
			p.Fixable = append(p.Fixable, line)
		}
	}
	poured := !s.Marks["pour"].At.IsZero() || s.Cut != nil
	p.Can = recordCan{Bench: s.Current() != nil && s.Stopped == nil, Release: poured && (s.Hold != nil || s.Quarantined != nil && s.Released == nil), Hold: s.Hold == nil && s.Stopped == nil}
}

// recordRows are weights, temperatures and times beside each other.
func recordRows(rec batch.Record) (out []recordRow) {
	for _, some := range [][]batch.Beside{rec.Weights, rec.Temps, rec.Times} {
		for _, b := range some {
			row := recordRow{What: upperFirst(b.What), By: b.By, Planned: figure(b.Planned, b.Unit), Had: figure(b.Had, b.Unit)}
			if b.PlannedTo != nil && b.Planned != nil {
				row.Planned = number(*b.Planned, 0) + " to " + figure(b.PlannedTo, b.Unit)
			}
			out = append(out, row)
		}
	}
	return out
}

func figure(v *float64, unit string) string {
	switch {
	case v == nil:
		return ""
	case unit == "min":
		return number(*v, 1) + "\u202fmin"
	}
	return scaleNumber(*v) + "\u202f" + unit
}

// writeRecord takes a note, a correction, a hold or a release. They are taps
// like those of the bench, and nothing of them can be undone here.
func (a *App) writeRecord(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	switch kind := r.PostFormValue("kind"); kind {
	case "noted", "corrected", "held", "released", "cut", "rested":
	default:
		return &tapFault{"That is stamped at the bench.", "Open the batch there."}
	}
	before := len(m.State.Uncounted)
	if err := a.stampForm(r, m.Batch, r.PostForm); err != nil {
		return err
	}
	after, err := a.openBatch(r.Context(), m.ID)
	if err != nil {
		return err
	}
	if left := after.State.Uncounted; len(left) > before {
		return &tapFault{"It is kept, and does not count: " + left[len(left)-1].Why + ".", "Go back: the record shows what stands."}
	}
	http.Redirect(w, r, "/batches/"+m.ID, http.StatusSeeOther)
	return nil
}

// recordFile is the plan beside what was had, as a table for other programs.
func (a *App) recordFile(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	rec := m.State.Record()
	attach(w, "text/csv; charset=utf-8", m.Code+"-record.csv")
	c := csv.NewWriter(w)
	c.Write([]string{"what", "unit", "planned", "planned_to", "had", "by"})
	exact := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', -1, 64)
	}
	for _, some := range [][]batch.Beside{rec.Weights, rec.Temps, rec.Times} {
		for _, b := range some {
			c.Write([]string{b.What, b.Unit, exact(b.Planned), exact(b.PlannedTo), exact(b.Had), b.By})
		}
	}
	c.Write([]string{"superfat", "%", exact(&rec.Superfat[0].Typical), "", exact(&rec.Superfat[1].Typical), ""})
	for _, l := range rec.Lines {
		c.Write([]string{l.At.UTC().Format(time.RFC3339), "story", "", "", l.Text, l.By})
	}
	c.Flush()
	return c.Error()
}
