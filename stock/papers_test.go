package stock_test

import (
	"testing"

	"barwright/material"
	"barwright/quantity"
	"barwright/stock"
)

// A plan that names no lot takes the strictest limit and the highest assay of
// what is on the shelf; what is held or used up says nothing.
func TestPapers(t *testing.T) {
	t.Parallel()
	g, err := quantity.ParseMass("100 g")
	if err != nil {
		t.Fatal(err)
	}
	limit := func(percent float64) *quantity.BarLimit {
		return &quantity.BarLimit{Share: quantity.Share{Percent: percent}}
	}
	assay := func(percent float64) *quantity.Share { return &quantity.Share{Percent: percent} }
	shelf := stock.Shelf{
		{ID: "a", Of: "clove_leaf_oil", OnHand: &g, Limit: limit(0.7)},
		{ID: "b", Of: "clove_leaf_oil", OnHand: &g, Limit: limit(0.5), Rices: true},
		{ID: "c", Of: "clove_leaf_oil", OnHand: &g, Limit: limit(0.1), Held: "leaks"},
		{ID: "d", Of: "clove_leaf_oil", Limit: limit(0.2)},
		{ID: "e", Of: "naoh", OnHand: &g, Purity: assay(97)},
		{ID: "f", Of: "naoh", OnHand: &g, Purity: assay(98.5)},
	}
	lib := material.Builtin()
	find := func(id string) material.Material {
		m, err := lib.Find(id)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	if m := shelf.Papers(find("clove_leaf_oil")); m.Limit == nil || m.Limit.Share.Percent != 0.5 || !m.Rices {
		t.Errorf("%+v", m.Limit)
	}
	if m := shelf.Papers(find("naoh")); m.Purity == nil || m.Purity.Percent != 98.5 {
		t.Errorf("%+v", m.Purity)
	}
	if m := shelf.Papers(find("olive")); m.Limit != nil || m.Purity != nil {
		t.Errorf("%+v", m)
	}
	if m := find("clove_leaf_oil"); m.Limit != nil {
		t.Error("the library itself has changed")
	}
}
