package near

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWord(t *testing.T) {
	t.Parallel()
	keys := []string{"superfat", "lye_strength", "fats", "size", "g", "kg", "Naoh"}
	for _, c := range []struct{ word, want string }{
		{"superfatt", "superfat"},
		{"suprefat", "superfat"},
		{"SUPERFAT", "superfat"},
		{"super", "superfat"}, // broken off
		{"lye_strenght", "lye_strength"},
		{"fat", "fats"},
		{"gr", "g"},
		{"ki", "kg"},
		{"NAOH", "Naoh"},
		{"fats", "fats"},
		{"colour", ""},
		{"x", ""},  // every letter would change
		{"xx", ""}, // the same
		{"kgs", "kg"},
		{"lbs", ""}, // two of three letters
		{"", ""},
		{strings.Repeat("superfat", 100), ""},
	} {
		if got := Word(c.word, keys); got != c.want {
			t.Errorf("%q: %q, want %q", c.word, got, c.want)
		}
	}
	if got := Word("superfat", nil); got != "" {
		t.Errorf("nothing to choose from: %q", got)
	}
}

// A word as long as a file is refused at once: comparing its letters would take
// minutes, more than a test may.
func TestLongWord(t *testing.T) {
	t.Parallel()
	if got := Word(strings.Repeat("a", 1<<20), []string{"superfat", "tallow_beef"}); got != "" {
		t.Errorf("a megabyte of a is near %q", got)
	}
}

// Edit distance is a metric: zero for the same word only, the same both ways,
// no shorter by a detour, and at most one for one letter changed.
func TestDistance(t *testing.T) {
	t.Parallel()
	word := rapid.StringMatching(`[a-c]{0,6}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		ab := distance(a, b)
		switch {
		case (ab == 0) != (a == b), ab != distance(b, a), ab > distance(a, c)+distance(c, b), ab > max(len(a), len(b)):
			t.Fatalf("distance of %q and %q is %d, by %q %d + %d", a, b, ab, c, distance(a, c), distance(c, b))
		}
		i := rapid.IntRange(0, len(a)).Draw(t, "i")
		if d := distance(a, a[:i]+"x"+a[i:]); d != 1 {
			t.Fatalf("one letter put into %q: %d", a, d)
		}
	})
}
