package web

import (
	"context"
	"fmt"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/stock"
	"barwright/store"
)

// Kinds of things in the store.
const (
	kindWorkshop = "workshop"
	kindMould    = "mould"
	kindPlace    = "place"
	kindScale    = "scale"
	kindLot      = "lot"
	kindMaterial = "material"
	kindCurve    = "curve"
	kindPhoto    = "photo"
	kindGoal     = "goal"
)

// workshop returns what holds for the whole workshop. Files that came in once
// brought one under another id; what was saved here since goes before it.
func (a *App) workshop(ctx context.Context) (stock.Workshop, error) {
	things, err := a.store.Things(ctx, kindWorkshop)
	if err != nil || len(things) == 0 {
		return stock.Workshop{Name: "", Currency: "EUR"}, err
	}
	if i := slices.IndexFunc(things, func(t store.Thing) bool { return t.ID == kindWorkshop }); i >= 0 {
		things = things[i : i+1]
	}
	all, err := readThings[stock.Workshop](things[:1])
	return all[0], err
}

// thingsOf reads every thing of a kind.
func thingsOf[T any](ctx context.Context, s *store.Store, kind string) ([]T, error) {
	things, err := s.Things(ctx, kind)
	if err != nil {
		return nil, err
	}
	return readThings[T](things)
}

func readThings[T any](things []store.Thing) ([]T, error) {
	out := make([]T, len(things))
	for i, t := range things {
		if _, err := tomldoc.Decode(fmt.Sprintf("%s %s", t.Kind, t.ID), []byte(t.Body), &out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// shelf returns every lot of the workshop, as it was counted (shelfNow: as it is).
func (a *App) shelf(ctx context.Context) (stock.Shelf, error) {
	lots, err := thingsOf[stock.Lot](ctx, a.store, kindLot)
	return stock.Shelf(lots), err
}

// materialLibrary is the built-in library with the workshop's own materials,
// but for the one named. Those that cannot be used, because the material they
// are a lot of was put away, are told by id and left out.
func (a *App) materialLibrary(ctx context.Context, but string) (lib *material.Library, unusable map[string]error, err error) {
	left, err := a.store.Things(ctx, kindMaterial)
	if err != nil {
		return nil, nil, err
	}
	left = slices.DeleteFunc(left, func(t store.Thing) bool { return t.ID == but })
	lib = material.Builtin()
	for { // a material may be a lot of one further down
		var later []store.Thing
		unusable = map[string]error{}
		for _, t := range left {
			m, err := material.Parse(t.ID, []byte(t.Body), lib)
			if err != nil {
				later, unusable[t.ID] = append(later, t), err
				continue
			}
			lib = lib.Plus(m)
		}
		if len(later) == 0 || len(later) == len(left) {
			return lib, unusable, nil
		}
		left = later
	}
}

// library is the material library with the workshop's lots, each a material
// that a recipe may name. Of lots and materials that were put away it says so.
func (a *App) library(ctx context.Context) (*material.Library, error) {
	lib, unusable, err := a.materialLibrary(ctx, "")
	if err != nil {
		return nil, err
	}
	away, err := a.putAway(ctx, lib)
	if err != nil {
		return nil, err
	}
	lots, err := a.shelf(ctx)
	if err != nil {
		return nil, err
	}
	var own []material.Material
	for _, l := range lots {
		if m, err := lib.Find(l.Of); err == nil {
			own = append(own, lots.Papers(m)) // once for each of its lots: the same every time
		}
	}
	for _, l := range lots {
		if _, err := lib.Find(l.ID); err == nil {
			continue // a lot never takes the place of a material
		}
		m, err := l.Material(lib)
		if err != nil {
			away[l.ID] = whyNot(l, lib, unusable, err)
			continue
		}
		own = append(own, m)
	}
	return lib.Plus(own...).Lacking(away), nil
}

// whyNot says what keeps a lot from being used: its material, or its papers.
func whyNot(l stock.Lot, lib *material.Library, unusable map[string]error, err error) *material.AwayError {
	broken := unusable[l.Of]
	of, lost := lib.Find(l.Of)
	switch {
	case broken != nil:
		return &material.AwayError{Text: fmt.Sprintf("lot %s is of %q, which cannot be used: %v", l.Label(), l.Of, broken), Advice: "correct that material under Workshop, or write another"}
	case lost != nil:
		return &material.AwayError{Text: fmt.Sprintf("lot %s is of %q, which is not here", l.Label(), l.Of), Advice: "take that material back under Workshop, or write another"}
	}
	return &material.AwayError{Text: fmt.Sprintf("lot %s of %s cannot be used: %v", l.Label(), lowerFirst(of.Name), err), Advice: fmt.Sprintf("correct what its papers say under Stock, or write %q", of.Name)}
}

// putAway says of every lot and material that was put away when that was, and
// what to do for a recipe that names it.
func (a *App) putAway(ctx context.Context, lib *material.Library) (map[string]*material.AwayError, error) {
	out := map[string]*material.AwayError{}
	for _, kind := range []string{kindMaterial, kindLot} {
		things, err := a.store.ThingsAway(ctx, kind)
		if err != nil {
			return nil, err
		}
		for _, t := range things {
			var it struct {
				Name string `toml:"name"`
				Of   string `toml:"of"`
			}
			if toml.Unmarshal([]byte(t.Body), &it) != nil || it.Name == "" {
				it.Name = t.ID
			}
			day := t.MadeAt.In(a.now().Location()).Format("2 January 2006")
			e := &material.AwayError{Text: fmt.Sprintf("%s was put away on %s", it.Name, day), Advice: "take it back under Workshop, or write another"}
			if kind == kindLot {
				of := nameOf(it.Of, lib)
				e = &material.AwayError{Text: fmt.Sprintf("lot %s of %s was put away on %s", it.Name, lowerFirst(of), day), Advice: fmt.Sprintf("take it back under Stock, or write %q", of)}
			}
			out[t.ID] = e
		}
	}
	return out, nil
}
