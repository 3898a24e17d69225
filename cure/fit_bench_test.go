package cure

import (
	"math/rand/v2"
	"testing"
)

// Three marked bars weighed eleven times each, and what a page of the rack asks
// of them.
func BenchmarkFit(b *testing.B) {
	tr := grow(rand.New(rand.NewPCG(1, 1)), "two terms")
	series := tr.weigh(rand.New(rand.NewPCG(2, 2)), 3, 0, 3, 7, 14, 21, 28, 42, 60, 90, 120, 180)
	b.Run("fit", func(b *testing.B) {
		for b.Loop() {
			tr.fit(b, Habit{}, series)
		}
	})
	d := tr.fit(b, Habit{}, series)
	b.Logf("%d pieces", len(d.pieces))
	b.Run("ready", func(b *testing.B) {
		for b.Loop() {
			d.Ready(UsualRules)
		}
	})
	b.Run("kept", func(b *testing.B) {
		for b.Loop() {
			d.Kept(365)
		}
	})
	first := tr.fit(b, Habit{}, series[:1])
	b.Logf("%d pieces", len(first.pieces))
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			tr.fit(b, Habit{}, series[:1])
		}
	})
	b.Run("ready first", func(b *testing.B) {
		for b.Loop() {
			first.Ready(UsualRules)
		}
	})
}
