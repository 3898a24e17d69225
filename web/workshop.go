package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/material"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/source"
	"barwright/stock"
	"barwright/store"
)

// workshopRoutes are stock, moulds, places, scales, materials and the workshop
// itself.
func (a *App) workshopRoutes() map[string]page {
	return map[string]page{
		"GET /stock":               a.stockPage,
		"GET /workshop":            a.workshopPage,
		"GET /things/{kind}/{id}":  a.thing,
		"POST /things/{kind}/{id}": a.saveThing,
		"GET /materials":           a.materials,
		"GET /materials/{id}":      a.material,
	}
}

// thingKind is a kind of thing people can add and edit.
type thingKind struct {
	kind, one, back string // the store's word, people's word, the page to go back to
	fields          []thingField
	// read makes the thing of its fields and says what is wrong, by key.
	read func(fields map[string]string, lib *material.Library) (thing any, faults map[string]string)
	show func(body string) (map[string]string, error)
}

// thingField is one line of a form.
type thingField struct {
	Key, Label, Hint string
	Options          []string // a list to choose from
	Tick             bool     // a box to tick
	Wide             bool
	List             string // id of a datalist
}

var thingKinds = map[string]thingKind{
	kindLot: {kindLot, "lot", "/stock", []thingField{
		{Key: "of", Label: "What it is", Hint: "Beef tallow", Wide: true, List: "all"}, {Key: "name", Label: "Name or code of the lot", Hint: "TLW-7"},
		{Key: "on_hand", Label: "On hand", Hint: "2.5 kg"}, {Key: "price", Label: "Price", Hint: "4.20 / kg"},
		{Key: "received", Label: "Received", Hint: "2026-09-01"}, {Key: "packed", Label: "Packed", Hint: "2026-08-01"}, {Key: "best_before", Label: "Best before", Hint: "2027-06-30"},
		{Key: "from", Label: "Where from", Wide: true}, {Key: "own", Label: "Of our own making", Tick: true},
		{Key: "held", Label: "Held, because", Hint: "empty when it may be used", Wide: true},
		{Key: "sap.typical", Label: "Certificate: saponification value, mg KOH/g", Hint: "197.6"}, {Key: "sap.low", Label: "… at least", Hint: "196.6"}, {Key: "sap.high", Label: "… at most", Hint: "198.6"},
		{Key: "purity", Label: "Assay of an alkali", Hint: "98.5 %"}, {Key: "water.typical", Label: "Water of a honey, %", Hint: "17.8"},
		{Key: "limit", Label: "Limit of a scent, from its own document", Hint: "0.7 % of bar"}, {Key: "hurries", Label: "Thickens the batter", Tick: true}, {Key: "rices", Label: "Makes grains", Tick: true},
		{Key: "note", Label: "Note", Wide: true}}, readLot, showThing[stock.Lot]},
	kindMould: {kindMould, "mould", "/workshop", []thingField{
		{Key: "name", Label: "Name", Hint: "M1 wood loaf", Wide: true}, {Key: "mould.shape", Label: "Shape", Options: []string{"box", "cylinder", "cavity"}},
		{Key: "mould.inside", Label: "Inside", Hint: "349 x 62 x 62 mm"}, {Key: "mould.volume", Label: "or volume of one cavity", Hint: "85 ml"}, {Key: "mould.count", Label: "How many", Hint: "1"},
		{Key: "mould.axis", Label: "A cylinder stands", Options: []string{"", "upright", "level"}}, {Key: "mould.wall", Label: "Wall", Hint: "softwood 12 mm"}, {Key: "mould.lid", Label: "Lid", Hint: "none"},
		{Key: "mould.fill", Label: "Filled to", Hint: "95 %"}, {Key: "bars", Label: "Bars usually cut", Hint: "11"}, {Key: "learned", Label: "True volume, by a water fill", Hint: "1320 ml"}, {Key: "note", Label: "Note", Wide: true}}, readThing[stock.Mould], showThing[stock.Mould]},
	kindPlace: {kindPlace, "place", "/workshop", []thingField{
		{Key: "name", Label: "Name", Hint: "Fridge under the stairs", Wide: true}, {Key: "place", Label: "What it is", Options: recipe.Places}, {Key: "temperature", Label: "Temperature", Hint: "20 °C"},
		{Key: "rh", Label: "Humidity", Hint: "60 %"}, {Key: "fan", Label: "With a fan", Tick: true}, {Key: "note", Label: "Note", Wide: true}}, readThing[stock.Place], showThing[stock.Place]},
	kindScale: {kindScale, "scale", "/workshop", []thingField{
		{Key: "name", Label: "Name", Hint: "Kitchen scale", Wide: true}, {Key: "step", Label: "Smallest step", Hint: "1 g"}, {Key: "capacity", Label: "Carries", Hint: "5 kg"},
		{Key: "repeatability", Label: "Repeats itself to", Hint: "0.5 g"}, {Key: "note", Label: "Note", Wide: true}}, readThing[stock.Scale], showThing[stock.Scale]},
	kindWorkshop: {kindWorkshop, "workshop", "/workshop", []thingField{
		{Key: "name", Label: "Name", Hint: "Ninth Lock Soap Room", Wide: true}, {Key: "currency", Label: "Currency", Hint: "EUR"}, {Key: "hour", Label: "An hour's work", Hint: "15 each"}, {Key: "overhead", Label: "Overhead of a bar", Hint: "0.35 each"}},
		readThing[stock.Workshop], showThing[stock.Workshop]},
}

