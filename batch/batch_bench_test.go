package batch_test

import (
	"testing"

	"barwright/batch"
)

// BenchmarkReplay is what every tap costs: a whole batch folded anew.
func BenchmarkReplay(b *testing.B) {
	start, p := made(b)
	sh, err := batch.New(start)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(p.events)), "events")
	for b.Loop() {
		sh.Replay(p.events)
	}
}

// BenchmarkNew is making the sheet of a start.
func BenchmarkNew(b *testing.B) {
	start := loaf(b)
	for b.Loop() {
		if _, err := batch.New(start); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAt is what the screen asks every second.
func BenchmarkAt(b *testing.B) {
	start, p := made(b)
	st := with(b, start, p)
	for b.Loop() {
		st.At(p.now)
	}
}
