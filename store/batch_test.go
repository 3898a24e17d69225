package store_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"barwright/batch"
	"barwright/material"
	"barwright/recipe"
	"barwright/store"
)

// towStart is a batch of Plain Tow.
var towStart = sync.OnceValue(func() batch.Start {
	data, err := os.ReadFile("../recipes/plain-tow.toml")
	if err != nil {
		panic(err)
	}
	r, err := recipe.Parse("plain-tow", data, material.Builtin())
	if err != nil {
		panic(err)
	}
	s, err := batch.NewStart(r, material.Builtin())
	if err != nil {
		panic(err)
	}
	return s
})

var towSheet = sync.OnceValue(func() *batch.Sheet {
	sh, err := batch.New(towStart())
	if err != nil {
		panic(err)
	}
	return sh
})

func newBatch(tb testing.TB, s *store.Store, id string) store.Batch {
	tb.Helper()
	b, err := s.NewBatch(context.WithoutCancel(tb.Context()), store.Batch{ID: id, Recipe: "plain-tow", Start: towStart(), MadeAt: clock, MadeBy: "lead maker"})
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

// tap is the nth event of a device.
func tap(device string, n int, a batch.Action) batch.Event {
	return batch.Event{ID: fmt.Sprintf("%s-%d", device, n), Device: device, Seq: int64(n), At: clock.Add(time.Duration(n) * 2 * time.Second), By: "a maker", Do: a}
}

func note(device string, n int) batch.Event {
	return tap(device, n, batch.Noted{Text: fmt.Sprintf("note %d of %s, ÄÖ", n, device)})
}

func wantEvents(t testing.TB, s *store.Store, id string, want []batch.Event) {
	t.Helper()
	got, err := s.Events(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		t.Fatal(d)
	}
}

// Batches get codes in order; a batch reads back as it was, with what it was
// planned with.
func TestNewBatch(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		for n, id := range []string{"b-a", "b-b", "b-c"} {
			if b := newBatch(t, s, id); b.Number != n || b.Code != batch.Code(n) {
				t.Errorf("batch %d has number %d and code %s", n, b.Number, b.Code)
			}
		}
		b, err := s.BatchByCode(t.Context(), batch.Code(1))
		if err != nil || b.ID != "b-b" || !b.MadeAt.Equal(clock) {
			t.Errorf("%+v, %v", b, err)
		}
		if d := cmp.Diff(towStart(), b.Start); d != "" {
			t.Error(d)
		}
		if all, err := s.Batches(t.Context()); err != nil || len(all) != 3 || all[0].ID != "b-c" {
			t.Errorf("%d batches, %v", len(all), err)
		}
		if _, err := s.NewBatch(t.Context(), store.Batch{ID: "b-a", Start: towStart(), MadeAt: clock}); !errors.Is(err, store.ErrChanged) {
			t.Errorf("the same id again: %v", err)
		}
		_, errA := s.Batch(t.Context(), "nowhere")
		_, errB := s.Events(t.Context(), "nowhere")
		_, errC := s.AddEvents(t.Context(), "nowhere", []batch.Event{note("a", 1)}, clock)
		for _, err := range []error{errA, errB, errC} {
			if !errors.Is(err, store.ErrMissing) {
				t.Errorf("%v", err)
			}
		}
	})
}

// Many who begin a batch at once get a number each.
func TestManyBegin(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		done, _ := atOnce(t, func(i int) error {
			_, err := s.NewBatch(t.Context(), store.Batch{ID: fmt.Sprintf("b%d", i), Start: towStart(), MadeAt: clock})
			return err
		})
		all, err := s.Batches(t.Context())
		if err != nil || done != savers || len(all) != savers || all[0].Number != savers-1 {
			t.Errorf("%d of %d, %d there, %v", done, savers, len(all), err)
		}
	})
}