// checked is a thing that can judge itself.
type checked interface {
	Check() (key string, err error)
}

func readThing[T checked](fields map[string]string, _ *material.Library) (any, map[string]string) {
	var v T
	faults := fill(&v, fields)
	if len(faults) == 0 {
		if key, err := v.Check(); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return v, faults
}

func readLot(fields map[string]string, lib *material.Library) (any, map[string]string) {
	var l stock.Lot
	fields["of"] = idOf(fields["of"], lib)
	faults := fill(&l, fields)
	of, err := lib.Find(l.Of)
	if err != nil {
		faults["of"] = withAdvice(err)
		return l, faults
	}
	certify(l.Sap, "mg KOH/g")
	certify(l.Water, "%")
	if len(faults) == 0 {
		if key, err := l.Check(of); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return l, faults
}

// certify makes a figure typed in one of the lot's own certificate; a range
// that was not typed is none.
func certify(f *source.Figure, unit string) {
	if f == nil {
		return
	}
	f.Unit, f.Source, f.Grade = unit, "certificate", source.Measured
	if f.Low == 0 {
		f.Low = f.Typical
	}
	if f.High == 0 {
		f.High = f.Typical
	}
}

func fill(dst any, fields map[string]string) map[string]string {
	faults := map[string]string{}
	for _, f := range keyed.Fill(dst, fields) {
		faults[f.Path] = withAdvice(f.Err)
	}
	return faults
}

func withAdvice(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		return err.Error() + "; " + h.Hint()
	}
	return err.Error()
}

func showThing[T any](body string) (map[string]string, error) {
	var v T
	if err := toml.Unmarshal([]byte(body), &v); err != nil {
		return nil, err
	}
	return keyed.Fields(v), nil
}

// thingPage is the form of one thing.
type thingPage struct {
	Kind, One, Back string
	ID              string
	Rev             int
	IsNew, Gone     bool
	Rows            []thingRow
	Faults          int
	Conflict        bool
	History         []store.Thing
	Names           []named
}

// thingRow is one line of the form with what was typed.
type thingRow struct {
	thingField
	Value, Fault string
}

func (a *App) thing(w http.ResponseWriter, r *http.Request) error {
	k, ok := thingKinds[r.PathValue("kind")]
	if !ok {
		return store.ErrMissing
	}
	p := thingPage{ID: r.PathValue("id"), IsNew: r.PathValue("id") == "new"}
	fields := map[string]string{}
	if !p.IsNew {
		t, err := a.store.Thing(r.Context(), k.kind, p.ID)
		if err != nil {
			return err
		}
		if fields, err = k.show(t.Body); err != nil {
			return err
		}
		p.Rev, p.Gone = t.Rev, t.Gone
	}
	return a.showThing(w, r, http.StatusOK, k, p, fields, nil)
}

func (a *App) showThing(w http.ResponseWriter, r *http.Request, status int, k thingKind, p thingPage, fields, faults map[string]string) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p.Kind, p.One, p.Back, p.Faults = k.kind, k.one, k.back, len(faults)
	for _, f := range k.fields {
		row := thingRow{f, fields[f.Key], faults[f.Key]}
		if f.Key == "of" {
			row.Value = nameOf(row.Value, lib)
			fats, adds := choices(lib)
			p.Names = append(append(fats, adds...), named{"naoh", "Sodium hydroxide"}, named{"koh", "Potassium hydroxide"})
		}
		p.Rows = append(p.Rows, row)
		delete(faults, f.Key)
	}
	for _, text := range faults { // a fault without a line of its own stands at the first
		p.Rows[0].Fault = text
	}
	if !p.IsNew {
		if p.History, err = a.store.History(r.Context(), k.kind, p.ID); err != nil {
			return err
		}
	}
	title := "A new " + k.one
	if name := fields["name"]; name != "" {
		title = name
	}
	section := "workshop"
	if k.back == "/stock" {
		section = "stock"
	}
	return a.show(w, r, status, "thing", section, title, p)
}

