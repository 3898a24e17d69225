package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"barwright/share"
)

// Everything returns the whole workshop: all recipes with all versions, put
// away or not, and every thing as it is now.
func (s *Store) Everything(ctx context.Context) (share.Workshop, error) {
	var w share.Workshop
	for _, archived := range []bool{false, true} {
		recipes, err := s.Recipes(ctx, Search{Archived: archived})
		if err != nil {
			return w, err
		}
		for _, r := range recipes {
			shared, err := s.shared(ctx, r)
			if err != nil {
				return w, err
			}
			w.Recipes = append(w.Recipes, shared)
		}
	}
	sortByID(w.Recipes)
	for _, kind := range share.Kinds {
		things, err := s.Things(ctx, kind)
		if err != nil {
			return w, err
		}
		for _, t := range things {
			w.Things = append(w.Things, share.Thing{Kind: t.Kind, ID: t.ID, Body: t.Body})
		}
	}
	return w, nil
}

func (s *Store) shared(ctx context.Context, r Recipe) (share.Recipe, error) {
	out := share.Recipe{ID: r.ID, Name: r.Name, Tags: r.Tags, Archived: r.Archived}
	versions, err := s.Versions(ctx, r.ID)
	if err != nil {
		return out, err
	}
	numbers := map[string]int{}
	for i := range versions {
		v := versions[len(versions)-1-i] // the first one first
		numbers[v.ID] = v.Number
		out.Versions = append(out.Versions, share.Version{Number: v.Number, Parent: numbers[v.Parent], Reason: v.Reason, MadeAt: v.MadeAt, MadeBy: v.MadeBy, Body: v.Body})
	}
	return out, nil
}

// Report says what an import did.
type Report struct {
	Recipes, Things int      // that came in
	Known           int      // that were there already, the same
	Renamed         []string // recipes whose id was taken by another: they came in as copies
	Kept            []string // things that are there otherwise: ours were kept
}

// Bring adds a workshop to this one. Nothing that is there is overwritten:
// what is there the same is skipped, a recipe whose id another one has comes in
// beside it, a thing that is there otherwise is left as it is. words returns
// what a recipe file can be searched by.
func (s *Store) Bring(ctx context.Context, w share.Workshop, now time.Time, newID func() string, words func(body string) string) (Report, error) {
	var rep Report
	for _, t := range w.Things {
		have, err := s.Thing(ctx, t.Kind, t.ID)
		switch {
		case errors.Is(err, ErrMissing):
			if _, err := s.SaveThing(ctx, Thing{Kind: t.Kind, ID: t.ID, Body: t.Body, MadeAt: now, MadeBy: "brought in"}); err != nil {
				return rep, err
			}
			rep.Things++
		case err != nil:
			return rep, err
		case have.Body == t.Body:
			rep.Known++
		default:
			rep.Kept = append(rep.Kept, fmt.Sprintf("%s %s", t.Kind, t.ID))
		}
	}
	for _, r := range w.Recipes {
		if err := s.bringRecipe(ctx, r, newID, words, &rep); err != nil {
			return rep, err
		}
	}
	return rep, nil
}

func (s *Store) bringRecipe(ctx context.Context, r share.Recipe, newID func() string, words func(string) string, rep *Report) error {
	have, err := s.Recipe(ctx, r.ID)
	switch {
	case errors.Is(err, ErrMissing):
	case err != nil:
		return err
	default:
		ours, err := s.shared(ctx, have)
		if err != nil {
			return err
		}
		if sameVersions(ours.Versions, r.Versions) {
			rep.Known++
			return nil
		}
		r.ID = newID()
		rep.Renamed = append(rep.Renamed, r.Name)
	}
	ids := make([]string, len(r.Versions)+1)
	for _, v := range r.Versions {
		ids[v.Number] = newID()
		saved := Version{ID: ids[v.Number], Recipe: r.ID, Parent: ids[v.Parent], Reason: v.Reason, Body: v.Body, MadeAt: v.MadeAt, MadeBy: v.MadeBy}
		if v.Number == 1 {
			err = s.NewRecipe(ctx, Recipe{ID: r.ID, Name: r.Name, Tags: r.Tags}, saved, words(v.Body))
		} else {
			_, err = s.SaveVersion(ctx, saved, r.Name, words(v.Body), true)
		}
		if err != nil {
			return err
		}
	}
	rep.Recipes++
	if !r.Archived.IsZero() {
		return s.SetArchived(ctx, r.ID, r.Archived)
	}
	return nil
}

func sameVersions(a, b []share.Version) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Body != b[i].Body || a[i].Reason != b[i].Reason || a[i].Parent != b[i].Parent {
			return false
		}
	}
	return true
}
