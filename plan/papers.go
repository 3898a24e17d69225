package plan

import (
	"slices"

	"barwright/material"
	"barwright/recipe"
)

// withPapers returns the recipe with what the papers of the lots it names say
// where it says nothing itself: the limit of a scent, the assay of an alkali.
// What the recipe writes always wins.
func withPapers(r recipe.Recipe, lib *material.Library) recipe.Recipe {
	r.Additions, r.Alkali = slices.Clone(r.Additions), slices.Clone(r.Alkali)
	for i := range r.Additions {
		a := &r.Additions[i]
		if m, err := lib.Find(a.Material); err == nil && a.Limit == nil {
			a.Limit = m.Limit
		}
	}
	for i := range r.Alkali {
		a := &r.Alkali[i]
		if m, err := lib.Find(a.Material); err == nil && a.Purity == nil && a.PurityRange == nil && a.StockStrength == nil {
			a.Purity = m.Purity
		}
	}
	return r
}
