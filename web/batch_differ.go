package web

import (
	"net/http"

	"barwright/batch"
)

// differPage sets two batches beside each other.
type differPage struct {
	A, B making
	batch.Difference
	Changes []string // of the recipes as planned
}

// differ compares the batch of the address with another one, by id or code.
// Without another one, or with the batch itself, the record is shown, which
// asks.
func (a *App) differ(w http.ResponseWriter, r *http.Request) error {
	b, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	with := r.FormValue("with")
	if with == "" || with == b.ID || with == b.Code {
		http.Redirect(w, r, "/batches/"+b.ID, http.StatusSeeOther)
		return nil
	}
	before, err := a.openBatch(r.Context(), with)
	if err != nil {
		return err
	}
	if before.Number > b.Number { // the later one is told by the earlier
		before, b = b, before
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p := differPage{A: before, B: b, Difference: batch.Differ(before.State, b.State, lib)}
	for _, c := range p.Recipe {
		p.Changes = append(p.Changes, c.Text)
	}
	return a.show(w, r, http.StatusOK, "differ", "batches", before.Code+" and "+b.Code, p)
}

// others are the batches that one can be compared with, the newest first, those
// of the same recipe before the rest.
func (a *App) others(r *http.Request, m making) (out []named, err error) {
	all, err := a.store.Batches(r.Context())
	if err != nil {
		return nil, err
	}
	for _, same := range []bool{true, false} {
		for _, b := range all {
			if b.ID != m.ID && (b.Recipe == m.Recipe) == same {
				out = append(out, named{b.ID, b.Code + " · " + b.Start.Name + " · " + a.moment(b.MadeAt)})
			}
		}
	}
	return out[:min(len(out), mostBatches)], nil
}
