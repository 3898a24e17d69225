package store_test

import (
	"database/sql"
	"testing"
	"time"

	"barwright/internal/pgtest"
	"barwright/store"
)

// What is read in several steps is of one moment: what somebody saves between
// two of the steps is in none of them. The reader is held up in the middle by a
// lock on the table it reads last, which PostgreSQL tells of.
func TestReadAtOneMoment(t *testing.T) {
	t.Parallel()
	for table, read := range map[string]func(*testing.T, *store.Store){
		"thing": func(t *testing.T, s *store.Store) { // after recipes and versions
			if w, err := s.Everything(t.Context()); err != nil || len(w.Things) != 1 || len(w.Recipes) != 1 || len(w.Recipes[0].Versions) != 2 {
				t.Errorf("%d recipes and %d things, want one of each; %v", len(w.Recipes), len(w.Things), err)
			}
		},
		"event": func(t *testing.T, s *store.Store) { // after its batch, which counts them
			if events, err := s.Events(t.Context(), "b"); err != nil || len(events) != 2 {
				t.Errorf("%d events, %v", len(events), err)
			}
		},
	} {
		t.Run(table, func(t *testing.T) {
			t.Parallel()
			address := pgtest.Database(t)
			s := open(t, address)
			full(t, s)
			other := open(t, address)
			hold, err := other.DB().BeginTx(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			defer hold.Rollback()
			must := func(statement string, args ...any) {
				t.Helper()
				if _, err := hold.ExecContext(t.Context(), statement, args...); err != nil {
					t.Fatal(err)
				}
			}
			must(`LOCK TABLE ` + table + ` IN ACCESS EXCLUSIVE MODE`)
			done := make(chan struct{})
			go func() {
				defer close(done)
				read(t, s)
			}()
			waitForReader(t, other.DB(), done)
			must(`INSERT INTO thing SELECT kind, 'another', 1, 1, body, gone, made_at, made_by, 'seal' FROM thing WHERE rev = 1`)
			must(`UPDATE batch SET events = 3`)
			must(`INSERT INTO event SELECT batch, 3, 'another', device, 3, body, arrived_at, 'seal' FROM event WHERE arrival = 1`)
			if err := hold.Commit(); err != nil {
				t.Fatal(err)
			}
			<-done
		})
	}
}

// waitForReader returns when somebody waits for a lock in this database.
func waitForReader(t *testing.T, db *sql.DB, done <-chan struct{}) {
	t.Helper()
	for {
		var waiting int
		err := db.QueryRowContext(t.Context(), `SELECT COUNT(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`).Scan(&waiting)
		if err != nil {
			t.Fatal(err)
		}
		if waiting > 0 {
			return
		}
		select {
		case <-done:
			t.Fatal("the reader never came to the lock")
		case <-time.After(time.Millisecond):
		}
	}
}
