package formulate

import (
	"strconv"
	"testing"

	"barwright/material"
	"barwright/source"
)

func checkRanges(t *testing.T, lines [][]string) {
	t.Helper()
	acids := map[string]bool{}
	for _, a := range material.Acids {
		acids[a.ID] = true
	}
	inside, total := 0, 0
	for _, l := range lines {
		m, err := material.Builtin().Find(l[0])
		if err != nil || !acids[l[1]] {
			t.Errorf("%q: %v", l, err)
			continue
		}
		low, err1 := strconv.ParseFloat(l[2], 64)
		high, err2 := strconv.ParseFloat(l[3], 64)
		var g source.Grade
		if err1 != nil || err2 != nil || low > high || high > 100 || g.UnmarshalText([]byte(l[5])) != nil || !source.Exists(l[4]) {
			t.Errorf("%q is no range", l)
		}
		if p := m.Profile.Acids[l[1]]; p > 0 {
			total++
			inside += count(low <= p && p <= high)
		}
	}
	// The profiles and the ranges come from different sources.
	if float64(inside) < 0.9*float64(total) {
		t.Errorf("only %d of %d typical values lie inside their range", inside, total)
	}
	t.Logf("%d of %d typical values lie inside their range", inside, total)
}
