package web

import (
	"net/http"
	"strings"

	"barwright/quantity"
	"barwright/stock"
)

// workshopRoutes are stock, moulds, places, scales, materials and the workshop
// itself.
func (a *App) workshopRoutes() map[string]page {
	return map[string]page{
		"GET /stock":               a.stockPage,
		"GET /stock/{id}":          a.editThing(lotKind),
		"POST /stock/{id}":         a.saveThing(lotKind),
		"GET /workshop":            a.workshopPage,
		"GET /things/{kind}/{id}":  a.thing(a.editThing),
		"POST /things/{kind}/{id}": a.thing(a.saveThing),
		"GET /materials":           a.materials,
		"GET /materials/{id}":      a.material,
	}
}

// shopPage is the workshop and its things.
type shopPage struct {
	Shop      stock.Workshop
	Money     string
	Groups    []shopGroup
	Materials []ownMaterial
	Away      []awayGroup
}

// shopGroup is the list of one kind of thing.
type shopGroup struct {
	Kind, Title, One, Why string
	Things                []shopThing
}

// shopThing is one line of it.
type shopThing struct{ ID, Name, Words string }

func (a *App) workshopPage(w http.ResponseWriter, r *http.Request) (err error) {
	var p shopPage
	if p.Shop, err = a.workshop(r.Context()); err != nil {
		return err
	}
	p.Money = moneyWords(p.Shop)
	moulds, err := thingsOf[stock.Mould](r.Context(), a.store, kindMould)
	if err != nil {
		return err
	}
	places, err := thingsOf[stock.Place](r.Context(), a.store, kindPlace)
	if err != nil {
		return err
	}
	scales, err := thingsOf[stock.Scale](r.Context(), a.store, kindScale)
	if err != nil {
		return err
	}
	p.Groups = []shopGroup{
		{kindMould, "Moulds", "mould", "With a mould here, a batch can be made to fit it.", linesOf(moulds, mouldLine)},
		{kindPlace, "Places", "place", "Where batches rest: rooms, a fridge, a freezer, an oven.", linesOf(places, placeLine)},
		{kindScale, "Scales", "scale", "A scale's step decides how exactly the alkali can be weighed.", linesOf(scales, scaleLine)},
	}
	if p.Materials, err = a.ownMaterials(r); err != nil {
		return err
	}
	if p.Away, err = a.awayThings(r, kindMould, kindPlace, kindScale, kindMaterial); err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "workshop", "workshop", "Workshop", p)
}

func linesOf[T any](things []T, line func(T) shopThing) []shopThing {
	out := make([]shopThing, len(things))
	for i, t := range things {
		out[i] = line(t)
	}
	return out
}

func mouldLine(m stock.Mould) shopThing {
	var words []string
	if m.Mould.Inside != nil {
		words = append(words, m.Mould.Shape+" "+spaced(m.Mould.Inside.String()))
	}
	if n := m.Mould.Cavities(); n > 1 {
		words = append(words, number(float64(n), 0)+" cavities")
	}
	volume := number(m.True().CapacityML(), 0) + "\u202fml"
	if off, known := m.OffPercent(); known {
		volume += " by a water fill (" + signed(off, 1) + "\u202f%)"
	}
	words = append(words, volume)
	if m.Bars > 0 {
		words = append(words, number(float64(m.Bars), 0)+" bars")
	}
	if m.Mould.Wall != nil {
		words = append(words, spaced(m.Mould.Wall.String()))
	}
	return shopThing{m.ID, m.Name, strings.Join(words, " · ")}
}

func placeLine(p stock.Place) shopThing {
	words := []string{p.Place}
	if p.Temperature != nil {
		words = append(words, spaced(p.Temperature.String()))
	}
	if p.RH != nil {
		words = append(words, spaced(p.RH.String())+" humidity")
	}
	if p.Fan {
		words = append(words, "fan")
	}
	return shopThing{p.ID, p.Name, strings.Join(words, " · ")}
}

func scaleLine(s stock.Scale) shopThing {
	words := []string{"steps of " + spaced(s.Step.String())}
	if s.Capacity != nil {
		words = append(words, "up to "+spaced(s.Capacity.String()))
	}
	if s.Repeatability != nil {
		words = append(words, "repeats itself to "+spaced(s.Repeatability.String()))
	}
	return shopThing{s.ID, s.Name, strings.Join(words, " · ")}
}

func moneyWords(w stock.Workshop) string {
	var words []string
	say := func(p *quantity.Price, of string) {
		if p != nil {
			words = append(words, number(p.Amount, 2)+"\u202f"+w.Currency+" "+of)
		}
	}
	say(w.Hour, "an hour's work")
	say(w.Overhead, "overhead of a bar")
	return strings.Join(words, " · ")
}

// awayGroup is what was put away of one kind.
type awayGroup struct {
	One    string
	Things []awayThing
}

// awayThing is one thing that was put away.
type awayThing struct{ Path, Name, When string }

func (a *App) awayThings(r *http.Request, kinds ...string) (out []awayGroup, err error) {
	for _, kind := range kinds {
		k := kindOf(kind)
		things, err := a.store.ThingsAway(r.Context(), kind)
		if err != nil {
			return nil, err
		}
		g := awayGroup{One: k.one}
		for _, t := range things {
			name := t.ID
			if fields, err := k.show(t.Body); err == nil && fields["name"] != "" {
				name = fields["name"]
			}
			g.Things = append(g.Things, awayThing{k.path + t.ID, name, a.when(t)})
		}
		if len(g.Things) > 0 {
			out = append(out, g)
		}
	}
	return out, nil
}

func kindOf(kind string) *thingKind {
	if kind == kindLot {
		return lotKind
	}
	return thingKinds[kind]
}