func (a *App) saveThing(w http.ResponseWriter, r *http.Request) error {
	k, ok := thingKinds[r.PathValue("kind")]
	if !ok {
		return store.ErrMissing
	}
	if err := r.ParseForm(); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p := thingPage{ID: r.PathValue("id"), IsNew: r.PathValue("id") == "new"}
	fmt.Sscan(r.PostFormValue("rev"), &p.Rev)
	fields := a.postedThing(r, k, p)
	v, faults := k.read(fields, lib)
	if len(faults) > 0 {
		return a.showThing(w, r, http.StatusUnprocessableEntity, k, p, fields, faults)
	}
	body, err := toml.Marshal(v)
	if err != nil {
		return err
	}
	_, err = a.store.SaveThing(r.Context(), store.Thing{Kind: k.kind, ID: fields["id"], Rev: p.Rev, Body: string(body), Gone: r.PostFormValue("gone") != "", MadeAt: a.now()})
	if errors.Is(err, store.ErrChanged) {
		p.Conflict = true
		return a.showThing(w, r, http.StatusConflict, k, p, fields, nil)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, k.back, http.StatusSeeOther)
	return nil
}

// postedThing reads the form of a thing; a new one gets an id from its name.
func (a *App) postedThing(r *http.Request, k thingKind, p thingPage) map[string]string {
	fields := map[string]string{"id": p.ID}
	if t, err := a.store.Thing(r.Context(), k.kind, p.ID); err == nil && !p.IsNew {
		if saved, err := k.show(t.Body); err == nil {
			fields = saved // keys without a line on the form stay
		}
	}
	for _, f := range k.fields {
		fields[f.Key] = r.PostFormValue("f." + f.Key)
	}
	if p.IsNew {
		fields["id"] = a.freeID(r.Context(), k.kind, fields["name"]+" "+fields["of"])
	}
	return fields
}

// freeID makes an id nobody has of a name.
func (a *App) freeID(ctx context.Context, kind, name string) string {
	base := strings.Trim(strings.ReplaceAll(fileName(cutTo(strings.TrimSpace(name), 40)), "-", "_"), "_")
	for n := 1; ; n++ {
		id := base
		if n > 1 {
			id = fmt.Sprintf("%s_%d", base, n)
		}
		_, errThing := a.store.Thing(ctx, kind, id)
		_, errMaterial := material.Builtin().Find(id)
		if errors.Is(errThing, store.ErrMissing) && errMaterial != nil {
			return id
		}
	}
}

// shelfPage is what is on the shelf, by kind.
type shelfPage struct {
	Groups   []shelfGroup
	Currency string
}

type shelfGroup struct {
	Name string
	Lots []shelfLot
}

type shelfLot struct {
	stock.Lot
	Of     string // the material's name
	OfID   string
	Spoils string // best before in words, when it is near or past
	Left   string
}

// shelfGroups names the groups of the shelf.
var shelfGroups = []struct {
	name  string
	kinds []material.Kind
}{
	{"Fats", []material.Kind{material.Triglyceride, material.FreeAcid}}, {"Waxes", []material.Kind{material.Wax}}, {"Alkali", []material.Kind{material.Alkali}},
	{"Honey, milk and other liquids", []material.Kind{material.Sugar, material.Liquid, material.KitchenAcid}}, {"Powders and salts", []material.Kind{material.Powder, material.Salt}},
	{"Scents", []material.Kind{material.Scent}}, {"What keeps it", []material.Kind{material.Keeper}},
}

