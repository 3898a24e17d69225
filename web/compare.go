package web

import (
	"net/http"
	"slices"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
)

// comparePage is what differs between two versions, and what comes of it.
type comparePage struct {
	A, B       planned
	Same       bool // two versions of one recipe
	Changes    []recipe.Change
	Causes     int // of the changes, that could each explain a difference
	Differs    []consequence
	Stays      []consequence
	Came, Went []finding.Finding
}

// Title names the two.
func (p comparePage) Title() string {
	return p.A.Title() + " → " + p.B.Title()
}

// compare shows two versions, of one recipe or of two, by their ids; without
// ids, the newest of the recipe of the address and what it was made from.
func (a *App) compare(w http.ResponseWriter, r *http.Request) error {
	ida, idb, err := a.compared(r)
	if err != nil {
		return err
	}
	var p comparePage
	if p.A, err = a.planVersion(r.Context(), ida); err != nil {
		return err
	}
	if p.B, err = a.planVersion(r.Context(), idb); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p.Same = p.A.Recipe.ID == p.B.Recipe.ID
	p.Changes = recipe.Diff(p.A.made, p.B.made, lib)
	p.Causes = recipe.Causes(p.Changes)
	if p.A.Plan != nil && p.B.Plan != nil {
		if err := a.consequences(r, &p); err != nil {
			return err
		}
	}
	return a.show(w, r, http.StatusOK, "compare", "recipes", p.Title(), p)
}

// compared returns the ids of the versions that the address asks for.
func (a *App) compared(r *http.Request) (ida, idb string, err error) {
	ida, idb = r.FormValue("a"), r.FormValue("b")
	id := r.PathValue("id")
	if id == "" || ida != "" && idb != "" {
		return ida, idb, nil
	}
	rec, err := a.store.Recipe(r.Context(), id)
	if err != nil {
		return "", "", err
	}
	if idb == "" {
		idb = rec.Head
	}
	if ida == "" {
		v, err := a.store.Version(r.Context(), idb)
		if err != nil {
			return "", "", err
		}
		ida = v.Parent
	}
	if ida == "" {
		ida = idb // the first version was made from nothing
	}
	return ida, idb, nil
}

// consequences puts the answers of the two plans side by side, with what each
// batch takes from the shelf in money.
func (a *App) consequences(r *http.Request, p *comparePage) error {
	shelf, err := a.shelfNow(r.Context())
	if err != nil {
		return err
	}
	moulds, err := thingsOf[stock.Mould](r.Context(), a.store, kindMould)
	if err != nil {
		return err
	}
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	of := func(p planned) answers {
		page := planPage{Plan: p.Plan, Draft: draftOf(p.made), Moulds: moulds}
		page.takeFrom(shelf.Lots)
		return answers{p.Plan, page.Takes, shop.Currency}
	}
	for _, c := range consequences(of(p.A), of(p.B)) {
		if c.A == c.B {
			p.Stays = append(p.Stays, c)
		} else {
			p.Differs = append(p.Differs, c)
		}
	}
	p.Came, p.Went = newFindings(p.A.Plan, p.B.Plan), newFindings(p.B.Plan, p.A.Plan)
	return nil
}

// answers is a plan with what it takes from the shelf.
type answers struct {
	*plan.Plan
	takes
	currency string
}

// newFindings returns the stops, cautions and notes of b that a does not have.
func newFindings(a, b *plan.Plan) []finding.Finding {
	var out []finding.Finding
	for _, f := range b.Findings {
		same := func(g finding.Finding) bool { return g.ID == f.ID && g.Severity == f.Severity }
		if f.Severity != finding.OK && !slices.ContainsFunc(a.Findings, same) {
			out = append(out, f)
		}
	}
	return out
}