// The same event again is no news, another with its id or its number is an
// error, and then nothing of the whole comes in.
func TestAddEventsTwice(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		ctx := t.Context()
		s := open(t, where)
		newBatch(t, s, "b")
		newBatch(t, s, "other")
		first := []batch.Event{note("phone", 2), note("tablet", 1), note("phone", 1)} // as they arrive
		add := func(want int, events ...batch.Event) {
			t.Helper()
			if n, err := s.AddEvents(ctx, "b", events, clock); err != nil || n != want {
				t.Errorf("%d new, %v; want %d", n, err, want)
			}
		}
		add(3, first...)
		add(0, first...)
		add(1, first[1], note("phone", 3), note("phone", 3))
		all := append(slices.Clone(first), note("phone", 3))
		wantEvents(t, s, "b", all)

		otherText, otherID := note("phone", 1), note("phone", 1)
		otherText.Do = batch.Noted{Text: "another"}
		otherID.ID = "stranger"
		for _, bad := range []batch.Event{otherText, otherID} {
			if n, err := s.AddEvents(ctx, "b", []batch.Event{note("phone", 9), bad}, clock); !errors.Is(err, store.ErrOther) || n != 0 {
				t.Errorf("%d new, %v", n, err)
			}
		}
		unchecked := note("phone", 9)
		unchecked.Seq = 0
		if _, err := s.AddEvents(ctx, "b", []batch.Event{unchecked}, clock); err == nil {
			t.Error("an event without a number came in")
		}
		wantEvents(t, s, "b", all)
		if n, err := s.AddEvents(ctx, "other", first, clock); err != nil || n != 3 { // ids are a batch's own
			t.Errorf("%d, %v", n, err)
		}
		if b, err := s.Batch(ctx, "b"); err != nil || b.Events != 4 {
			t.Errorf("%d events, %v", b.Events, err)
		}
	})
}

// Two devices queue while they are offline and send in chunks, again and
// again, at the same time: all is there once, each in its order, and the state
// is that of one clean log.
func TestTwoDevicesQueues(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		var runs atomic.Int64
		rapid.Check(t, func(rt *rapid.T) {
			id := fmt.Sprintf("b%d", runs.Add(1))
			newBatch(t, s, id)
			var queues [2][]batch.Event
			for i, device := range []string{"phone", "tablet"} {
				for n := range rapid.IntRange(0, 8).Draw(rt, "taps") {
					queues[i] = append(queues[i], tap(device, n+1, drawTap(rt)))
				}
			}
			want := towSheet().Replay(slices.Concat(queues[0], queues[1]))
			var both sync.WaitGroup
			for _, queue := range queues {
				sends := [][]batch.Event{}
				for at := 0; at < len(queue); {
					from := rapid.IntRange(0, at).Draw(rt, "again from")
					at = min(len(queue), at+rapid.IntRange(1, 4).Draw(rt, "chunk"))
					sends = append(sends, queue[from:at])
				}
				both.Go(func() {
					for _, chunk := range sends {
						if _, err := s.AddEvents(t.Context(), id, chunk, clock); err != nil {
							t.Error(err)
						}
					}
				})
			}
			both.Wait()
			events, err := s.Events(t.Context(), id)
			if err != nil || len(events) != len(queues[0])+len(queues[1]) {
				rt.Fatalf("%d events, %v", len(events), err)
			}
			last := map[string]int64{}
			for _, e := range events {
				if e.Seq != last[e.Device]+1 {
					rt.Fatalf("%s arrived after number %d", e.ID, last[e.Device])
				}
				last[e.Device] = e.Seq
			}
			if d := cmp.Diff(want, towSheet().Replay(events), cmpopts.IgnoreUnexported(batch.State{}), cmpopts.IgnoreFields(batch.State{}, "Sheet")); d != "" {
				rt.Fatal(d)
			}
		})
	})
}

func drawTap(t *rapid.T) batch.Action {
	step := rapid.SampledFrom(towSheet().Steps).Draw(t, "step")
	if step.Weigh != nil {
		g := step.Weigh.G * rapid.SampledFrom([]float64{1, 1, 1.2}).Draw(t, "times")
		return batch.Weighed{Step: step.ID, G: &g}
	}
	return rapid.SampledFrom([]batch.Action{batch.Stamped{Step: step.ID}, batch.Reading{Of: "lye", C: 50}, batch.Undone{Of: "phone-1"}, batch.Noted{Text: "n"}}).Draw(t, "what")
}

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