func (a *App) stockPage(w http.ResponseWriter, r *http.Request) error {
	lots, err := a.shelf(r.Context())
	if err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	p := shelfPage{Currency: shop.Currency}
	today := quantity.DateOf(a.now())
	for _, g := range shelfGroups {
		group := shelfGroup{Name: g.name}
		for _, l := range lots {
			m, err := lib.Find(l.Of)
			if err != nil {
				continue
			}
			for _, k := range g.kinds {
				if m.Kind == k {
					group.Lots = append(group.Lots, shelfLot{Lot: l, Of: m.Name, OfID: l.Of, Spoils: spoils(l, today), Left: left(l)})
				}
			}
		}
		if len(group.Lots) > 0 {
			p.Groups = append(p.Groups, group)
		}
	}
	return a.show(w, r, http.StatusOK, "stock", "stock", "Stock", p)
}

func left(l stock.Lot) string {
	if l.OnHand == nil {
		return "used up"
	}
	return l.OnHand.String()
}

// spoils says best before in words when it is near or past.
func spoils(l stock.Lot, today quantity.Date) string {
	if l.BestBefore == nil {
		return ""
	}
	switch days := today.DaysUntil(*l.BestBefore); {
	case days < 0:
		return fmt.Sprintf("best before %d days ago", -days)
	case days < 60:
		return fmt.Sprintf("best before in %d days", days)
	}
	return ""
}

// shopPage is the workshop and its things.
type shopPage struct {
	Shop   stock.Workshop
	ShopID string
	Moulds []stock.Mould
	Places []stock.Place
	Scales []stock.Scale
}

func (a *App) workshopPage(w http.ResponseWriter, r *http.Request) (err error) {
	var p shopPage
	if p.Shop, err = a.workshop(r.Context()); err != nil {
		return err
	}
	p.ShopID = "new"
	if things, err := a.store.Things(r.Context(), kindWorkshop); err == nil && len(things) > 0 {
		p.ShopID = things[0].ID
	}
	if p.Moulds, err = thingsOf[stock.Mould](r.Context(), a.store, kindMould); err != nil {
		return err
	}
	if p.Places, err = thingsOf[stock.Place](r.Context(), a.store, kindPlace); err != nil {
		return err
	}
	if p.Scales, err = thingsOf[stock.Scale](r.Context(), a.store, kindScale); err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "workshop", "workshop", "Workshop", p)
}

// materialsPage lists the materials by kind.
type materialsPage struct {
	Query string
	Fats  []named
	Adds  []named
}

func (a *App) materials(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p := materialsPage{Query: r.FormValue("q")}
	fats, adds := choices(lib)
	p.Fats, p.Adds = holding(fats, p.Query), holding(append(adds, named{"naoh", "Sodium hydroxide"}, named{"koh", "Potassium hydroxide"}), p.Query)
	return a.show(w, r, http.StatusOK, "materials", "workshop", "Materials", p)
}

func holding(all []named, words string) (out []named) {
	for _, n := range all {
		if strings.Contains(strings.ToLower(n.Name), strings.ToLower(strings.TrimSpace(words))) {
			out = append(out, n)
		}
	}
	return out
}

// materialPage is one material with every figure's evidence.
type materialPage struct {
	material.Material
	Acids []acidBar
}

type acidBar struct {
	Name    string
	Percent float64
}

func (a *App) material(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	m, err := lib.Find(r.PathValue("id"))
	if err != nil {
		return store.ErrMissing
	}
	p := materialPage{Material: m}
	for _, acid := range material.Acids {
		if v := m.Profile.Percent(acid.ID); v > 0 {
			p.Acids = append(p.Acids, acidBar{acid.Name, v})
		}
	}
	if v := m.Profile.Percent("other"); v > 0 {
		p.Acids = append(p.Acids, acidBar{"other", v})
	}
	return a.show(w, r, http.StatusOK, "material", "workshop", m.Name, p)
}
