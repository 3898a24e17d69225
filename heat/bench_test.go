package heat

import "testing"

func BenchmarkShown(b *testing.B)   { benchmarkSolve(b, Shown) }
func BenchmarkSampled(b *testing.B) { benchmarkSolve(b, Sampled) }

func benchmarkSolve(b *testing.B, s Settings) {
	c := plainCase(b, 38, Rest{Place: "room", TC: 20, Cover: stuffOf(b, "blanket 25 mm")})
	for b.Loop() {
		if _, err := Solve(c.Physics, s); err != nil {
			b.Fatal(err)
		}
	}
}

// Bands and chances of one forecast on one core.
func BenchmarkTellOneCore(b *testing.B) {
	c := plainCase(b, 38, Rest{Place: "room", TC: 20, Cover: stuffOf(b, "blanket 25 mm")})
	for b.Loop() {
		if _, err := Tell(c, Options{Workers: 1, Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// Advice: some dozens of changes, some hundred runs, on one core.
func BenchmarkAdviseOneCore(b *testing.B) {
	c := plainCase(b, 38, Rest{Place: "room", TC: 20})
	for b.Loop() {
		if _, err := Advise(c, UsualLimits, Options{Workers: 1, Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// The cover map on one core.
func BenchmarkMapOneCore(b *testing.B) {
	c := plainCase(b, 38, Rest{Place: "room", TC: 20})
	for b.Loop() {
		if _, err := Map(c, UsualLimits, Options{Workers: 1, Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}

// A day's forecast of a loaf, one that stays cool and one that runs away.
func BenchmarkDay(b *testing.B) {
	for name, pourC := range map[string]float64{"cool": 40, "runs away": 48} {
		b.Run(name, func(b *testing.B) {
			p := loaf()
			p.Start.TC = pourC
			for b.Loop() {
				if _, err := Solve(p, Shown); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
