package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
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

// NewRecipe saves a recipe's first version. words is what it can be searched
// by, besides name and tags.
func (s *Store) NewRecipe(ctx context.Context, r Recipe, first Version, words string) error {
	return s.inTx(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO recipe (id, name, words, tags, head, versions, changed_at) VALUES ($1, $2, $3, $4, $5, 1, $6)`,
			r.ID, r.Name, searchable(r.Name, r.Tags, words), joinTags(r.Tags), first.ID, milli(first.MadeAt))
		if err != nil {
			return err
		}
		first.Recipe, first.Number = r.ID, 1
		return insertVersion(ctx, tx, first)
	})
}

// SaveVersion saves the next version of a recipe. parent is the version the
// person worked from; when it is no longer the newest, ErrChanged is returned
// and nothing is saved, unless branch is set: then the version is saved beside
// the newer one and becomes the newest.
func (s *Store) SaveVersion(ctx context.Context, v Version, name, words string, branch bool) (Version, error) {
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		r, err := scanRecipe(tx.QueryRowContext(ctx, selectRecipe+` WHERE id = $1`, v.Recipe))
		if err != nil {
			return err
		}
		if r.Head != v.Parent && !branch {
			return ErrChanged
		}
		v.Number = r.Versions + 1
		// The condition makes a race of two savers end with one: the second finds
		// no row.
		res, err := tx.ExecContext(ctx, `UPDATE recipe SET name = $1, words = $2, head = $3, versions = versions + 1, changed_at = $4 WHERE id = $5 AND versions = $6`,
			name, searchable(name, r.Tags, words), v.ID, milli(v.MadeAt), v.Recipe, r.Versions)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n != 1 {
			return errors.Join(ErrChanged, err)
		}
		return insertVersion(ctx, tx, v)
	})
	return v, err
}

func insertVersion(ctx context.Context, tx *sql.Tx, v Version) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO version (id, recipe, number, parent, reason, body, made_at, made_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		v.ID, v.Recipe, v.Number, v.Parent, v.Reason, v.Body, milli(v.MadeAt), v.MadeBy)
	return err
}

const selectRecipe = `SELECT id, name, tags, head, versions, archived, changed_at FROM recipe`

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

// Search is what a list of recipes is narrowed by.
type Search struct {
	Words    string // every word must be in name, tags or what it is made of
	Tag      string
	Archived bool // those put away instead of those in use
	Limit    int  // 0 is all
}

// Recipes returns the recipes that match, last changed first.
func (s *Store) Recipes(ctx context.Context, q Search) ([]Recipe, error) {
	where, args := []string{"archived = 0"}, []any{}
	if q.Archived {
		where[0] = "archived > 0"
	}
	for _, w := range strings.Fields(strings.ToLower(q.Words)) {
		args = append(args, "%"+likeEscape.Replace(w)+"%")
		where = append(where, `words LIKE `+place(len(args))+` ESCAPE '!'`)
	}
	if q.Tag != "" {
		args = append(args, "% "+likeEscape.Replace(q.Tag)+" %")
		where = append(where, `tags LIKE `+place(len(args))+` ESCAPE '!'`)
	}
	sqlText := selectRecipe + ` WHERE ` + strings.Join(where, " AND ") + ` ORDER BY changed_at DESC, id`
	if q.Limit > 0 {
		args = append(args, q.Limit)
		sqlText += ` LIMIT ` + place(len(args))
	}
	rows, err := s.db.QueryContext(ctx, sqlText, args...)
	return collect(rows, err, scanRecipe)
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

const selectVersion = `SELECT id, recipe, number, parent, reason, body, made_at, made_by FROM version`

func scanVersion(r row) (Version, error) {
	var v Version
	var made int64
	err := r.Scan(&v.ID, &v.Recipe, &v.Number, &v.Parent, &v.Reason, &v.Body, &made, &v.MadeBy)
	if errors.Is(err, sql.ErrNoRows) {
		return v, ErrMissing
	}
	v.MadeAt = fromMilli(made)
	return v, err
}

// SetArchived puts a recipe away at a time, or with the zero time takes it
// back.
func (s *Store) SetArchived(ctx context.Context, id string, at time.Time) error {
	return s.changeOne(ctx, `UPDATE recipe SET archived = $1 WHERE id = $2`, milli(at), id)
}

// SetTags replaces the tags of a recipe. words is what it can be searched by.
func (s *Store) SetTags(ctx context.Context, r Recipe, words string) error {
	return s.changeOne(ctx, `UPDATE recipe SET tags = $1, words = $2 WHERE id = $3`, joinTags(r.Tags), searchable(r.Name, r.Tags, words), r.ID)
}

func (s *Store) changeOne(ctx context.Context, sqlText string, args ...any) error {
	res, err := s.db.ExecContext(ctx, sqlText, args...)
	if err != nil {
		return trouble(err)
	}
	if n, err := res.RowsAffected(); err != nil || n != 1 {
		return errors.Join(ErrMissing, err)
	}
	return nil
}

// Tags returns every tag in use, in alphabetical order.
func (s *Store) Tags(ctx context.Context) ([]string, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT DISTINCT tags FROM recipe WHERE archived = 0 AND tags <> ''`)
	lists, err := collect(rows, err, func(r row) (tags string, err error) { return tags, r.Scan(&tags) })
	var out []string
	for _, l := range lists {
		out = append(out, strings.Fields(l)...)
	}
	slices.Sort(out)
	return slices.Compact(out), err
}

// joinTags keeps tags one word each, in order, between spaces, so that one
// can be found by LIKE.
func joinTags(tags []string) string {
	if len(tags) == 0 {
		return ""
	}
	return " " + strings.Join(slices.Sorted(slices.Values(tags)), " ") + " "
}

func searchable(name string, tags []string, words string) string {
	return strings.ToLower(name + joinTags(tags) + " " + words)
}

var likeEscape = strings.NewReplacer("!", "!!", "%", "!%", "_", "!_")
