package batch_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
)

const ms = time.Millisecond

func uncounted(s *batch.State) (out []string) {
	for _, u := range s.Uncounted {
		out = append(out, u.ID+": "+u.Why)
	}
	return out
}

// Two stamps of one device within 800 ms count once, whatever step the screen
// showed by then; at 800 ms both count; two devices are two hands.
func TestTwoTapsCountOnce(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	for after, both := range map[time.Duration]bool{1: false, 300 * ms: false, 799 * ms: false, 800 * ms: true, 5 * time.Second: true} {
		p := newPhone("a")
		p.do(0, batch.Tared{Vessel: "jug", G: 210})
		p.do(after, weighed("weigh.water", 247)) // the second half of a double tap, on the next screen
		st := with(t, start, p)
		if (st.Step("weigh.water").G != nil) != both {
			t.Errorf("after %v: %v", after, uncounted(st))
		}
	}
	a, b := newPhone("a"), newPhone("b")
	a.do(0, batch.Stamped{Step: "melt"})
	b.do(100*ms, batch.Stamped{Step: "mix"})
	if st := with(t, start, a, b); len(st.Uncounted) > 0 || !st.Step("melt").Done || !st.Step("mix").Done {
		t.Errorf("two devices: %v", uncounted(st))
	}
	// A stuttering switch: every 300 ms for three seconds; one in three counts,
	// and the same step counts once however often.
	p := newPhone("a")
	for range 10 {
		p.do(300*ms, batch.Stamped{Step: "melt"})
	}
	if st := with(t, start, p); len(st.Uncounted) != 6 || !st.Marks["melt"].At.Equal(nine.Add(300*ms)) {
		t.Errorf("stutter: %d left out, stamped %v", len(st.Uncounted), st.Marks["melt"].At)
	}
	// A call for help is never taken for the second half of a tap.
	p = newPhone("a")
	p.do(0, batch.Stamped{Step: "melt"})
	p.do(100*ms, batch.Emergency{What: "splash"})
	if st := with(t, start, p); len(st.Rinses) != 1 {
		t.Errorf("%v", uncounted(st))
	}
}

// Undo for ten seconds is an event itself; later, twice, or of nothing it does
// not count, and says why. The event stays in the record.
func TestUndo(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	for after, undone := range map[time.Duration]bool{100 * ms: true, 9 * time.Second: true, 10 * time.Second: true, 10*time.Second + ms: false, time.Hour: false} {
		p := newPhone("a")
		of := p.do(0, batch.Stamped{Step: "trace"}).ID
		id, left := with(t, start, p).At(p.now.Add(after)).Undo, time.Duration(0)
		p.do(after, batch.Undone{Of: of})
		st := with(t, start, p)
		if st.Step("trace").Done == undone || (id == of) != undone {
			t.Errorf("after %v: done %v, offered %q for %v, %v", after, st.Step("trace").Done, id, left, uncounted(st))
		}
		if len(st.Events)+len(st.Uncounted) != 2 {
			t.Errorf("after %v: an event is lost", after)
		}
		if !undone && !strings.Contains(uncounted(st)[0], "correct it instead") {
			t.Errorf("%v", uncounted(st))
		}
	}
	p := newPhone("a")
	of := p.do(0, batch.Stamped{Step: "trace"}).ID
	p.do(time.Second, batch.Undone{Of: of})
	p.do(time.Second, batch.Undone{Of: of})
	p.do(time.Second, batch.Undone{Of: p.events[1].ID})
	p.do(time.Second, batch.Undone{Of: "nothing"})
	st := with(t, start, p)
	want := []string{"a-3: it was undone before", "a-4: an undo is not undone: do it again", "a-5: there is no such event before it", "a-1: undone"}
	if got := uncounted(st); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	// Undone and done again.
	p.do(3*time.Second, batch.Stamped{Step: "trace"})
	if st := with(t, start, p); !st.Step("trace").Done || !st.Marks["trace"].At.Equal(p.now) {
		t.Errorf("stamped at %v", st.Marks["trace"].At)
	}
}

