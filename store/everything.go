package store

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"strings"

	"barwright/share"
)

// Everything returns the whole workshop: all recipes with all versions and all
// things with all revisions, put away or not, by their ids.
func (s *Store) Everything(ctx context.Context) (share.Workshop, error) {
	var w share.Workshop
	err := s.atOneMoment(ctx, func(tx *sql.Tx) error {
		recipes, err := all(ctx, tx, selectRecipe, scanRecipe, func(a, b Recipe) int { return strings.Compare(a.ID, b.ID) })
		if err != nil {
			return err
		}
		versions, err := all(ctx, tx, selectVersion, scanVersion, func(a, b Version) int { return cmp.Compare(a.Number, b.Number) })
		if err != nil {
			return err
		}
		things, err := all(ctx, tx, selectThing, scanThing, func(a, b Thing) int {
			return cmp.Or(strings.Compare(a.Kind, b.Kind), strings.Compare(a.ID, b.ID), cmp.Compare(a.Rev, b.Rev))
		})
		if err != nil {
			return err
		}
		w = share.Workshop{Recipes: sharedRecipes(recipes, versions), Things: sharedThings(things)}
		w.Batches, err = sharedBatches(ctx, tx)
		return err
	})
	return w, err
}

// atOneMoment lets f read what is there at one moment, while others go on
// saving.
func (s *Store) atOneMoment(ctx context.Context, f func(tx *sql.Tx) error) error {
	o := &sql.TxOptions{ReadOnly: true}
	if s.lock == nil {
		o.Isolation = sql.LevelRepeatableRead // PostgreSQL else shows a new moment at every query
	}
	tx, err := s.db.BeginTx(ctx, o)
	if err != nil {
		return trouble(err)
	}
	defer tx.Rollback() // there is nothing to keep
	return trouble(f(tx))
}

// all reads a whole table, in an order of our own: databases sort by language.
func all[T any](ctx context.Context, tx *sql.Tx, query string, scan func(row) (T, error), order func(a, b T) int) ([]T, error) {
	rows, err := tx.QueryContext(ctx, query)
	found, err := collect(rows, err, scan)
	slices.SortFunc(found, order)
	return found, err
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
		return addBatches(ctx, tx, a)
	})
}

func addRecipe(ctx context.Context, tx *sql.Tx, r share.Recipe, words func(string) string) error {
	newest := r.Versions[len(r.Versions)-1]
	res, err := tx.ExecContext(ctx, `INSERT INTO recipe (id, name, words, tags, head, versions, archived, changed_at) VALUES ($1, $2, $3, $4, '', 0, $5, $6) ON CONFLICT DO NOTHING`,
		r.ID, r.Name, searchable(r.Name, r.Tags, words(newest.Body)), joinTags(r.Tags), milli(r.Archived), milli(newest.MadeAt))
	if err := changed(res, err); err != nil {
		return err
	}
	return addVersions(ctx, tx, r, 0, words)
}

// addVersions adds versions to a recipe that is there and has so many.
func addVersions(ctx context.Context, tx *sql.Tx, r share.Recipe, after int, words func(string) string) error {
	// Writing first makes a second one wait here.
	have, err := scanRecipe(tx.QueryRowContext(ctx, `UPDATE recipe SET versions = versions WHERE id = $1 RETURNING `+recipeColumns, r.ID))
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
		if err := keepable(r.Name, saved.Reason, saved.Body, saved.MadeBy); err != nil {
			return err
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
		made := Thing{Kind: t.Kind, ID: t.ID, Rev: i + 1, Body: r.Body, Gone: r.Gone, MadeAt: r.MadeAt, MadeBy: r.MadeBy}
		if err := keepable(made.Kind, made.ID, made.Body, made.MadeBy); err != nil {
			return err
		}
		if err := insertThing(ctx, tx, made, i == len(t.Revisions)-1); err != nil {
			return err
		}
	}
	return nil
}
