package makeup

import (
	"fmt"
	"math"
	"testing"

	"barwright/material"
	"pgregory.net/rapid"
)

// dissolvedSoaps are the soaps of the table, as blends.
func dissolvedSoaps(t *testing.T) map[string]Fats {
	pure := material.Material{Kind: material.Triglyceride, Profile: material.Profile{Acids: map[string]float64{"c16_0": 45, "c18_0": 55}}}
	return map[string]Fats{
		"coconut":                              blend(t, map[string]float64{"coconut": 100}),
		"olive":                                blend(t, map[string]float64{"olive": 100}),
		"palm":                                 blend(t, map[string]float64{"palm": 100}),
		"beef tallow":                          blend(t, map[string]float64{"tallow_beef": 100}),
		"80 tallow + 20 coconut":               blend(t, map[string]float64{"tallow_beef": 80, "coconut": 20}),
		"olive 39 coconut 28 palm 28 castor 5": blend(t, map[string]float64{"olive": 39, "coconut": 28, "palm": 28, "castor": 5}),
		"palmitic 45 + stearic 55 (pure)":      {{pure, 100}},
	}
}

// dissolvingGaps are the cells that miss by more than two points, because the
// table counts moles where this model counts mass (TestDissolvingByMoles). An
// entry that is met fails.
var dissolvingGaps = map[string]bool{
	"coconut 20C_H60": true,
	"palm 35C_H45":    true,
	"palm 35C_H30":    true,
	"palm 45C_H60":    true,
	"palmitic 45 + stearic 55 (pure) 45C_H30": true,
}

// 63 cells of a table worked out apart from this program. Tolerance 2 points:
// the Krafft temperatures that the table's source lists are the same, but not
// the profiles nor the temperatures of the acids it does not list, and 2 K on
// one of those moves a cell by up to a point and a half.
func TestDissolvingTable(t *testing.T) {
	t.Parallel()
	soaps := dissolvedSoaps(t)
	cells := 0
	for _, row := range published(t, "dissolved_share.csv") {
		f, ok := soaps[row["soap_of"]]
		if !ok {
			t.Fatalf("no blend for %q", row["soap_of"])
		}
		for _, tC := range []float64{20, 35, 45} {
			for _, heat := range []float64{60, 45, 30} {
				cells++
				column := fmt.Sprintf("%.0fC_H%.0f", tC, heat)
				name := row["soap_of"] + " " + column
				got, want := f.dissolving(tC, 0, heat), number(t, row, column)
				miss := math.Abs(got - want)
				switch {
				case dissolvingGaps[name] && miss <= 2:
					t.Errorf("%s: %.1f, want %g: met now, take it off the list", name, got, want)
				case dissolvingGaps[name]:
					t.Logf("%s: %.1f, want %g", name, got, want)
				case miss > 2:
					t.Errorf("%s: %.1f, want %g ± 2", name, got, want)
				}
			}
		}
	}
	if cells != 63 {
		t.Errorf("%d cells, want 63", cells)
	}
}

// The same table with moles for masses: no cell misses by more than two points,
// which shows where the gaps above come from.
func TestDissolvingByMoles(t *testing.T) {
	t.Parallel()
	soaps := dissolvedSoaps(t)
	worst := 0.0
	for _, row := range published(t, "dissolved_share.csv") {
		for _, tC := range []float64{20, 35, 45} {
			for _, heat := range []float64{60, 45, 30} {
				z, x, total := make([]float64, len(kraffts)), make([]float64, len(kraffts)), 0.0
				for i, k := range kraffts {
					z[i] = soaps[row["soap_of"]].acids()[k.acid] / material.Acids[material.AcidIndex(k.acid)].M()
					x[i] = idealLimit(tC, k.Typical, heat)
					total += z[i]
				}
				for i := range z {
					z[i] /= total
				}
				got, want := 100*largestRoot(z, x), number(t, row, fmt.Sprintf("%.0fC_H%.0f", tC, heat))
				worst = max(worst, math.Abs(got-want))
				near(t, row["soap_of"], got, want, 2)
			}
		}
	}
	t.Logf("worst miss %.1f points", worst)
}

