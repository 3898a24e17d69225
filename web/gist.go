package web

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"barwright/material"
	"barwright/recipe"
	"barwright/store"
)

// gists are recipes in a line, as a list shows them, by the id of the version.
// A version never changes, so each is read once.
type gists struct {
	mu sync.Mutex
	of map[string]recipe.Recipe
}

// gist is what a version is made of in a line: "Beef tallow 55, coconut oil
// 20 · superfat 5 %", "" for one that cannot be read.
func (a *App) gist(ctx context.Context, version string, lib *material.Library) (string, error) {
	rec, err := a.readOnce(ctx, version)
	if rec == nil || err != nil {
		return "", err
	}
	return inALine(*rec, lib), nil
}

// readOnce is the recipe of a version, nil for one that cannot be read.
func (a *App) readOnce(ctx context.Context, version string) (*recipe.Recipe, error) {
	a.gists.mu.Lock()
	defer a.gists.mu.Unlock()
	rec, known := a.gists.of[version]
	if !known {
		v, err := a.store.Version(ctx, version)
		if err != nil {
			return nil, err
		}
		if rec, err = readVersion(v); err != nil {
			return nil, nil
		}
		a.gists.of[version] = rec
	}
	return &rec, nil
}

func inALine(r recipe.Recipe, lib *material.Library) string {
	var fats []string
	for i, f := range r.Fats {
		name := nameOf(f.Material, lib)
		if i > 0 {
			name = lowerFirst(name)
		}
		switch {
		case f.Share != nil:
			name += " " + strings.TrimSuffix(f.Share.String(), " %")
		case f.Amount != nil:
			name += " " + f.Amount.String()
		}
		fats = append(fats, name)
	}
	line := strings.Join(fats, ", ")
	for _, x := range r.Additions {
		line += ", " + lowerFirst(nameOf(x.Material, lib))
	}
	if r.Superfat != nil {
		line += fmt.Sprintf(" · superfat %s", r.Superfat)
	}
	return line
}

// recipeLine is a recipe of the list.
type recipeLine struct {
	store.Recipe
	Gist string
}

func (a *App) recipeLines(ctx context.Context, found []store.Recipe) ([]recipeLine, error) {
	lib, err := a.library(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]recipeLine, len(found))
	for i, r := range found {
		out[i].Recipe = r
		if out[i].Gist, err = a.gist(ctx, r.Head, lib); err != nil {
			return nil, err
		}
	}
	return out, nil
}
