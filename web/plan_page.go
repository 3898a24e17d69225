package web

import (
	"cmp"
	"encoding/json"
	"errors"
	"net/http"
	"slices"

	"barwright/finding"
	"barwright/material"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// planPage is the planning page: a recipe being written, and its plan.
type planPage struct {
	Recipe    store.Recipe  // zero for a new recipe
	Version   store.Version // what the draft was made from
	IsNew     bool
	Key       string // of a new recipe, from when its page was opened
	Name      string
	Reason    string
	Draft     draft
	Faults    map[string]recipe.Fault
	Waiting   []recipe.Fault // in words, when there is no plan
	Plan      *plan.Plan
	Fats      []fatRow
	Additions []additionRow
	SizeBy    string
	SizeValue string
	Moulds    []stock.Mould
	Places    []stock.Place
	Scales    []stock.Scale
	FatNames  []named
	AddNames  []named
	Alkalis   []named           // and the lots of them
	Assays    map[string]string // of lots, by id
	Takes     takes
	Conflict  bool   // somebody saved a newer version meanwhile
	Saved     bool   // just now
	Refused   bool   // it was to be saved and could not be
	Sorry     *sorry // because the program or the computer could not
	Unchanged bool   // because it is the version it was made from
	Undo      string // edits that take the last fix back, as JSON
	Strip     []chainPart
	Currency  string
	Overhead  float64   // cost of a bar with its overhead, 0 when that is not known
	Heat      *heatView // when it was asked for
	Learned   windowLearned

	overhead  *quantity.Price
	wantsHeat string // "heat", or "heat-advice" with what would change it
}

func (a *App) workshopFor(r *http.Request, p *planPage) (err error) {
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	p.Currency, p.overhead = shop.Currency, shop.Overhead
	if p.Moulds, err = thingsOf[stock.Mould](r.Context(), a.store, kindMould); err != nil {
		return err
	}
	if p.Places, err = thingsOf[stock.Place](r.Context(), a.store, kindPlace); err != nil {
		return err
	}
	p.Scales, err = thingsOf[stock.Scale](r.Context(), a.store, kindScale)
	return err
}

// showPlan works the draft out and shows the page.
func (a *App) showPlan(w http.ResponseWriter, r *http.Request, status int, p *planPage) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	if err := a.workshopFor(r, p); err != nil {
		return err
	}
	if err := p.makePlan(lib); err != nil {
		return err
	}
	if err := a.fillRows(r, p, lib); err != nil {
		return err
	}
	if p.Plan != nil {
		if p.Learned, err = a.learnedWindow(r.Context(), p.Plan); err != nil {
			return err
		}
	}
	if p.wantsHeat != "" && p.Plan != nil {
		if p.Heat, err = a.forecast(r, p.Plan, plan.ForecastOptions{Advice: p.wantsHeat == "heat-advice"}); err != nil {
			return err
		}
	}
	title := p.Name
	if title == "" {
		title = "A new recipe"
	}
	return a.show(w, r, status, "plan", "recipes", title, p)
}

// makePlan plans the draft, or notes what it waits for.
func (p *planPage) makePlan(lib *material.Library) error {
	rec, faults := p.Draft.recipe(lib)
	p.Faults, p.Name = faults, p.Draft.fields["name"]
	if len(faults) == 0 {
		onScales(&rec, p.Scales)
		made, err := plan.Make(rec, lib)
		var f recipe.Fault
		switch {
		case err == nil:
			p.Plan = made
		case errors.As(err, &f):
			p.Faults = map[string]recipe.Fault{f.Path: f}
		default:
			return err
		}
	}
	for path, f := range p.Faults {
		told, ok := unknownOnPage(f, p.Draft.fields[path], lib)
		if !ok {
			told = onPage(byName(f, p.Draft.fields, lib))
		}
		p.Faults[path] = told
		p.Waiting = append(p.Waiting, p.Faults[path])
	}
	slices.SortFunc(p.Waiting, func(a, b recipe.Fault) int { return cmp.Compare(a.Path, b.Path) })
	return nil
}

// input is one field of the form, bound to a key of the recipe.
type input struct{ Key, Label, Value, Placeholder, Fault, Class string }

// Num is the field of a number; Wide is one with room for more.
func (p *planPage) Num(key, label, placeholder string) input {
	return input{key, label, p.Field(key), placeholder, p.faultAt(key), "num"}
}

func (p *planPage) Wide(key, label, placeholder string) input {
	in := p.Num(key, label, placeholder)
	in.Class = "num wide"
	return in
}

// faultAt returns what is wrong at the first of the paths that has a fault.
func (p *planPage) faultAt(paths ...string) string {
	for _, path := range paths {
		if f, ok := p.Faults[path]; ok {
			return f.Text
		}
	}
	return ""
}

// Field returns the text of a key, for templates.
func (p *planPage) Field(key string) string { return p.Draft.fields[key] }

// Fault returns what is wrong at a key, for templates.
func (p *planPage) Fault(key string) string { return p.faultAt(key) }

// toldFinding is a finding with what its fix's button sends.
type toldFinding struct {
	finding.Finding
	Payload string
}

// Told is a finding as the rail shows it.
func (p *planPage) Told(f finding.Finding) toldFinding { return toldFinding{f, fixOf(f.Fix, f.Edits)} }

// fixOf is what the button of a fix sends: what it does in words, and the edits.
func fixOf(text string, edits []finding.Edit) string {
	b, err := json.Marshal(map[string]any{"text": text, "edits": edits})
	if err != nil {
		panic("web: text that is no JSON: " + err.Error())
	}
	return "fix:" + string(b)
}
