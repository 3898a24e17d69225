package store_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"barwright/batch"
	"barwright/store"
)

// stampUntilKilled stamps events one after the other and prints the number of
// each one that it was told is saved.
func stampUntilKilled(args []string) int {
	ctx := context.Background()
	s, err := openAt(ctx, args[0])
	if err != nil {
		return say(err)
	}
	for n := 1; ; n++ {
		added, err := s.AddEvents(ctx, "b", []batch.Event{note("phone", n)}, clock)
		if err != nil {
			return say(err)
		}
		if added == 1 {
			fmt.Println(n)
		}
	}
}

// A process that stamps all the time is killed at any moment, again and again:
// every tap it confirmed is there, in order, and at most one more. The device
// sends its whole queue again each time, and nothing counts twice.
func TestKilledWhileStamping(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newBatch(t, s, "b")
		s.Close()
		seed := rand.Uint64()
		t.Logf("seed %d", seed)
		random := rand.New(rand.NewPCG(seed, 1))
		confirmed := 0
		for range 6 {
			confirmed = max(confirmed, stampedUntilKilled(t, where, time.Duration(random.IntN(30_000))*time.Microsecond))
			s := open(t, where)
			events, err := s.Events(t.Context(), "b")
			if err != nil || len(events) < confirmed || len(events) > confirmed+1 {
				t.Fatalf("%d taps, %d were confirmed, %v", len(events), confirmed, err)
			}
			for i, e := range events {
				if d := cmp.Diff(note("phone", i+1), e); d != "" {
					t.Fatal(d)
				}
			}
			if filepath.IsAbs(where) {
				wantWhole(t, s)
			}
			confirmed = len(events)
			s.Close()
		}
	})
}

func stampedUntilKilled(t *testing.T, where string, after time.Duration) (last int) {
	t.Helper()
	cmd := as(t, "stamping", where)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if last == 0 {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
		if last, err = strconv.Atoi(lines.Text()); err != nil {
			t.Fatalf("%q", lines.Text())
		}
	}
	if err := cmd.Wait(); err == nil || cmd.ProcessState.Exited() {
		t.Fatalf("it ended by itself: %v", err)
	}
	untilGone(t, where)
	return last
}

// Acceptance story 4, the power cut: the time that is left after it is right to
// a second, because it derives from stamps on the disk.
func TestWindowAfterPowerCut(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		ctx := t.Context()
		s := open(t, where)
		start := towStart()
		start.AfterTrace = &batch.Seconds{Low: 100, Typical: 130, High: 180}
		if _, err := s.NewBatch(ctx, store.Batch{ID: "b", Start: start, MadeAt: clock}); err != nil {
			t.Fatal(err)
		}
		events := []batch.Event{tap("phone", 1, batch.Began{}), tap("phone", 40, batch.Stamped{Step: "combine"}), tap("phone", 100, batch.Stamped{Step: "trace"})}
		for _, e := range events {
			if _, err := s.AddEvents(ctx, "b", []batch.Event{e}, clock); err != nil {
				t.Fatal(err)
			}
		}
		s.Close()
		s = open(t, where)
		b, err := s.Batch(ctx, "b")
		if err != nil {
			t.Fatal(err)
		}
		back, err := s.Events(ctx, "b")
		if err != nil {
			t.Fatal(err)
		}
		st, err := batch.Replay(b.Start, back)
		if err != nil {
			t.Fatal(err)
		}
		now := events[2].At.Add(47 * time.Second)
		if w := st.At(now).Window; w == nil || w.Left != 83*time.Second || w.LeftLow != 53*time.Second || w.LeftHigh != 133*time.Second {
			t.Errorf("after the power cut: %+v", w)
		}
		if got := len(st.Events); got != 3 {
			t.Errorf("%d stamps", got)
		}
	})
}

// A changed figure of a batch, a changed tap and a missing one are found out,
// in use and in a backup.
func TestChangedTapIsFoundOut(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		for i, damage := range []string{
			`UPDATE event SET body = REPLACE(body, 'note 2', 'note 3') WHERE arrival = 2`, `UPDATE event SET arrival = 7 WHERE arrival = 2`,
			`DELETE FROM event WHERE arrival = 2`, `UPDATE batch SET start = REPLACE(start, '350', '360')`, `UPDATE batch SET code = 'kotum'`,
		} {
			dir := where
			if filepath.IsAbs(where) {
				dir = t.TempDir()
			}
			s := open(t, dir)
			id := fmt.Sprintf("b%d", i)
			newBatch(t, s, id)
			if _, err := s.AddEvents(t.Context(), id, []batch.Event{note("p", 1), note("p", 2), note("p", 3)}, clock); err != nil {
				t.Fatal(err)
			}
			if _, err := s.DB().ExecContext(t.Context(), damage); err != nil {
				t.Fatal(err)
			}
			_, err := s.Events(t.Context(), id)
			wantTrouble(t, err, "has changed on the disk", "barwright restore")
			s.Close()
			if filepath.IsAbs(where) {
				wantTrouble(t, store.Check(t.Context(), filepath.Join(dir, store.File)), "is damaged", "another file")
				continue
			}
			s = open(t, dir)
			for _, table := range []string{"event", "batch"} {
				if _, err := s.DB().ExecContext(t.Context(), `DELETE FROM `+table); err != nil {
					t.Fatal(err)
				}
			}
			s.Close()
		}
	})
}

// A workshop of the program before, without the tables of batches, opens with
// all it has, and takes batches; so does its backup.
func TestOlderWorkshop(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newRecipe(t, s, "r", "Plain")
		for _, statement := range []string{`DROP TABLE event`, `DROP TABLE batch`, `DELETE FROM goose_db_version WHERE version_id = 2`} {
			if _, err := s.DB().ExecContext(t.Context(), statement); err != nil {
				t.Fatal(err)
			}
		}
		s.Close()
		if filepath.IsAbs(where) {
			if err := store.Check(t.Context(), filepath.Join(where, store.File)); err != nil {
				t.Errorf("its backup: %v", err)
			}
		}
		s = open(t, where)
		wantThere(t, s, "r-1")
		b := newBatch(t, s, "b")
		if n, err := s.AddEvents(t.Context(), b.ID, []batch.Event{note("p", 1)}, clock); err != nil || n != 1 {
			t.Errorf("%d, %v", n, err)
		}
	})
}
