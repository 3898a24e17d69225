package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"
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
	if err := keepable(t.Kind, t.ID, t.Body, t.MadeBy); err != nil {
		return t, err
	}
	if t.Rev < 0 { // no revision that anybody can have seen
		return t, ErrChanged
	}
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		if t.Rev > 0 {
			res, err := tx.ExecContext(ctx, `UPDATE thing SET newest = 0 WHERE kind = $1 AND id = $2 AND rev = $3 AND newest = 1`, t.Kind, t.ID, t.Rev)
			if err := changed(res, err); err != nil {
				return err
			}
		}
		t.Rev++
		return insertThing(ctx, tx, t, true)
	})
	return t, err
}

// insertThing saves a revision. Of two who make the same new thing at once, the
// second finds it there.
func insertThing(ctx context.Context, tx *sql.Tx, t Thing, newest bool) error {
	res, err := tx.ExecContext(ctx, `INSERT INTO thing (kind, id, rev, newest, body, gone, made_at, made_by, seal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9) ON CONFLICT DO NOTHING`,
		t.Kind, t.ID, t.Rev, flag(newest), t.Body, flag(t.Gone), milli(t.MadeAt), t.MadeBy, t.seal())
	return changed(res, err)
}

func (t Thing) seal() string {
	return seal(t.Kind, t.ID, t.Rev, t.Body, t.Gone, milli(t.MadeAt), t.MadeBy)
}

const selectThing = `SELECT kind, id, rev, body, gone, made_at, made_by, seal FROM thing`

func scanThing(r row) (Thing, error) {
	var t Thing
	var gone int
	var made int64
	var sealed string
	err := r.Scan(&t.Kind, &t.ID, &t.Rev, &t.Body, &gone, &made, &t.MadeBy, &sealed)
	if errors.Is(err, sql.ErrNoRows) {
		return t, ErrMissing
	}
	t.Gone, t.MadeAt = gone == 1, fromMilli(made)
	if err == nil && sealed != t.seal() {
		err = broken("a " + t.Kind)
	}
	return t, err
}

// Things returns the newest revision of every thing of a kind that was not put
// away, by id.
func (s *Store) Things(ctx context.Context, kind string) ([]Thing, error) {
	rows, err := s.db.QueryContext(ctx, selectThing+` WHERE kind = $1 AND newest = 1 AND gone = 0`, kind)
	things, err := collect(rows, err, scanThing)
	slices.SortFunc(things, func(a, b Thing) int { return strings.Compare(a.ID, b.ID) }) // databases sort by language
	return things, err
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
