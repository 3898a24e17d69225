// Package stock is what a workshop has: lots on the shelf, moulds, places and
// scales, and what a recipe would take from them and cost.
//
// Start with Lot and Shelf.Take. What it does not do: chemistry, or keeping
// anything; package store keeps the files it reads and writes.
package stock

import (
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

// HasCertificate reports whether a paper of its own gives a figure in the
// place of its kind's.
func (l Lot) HasCertificate() bool {
	return l.Sap != nil || l.AcidValue != nil || l.Water != nil || l.Density != nil
}

// lotFigure is one figure of a certificate, and where it goes in a material.
type lotFigure struct {
	key string
	*source.Figure
	of *source.Figure
}

func (l Lot) figures(m *material.Material) []lotFigure {
	return []lotFigure{{"sap", l.Sap, &m.Sap}, {"acid_value", l.AcidValue, &m.AcidValue}, {"water", l.Water, &m.Water}, {"density", l.Density, &m.Density}}
}

// Material returns the lot as a material of its own, with what its papers say
// over what is known of the material it is a lot of.
func (l Lot) Material(lib *material.Library) (material.Material, error) {
	base, err := lib.Find(l.Of)
	if err != nil {
		return material.Material{}, err
	}
	m, _, err := l.over(base)
	m.Held = l.Held
	return m, err
}

func (l Lot) over(base material.Material) (m material.Material, key string, err error) {
	m = material.Material{ID: l.ID, Name: base.Name + ", lot " + l.Label(), Of: l.Of, Kind: base.Kind, From: l.From,
		Hurries: l.Hurries, Rices: l.Rices, Limit: l.Limit, Purity: l.Purity}
	for _, f := range l.figures(&m) {
		if f.Figure != nil {
			*f.of = *f.Figure
		}
	}
	return m.Over(base)
}
