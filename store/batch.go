package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"barwright/batch"
)

// Batch is one batch of the workshop, without its events.
type Batch struct {
	ID     string
	Number int    // from 0; NewBatch gives it
	Code   string // made of the number
	Recipe string // id of the recipe it was made from, "" when none is kept
	Start  batch.Start
	MadeAt time.Time
	MadeBy string
	Events int // how many there are
}

// ErrOther is an event whose id, or whose number on its device, another event
// has already.
var ErrOther = errors.New("another event has this id or this number")

// triesForNumber is how often a number is asked for when others take it at the
// same time.
const triesForNumber = 100

// NewBatch saves a batch and gives it the next number and its code. b.ID is the
// caller's.
func (s *Store) NewBatch(ctx context.Context, b Batch) (Batch, error) {
	if err := keepable(b.ID, b.Recipe, b.Start.Name, b.MadeBy, string(b.Start.Print())); err != nil {
		return b, err
	}
	err := s.inTx(ctx, func(tx *sql.Tx) error {
		for range triesForNumber {
			if err := tx.QueryRowContext(ctx, `SELECT COALESCE(MAX(number), -1) + 1 FROM batch`).Scan(&b.Number); err != nil {
				return err
			}
			b.Code, b.Events = batch.Code(b.Number), 0
			switch err := insertBatch(ctx, tx, b); {
			case err == nil:
				return nil
			case !errors.Is(err, ErrChanged):
				return err
			}
			var n int
			if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM batch WHERE id = $1`, b.ID).Scan(&n); err != nil || n > 0 {
				return errors.Join(err, ErrChanged)
			}
		}
		return &Trouble{"too many batches were begun at the same moment", "try again", nil}
	})
	return b, err
}

// insertBatch saves a batch; ErrChanged when its id, number or code is taken.
func insertBatch(ctx context.Context, tx *sql.Tx, b Batch) error {
	res, err := tx.ExecContext(ctx, `INSERT INTO batch (id, code, number, name, recipe, start, made_at, made_by, events, seal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, 0, $9) ON CONFLICT DO NOTHING`,
		b.ID, b.Code, b.Number, b.Start.Name, b.Recipe, string(b.Start.Print()), milli(b.MadeAt), b.MadeBy, b.seal(string(b.Start.Print())))
	return changed(res, err)
}

func (b Batch) seal(start string) string {
	return seal(b.ID, b.Code, b.Number, b.Start.Name, b.Recipe, start, milli(b.MadeAt), b.MadeBy)
}

const (
	batchColumns = `id, code, number, name, recipe, start, made_at, made_by, events, seal`
	selectBatch  = `SELECT ` + batchColumns + ` FROM batch`
)

func scanBatch(r row) (Batch, error) {
	var b Batch
	var name, start, sealed string
	var made int64
	err := r.Scan(&b.ID, &b.Code, &b.Number, &name, &b.Recipe, &start, &made, &b.MadeBy, &b.Events, &sealed)
	if errors.Is(err, sql.ErrNoRows) {
		return b, ErrMissing
	}
	if err != nil {
		return b, err
	}
	b.MadeAt, b.Start.Name = fromMilli(made), name
	if sealed != b.seal(start) {
		return b, broken("batch " + b.Code)
	}
	if err := json.Unmarshal([]byte(start), &b.Start); err != nil {
		return b, broken("batch " + b.Code)
	}
	return b, nil
}

// Batches returns every batch, the newest first.
func (s *Store) Batches(ctx context.Context) ([]Batch, error) {
	rows, err := s.db.QueryContext(ctx, selectBatch+` ORDER BY number DESC`)
	return collect(rows, err, scanBatch)
}

// Batch returns one batch by its id, or ErrMissing.
func (s *Store) Batch(ctx context.Context, id string) (Batch, error) {
	b, err := scanBatch(s.db.QueryRowContext(ctx, selectBatch+` WHERE id = $1`, id))
	return b, trouble(err)
}

// BatchByCode returns one batch by its code, or ErrMissing.
func (s *Store) BatchByCode(ctx context.Context, code string) (Batch, error) {
	b, err := scanBatch(s.db.QueryRowContext(ctx, selectBatch+` WHERE code = $1`, code))
	return b, trouble(err)
}

// AddEvents adds events to a batch, all of them or none, in the order given,
// and returns how many were new. One that is there already, the same, is no
// news; one whose id or number another event has is ErrOther. at is when they
// arrived.
func (s *Store) AddEvents(ctx context.Context, id string, events []batch.Event, at time.Time) (added int, err error) {
	return s.AddToBatches(ctx, []Taps{{id, events}}, at)
}

// Taps are events for one batch.
type Taps struct {
	Batch  string
	Events []batch.Event
}

// AddToBatches adds events to several batches as AddEvents does to one: all of
// them or none.
func (s *Store) AddToBatches(ctx context.Context, all []Taps, at time.Time) (added int, err error) {
	all = slices.SortedStableFunc(slices.Values(all), func(a, b Taps) int { // in one order: two people never wait for each other
		return strings.Compare(a.Batch, b.Batch)
	})
	bodies := make([][]string, len(all))
	for i, taps := range all {
		if bodies[i], err = bodiesOf(taps.Events); err != nil {
			return 0, err
		}
	}
	err = s.inTx(ctx, func(tx *sql.Tx) error {
		added = 0
		for i, taps := range all {
			n, err := addEvents(ctx, tx, taps.Batch, taps.Events, bodies[i], at)
			if err != nil {
				return err
			}
			added += n
		}
		return nil
	})
	if err != nil {
		added = 0
	}
	return added, err
}

// bodiesOf are events as they are kept.
func bodiesOf(events []batch.Event) ([]string, error) {
	bodies := make([]string, len(events))
	for i, e := range events {
		if err := e.Check(); err != nil {
			return nil, err
		}
		text, err := json.Marshal(e)
		if err != nil {
			return nil, err
		}
		bodies[i] = string(text)
	}
	return bodies, keepable(bodies...)
}

func addEvents(ctx context.Context, tx *sql.Tx, id string, events []batch.Event, bodies []string, at time.Time) (added int, err error) {
	// Writing to the batch first makes a second device wait here.
	var have int
	err = tx.QueryRowContext(ctx, `UPDATE batch SET events = events WHERE id = $1 RETURNING events`, id).Scan(&have)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, ErrMissing
	}
	if err != nil {
		return 0, err
	}
	for i, e := range events {
		isNew, err := addEvent(ctx, tx, event{id, have + added + 1, e, bodies[i], at})
		if err != nil {
			return 0, fmt.Errorf("event %s: %w", e.ID, err)
		}
		if isNew {
			added++
		}
	}
	_, err = tx.ExecContext(ctx, `UPDATE batch SET events = $1 WHERE id = $2`, have+added, id)
	return added, err
}

// event is a row of the table.
type event struct {
	batch   string
	arrival int
	batch.Event
	body string
	at   time.Time
}

func (e event) seal() string {
	return seal(e.batch, e.arrival, e.ID, e.Device, e.Seq, e.body, milli(e.at))
}

func addEvent(ctx context.Context, tx *sql.Tx, e event) (isNew bool, err error) {
	res, err := tx.ExecContext(ctx, `INSERT INTO event (batch, arrival, id, device, seq, body, arrived_at, seal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT DO NOTHING`,
		e.batch, e.arrival, e.ID, e.Device, e.Seq, e.body, milli(e.at), e.seal())
	switch err := changed(res, err); {
	case err == nil:
		return true, nil
	case !errors.Is(err, ErrChanged):
		return false, err
	}
	var body string
	err = tx.QueryRowContext(ctx, `SELECT body FROM event WHERE batch = $1 AND id = $2`, e.batch, e.ID).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) || err == nil && body != e.body {
		return false, ErrOther
	}
	return false, err
}

const selectEvent = `SELECT batch, arrival, id, device, seq, body, arrived_at, seal FROM event`

func scanEvent(r row) (event, error) {
	var e event
	var arrived int64
	var sealed string
	if err := r.Scan(&e.batch, &e.arrival, &e.ID, &e.Device, &e.Seq, &e.body, &arrived, &sealed); err != nil {
		return e, err
	}
	e.at = fromMilli(arrived)
	if sealed != e.seal() {
		return e, broken("a tap of a batch")
	}
	read, err := batch.ParseEvent([]byte(e.body))
	if err != nil {
		return e, &Trouble{"a tap of a batch cannot be read: " + err.Error(), "it was saved by a newer barwright; use that one", err}
	}
	e.Event = read
	return e, nil
}

// Events returns every event of a batch in the order they arrived. One that is
// no longer there is found out. A batch that is not there is ErrMissing.
func (s *Store) Events(ctx context.Context, id string) (out []batch.Event, err error) {
	err = s.atOneMoment(ctx, func(tx *sql.Tx) error {
		out, err = eventsOf(ctx, tx, id)
		return err
	})
	return out, err
}

func eventsOf(ctx context.Context, tx *sql.Tx, id string) ([]batch.Event, error) {
	b, err := scanBatch(tx.QueryRowContext(ctx, selectBatch+` WHERE id = $1`, id))
	if err != nil {
		return nil, err
	}
	found, err := rowsOf(ctx, tx, b)
	out := make([]batch.Event, len(found))
	for i, e := range found {
		out[i] = e.Event
	}
	return out, err
}

// rowsOf returns the events of a batch in the order they arrived, all of them.
func rowsOf(ctx context.Context, tx *sql.Tx, b Batch) ([]event, error) {
	rows, err := tx.QueryContext(ctx, selectEvent+` WHERE batch = $1 ORDER BY arrival`, b.ID)
	found, err := collect(rows, err, scanEvent)
	if err == nil && len(found) != b.Events {
		err = broken(fmt.Sprintf("batch %s, of whose %d taps %d are there,", b.Code, b.Events, len(found)))
	}
	return found, err
}

// Taps returns how many events every batch has, by its id: whether anything
// came since somebody looked. It reads no batch, so damage is not found here.
func (s *Store) Taps(ctx context.Context) (map[string]int, error) {
	type count struct {
		id string
		n  int
	}
	rows, err := s.db.QueryContext(ctx, `SELECT id, events FROM batch`)
	found, err := collect(rows, err, func(r row) (c count, err error) { return c, r.Scan(&c.id, &c.n) })
	out := map[string]int{}
	for _, c := range found {
		out[c.id] = c.n
	}
	return out, err
}
