package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"barwright/batch"
	"barwright/finding"
	"barwright/store"
)

// paperPage is the run sheet on one printed page, and the form to type in what
// was filled in on it.
type paperPage struct {
	store.Batch
	Lines    []paperLine
	Cautions []finding.Finding
	Day, At  string
	Faults   map[string]string
}

// paperLine is one step on paper.
type paperLine struct {
	batch.PaperLine
	Target, Fine          string
	Clock, Grams, Degrees bool
	G, Time, FatsC, LyeC  string // as typed
	Said                  string // what is to be read or done
}

func (a *App) paperOf(r *http.Request) (*paperPage, *batch.Sheet, error) {
	b, err := a.store.Batch(r.Context(), r.PathValue("id"))
	if err != nil {
		return nil, nil, err
	}
	sh, err := a.sheetOf(b)
	if err != nil {
		return nil, nil, err
	}
	p := &paperPage{Batch: b, Faults: map[string]string{}, Day: b.MadeAt.In(a.now().Location()).Format(time.DateOnly), At: b.MadeAt.In(a.now().Location()).Format("15:04")}
	for _, f := range sh.Plan.Findings {
		if f.Severity == finding.Caution {
			p.Cautions = append(p.Cautions, f)
		}
	}
	for _, l := range sh.Paper() {
		out := paperLine{PaperLine: l, Clock: slices.Contains(l.Blanks, batch.Clock24), Grams: slices.Contains(l.Blanks, batch.GramsIn), Degrees: slices.Contains(l.Blanks, batch.Degrees), Said: l.Step.Do}
		if t := l.Step.Weigh; t != nil {
			out.Said, out.Target = t.Name, t.Scale.Show(t.G)
			low, _ := parted(t.Scale.Show(t.LowG))
			high, _ := parted(t.Scale.Show(t.HighG))
			out.Fine = low + " to " + high
		}
		p.Lines = append(p.Lines, out)
	}
	return p, sh, nil
}

func (a *App) paper(w http.ResponseWriter, r *http.Request) error {
	p, _, err := a.paperOf(r)
	if err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "paper", "batches", p.Code+", run sheet", p)
}

func (a *App) typed(w http.ResponseWriter, r *http.Request) error {
	p, _, err := a.paperOf(r)
	if err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "typed", "batches", p.Code+", typed in from paper", p)
}

// saveTyped turns what stood on paper into taps.
func (a *App) saveTyped(w http.ResponseWriter, r *http.Request) error {
	p, sh, err := a.paperOf(r)
	if err != nil {
		return err
	}
	entries, began := p.readTyped(r, a.now().Location())
	if len(p.Faults) == 0 && len(entries) == 0 {
		p.Faults["all"] = "nothing was filled in"
	}
	if len(p.Faults) > 0 {
		return a.show(w, r, http.StatusUnprocessableEntity, "typed", "batches", p.Code+", typed in from paper", p)
	}
	events, err := sh.Typed(entries, "paper-"+newID(), began)
	if err != nil {
		return badTap(err)
	}
	for i := range events {
		events[i].By = handOf(r)
	}
	if _, err := a.store.AddEvents(r.Context(), p.ID, events, a.now()); err != nil {
		return err
	}
	http.Redirect(w, r, "/batches/"+p.ID, http.StatusSeeOther)
	return nil
}

// readTyped reads the blanks; what cannot be read is told beside its blank.
func (p *paperPage) readTyped(r *http.Request, zone *time.Location) (entries []batch.Entry, began time.Time) {
	p.Day, p.At = r.PostFormValue("day"), r.PostFormValue("began")
	began, err := time.ParseInLocation("2006-01-02 15:04", p.Day+" "+p.At, zone)
	if err != nil {
		p.Faults["began"] = "the day and the time it began, like 14:05"
	}
	before := began
	for i := range p.Lines {
		l := &p.Lines[i]
		id := l.Step.ID
		num := func(blank string, into *string) *float64 {
			*into = strings.TrimSpace(r.PostFormValue(blank + "." + id))
			if *into == "" {
				return nil
			}
			v, err := strconv.ParseFloat(strings.Replace(*into, ",", ".", 1), 64)
			if err != nil {
				p.Faults[id] = fmt.Sprintf("“%s” is no number", cutTo(*into, 20))
				return nil
			}
			return &v
		}
		e := batch.Entry{Step: id, G: num("g", &l.G), FatsC: num("fats", &l.FatsC), LyeC: num("lye", &l.LyeC)}
		l.Time = strings.TrimSpace(r.PostFormValue("time." + id))
		if l.Time != "" {
			at, err := time.ParseInLocation("2006-01-02 15:04", p.Day+" "+l.Time, zone)
			if err != nil {
				p.Faults[id] = fmt.Sprintf("“%s” is no time, like 14:05", cutTo(l.Time, 20))
			}
			if at.Before(before.Add(-time.Minute)) { // past midnight
				at = at.AddDate(0, 0, 1)
			}
			e.At, before = at, at
		}
		if e.G != nil || e.FatsC != nil || e.LyeC != nil || !e.At.IsZero() || r.PostFormValue("tick."+id) != "" {
			entries = append(entries, e)
		}
	}
	return entries, began
}
