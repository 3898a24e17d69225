package store_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"barwright/store"
)

// saveUntilKilled saves versions one after the other and prints the id of each
// one that it was told is saved.
func saveUntilKilled(args []string) int {
	ctx := context.Background()
	s, err := openAt(ctx, args[0])
	if err != nil {
		return say(err)
	}
	r, err := s.Recipe(ctx, "r")
	if err != nil {
		return say(err)
	}
	parent := r.Head
	for n := r.Versions + 1; ; n++ {
		id := fmt.Sprintf("r-%d", n)
		if _, err := s.SaveVersion(ctx, store.Version{ID: id, Recipe: "r", Parent: parent, Body: bodyOf(id), MadeAt: clock}, "Plain", "olive", false); err != nil {
			return say(err)
		}
		fmt.Println(id)
		parent = id
	}
}

// A process that saves all the time is killed at any moment, again and again:
// every version it said is saved is there afterwards, whole, and at most one
// more, which was saved and not yet said.
func TestKilled(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newRecipe(t, s, "r", "Plain")
		if !filepath.IsAbs(where) {
			slowCommits(t, s)
		}
		s.Close()
		seed := rand.Uint64()
		t.Logf("seed %d", seed)
		random := rand.New(rand.NewPCG(seed, 0))
		total := 0
		for range 10 {
			saved := killed(t, where, time.Duration(random.IntN(30_000))*time.Microsecond)
			total += len(saved)
			s := open(t, where)
			wantThere(t, s, saved...)
			all, err := s.Versions(t.Context(), "r")
			r, errR := s.Recipe(t.Context(), "r")
			if err != nil || errR != nil || len(all) < total+1 || r.Versions != len(all) || r.Head != all[0].ID {
				t.Fatalf("%d versions, %d were said to be saved, the newest %s; %v %v", len(all), total+1, r.Head, err, errR)
			}
			total = len(all) - 1
			for _, v := range all {
				wantThere(t, s, v.ID)
			}
			if filepath.IsAbs(where) {
				wantWhole(t, s)
			}
			s.Close()
		}
	})
}

// slowCommits makes PostgreSQL as slow as on a machine with much else to do: a
// client that is killed has then often begun what the server is still to end.
func slowCommits(t *testing.T, s *store.Store) {
	t.Helper()
	if _, err := s.DB().ExecContext(t.Context(), `
		CREATE FUNCTION slow() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN PERFORM pg_sleep(0.02); RETURN NULL; END';
		CREATE CONSTRAINT TRIGGER slow AFTER INSERT ON version DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION slow()`); err != nil {
		t.Fatal(err)
	}
}

// killed lets a process save, kills it some time after its first version, and
// returns what it said is saved.
func killed(t *testing.T, where string, after time.Duration) (saved []string) {
	t.Helper()
	cmd := as(t, "saving", where)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if len(saved) == 0 {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
		saved = append(saved, lines.Text())
	}
	if err := cmd.Wait(); err == nil || cmd.ProcessState.Exited() {
		t.Fatalf("it ended by itself: %v, %q", err, saved)
	}
	untilGone(t, where)
	return saved
}

// untilGone returns when nobody is connected to a PostgreSQL database any more.
// The server ends what a client had begun before it notices that the client is
// dead: until then a version can still come in.
func untilGone(t *testing.T, where string) {
	t.Helper()
	if filepath.IsAbs(where) {
		return
	}
	db, err := sql.Open("pgx", where)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	for others := 1; others > 0; {
		err := db.QueryRowContext(t.Context(), `SELECT COUNT(*) FROM pg_stat_activity WHERE datname = current_database() AND backend_type = 'client backend' AND pid <> pg_backend_pid()`).Scan(&others)
		if err != nil {
			t.Fatal(err)
		}
	}
}
