package main

import (
	gocontext "context"
	"slices"

	"barwright/formulate"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/stock"
	"barwright/store"
)

// shelf reads a workshop's own materials and the fats it has in stock. Lots on
// hold and empty ones are left where they are.
func shelf(data string, lib *material.Library) (*material.Library, []formulate.Fat, error) {
	if err := mustHaveData(data); err != nil {
		return nil, nil, err
	}
	ctx := gocontext.Background()
	s, err := openData(ctx, data)
	if err != nil {
		return nil, nil, err
	}
	defer s.Close()
	things, err := s.Things(ctx, "material")
	if err != nil {
		return nil, nil, err
	}
	lib = withOwn(lib, things)
	if things, err = s.Things(ctx, "lot"); err != nil {
		return nil, nil, err
	}
	fats, err := stocked(things, lib)
	return lib, fats, err
}

// withOwn adds the workshop's own materials. One may be a lot of another further
// down; what is a lot of nothing that is there cannot be used.
func withOwn(lib *material.Library, left []store.Thing) *material.Library {
	for {
		var later []store.Thing
		for _, t := range left {
			if m, err := material.Parse(t.ID, []byte(t.Body), lib); err != nil {
				later = append(later, t)
			} else {
				lib = lib.Plus(m)
			}
		}
		if len(later) == len(left) {
			return lib
		}
		left = later
	}
}

// stocked turns lots into candidates, one for each material.
func stocked(lots []store.Thing, lib *material.Library) (fats []formulate.Fat, err error) {
	for _, t := range lots {
		var l stock.Lot
		if _, err := tomldoc.Decode("lot "+t.ID, []byte(t.Body), &l); err != nil {
			return nil, err
		}
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
	return fats, nil
}
