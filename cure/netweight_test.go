package cure

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Published one-sided factors for 95 % of the content with 95 % confidence.
// Source: M. G. Natrella, Experimental Statistics, NBS Handbook 91 (1963), table
// A-7; three decimals there.
func TestToleranceFactorsOfHandbook91(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]float64{3: 7.655, 4: 5.145, 5: 4.202, 6: 3.707, 7: 3.399, 8: 3.188, 9: 3.031, 10: 2.911,
		12: 2.736, 15: 2.566, 20: 2.396, 25: 2.292, 30: 2.220, 50: 2.065} {
		if got := ToleranceFactor(n, 0.95, 0.95); math.Abs(got-want) > 0.0015 {
			t.Errorf("n %d: k %.4f, want %.3f", n, got, want)
		}
	}
}

// The worked example of the NIST/SEMATECH e-Handbook, section 7.2.6.3: 43
// readings, 90 % of the content with 99 % confidence, k = 1.8740 by the
// noncentral t.
func TestToleranceFactorOfEHandbook(t *testing.T) {
	t.Parallel()
	if got := ToleranceFactor(43, 0.90, 0.99); math.Abs(got-1.8740) > 5e-4 {
		t.Errorf("k %.5f, want 1.8740", got)
	}
}

// With n = 2 and half the content the noncentral t is Student's: k = t/√2.
func TestToleranceFactorOfTheMiddle(t *testing.T) {
	t.Parallel()
	for n := 2; n < 60; n += 7 {
		want := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}.Quantile(0.95) / math.Sqrt(float64(n))
		if got := ToleranceFactor(n, 0.5+1e-12, 0.95); math.Abs(got-want) > 1e-5 {
			t.Errorf("n %d: k %.6f, want %.6f", n, got, want)
		}
	}
}

// Directive 76/211/EEC, Annex I 2.4, as quoted: 9 % at 50 g, 9 g at 250 g, 15 g at
// 500 g and more, 1.5 % at 1 kg; Handbook 133: 7.2 g (0.016 lb) on 113 g. The
// European steps meet at their ends.
func TestTolerancesOfPlaces(t *testing.T) {
	t.Parallel()
	checks := []struct {
		place       string
		label, want float64
	}{{"eu_uk", 50, 4.5}, {"eu_uk", 75, 4.5}, {"eu_uk", 100, 4.5}, {"eu_uk", 150, 6.75}, {"eu_uk", 250, 9}, {"eu_uk", 500, 15}, {"eu_uk", 1000, 15},
		{"us", 113, 7.2}, {"us", 20, 2}, {"us", 100, 7.2}, {"us", 50, 3.6}, {"us", 82, 5.4}}
	for _, c := range checks {
		p, _ := PlaceOf(c.place)
		if got, ok := p.Tolerance(c.label); !ok || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s, %g g: %g, want %g", c.place, c.label, got, c.want)
		}
	}
	for _, p := range Places {
		if _, ok := p.Tolerance(2e4); ok {
			t.Errorf("%s: 20 kg is none of its business", p.Key)
		}
	}
	eu, _ := PlaceOf("eu_uk")
	for _, end := range []float64{50, 100, 200, 300, 500, 1000} {
		a, _ := eu.Tolerance(end)
		b, _ := eu.Tolerance(end + 1e-9)
		if math.Abs(a-b) > 1e-6 {
			t.Errorf("at %g g the tolerance jumps from %g to %g", end, a, b)
		}
	}
}

func netOf(tb testing.TB, tr truth, r *rand.Rand, each []float64, place string) Net {
	tb.Helper()
	p, _ := PlaceOf(place)
	n, err := tr.fit(tb, Habit{}, tr.weigh(r, 1, 0, 3, 7, 14, 21, 28)).Net(Cuts{EachG: each, ScaleG: 0.1}, p, 365, 1)
	if err != nil {
		tb.Fatal(err)
	}
	return n
}

// Simulated batches of 24 bars, eight weighed at the cut: a year on, the true
// average holds the label in 95 of 100, and single bars lack more than is
// forgiven in no more than the law lets pass.
func TestLabelStaysTrue(t *testing.T) {
	t.Parallel()
	const n = 300
	r := rand.New(rand.NewPCG(133, 211))
	meanUntrue, barsUntrue, bars, printed := 0, 0, 0, 0.0
	for i := range n {
		tr := grow(r, generators[i%3])
		left := tr.massG(365) / tr.firstG
		var all []float64
		for range 24 {
			all = append(all, tr.firstG*(1+0.03*r.NormFloat64()))
		}
		net := netOf(t, tr, r, all[:8], "eu_uk")
		mean := 0.0
		for _, g := range all {
			mean += g * left / float64(len(all))
			bars++
			if g*left < net.PrintG-net.TolerableG {
				barsUntrue++
			}
		}
		if mean < net.PrintG {
			meanUntrue++
		}
		printed += net.PrintG / mean / n
	}
	t.Logf("average below the label in %d of %d; bars under the tolerance %d of %d; printed %.1f %% of the true average", meanUntrue, n, barsUntrue, bars, 100*printed)
	if meanUntrue > n*5/100 || barsUntrue > bars*25/1000 {
		t.Errorf("average below the label in %d of %d, %d of %d bars under the tolerance", meanUntrue, n, barsUntrue, bars)
	}
	if printed < 0.9 {
		t.Errorf("%.1f %% of the true weight is printed: honest, but of no use", 100*printed)
	}
}

// What is refused is refused from a day on which it does not hold, having held
// the day before; a bar cut as thick as is said may carry the label.
func TestRefusalNamesItsDay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		tr := grow(r, "Fick")
		var each []float64
		for range rapid.IntRange(3, 12).Draw(rt, "weighed") {
			each = append(each, tr.firstG*(1+0.04*r.NormFloat64()))
		}
		n := netOf(t, tr, r, each, rapid.SampledFrom([]string{"us", "eu_uk"}).Draw(rt, "place"))
		if n.PrintG > 0 && n.Refuse(n.PrintG) != nil {
			rt.Fatalf("%g g is proposed and refused", n.PrintG)
		}
		wish := math.Round(tr.firstG)
		refusal := n.Refuse(wish)
		if refusal == nil {
			rt.Fatalf("the whole weight at the cut, %g g, is not refused", wish)
		}
		if d := refusal.FromDay; d > 0 && !n.holds(wish, n.drying.Kept(d-1).Low) || n.holds(wish, n.drying.Kept(d).Low) {
			rt.Fatalf("%g g is refused from day %g", wish, d)
		}
		times, _ := n.ThicknessTimes(wish)
		thicker := n
		thicker.MeanG, thicker.OneG = n.MeanG*times, n.OneG*times
		if !thicker.holds(wish, n.KeptLow) {
			rt.Fatalf("cut %.3f times as thick the bar does not carry %g g", times, wish)
		}
	})
}

func TestEveryBarWeighed(t *testing.T) {
	t.Parallel()
	mean, one := Cuts{EachG: []float64{100, 98, 102}, Every: true}.bounds()
	if mean != 100 || one != 98 {
		t.Errorf("every bar weighed: mean %g, least %g", mean, one)
	}
	if err := (Cuts{EachG: []float64{100, 101}}).Check(); err == nil {
		t.Error("two of many bars were taken as a bound")
	}
}
