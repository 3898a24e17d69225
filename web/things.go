package web

import (
	"context"
	"fmt"

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
)

// workshop returns what holds for the whole workshop.
func (a *App) workshop(ctx context.Context) (stock.Workshop, error) {
	all, err := thingsOf[stock.Workshop](ctx, a.store, kindWorkshop)
	if err != nil || len(all) == 0 {
		return stock.Workshop{Name: "", Currency: "EUR"}, err
	}
	return all[0], nil
}

// thingsOf reads every thing of a kind.
func thingsOf[T any](ctx context.Context, s *store.Store, kind string) ([]T, error) {
	things, err := s.Things(ctx, kind)
	if err != nil {
		return nil, err
	}
	out := make([]T, len(things))
	for i, t := range things {
		if _, err := tomldoc.Decode(fmt.Sprintf("%s %s", t.Kind, t.ID), []byte(t.Body), &out[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// shelf returns every lot of the workshop.
func (a *App) shelf(ctx context.Context) (stock.Shelf, error) {
	lots, err := thingsOf[stock.Lot](ctx, a.store, kindLot)
	return stock.Shelf(lots), err
}

// library is the built-in one with the workshop's own materials and lots.
func (a *App) library(ctx context.Context) (*material.Library, error) {
	things, err := a.store.Things(ctx, kindMaterial)
	if err != nil {
		return nil, err
	}
	lib := material.Builtin()
	for _, t := range things {
		m, err := material.Parse("material "+t.ID, []byte(t.Body), lib)
		if err != nil {
			return nil, err
		}
		lib = lib.Plus(m)
	}
	lots, err := a.shelf(ctx)
	if err != nil {
		return nil, err
	}
	var own []material.Material
	for _, l := range lots {
		m, err := l.Material(lib)
		if err != nil {
			continue // a lot of a material that was put away cannot be planned with
		}
		own = append(own, m)
	}
	return lib.Plus(own...), nil
}
