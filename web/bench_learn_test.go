package web_test

import (
	"net/url"
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
