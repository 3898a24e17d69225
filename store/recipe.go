package store

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"strconv"
	"strings"
	"time"
)

// Recipe is one recipe of the workshop, without its versions.
type Recipe struct {
	ID        string
	Name      string
	Tags      []string
	Head      string // id of the newest version
	Versions  int
	Archived  time.Time // zero while it is in use
	ChangedAt time.Time
}

// Version is one saved state of a recipe. It never changes.
type Version struct {
	ID     string
	Recipe string
	Number int
	Parent string // id of the version it was made from, "" for the first
	Reason string
	Body   string // the recipe file
	MadeAt time.Time
	MadeBy string
}

// NewRecipe saves a recipe's first version; ErrChanged when its id is taken.
// words is what it can be searched by, besides name and tags.
func (s *Store) NewRecipe(ctx context.Context, r Recipe, first Version, words string) error {
	if err := keepable(r.Name, strings.Join(r.Tags, " "), first.Reason, first.Body, first.MadeBy, words); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, `INSERT INTO recipe (id, name, words, tags, head, versions, changed_at) VALUES ($1, $2, $3, $4, $5, 1, $6) ON CONFLICT (id) DO NOTHING`,
			r.ID, r.Name, searchable(r.Name, r.Tags, words), joinTags(r.Tags), first.ID, milli(first.MadeAt))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return cmp.Or(err, ErrChanged)
		}
		first.Recipe, first.Number = r.ID, 1
		return insertVersion(ctx, tx, first)
	})
}

// SaveVersion saves the next version of a recipe. v.Parent is the version the
// person worked from; when it is no longer the newest, ErrChanged is returned
// and nothing is saved, unless branch is set: then the version is saved beside
// the newer one and becomes the newest. A parent that is no version of this
// recipe is ErrMissing. words is as in NewRecipe.
func (s *Store) SaveVersion(ctx context.Context, v Version, name, words string, branch bool) (Version, error) {
	if err := keepable(name, v.Reason, v.Body, v.MadeBy, words); err != nil {
		return v, err
	}
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		// Taking the number first makes a second saver wait here, and then see
		// what the first one saved.
		r, err := scanRecipe(tx.QueryRowContext(ctx, `UPDATE recipe SET versions = versions + 1 WHERE id = $1 RETURNING `+recipeColumns, v.Recipe))
		if err != nil {
			return err
		}
		if err := mayFollow(ctx, tx, r, v.Parent, branch); err != nil {
			return err
		}
		v.Number = r.Versions
		if err := insertVersion(ctx, tx, v); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE recipe SET name = $1, words = $2, head = $3, changed_at = $4 WHERE id = $5`,
			name, searchable(name, r.Tags, words), v.ID, milli(v.MadeAt), v.Recipe)
		return err
	})
	return v, err
}

// mayFollow reports whether a version made from parent may be the next one.
func mayFollow(ctx context.Context, tx *sql.Tx, r Recipe, parent string, branch bool) error {
	switch {
	case parent == r.Head, parent == "" && branch:
		return nil
	case !branch:
		return ErrChanged
	}
	var n int
	err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM version WHERE id = $1 AND recipe = $2`, parent, r.ID).Scan(&n)
	if err == nil && n == 0 {
		err = ErrMissing
	}
	return err
}

func insertVersion(ctx context.Context, tx *sql.Tx, v Version) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO version (id, recipe, number, parent, reason, body, made_at, made_by, seal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		v.ID, v.Recipe, v.Number, v.Parent, v.Reason, v.Body, milli(v.MadeAt), v.MadeBy, v.seal())
	return err
}

func (v Version) seal() string {
	return seal(v.ID, v.Recipe, v.Number, v.Parent, v.Reason, v.Body, milli(v.MadeAt), v.MadeBy)
}

const (
	recipeColumns = `id, name, tags, head, versions, archived, changed_at`
	selectRecipe  = `SELECT ` + recipeColumns + ` FROM recipe`
)

type row interface{ Scan(...any) error }

func scanRecipe(r row) (Recipe, error) {
	var out Recipe
	var tags string
	var archived, changed int64
	err := r.Scan(&out.ID, &out.Name, &tags, &out.Head, &out.Versions, &archived, &changed)
	if errors.Is(err, sql.ErrNoRows) {
		return out, ErrMissing
	}
	out.Tags, out.Archived, out.ChangedAt = strings.Fields(tags), fromMilli(archived), fromMilli(changed)
	return out, err
}

// Recipe returns one recipe, or ErrMissing.
func (s *Store) Recipe(ctx context.Context, id string) (Recipe, error) {
	r, err := scanRecipe(s.db.QueryRowContext(ctx, selectRecipe+` WHERE id = $1`, id))
	return r, trouble(err)
}

// Versions returns every version of a recipe, the newest first.
func (s *Store) Versions(ctx context.Context, recipe string) ([]Version, error) {
	rows, err := s.db.QueryContext(ctx, selectVersion+` WHERE recipe = $1 ORDER BY number DESC`, recipe)
	return collect(rows, err, scanVersion)
}

// Version returns one version, or ErrMissing.
func (s *Store) Version(ctx context.Context, id string) (Version, error) {
	v, err := scanVersion(s.db.QueryRowContext(ctx, selectVersion+` WHERE id = $1`, id))
	return v, trouble(err)
}

const selectVersion = `SELECT id, recipe, number, parent, reason, body, made_at, made_by, seal FROM version`

func scanVersion(r row) (Version, error) {
	var v Version
	var made int64
	var sealed string
	err := r.Scan(&v.ID, &v.Recipe, &v.Number, &v.Parent, &v.Reason, &v.Body, &made, &v.MadeBy, &sealed)
	if errors.Is(err, sql.ErrNoRows) {
		return v, ErrMissing
	}
	v.MadeAt = fromMilli(made)
	if err == nil && sealed != v.seal() {
		err = broken("version " + strconv.Itoa(v.Number) + " of a recipe")
	}
	return v, err
}

// SetArchived puts a recipe away at a time, or with the zero time takes it
// back.
func (s *Store) SetArchived(ctx context.Context, id string, at time.Time) error {
	err := s.change(ctx, `UPDATE recipe SET archived = $1 WHERE id = $2`, milli(at), id)
	if errors.Is(err, ErrChanged) {
		return ErrMissing
	}
	return err
}

// SetTags replaces the tags of a recipe by r.Tags. words is what r can be
// searched by, as in NewRecipe. When somebody saved a version since r was read,
// ErrChanged is returned and nothing is changed: these would be the wrong
// words.
func (s *Store) SetTags(ctx context.Context, r Recipe, words string) error {
	if err := keepable(strings.Join(r.Tags, " "), words); err != nil {
		return err
	}
	if _, err := s.Recipe(ctx, r.ID); err != nil {
		return err
	}
	return s.change(ctx, `UPDATE recipe SET tags = $1, words = $2 WHERE id = $3 AND head = $4`,
		joinTags(r.Tags), searchable(r.Name, r.Tags, words), r.ID, r.Head)
}

// change runs one statement that must find something to change.
func (s *Store) change(ctx context.Context, query string, args ...any) error {
	return s.inTx(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, query, args...)
		return changed(res, err)
	})
}
