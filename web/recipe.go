package web

import (
	"cmp"
	"fmt"
	"maps"
	"net/http"
	"slices"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

func (a *App) newRecipe(w http.ResponseWriter, r *http.Request) error {
	d := draft{fields: map[string]string{"name": "", "superfat": "5 %", "lye_strength": "33 %", "size.fats": "500 g", "alkali.0.material": "naoh", "alkali.0.purity": "",
		"combine.fats_temperature": "40 °C", "combine.lye_temperature": "38 °C", "scale.fats": "1 g", "scale.alkali": "1 g"}, locks: map[int]bool{}}
	scales, err := thingsOf[stock.Scale](r.Context(), a.store, kindScale)
	if err != nil {
		return err
	}
	if len(scales) > 0 { // fats on the coarsest, alkali on the finest
		slices.SortFunc(scales, func(a, b stock.Scale) int { return cmp.Compare(a.Step.G(), b.Step.G()) })
		d.weighOn("alkali", scales[0])
		d.weighOn("fats", scales[len(scales)-1])
	}
	if d, err = a.draftFrom(r, d); err != nil {
		return err
	}
	p := planPage{IsNew: true, Key: newID(), Draft: d}
	return a.showPlan(w, r, http.StatusOK, &p)
}

// draftFrom is the draft that an address asks for: what a version says, where
// it names one, and over it the keys that it holds.
func (a *App) draftFrom(r *http.Request, d draft) (draft, error) {
	if id := r.FormValue("of"); id != "" {
		v, err := a.store.Version(r.Context(), id)
		if err != nil {
			return d, err
		}
		rec, err := readVersion(v)
		if err != nil {
			return d, err
		}
		d = draftOf(rec)
	}
	d.overlay(r.URL.Query())
	return d, nil
}

func (a *App) recipe(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	rec, err := readVersion(p.Version)
	if err != nil {
		return err
	}
	p.Draft = draftOf(rec)
	p.Draft.overlay(r.URL.Query())
	p.Saved = r.URL.Query().Get("saved") != ""
	return a.showPlan(w, r, http.StatusOK, p)
}

// openRecipe finds the recipe of the address, at its newest version or the
// one asked for.
func (a *App) openRecipe(r *http.Request) (*planPage, error) {
	rec, err := a.store.Recipe(r.Context(), r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	id := rec.Head
	if v := r.FormValue("version"); v != "" {
		id = v
	}
	v, err := a.store.Version(r.Context(), id)
	if err != nil {
		return nil, err
	}
	if v.Recipe != rec.ID {
		return nil, store.ErrMissing
	}
	return &planPage{Recipe: rec, Version: v}, nil
}

// readVersion parses a saved version. It was checked when it was saved, but a
// material of it may have been put away since: then it opens with the fault
// beside its line.
func readVersion(v store.Version) (recipe.Recipe, error) {
	var rec recipe.Recipe
	_, err := tomldoc.Decode(fmt.Sprintf("version %d", v.Number), []byte(v.Body), &rec)
	return rec, err
}

func (a *App) workNewRecipe(w http.ResponseWriter, r *http.Request) error {
	return a.work(w, r, &planPage{IsNew: true, Key: keyOf(r)})
}

func (a *App) workRecipe(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	return a.work(w, r, p)
}

// work answers a posted planning page: it carries out the button and shows the
// page anew, or saves.
func (a *App) work(w http.ResponseWriter, r *http.Request, p *planPage) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p.Draft = readDraft(r.PostForm, lib)
	p.Reason = r.PostFormValue("reason")
	before := p.Draft.snapshot()
	if err := a.pick(r.Context(), &p.Draft, r.PostForm); err != nil {
		return err
	}
	if !maps.Equal(before, p.Draft.snapshot()) {
		p.Draft.remember(before, "filled in from the workshop")
	}
	switch do := r.PostFormValue("do"); do {
	case "save", "branch":
		to, err := a.save(r, p, lib, do == "branch")
		if to != "" {
			return saved(w, r, to)
		}
		return a.refuse(w, r, p, err)
	case "heat", "heat-advice":
		p.wantsHeat = do
		return a.showPlan(w, r, http.StatusOK, p)
	default:
		if !p.Draft.do(do, lib) {
			turnDraft(&p.Draft, do, lib)
		}
		return a.showPlan(w, r, http.StatusOK, p)
	}
}

// turnDraft writes the draft another way, when it is a recipe that can be
// planned.
func turnDraft(d *draft, do string, lib *material.Library) {
	rec, faults := d.recipe(lib)
	if len(faults) == 0 {
		if made, err := plan.Make(rec, lib); err == nil {
			d.turn(do, made)
			return
		}
	}
	switch do { // these need no plan
	case "resize":
		d.setSize(d.sizeTo, "")
	case "lye-found":
		delete(d.fields, "superfat")
		delete(d.fields, "lye_strength")
		d.fields["water"], d.fields["alkali.0.amount"] = "", ""
	case "lye-planned":
		d.lyePlanned()
	}
}
