package web

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"barwright/chart"
	"barwright/formulate"
	"barwright/material"
	"barwright/recipe"
)

// formulateRoutes are the page of wishes and what goes with it.
func (a *App) formulateRoutes() map[string]page {
	return map[string]page{
		"GET /formulate":            a.startFormulate,
		"POST /formulate":           a.workFormulate,
		"POST /formulate/goal.toml": a.goalFile,
		"POST /formulate/curve.csv": a.tradeCSV,
		"POST /formulate/read":      a.readGoal,
		"POST /formulate/away":      a.awayGoal,
	}
}

// How long a search goes on while somebody types, and when the whole answer is
// asked for. What is known by then is shown.
const (
	quickSearch = 6 * time.Second
	wholeSearch = 25 * time.Second
)

// Buttons of the page.
const (
	doAll  = "all"  // everything, not only the recipes
	doKeep = "save" // as static/live.js knows it
)

// formulatePage is the page of wishes, and what came of them.
type formulatePage struct {
	Draft    draft
	Base     string // the version that it was formulated from, "" for none
	BaseName string
	BaseID   string // of its recipe
	More     bool   // the base holds what a goal does not: scents, mould, rest
	Goal     formulate.Goal
	Faults   map[string]recipe.Fault
	Waiting  []recipe.Fault // in words, when there is no answer
	Sorry    *sorry         // why it could not be kept
	Answer   *answerView
	Rows     []wishFat
	Kept     []keptGoal
	Recipes  []named
	FatNames []named
	Currency string
	Known    string // id of the kept goal it was opened from
	File     *goalUpload
	JustKept bool

	stocked formulate.Goal    // the goal with what lies on the shelf
	labels  map[string]string // of lots, by id
}

// startFormulate shows wishes to begin with: those of the address, a kept
// goal's, a recipe's, or the workshop's usual.
func (a *App) startFormulate(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p, asked := &formulatePage{}, r.URL.Query()
	switch {
	case holdsKeys(asked):
		p, err = a.askedGoal(r.Context(), asked, lib)
	case r.FormValue("goal") != "":
		p.JustKept = r.FormValue("kept") != ""
		err = a.openGoal(r.Context(), p, r.FormValue("goal"), lib)
	case r.FormValue("recipe") != "":
		err = a.startFrom(r, p, lib)
	default:
		p.Draft = usualWishes()
	}
	if err != nil {
		return err
	}
	return a.showFormulate(w, r, http.StatusOK, p, lib, false)
}

// holdsKeys reports an address that holds wishes.
func holdsKeys(form url.Values) bool {
	for name := range form {
		if strings.HasPrefix(name, keyPrefix) {
			return true
		}
	}
	return false
}

// workFormulate answers a posted page.
func (a *App) workFormulate(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p, err := a.postedGoal(r, lib)
	if err != nil {
		return err
	}
	do := r.PostFormValue("do")
	if do == doKeep {
		return a.keepGoal(w, r, p, lib)
	}
	if strings.HasPrefix(do, "fix:") || do == "undo" {
		p.Draft.do(do, lib)
	}
	return a.showFormulate(w, r, http.StatusOK, p, lib, do == doAll)
}

// postedGoal reads the page as it was posted.
func (a *App) postedGoal(r *http.Request, lib *material.Library) (*formulatePage, error) {
	return a.askedGoal(r.Context(), r.PostForm, lib)
}

func (a *App) askedGoal(ctx context.Context, form url.Values, lib *material.Library) (*formulatePage, error) {
	p := &formulatePage{Draft: readDraft(form, lib), Base: form.Get("base"), Known: form.Get("known")}
	return p, a.pickWishes(ctx, form, p, lib)
}

// showFormulate works the wishes out and shows the page.
func (a *App) showFormulate(w http.ResponseWriter, r *http.Request, status int, p *formulatePage, lib *material.Library, whole bool) error {
	if err := a.fillFormulate(r.Context(), p, lib); err != nil {
		return err
	}
	if err := a.answerWishes(r.Context(), p, lib, whole); err != nil {
		return err
	}
	if len(p.Faults) > 0 && r.Method == http.MethodPost {
		status = http.StatusUnprocessableEntity
	}
	return a.show(w, r, status, "formulate", "formulate", "Formulate", p)
}

// fillFormulate adds what the workshop has to the page.
func (a *App) fillFormulate(ctx context.Context, p *formulatePage, lib *material.Library) error {
	shop, err := a.workshop(ctx)
	if err != nil {
		return err
	}
	p.Currency = shop.Currency
	shelf, err := a.Shelf(ctx)
	if err != nil {
		return err
	}
	p.labels = map[string]string{}
	for _, l := range shelf {
		p.labels[l.ID] = l.Label()
	}
	stocked := shelf.Candidates(lib)
	p.addShelf(stocked, lib)
	var faults []recipe.Fault
	p.Goal, faults = formulate.FromFields(inPercent(p.Draft.fields))
	p.fault(lib, faults...)
	p.Goal.Currency = p.Currency
	p.stocked = p.Goal.OnShelf(stocked)
	p.Rows = p.fatRows(stocked, lib)
	p.FatNames = materialNames(lib, func(m material.Material) bool { return isNoLot(m) && m.Kind.IsFat() })
	if p.Recipes, err = a.recipeNames(ctx); err != nil {
		return err
	}
	if err := a.nameBase(ctx, p); err != nil {
		return err
	}
	p.Kept, err = a.keptGoals(ctx)
	return err
}

