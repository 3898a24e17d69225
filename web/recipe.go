package web

import (
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"barwright/finding"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/mould"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// planPage is the planning page: a recipe being written, and its plan.
type planPage struct {
	Recipe    store.Recipe  // zero for a new recipe
	Version   store.Version // what the draft was made from
	IsNew     bool
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
	Conflict  bool // somebody saved a newer version meanwhile
	Saved     bool
	Undo      string // edits that take the last fix back, as JSON
	Strip     []chainPart
	Currency  string
}

// named is a material people can choose.
type named struct{ ID, Name string }

// fatRow is one line of the weigh list.
type fatRow struct {
	I      int
	Name   string
	Share  string // as typed; or the amount
	ByMass bool
	Locked bool
	Fault  string
	Line   *plan.FatLine // nil while there is no plan
	Shelf  *stock.Taken
	Weigh  string
}

// additionRow is one addition.
type additionRow struct {
	I                             int
	Name                          string
	Amount, When, Strength, Limit string
	LotLimit                      string // of the lot it names, when the line gives none
	IsScent, InSolution           bool
	Fault                         string
	Line                          *plan.AdditionLine
	Shelf                         *stock.Taken
	Weigh                         string
}

// takes is what the batch takes from the shelf in money.
type takes struct {
	Cost   float64
	Priced bool
	Bars   int
	PerBar float64
	Short  int
}

// chainPart is one part of the chain-group strip.
type chainPart struct {
	Class, Name string
	Percent     float64
	X, Width    float64
}

func (a *App) newRecipe(w http.ResponseWriter, r *http.Request) error {
	d := draft{fields: map[string]string{"name": "", "superfat": "5 %", "lye_strength": "33 %", "size.fats": "500 g", "alkali.0.material": "naoh", "alkali.0.purity": "",
		"combine.fats_temperature": "40 °C", "combine.lye_temperature": "38 °C", "scale.fats": "1 g", "scale.alkali": "1 g"}, locks: map[int]bool{}}
	p := planPage{IsNew: true, Draft: d}
	return a.showPlan(w, r, http.StatusOK, &p)
}

func (a *App) recipe(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	rec, err := a.read(r, p.Version)
	if err != nil {
		return err
	}
	p.Draft = draftOf(rec)
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

// read parses a saved version. It was checked when it was saved, but a
// material of it may have been put away since: then it opens with the fault
// beside its line.
func (a *App) read(r *http.Request, v store.Version) (recipe.Recipe, error) {
	var rec recipe.Recipe
	_, err := tomldoc.Decode(fmt.Sprintf("version %d", v.Number), []byte(v.Body), &rec)
	return rec, err
}

func (a *App) workNewRecipe(w http.ResponseWriter, r *http.Request) error {
	return a.work(w, r, &planPage{IsNew: true})
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
	if err := a.pick(r, &p.Draft, r.PostForm); err != nil {
		return err
	}
	switch do := r.PostFormValue("do"); do {
	case "save", "branch":
		saved, err := a.save(w, r, p, lib, do == "branch")
		if saved || err != nil {
			return err
		}
		return a.showPlan(w, r, http.StatusUnprocessableEntity, p)
	default:
		if !p.Draft.do(do) {
			turnDraft(&p.Draft, do, lib)
		}
		return a.showPlan(w, r, http.StatusOK, p)
	}
}

// turnDraft writes the draft another way, when it is a recipe that can be
// planned.
func turnDraft(d *draft, do string, lib *material.Library) {
	rec, faults := d.recipe(lib)
	if len(faults) > 0 {
		return
	}
	if made, err := plan.Make(rec, lib); err == nil {
		d.turn(do, made)
	}
}

// pick fills the draft from a mould, place or scale of the workshop.
func (a *App) pick(r *http.Request, d *draft, form url.Values) error {
	clearKeys := func(prefix string) {
		for key := range d.fields {
			if strings.HasPrefix(key, prefix) {
				delete(d.fields, key)
			}
		}
	}
	if id := form.Get("pick.mould"); id == "none" {
		clearKeys("mould.")
	} else if id != "" {
		moulds, err := thingsOf[stock.Mould](r.Context(), a.store, kindMould)
		if err != nil {
			return err
		}
		for _, m := range moulds {
			if m.ID == id {
				clearKeys("mould.")
				for key, text := range (recipe.Recipe{Mould: trueMould(m)}).Fields() {
					if strings.HasPrefix(key, "mould.") {
						d.fields[key] = text
					}
				}
			}
		}
	}
	if id := form.Get("pick.place"); id != "" {
		places, err := thingsOf[stock.Place](r.Context(), a.store, kindPlace)
		if err != nil {
			return err
		}
		for _, pl := range places {
			if pl.ID == id {
				stage := recipe.Rest{Place: pl.Place, Temperature: pl.Temperature, RH: pl.RH, Fan: pl.Fan}
				clearKeys("rest.0.place")
				for key, text := range (recipe.Recipe{Rest: []recipe.Rest{stage}}).Fields() {
					if strings.HasPrefix(key, "rest.") {
						d.fields[key] = text
					}
				}
			}
		}
	}
	for _, which := range []string{"fats", "alkali"} {
		if id := form.Get("pick.scale." + which); id != "" {
			scales, err := thingsOf[stock.Scale](r.Context(), a.store, kindScale)
			if err != nil {
				return err
			}
			for _, s := range scales {
				if s.ID == id {
					d.fields["scale."+which] = s.Step.String()
				}
			}
		}
	}
	return nil
}

// trueMould is the mould as recipes plan with it: holding what its water fill
// says.
func trueMould(m stock.Mould) *mould.Mould {
	out := m.True()
	return &out
}

// save makes a version of the draft. False without an error means that the
// page must be shown again with what is wrong.
func (a *App) save(w http.ResponseWriter, r *http.Request, p *planPage, lib *material.Library, branch bool) (bool, error) {
	rec, faults := p.Draft.recipe(lib)
	if len(faults) > 0 {
		return false, nil
	}
	if p.IsNew && strings.TrimSpace(p.Reason) == "" {
		p.Reason = "first version"
	}
	v := store.Version{ID: newID(), Recipe: p.Recipe.ID, Parent: p.Version.ID, Reason: strings.TrimSpace(p.Reason), Body: string(rec.Print()), MadeAt: a.now()}
	searchWords := recipeWords(rec, lib)
	if p.IsNew {
		v.Recipe = newID()
		if err := a.store.NewRecipe(r.Context(), store.Recipe{ID: v.Recipe, Name: rec.Name}, v, searchWords); err != nil {
			return false, err
		}
	} else {
		_, err := a.store.SaveVersion(r.Context(), v, rec.Name, searchWords, branch)
		if errors.Is(err, store.ErrChanged) {
			p.Conflict = true
			return false, nil
		}
		if err != nil {
			return false, err
		}
	}
	http.Redirect(w, r, "/recipes/"+v.Recipe+"?saved=1", http.StatusSeeOther)
	return true, nil
}

// recipeWords is what a recipe can be searched by: the names of what goes in.
func recipeWords(r recipe.Recipe, lib *material.Library) string {
	var words []string
	add := func(id string) {
		if m, err := lib.Find(id); err == nil {
			words = append(words, m.Name)
		}
	}
	for _, f := range r.Fats {
		add(f.Material)
	}
	for _, x := range r.Additions {
		add(x.Material)
	}
	return strings.Join(words, " ")
}

func newID() string { return strings.ToLower(rand.Text()[:16]) }

// showPlan works the draft out and shows the page.
func (a *App) showPlan(w http.ResponseWriter, r *http.Request, status int, p *planPage) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	if err := a.workshopFor(r, p); err != nil {
		return err
	}
	rec, faults := p.Draft.recipe(lib)
	p.Faults, p.Name = faults, p.Draft.fields["name"]
	if len(faults) == 0 {
		p.Plan, err = plan.Make(rec, lib)
		var f recipe.Fault
		if errors.As(err, &f) {
			p.Faults = map[string]recipe.Fault{f.Path: f}
		} else if err != nil {
			return err
		}
	}
	for _, f := range p.Faults {
		p.Waiting = append(p.Waiting, f)
	}
	sortFaults(p.Waiting)
	if err := a.fillRows(r, p, lib); err != nil {
		return err
	}
	title := p.Name
	if title == "" {
		title = "A new recipe"
	}
	return a.show(w, r, status, "plan", "recipes", title, p)
}

func (a *App) workshopFor(r *http.Request, p *planPage) (err error) {
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	p.Currency = shop.Currency
	if p.Moulds, err = thingsOf[stock.Mould](r.Context(), a.store, kindMould); err != nil {
		return err
	}
	if p.Places, err = thingsOf[stock.Place](r.Context(), a.store, kindPlace); err != nil {
		return err
	}
	p.Scales, err = thingsOf[stock.Scale](r.Context(), a.store, kindScale)
	return err
}

// fillRows fills in what the page shows of the draft and of its plan.
func (a *App) fillRows(r *http.Request, p *planPage, lib *material.Library) error {
	p.FatNames, p.AddNames = choices(lib)
	p.Alkalis, p.Assays = alkalis(lib), map[string]string{}
	for _, n := range p.Alkalis {
		if m, err := lib.Find(n.ID); err == nil && m.Purity != nil {
			p.Assays[n.ID] = m.Purity.String()
		}
	}
	d := p.Draft
	for _, by := range []string{"fats", "batter", "mould", "bars"} {
		if text, ok := d.fields["size."+by]; ok {
			p.SizeBy, p.SizeValue = by, text
			if by == "mould" {
				p.SizeValue = ""
			}
		}
	}
	shelf, err := a.shelf(r.Context())
	if err != nil {
		return err
	}
	taken := p.takeFrom(shelf)
	for i := range d.count("fats") + 1 {
		p.Fats = append(p.Fats, p.fatRow(i, lib, taken))
	}
	for i := range d.count("additions") + 1 {
		p.Additions = append(p.Additions, p.additionRow(i, lib, taken))
	}
	if p.Plan != nil {
		p.Strip = chainStrip(p.Plan)
	}
	if len(d.undo) > 0 {
		b, err := json.Marshal(d.undo)
		if err != nil {
			return err
		}
		p.Undo = string(b)
	}
	return nil
}

// takeFrom returns what the plan would take from the shelf: fats, then
// additions, then the alkali; nil without a plan.
func (p *planPage) takeFrom(shelf stock.Shelf) []stock.Taken {
	if p.Plan == nil {
		return nil
	}
	var needs []stock.Need
	for _, f := range p.Plan.Fats {
		needs = append(needs, stock.Need{Material: f.Material, MassG: f.WeighG})
	}
	for _, x := range p.Plan.Additions {
		needs = append(needs, stock.Need{Material: x.Material, MassG: x.WeighG})
	}
	for _, x := range p.Plan.Alkali {
		needs = append(needs, stock.Need{Material: x.Material, MassG: x.WeighG})
	}
	taken := shelf.Take(needs)
	p.Takes.Priced = len(shelf) > 0
	for _, t := range taken {
		p.Takes.Cost += t.Cost
		p.Takes.Priced = p.Takes.Priced && t.Priced
		if t.ShortG > 0.05 {
			p.Takes.Short++
		}
	}
	p.Takes.Bars = p.bars()
	if p.Takes.Bars > 0 {
		p.Takes.PerBar = p.Takes.Cost / float64(p.Takes.Bars)
	}
	return taken
}

// bars is how many bars the batch gives: as wished, or as the mould is
// usually cut.
func (p *planPage) bars() int {
	if n, _, ok := strings.Cut(p.Draft.fields["size.bars"], "x"); ok {
		count, _ := strconv.Atoi(strings.TrimSpace(n))
		return count
	}
	for _, m := range p.Moulds {
		if m.Bars > 0 && m.Name == p.Draft.fields["mould.name"] {
			return m.Bars
		}
	}
	return 0
}

func (p *planPage) fatRow(i int, lib *material.Library, taken []stock.Taken) fatRow {
	key := func(k string) string { return fmt.Sprintf("fats.%d.%s", i, k) }
	row := fatRow{I: i, Name: nameOf(p.Draft.fields[key("material")], lib), Share: strings.TrimSuffix(p.Draft.fields[key("share")], " %"), Locked: p.Draft.locks[i]}
	if amount := p.Draft.fields[key("amount")]; amount != "" {
		row.ByMass, row.Share = true, amount
	}
	row.Fault = p.faultAt(key("material"), key("share"), key("amount"), fmt.Sprintf("fats.%d", i))
	if p.Plan != nil && i < len(p.Plan.Fats) {
		row.Line, row.Shelf = &p.Plan.Fats[i], &taken[i]
		row.Weigh = p.Plan.Scale.Fats.Show(row.Line.WeighG)
	}
	return row
}

func (p *planPage) additionRow(i int, lib *material.Library, taken []stock.Taken) additionRow {
	get := func(k string) string { return p.Draft.fields[fmt.Sprintf("additions.%d.%s", i, k)] }
	row := additionRow{I: i, Name: nameOf(get("material"), lib), Amount: get("amount"), When: get("when"), Strength: get("strength"), Limit: get("limit")}
	if m, err := lib.Find(get("material")); err == nil {
		row.IsScent, row.InSolution = m.Kind == material.Scent, m.InSolution
		if m.Limit != nil {
			row.LotLimit = m.Limit.String()
		}
	}
	for path, f := range p.Faults {
		if strings.HasPrefix(path+".", fmt.Sprintf("additions.%d.", i)) {
			row.Fault = f.Text
		}
	}
	if p.Plan != nil && i < len(p.Plan.Additions) {
		row.Line, row.Shelf = &p.Plan.Additions[i], &taken[len(p.Plan.Fats)+i]
		row.Weigh = p.Plan.Scale.Fats.Show(row.Line.WeighG)
	}
	return row
}

// FaultAt returns what is wrong at the first of the paths that has a fault.
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

// FixPayload is what a fix's button sends.
func (p *planPage) FixPayload(f finding.Finding) (string, error) {
	b, err := json.Marshal(map[string]any{"text": f.Fix, "edits": f.Edits})
	return "fix:" + string(b), err
}

func nameOf(id string, lib *material.Library) string {
	if m, err := lib.Find(id); err == nil {
		return m.Name
	}
	return id
}
