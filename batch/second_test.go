package batch_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
)

// A second person reads the alkali where the batch asks for it: another name, on
// either device, the same number within a step.
func TestSecondReader(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	start.SecondReader = true
	p := newPhone("a")
	p.do(time.Minute, batch.Began{})
	target := with(t, start, p).Step("weigh.alkali.0").Weigh.G
	p.do(time.Minute, weighed("weigh.alkali.0", target))
	done := func() bool { return with(t, start, p).Step("weigh.alkali.0").Done }
	if done() {
		t.Error("done with one reading")
	}
	q := newPhone("b")
	done = func() bool { return with(t, start, p, q).Step("weigh.alkali.0").Done }
	refused := func(why string) {
		t.Helper()
		left := with(t, start, p, q).Uncounted
		if done() || len(left) == 0 || !strings.Contains(left[len(left)-1].Why, why) {
			t.Errorf("read twice by one: %v, not %q", left, why)
		}
	}
	q.now = p.now
	q.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	refused("lead maker gave the first")
	q.events = nil
	p.by = " Lead  Maker"
	p.do(2*time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	refused("lead maker gave the first")
	q.now, q.by = p.now, "helper 2"
	q.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target + 24})
	if st := with(t, start, p, q); done() || !slices.Contains(ids(st.Findings), "readings_differ") {
		t.Error("two readings 24 g apart are taken")
	}
	q.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	if !done() {
		t.Error("not done with both")
	}
	q.events = nil
	p.by = "helper 3"
	p.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	if !done() {
		t.Error("a workshop with one phone cannot read twice")
	}
}

// Whoever puts the first reading right stands behind it: her own reading is no
// second one, before or after.
func TestSecondReaderCorrects(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	start.SecondReader = true
	p := newPhone("a")
	p.do(time.Minute, batch.Began{})
	target := with(t, start, p).Step("weigh.alkali.0").Weigh.G
	p.do(time.Minute, weighed("weigh.alkali.0", target-1))
	first := p.events[len(p.events)-1].ID
	p.by = "helper 2"
	p.do(time.Minute, batch.Corrected{Of: first, G: &target, Why: "misread"})
	p.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	if st := with(t, start, p); st.Step("weigh.alkali.0").Done || len(st.Uncounted) != 1 {
		t.Errorf("who put the first reading right gives the second: %v", st.Uncounted)
	}
	p.by = "lead maker"
	p.do(time.Minute, batch.ReadBack{Step: "weigh.alkali.0", G: target})
	if !with(t, start, p).Step("weigh.alkali.0").Done {
		t.Error("who misread first cannot look for herself: a workshop of two is stuck")
	}
	less := target - 0.1
	p.do(time.Minute, batch.Corrected{Of: first, G: &less, Why: "misread"})
	if with(t, start, p).Step("weigh.alkali.0").Done {
		t.Error("who read second puts the first right, and that is taken for two readings")
	}
}