// answerWishes searches, unless something cannot be read. A visitor who went
// away, or typed on, stops it.
func (a *App) answerWishes(ctx context.Context, p *formulatePage, lib *material.Library, whole bool) error {
	if len(p.Faults) > 0 {
		return nil
	}
	answer, err := a.search(ctx, p.stocked, lib, whole)
	var f recipe.Fault
	switch {
	case errors.As(err, &f):
		p.fault(lib, f)
		return nil
	case err != nil:
		return err
	}
	p.Answer = viewOf(answer, p, whole)
	return nil
}

// search makes the answer to a goal. Whole ones are worked out one at a time;
// what somebody types is answered meanwhile.
func (a *App) search(ctx context.Context, goal formulate.Goal, lib *material.Library, whole bool) (*formulate.Answer, error) {
	span := quickSearch
	if whole {
		if err := a.searching.take(ctx); err != nil {
			return nil, err
		}
		defer a.searching.give()
		span = wholeSearch
	}
	limited, stop := context.WithTimeout(ctx, span)
	defer stop()
	answer, err := formulate.Make(limited, goal, lib, formulate.Options{Quick: !whole, Seed: heatSeed})
	if ctx.Err() != nil {
		return nil, ctx.Err() // she has gone: a cut answer is for nobody
	}
	return answer, err
}

// fault notes what is wrong with the goal, as the page says it.
func (p *formulatePage) fault(lib *material.Library, faults ...recipe.Fault) {
	if p.Faults == nil {
		p.Faults = map[string]recipe.Fault{}
	}
	for _, f := range faults {
		f = p.onPage(f, lib)
		if _, known := p.Faults[f.Path]; !known {
			p.Faults[f.Path] = f
			p.Waiting = append(p.Waiting, f)
		}
	}
}

// onPage says a fault of a goal without words of the goal file.
func (p *formulatePage) onPage(f recipe.Fault, lib *material.Library) recipe.Fault {
	if told, ok := unknownOnPage(f, p.Draft.fields[f.Path], lib); ok {
		return told
	}
	switch {
	case f.Path == "fats" || f.Path == "shelf":
		return recipe.Fault{Path: "fats", Text: "There is no fat to choose from.", Advice: "Put lots on the shelf under Stock, or name fats here with what a kilo costs."}
	case strings.HasSuffix(f.Text, "has no price"):
		f.Advice = "Write what a kilo of it costs."
	case strings.HasSuffix(f.Text, "neither min nor max"):
		f.Text, f.Advice = "At least, or at most, how much?", ""
	case strings.Contains(f.Text, "unknown quantity"):
		f.Text, f.Advice = "Of what?", "Choose it from the list."
	case f.Path == "objective.minimise" && strings.Contains(f.Text, "come near"):
		f.Text, f.Advice = "There is nothing to come near to yet.", "Choose what to aim at, and its value."
	case f.Path == "objective.minimise":
		f.Text, f.Advice = "It is not said from which recipe.", "Choose one under “Starting from”."
	case strings.HasPrefix(f.Path, "curve"):
		f.Text, f.Advice = "The curve needs to know from where to where.", ""
	}
	if strings.ContainsAny(f.Advice, "[=") {
		f.Advice = ""
	}
	f = byName(f, p.Draft.fields, lib)
	if label, ok := wishLabels[f.Path]; ok {
		f.Text = label + ": " + strings.TrimPrefix(f.Text, f.Path+" ")
	}
	f.Text, f.Advice = wholeSentence(f.Text), wholeSentence(f.Advice)
	return f
}

// wishLabels are what the page calls the fields above the wishes.
var wishLabels = map[string]string{
	"max_fats": "Fats at most", "step": "Shares in steps of", "alternatives": "Others to choose from", "distance": "Each different by",
	"superfat": "Superfat", "lye_strength": "Lye strength", "batch": "Fats in the batch", "bar": "A bar as poured", "robust": "Must hold in",
}

// wholeSentence is a text with a capital and a stop.
func wholeSentence(text string) string {
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".?!") {
		return upperFirst(text)
	}
	return upperFirst(text) + "."
}

// tradeCSV is the curve as a table.
func (a *App) tradeCSV(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p, err := a.postedGoal(r, lib)
	if err != nil {
		return err
	}
	if err := a.fillFormulate(r.Context(), p, lib); err != nil {
		return err
	}
	if err := a.answerWishes(r.Context(), p, lib, true); err != nil {
		return err
	}
	if p.Answer == nil || len(p.Answer.Curve) == 0 {
		return recipe.Fault{Text: "There is no curve.", Advice: "Go back and choose what to draw it against."}
	}
	attach(w, "text/csv; charset=utf-8", fileName(cmp.Or(p.Goal.Name, "formulate"))+"-curve.csv")
	_, err = w.Write([]byte(chart.TradeCSV(p.Answer.trade)))
	return err
}
