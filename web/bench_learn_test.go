package web_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// The stamps of earlier batches shape the window of the next one, which says
// so; they can be left out.
func TestBenchLearns(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	if page := c.get(200, "/bench/new?version=wax-rind-v3"); !strings.Contains(page, "By your last 1") || !strings.Contains(page, "Without them the forecast is") {
		t.Error("the start does not say what was learned")
	}
	screens := map[bool]string{}
	for _, without := range []bool{false, true} {
		more := url.Values{}
		if without {
			more.Set("unlearned", "1")
		}
		bench := c.begin("wax-rind-v3", more)
		m, err := c.store.Batch(t.Context(), strings.TrimPrefix(bench, "/bench/"))
		if err != nil || (len(m.Start.Taught) == 0) != without {
			t.Errorf("taught by %d, left out %v", len(m.Start.Taught), without)
		}
		c.to(bench, "combine")
		c.done(bench, nil)
		_, screens[without] = shown(t, c.get(200, bench))
	}
	if span := func(s string) string { return attr(s, "data-span") }; span(screens[true]) == span(screens[false]) {
		t.Error("what was learned changes nothing at the bench")
	}
}

// The plan of a recipe says what the maker's batches taught, as the start of a
// batch does: the same number of batches and the same minutes; without batches
// it says nothing of them, and one more batch is counted at once.
func TestPlanSaysWhatBatchesTaught(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	start := learnedAtStart.FindStringSubmatch(c.get(200, "/bench/new?version=wax-rind-v3"))
	if start == nil {
		t.Fatal("the start says nothing of batches")
	}
	page := c.get(200, "/recipes/wax-rind")
	if !strings.Contains(page, "to trace ("+start[2]+"), by your "+start[1]) {
		t.Errorf("the plan does not say %q", start[1:])
	}
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "pour")
	c.done(bench, nil)
	again := learnedAtStart.FindStringSubmatch(c.get(200, "/bench/new?version=wax-rind-v3"))
	if again == nil || again[1] == start[1] || !strings.Contains(c.get(200, "/recipes/wax-rind"), "by your "+again[1]) {
		t.Errorf("a batch more: %q, was %q", again, start)
	}
}

var learnedAtStart = regexp.MustCompile(`By your (last \d+ batches): marks stay (\S+(?: 1)? to [\d.]+)`)
