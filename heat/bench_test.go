package heat

import "testing"

func BenchmarkShown(b *testing.B)   { benchmarkSolve(b, Shown) }
func BenchmarkSampled(b *testing.B) { benchmarkSolve(b, Sampled) }

func benchmarkSolve(b *testing.B, s Settings) {
	for b.Loop() {
		if _, err := Solve(loaf(), s); err != nil {
			b.Fatal(err)
		}
	}
}
