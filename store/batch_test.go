package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
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

// Events of several batches come in whole or not at all: also when the last
// batch of them is not there, or has another event of that number.
func TestAddToBatches(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newBatch(t, s, "b")
		newBatch(t, s, "other")
		add := func(all ...store.Taps) (int, error) { return s.AddToBatches(t.Context(), all, clock) }
		one := []batch.Event{note("phone", 1)}
		another := note("phone", 1)
		another.Do = batch.Noted{Text: "another"}
		if n, err := add(store.Taps{Batch: "b", Events: one}, store.Taps{Batch: "other", Events: []batch.Event{note("phone", 2), another, note("phone", 2)}}); err != nil || n != 3 {
			t.Fatalf("%d new, %v", n, err)
		}
		if n, err := add(store.Taps{Batch: "b", Events: []batch.Event{note("phone", 3)}}, store.Taps{Batch: "other", Events: one}); !errors.Is(err, store.ErrOther) || n != 0 {
			t.Errorf("%d new, %v", n, err)
		}
		if n, err := add(store.Taps{Batch: "b", Events: []batch.Event{note("phone", 3)}}, store.Taps{Batch: "nowhere", Events: one}); !errors.Is(err, store.ErrMissing) || n != 0 {
			t.Errorf("%d new, %v", n, err)
		}
		wantEvents(t, s, "b", one)
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
