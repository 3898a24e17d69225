package main

import (
	gocontext "context"

	"barwright/formulate"
	"barwright/material"
	"barwright/store"
	"barwright/web"
)

// shelf reads a workshop's own materials and the fats it has in stock: what was
// counted, less what batches weighed out of it since.
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
	app, err := web.New(s, web.Options{})
	if err != nil {
		return nil, nil, err
	}
	lots, err := app.Shelf(ctx)
	return lib, lots.Candidates(lib), err
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
