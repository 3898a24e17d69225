package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Thing is one revision of a thing of the workshop: a mould, a place, a scale,
// a material, a lot, the workshop itself. Body is its TOML.
type Thing struct {
	Kind   string
	ID     string
	Rev    int
	Body   string
	Gone   bool // this revision puts it away
	MadeAt time.Time
	MadeBy string
}

// SaveThing saves the next revision. t.Rev is the revision the person worked
// from, 0 for a new thing; when it is no longer the newest, ErrChanged is
// returned and nothing is saved. The saved revision is returned.
func (s *Store) SaveThing(ctx context.Context, t Thing) (Thing, error) {
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE thing SET newest = 0 WHERE kind = $1 AND id = $2 AND newest = 1 AND rev = $3`, t.Kind, t.ID, t.Rev)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || (t.Rev > 0) != (n == 1) {
			return errors.Join(ErrChanged, err)
		}
		t.Rev++
		var taken int
		if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM thing WHERE kind = $1 AND id = $2 AND rev >= $3`, t.Kind, t.ID, t.Rev).Scan(&taken); err != nil {
			return err
		}
		if taken > 0 {
			return ErrChanged
		}
		gone := 0
		if t.Gone {
			gone = 1
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO thing (kind, id, rev, newest, body, gone, made_at, made_by) VALUES ($1, $2, $3, 1, $4, $5, $6, $7)`,
			t.Kind, t.ID, t.Rev, t.Body, gone, milli(t.MadeAt), t.MadeBy)
		return err
	})
	return t, err
}

const selectThing = `SELECT kind, id, rev, body, gone, made_at, made_by FROM thing`

func scanThing(r row) (Thing, error) {
	var t Thing
	var gone int
	var made int64
	err := r.Scan(&t.Kind, &t.ID, &t.Rev, &t.Body, &gone, &made, &t.MadeBy)
	if errors.Is(err, sql.ErrNoRows) {
		return t, ErrMissing
	}
	t.Gone, t.MadeAt = gone == 1, fromMilli(made)
	return t, err
}

// Things returns the newest revision of every thing of a kind that was not put
// away, by id.
func (s *Store) Things(ctx context.Context, kind string) ([]Thing, error) {
	rows, err := s.db.QueryContext(ctx, selectThing+` WHERE kind = $1 AND newest = 1 AND gone = 0 ORDER BY id`, kind)
	return collect(rows, err, scanThing)
}

// Thing returns the newest revision of one thing, put away or not, or
// ErrMissing.
func (s *Store) Thing(ctx context.Context, kind, id string) (Thing, error) {
	t, err := scanThing(s.db.QueryRowContext(ctx, selectThing+` WHERE kind = $1 AND id = $2 AND newest = 1`, kind, id))
	return t, trouble(err)
}

// History returns every revision of one thing, the newest first.
func (s *Store) History(ctx context.Context, kind, id string) ([]Thing, error) {
	rows, err := s.db.QueryContext(ctx, selectThing+` WHERE kind = $1 AND id = $2 ORDER BY rev DESC`, kind, id)
	return collect(rows, err, scanThing)
}
