package web

import (
	"fmt"
	"net/http"
	"time"

	"barwright/batch"
	"barwright/store"
)

// batchLine is a batch of a list.
type batchLine struct {
	store.Batch
	When string
	Now  string // where it is
	Hold string // "", "on hold", "quarantined", "released" or "given up"
	Open bool   // somebody is still at it
}

// listPage is the batches of the workshop, or those at the bench.
type listPage struct {
	Lines []batchLine
	More  int // that are not shown
}

// mostBatches is how many batches a list shows.
const mostBatches = 100

// openFor is how long an untouched batch stays at the bench.
const openFor = 14 * 24 * time.Hour

// lines tells of every batch where it is, the newest first.
func (a *App) lines(r *http.Request, only func(store.Batch) bool) (out []batchLine, more int, err error) {
	all, err := a.store.Batches(r.Context())
	if err != nil {
		return nil, 0, err
	}
	for _, b := range all {
		if !only(b) {
			continue
		}
		if len(out) == mostBatches {
			more++
			continue
		}
		l, err := a.lineOf(r, b)
		if err != nil {
			return nil, 0, err
		}
		out = append(out, l)
	}
	return out, more, nil
}

// lineOf tells of one batch; it is worked out once for so many taps of it.
func (a *App) lineOf(r *http.Request, b store.Batch) (batchLine, error) {
	key := fmt.Sprintf("%s %d", b.ID, b.Events)
	a.sheets.mu.Lock()
	l, known := a.sheets.lines[key]
	a.sheets.mu.Unlock()
	if !known {
		m, err := a.replay(r.Context(), b)
		if err != nil {
			return l, err
		}
		l = lineNow(m)
		a.sheets.mu.Lock()
		if len(a.sheets.lines) > 10*mostSheets {
			clear(a.sheets.lines)
		}
		a.sheets.lines[key] = l
		a.sheets.mu.Unlock()
	}
	l.Batch, l.When = b, a.moment(b.MadeAt)
	return l, nil
}

func lineNow(m making) batchLine {
	s := m.State
	l := batchLine{Hold: holdOf(s)}
	switch st := s.Current(); {
	case s.Stopped != nil:
		l.Now = "given up"
	case s.Cut != nil:
		l.Now = fmt.Sprintf("cut into %d bars", s.Cut.Bars)
	case st == nil:
		l.Now = "done"
	default:
		n, of := s.Place(st.ID)
		l.Now, l.Open = fmt.Sprintf("step %d of %d: %s", n, of, lowerFirst(st.Do)), true
	}
	return l
}

// holdOf is how a batch stands, in a word.
func holdOf(s *batch.State) string {
	switch {
	case s.Stopped != nil:
		return "given up"
	case s.Hold != nil:
		return "on hold"
	case s.Released != nil:
		return "released"
	case s.Quarantined != nil:
		return "quarantined"
	}
	return ""
}

// heldOf is why no label may be printed of a batch, "" when one may.
func heldOf(s *batch.State) string {
	if s.MayLabel() {
		return ""
	}
	return holdOf(s)
}

func (a *App) batches(w http.ResponseWriter, r *http.Request) error {
	lines, more, err := a.lines(r, func(store.Batch) bool { return true })
	if err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "batches", "batches", "Batches", listPage{lines, more})
}

// benchList is what is being made now.
func (a *App) benchList(w http.ResponseWriter, r *http.Request) error {
	lines, _, err := a.lines(r, func(b store.Batch) bool { return a.now().Sub(b.MadeAt) < openFor })
	if err != nil {
		return err
	}
	p := listPage{}
	for _, l := range lines {
		if l.Open {
			p.Lines = append(p.Lines, l)
		}
	}
	return a.show(w, r, http.StatusOK, "benches", "bench", "Bench", p)
}
