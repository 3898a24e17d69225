package web_test

import (
	"net/url"
	"strings"
	"testing"
)

// Fats or lye far from the plan are warned of before they meet, with a button
// that says what going on means.
func TestBenchWarnsOfAHotLanding(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	for _, one := range []struct{ fats, lye, want, button string }{
		{"60", "100", "hotter than planned", "So hot all the same"},
		{"30", "25", "colder than planned", "So cold all the same"},
		{"40", "38", "", "Both are right"},
	} {
		bench := c.begin("plain-tow-v2", nil)
		c.to(bench, "read.fats")
		c.done(bench, url.Values{"n.c": {one.fats}})
		c.done(bench, url.Values{"n.c": {one.lye}})
		name, body := shown(t, c.get(200, bench))
		if name != "temperatures" || !strings.Contains(body, one.button) || one.want != "" && !strings.Contains(body, one.want) || one.want == "" && strings.Contains(body, "than planned") {
			t.Errorf("%s and %s °C: %s says %s", one.fats, one.lye, name, body)
		}
	}
}
