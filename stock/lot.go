// Package stock is what a workshop has: lots on the shelf, moulds, places and
// scales, and what a recipe would take from them and cost.
//
// Start with Lot and Shelf.Take. What it does not do: chemistry, or keeping
// anything; package store keeps the files it reads and writes.
package stock

import (
	"fmt"

	"barwright/material"
	"barwright/quantity"
	"barwright/source"
)

// Lot is one lot of a material on the shelf.
type Lot struct {
	ID         string          `toml:"id"`
	Name       string          `toml:"name,omitempty"`
	Of         string          `toml:"of"` // the material it is a lot of
	Price      *quantity.Price `toml:"price,omitempty"`
	OnHand     *quantity.Mass  `toml:"on_hand,omitempty"` // what is left; nothing when empty
	Received   *quantity.Date  `toml:"received,omitempty"`
	Packed     *quantity.Date  `toml:"packed,omitempty"`
	BestBefore *quantity.Date  `toml:"best_before,omitempty"`
	From       string          `toml:"from,omitempty"` // where it was bought, or which hive
	Own        bool            `toml:"own,omitempty"`  // of our own making
	Held       string          `toml:"held,omitempty"` // why it must not be used, "" when it may
	Note       string          `toml:"note,omitempty"`

	// Its own certificate, in the form of a material file.
	Sap       *source.Figure `toml:"sap,omitempty"`
	AcidValue *source.Figure `toml:"acid_value,omitempty"`
	Water     *source.Figure `toml:"water,omitempty"`
	Density   *source.Figure `toml:"density,omitempty"`

	// Of a scent: what its own document and its history say.
	Limit   *quantity.BarLimit `toml:"limit,omitempty"`
	Hurries bool               `toml:"hurries,omitempty"`
	Rices   bool               `toml:"rices,omitempty"`

	Purity *quantity.Share `toml:"purity,omitempty"` // assay of an alkali
}

// Label is the lot's name, or its id when it has none.
func (l Lot) Label() string {
	if l.Name != "" {
		return l.Name
	}
	return l.ID
}

// LeftG returns what is left of the lot [g].
func (l Lot) LeftG() float64 {
	if l.OnHand == nil {
		return 0
	}
	return l.OnHand.G()
}

// Material returns the lot as a material of its own, with the figures of its
// certificate over those of what it is a lot of.
func (l Lot) Material(lib *material.Library) (material.Material, error) {
	base, err := lib.Find(l.Of)
	if err != nil {
		return material.Material{}, err
	}
	m := material.Material{ID: l.ID, Name: base.Name + ", lot " + l.Label(), Of: l.Of, Kind: base.Kind, From: l.From, Hurries: l.Hurries, Rices: l.Rices}
	for _, f := range []struct{ to, from *source.Figure }{{&m.Sap, l.Sap}, {&m.AcidValue, l.AcidValue}, {&m.Water, l.Water}, {&m.Density, l.Density}} {
		if f.from != nil {
			*f.to = *f.from
		}
	}
	return m.Over(base)
}

// Check returns what is wrong with the lot and the key it is wrong at. of is
// the material it is a lot of.
func (l Lot) Check(of material.Material) (key string, err error) {
	if key, err := checkNamed(l.ID, l.Label()); err != nil {
		return key, err
	}
	switch {
	case l.Price != nil && l.Price.Per == "each":
		return "price", &quantity.Error{Text: "a lot has a price by mass", Advice: `like "5.10 / kg"`}
	case l.BestBefore != nil && l.Packed != nil && l.BestBefore.Before(*l.Packed):
		return "best_before", fmt.Errorf("it would be past its best before it was packed")
	case l.Sap != nil && !of.Kind.IsFat():
		return "sap", fmt.Errorf("only a fat has a saponification value")
	case l.Purity != nil && of.Kind != material.Alkali:
		return "purity", fmt.Errorf("only an alkali has an assay")
	case (l.Limit != nil || l.Hurries || l.Rices) && of.Kind != material.Scent:
		return "limit", fmt.Errorf("only a scent has a limit and a history in the batter")
	}
	for _, f := range []struct {
		key string
		fig *source.Figure
	}{{"sap", l.Sap}, {"acid_value", l.AcidValue}, {"water", l.Water}, {"density", l.Density}} {
		if f.fig == nil {
			continue
		}
		if err := f.fig.Check(); err != nil {
			return f.key + ".typical", err
		}
	}
	return "", nil
}