// Ideal depression of the Krafft temperature: half and half with a soluble
// soap, palmitate comes into solution at 46 and stearate at 56 °C instead of
// 60 and 70 (published beside the model, 45 kJ/mol). Half a degree: the
// published figures are whole.
func TestIdealDepression(t *testing.T) {
	t.Parallel()
	for acid, want := range map[string]float64{"c16_0": 46, "c18_0": 56} {
		half := material.Material{Kind: material.Triglyceride, Profile: material.Profile{Acids: map[string]float64{acid: 50, "c18_2": 50}}}
		f := Fats{{half, 100}}
		if below, above := f.Dissolving(want-0.6, 0), f.Dissolving(want+0.6, 0); below >= 100 || above < 100 {
			t.Errorf("%s: %.2f %% at %.1f °C and %.2f %% at %.1f °C", acid, below, want-0.6, above, want+0.6)
		}
	}
}

// Published directions: coconut from 5 to 25 % in tallow soap dissolves more
// (Ginn and others 1968); potassium soap dissolves more than sodium soap, K
// stearate freely at 50 °C and Na stearate only near 75 to 80 °C (McBain and
// Sierichs 1948).
func TestDissolvingDirections(t *testing.T) {
	t.Parallel()
	little := blend(t, map[string]float64{"tallow_beef": 95, "coconut": 5}).Dissolving(35, 0)
	much := blend(t, map[string]float64{"tallow_beef": 75, "coconut": 25}).Dissolving(35, 0)
	if much <= little {
		t.Errorf("tallow with 25 %% coconut %.1f, with 5 %% %.1f", much, little)
	}
	stearate := Fats{{material.Material{Kind: material.FreeAcid, Profile: material.Profile{Acids: map[string]float64{"c18_0": 100}}}, 1}}
	if na, k := stearate.Dissolving(50, 0), stearate.Dissolving(50, 1); na > 0 || k < 100 {
		t.Errorf("stearate at 50 °C: sodium %.1f %%, potassium %.1f %%", na, k)
	}
}

func TestKraffts(t *testing.T) {
	t.Parallel()
	for _, k := range kraffts {
		if material.AcidIndex(k.acid) < 0 {
			t.Errorf("%s is not an acid", k.acid)
		}
		if err := k.Check(); err != nil {
			t.Errorf("%s: %v", k.acid, err)
		}
	}
	if len(kraffts) != len(material.Acids) {
		t.Errorf("%d Krafft temperatures for %d acids", len(kraffts), len(material.Acids))
	}
	for name, f := range map[string]interface{ Check() error }{"heat": dissolutionHeat, "potassium": potassiumShift} {
		if err := f.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestDissolvingLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := anyBlend(t, "fats")
		tC, koh := rapid.Float64Range(0, 90).Draw(t, "water"), rapid.Float64Range(0, 1).Draw(t, "potassium")
		got := f.Dissolving(tC, koh)
		if !(got >= 0 && got <= 100) {
			t.Fatalf("%g %%", got)
		}
		const rounding = 1e-9
		if warmer := f.Dissolving(tC+rapid.Float64Range(0, 30).Draw(t, "warmer"), koh); warmer < got-rounding {
			t.Fatalf("%g %% in warmer water, %g before", warmer, got)
		}
		if more := f.Dissolving(tC, min(1, koh+0.2)); more < got-rounding {
			t.Fatalf("%g %% with more potassium, %g before", more, got)
		}
		if f.Dissolving(tC, koh+5) != f.Dissolving(tC, 1) {
			t.Fatal("a potassium share above 1 is not held at 1")
		}
	})
}

// largestRoot against the plain iteration from L = 1 that defines it.
func TestLargestRootAgainstIteration(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "acids")
		z, x, sum := make([]float64, n), make([]float64, n), 0.0
		for i := range z {
			z[i] = rapid.Float64Range(0.01, 1).Draw(t, "z")
			x[i] = rapid.SampledFrom([]float64{0.01, 0.05, 0.2, 0.5, 0.9, 1}).Draw(t, "x")
			sum += z[i]
		}
		for i := range z {
			z[i] /= sum
		}
		l := 1.0
		for range 20000 {
			next := 0.0
			for i := range z {
				next += min(z[i], l*x[i])
			}
			l = next
		}
		if got := largestRoot(z, x); math.Abs(got-l) > 1e-4 {
			t.Fatalf("%g, by iteration %g", got, l)
		}
	})
}