// A phone's clock jumps an hour ahead between two stamps. Its own counter shows
// that 90 s passed: the times between the stamps stay right, the jump is told,
// and what is left is right by the new clock.
func TestClockJump(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	start.AfterTrace = &batch.Seconds{Low: 100, Typical: 130, High: 180}
	run := func(jump time.Duration) *batch.State {
		p := newPhone("a")
		for i, e := range []struct {
			after time.Duration
			step  string
		}{{0, "combine"}, {4 * time.Minute, "trace"}, {90 * time.Second, "finish"}} {
			p.do(e.after, batch.Stamped{Step: e.step})
			last := &p.events[i]
			last.Run, last.TickMS = "run1", 1000+p.now.Sub(nine).Milliseconds()
			if i == 2 {
				last.At = last.At.Add(jump)
			}
		}
		return with(t, start, p)
	}
	for _, jump := range []time.Duration{0, time.Hour, -time.Hour, 1900 * ms} {
		st := run(jump)
		newest := nine.Add(4*time.Minute + 90*time.Second + jump)
		if got := st.At(newest).Window.Left; got != 40*time.Second {
			t.Errorf("jump of %v: %v left, want 40 s", jump, got)
		}
		noticed := jump.Abs() > 2*time.Second
		if (len(st.Jumps) == 1) != noticed || noticed && st.Jumps[0].By != jump || slices.Contains(ids(st.Findings), "clock_jumped") != noticed {
			t.Errorf("jump of %v: %+v", jump, st.Jumps)
		}
	}
	// Without a counter a clock that runs back keeps the order.
	p := newPhone("a")
	p.do(0, batch.Stamped{Step: "combine"})
	p.do(-time.Hour, batch.Stamped{Step: "trace"})
	p.do(time.Minute, batch.Stamped{Step: "pour"})
	st := with(t, start, p)
	if len(st.Jumps) != 1 || st.Marks["trace"].At.Before(st.Marks["combine"].At) || st.Marks["pour"].At.Sub(st.Marks["trace"].At) != time.Minute {
		t.Errorf("%+v, %v", st.Jumps, st.Marks)
	}
}

// Two devices whose clocks differ by five minutes: once each was compared with
// the workshop's, their stamps stand in the order in which they were made.
func TestTwoClocks(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	a, b := newPhone("a"), newPhone("b")
	b.now = b.now.Add(5 * time.Minute) // ahead
	b.do(0, batch.Clock{AheadMS: (5 * time.Minute).Milliseconds()})
	a.do(time.Minute, batch.Stamped{Step: "combine"})
	b.do(3*time.Minute, batch.Stamped{Step: "trace"})
	a.do(4*time.Minute, batch.Stamped{Step: "pour"})
	st := with(t, start, a, b)
	if got := st.Marks["trace"].At.Sub(st.Marks["combine"].At); got != 2*time.Minute {
		t.Errorf("trace %v after combining", got)
	}
	if got := st.Marks["pour"].At.Sub(st.Marks["trace"].At); got != 2*time.Minute || st.Ahead["b"] != 5*time.Minute {
		t.Errorf("poured %v after the trace, ahead %v", got, st.Ahead)
	}
}

// Taps that have not arrived are known to be missing.
func TestGapsAreTold(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	for range 5 {
		p.do(time.Minute, batch.Noted{Text: "n"})
	}
	p.events = slices.Delete(p.events, 1, 3)
	st := with(t, start, p)
	if want := []batch.Gap{{Device: "a", First: 2, Last: 3}}; !slices.Equal(st.Gaps, want) || !slices.Contains(ids(st.Findings), "taps_missing") {
		t.Errorf("%+v", st.Gaps)
	}
}

// Coming back: how long it was, and what the fats are by now.
func TestAway(t *testing.T) {
	t.Parallel()
	start := started(t, "wax-rind")
	p := newPhone("a")
	p.do(0, batch.Reading{Of: "fats", C: 60})
	p.do(10*time.Minute, batch.Reading{Of: "fats", C: 50})
	st := with(t, start, p)
	// 20 °C room: 40 over it becomes 30 in 600 s; 250 s later 20 + 30·(3/4)^(250/600) = 46.6.
	if got := st.Away(p.now, p.now.Add(250*time.Second)); got != "you were away 4:10; fats are now about 47 °C" {
		t.Errorf("%q", got)
	}
	if got := st.Away(p.now, p.now.Add(20*time.Second)); got != "" {
		t.Errorf("%q", got)
	}
}
