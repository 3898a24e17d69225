package stock

import (
	"slices"

	"barwright/formulate"
	"barwright/material"
)

// Candidates returns the fats on the shelf as a goal takes them, one for each
// material with its lots. Lots on hold and empty ones are left where they are.
func (s Shelf) Candidates(lib *material.Library) (fats []formulate.Fat) {
	for _, l := range s {
		m, err := lib.Find(l.Of)
		if err != nil || !m.Kind.IsFat() || l.Held != "" || l.LeftG() <= 0 {
			continue
		}
		i := slices.IndexFunc(fats, func(f formulate.Fat) bool { return f.Material == l.Of })
		if i < 0 {
			i = len(fats)
			fats = append(fats, formulate.Fat{Material: l.Of})
		}
		fats[i].Lots = append(fats[i].Lots, formulate.Lot{ID: l.ID, Price: l.Price, Stock: l.OnHand, Own: l.Own})
	}
	return fats
}
