package store

import (
	"context"
	"database/sql"

	"barwright/share"
)

// Everything returns the whole workshop: all recipes with all versions and all
// things with all revisions, put away or not, by their ids.
func (s *Store) Everything(ctx context.Context) (share.Workshop, error) {
	var w share.Workshop
	err := s.inTx(ctx, func(tx *sql.Tx) error { // one moment, while others go on saving
		recipes, err := all(ctx, tx, selectRecipe+` ORDER BY id`, scanRecipe)
		if err != nil {
			return err
		}
		versions, err := all(ctx, tx, selectVersion+` ORDER BY recipe, number`, scanVersion)
		if err != nil {
			return err
		}
		things, err := all(ctx, tx, selectThing+` ORDER BY kind, id, rev`, scanThing)
		w = share.Workshop{Recipes: sharedRecipes(recipes, versions), Things: sharedThings(things)}
		return err
	})
	return w, err
}

func all[T any](ctx context.Context, tx *sql.Tx, query string, scan func(row) (T, error)) ([]T, error) {
	rows, err := tx.QueryContext(ctx, query)
	return collect(rows, err, scan)
}

// sharedRecipes gives every recipe its versions, which come in order.
func sharedRecipes(recipes []Recipe, versions []Version) []share.Recipe {
	numbers := map[string]int{}
	of := map[string][]share.Version{}
	for _, v := range versions {
		numbers[v.ID] = v.Number
		of[v.Recipe] = append(of[v.Recipe], share.Version{ID: v.ID, Parent: numbers[v.Parent], Reason: v.Reason, MadeAt: v.MadeAt, MadeBy: v.MadeBy, Body: v.Body})
	}
	out := make([]share.Recipe, len(recipes))
	for i, r := range recipes {
		out[i] = share.Recipe{ID: r.ID, Name: r.Name, Tags: r.Tags, Archived: r.Archived, Versions: of[r.ID]}
	}
	return out
}

// sharedThings puts the revisions of each thing together, which come in order.
func sharedThings(revisions []Thing) []share.Thing {
	var out []share.Thing
	for _, t := range revisions {
		if n := len(out); n == 0 || out[n-1].Kind != t.Kind || out[n-1].ID != t.ID {
			out = append(out, share.Thing{Kind: t.Kind, ID: t.ID})
		}
		last := &out[len(out)-1]
		last.Revisions = append(last.Revisions, share.Revision{Body: t.Body, Gone: t.Gone, MadeAt: t.MadeAt, MadeBy: t.MadeBy})
	}
	return out
}

// Add adds what share.Merge found to be new, all of it or nothing. words
// returns what a recipe file can be searched by. When somebody saved one of
// these meanwhile, ErrChanged is returned.
func (s *Store) Add(ctx context.Context, a share.Arrival, words func(body string) string) error {
	return s.inTx(ctx, func(tx *sql.Tx) error {
		for _, r := range a.Recipes {
			if err := addRecipe(ctx, tx, r, words); err != nil {
				return err
			}
		}
		for _, r := range a.Further {
			if err := addVersions(ctx, tx, r.Recipe, r.After, words); err != nil {
				return err
			}
		}
		for _, t := range a.Things {
			if err := addThing(ctx, tx, t); err != nil {
				return err
			}
		}
		return nil
	})
}

func addRecipe(ctx context.Context, tx *sql.Tx, r share.Recipe, words func(string) string) error {
	newest := r.Versions[len(r.Versions)-1]
	_, err := tx.ExecContext(ctx, `INSERT INTO recipe (id, name, words, tags, head, versions, archived, changed_at) VALUES ($1, $2, $3, $4, '', 0, $5, $6)`,
		r.ID, r.Name, searchable(r.Name, r.Tags, words(newest.Body)), joinTags(r.Tags), milli(r.Archived), milli(newest.MadeAt))
	if err != nil {
		return err
	}
	return addVersions(ctx, tx, r, 0, words)
}

// addVersions adds versions to a recipe that is there and has so many.
func addVersions(ctx context.Context, tx *sql.Tx, r share.Recipe, after int, words func(string) string) error {
	have, err := scanRecipe(tx.QueryRowContext(ctx, selectRecipe+` WHERE id = $1`, r.ID))
	if err != nil {
		return err
	}
	ids, err := versionIDs(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	if len(ids) != after {
		return ErrChanged
	}
	for _, v := range r.Versions {
		saved := Version{ID: v.ID, Recipe: r.ID, Number: len(ids) + 1, Reason: v.Reason, Body: v.Body, MadeAt: v.MadeAt, MadeBy: v.MadeBy}
		if v.Parent > 0 {
			saved.Parent = ids[v.Parent-1]
		}
		if err := insertVersion(ctx, tx, saved); err != nil {
			return err
		}
		ids = append(ids, v.ID)
	}
	newest := r.Versions[len(r.Versions)-1]
	_, err = tx.ExecContext(ctx, `UPDATE recipe SET name = $1, words = $2, head = $3, versions = $4, changed_at = $5 WHERE id = $6`,
		r.Name, searchable(r.Name, have.Tags, words(newest.Body)), newest.ID, len(ids), milli(newest.MadeAt), r.ID)
	return err
}

// versionIDs returns the ids of a recipe's versions, in the order of their
// numbers.
func versionIDs(ctx context.Context, tx *sql.Tx, recipe string) ([]string, error) {
	rows, err := tx.QueryContext(ctx, `SELECT id FROM version WHERE recipe = $1 ORDER BY number`, recipe)
	return collect(rows, err, func(r row) (id string, err error) {
		err = r.Scan(&id)
		return id, err
	})
}

// addThing adds a thing that is not there, with all its revisions.
func addThing(ctx context.Context, tx *sql.Tx, t share.Thing) error {
	for i, r := range t.Revisions {
		newest, gone := 0, 0
		if i == len(t.Revisions)-1 {
			newest = 1
		}
		if r.Gone {
			gone = 1
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO thing (kind, id, rev, newest, body, gone, made_at, made_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			t.Kind, t.ID, i+1, newest, r.Body, gone, milli(r.MadeAt), r.MadeBy)
		if err != nil {
			return err
		}
	}
	return nil
}
