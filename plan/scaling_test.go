package plan

import (
	"fmt"
	"math"
	"testing"

	"barwright/recipe"

	"pgregory.net/rapid"
)

// The promise is 0.01 point; the arithmetic keeps far more digits.
const (
	samePoint = 0.01
	sameMass  = 1e-9 // relative
)

// The same soap at any size: the superfat stays and every mass grows alike.
// A scale whose step grows with the batch leaves the band as it is.
func TestSizeKeepsTheSoap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{sharesOnly: true, byFats: true})
		k := rapid.Float64Range(0.2, 5).Draw(t, "k")
		small, big := planOrSkip(t, r), made(t, times(t, r, k))
		if !near(small.Superfat.Typical, big.Superfat.Typical, samePoint) || !near(small.Superfat.Low, big.Superfat.Low, samePoint) ||
			!near(small.Superfat.High, big.Superfat.High, samePoint) || !near(small.Superfat.Worst, big.Superfat.Worst, samePoint) {
			t.Fatalf("superfat %+v at %g times %+v in\n%s", big.Superfat.Band, k, small.Superfat.Band, r.Print())
		}
		sameButTimes(t, small, big, k)
	})
}

// times returns the recipe k times as big, on a scale k times as coarse.
func times(t failer, r recipe.Recipe, k float64) recipe.Recipe {
	changes := []string{"size.fats=" + exactly(k*r.Size.Fats.G()) + " g", "scale.fats=" + exactly(k*r.FatStepG()) + " g", "scale.alkali=" + exactly(k*r.AlkaliStepG()) + " g"}
	if noise := r.NoiseG(); noise > 0 {
		changes = append(changes, "scale.repeatability="+exactly(k*noise)+" g")
	}
	return changed(t, r, changes...)
}

func sameButTimes(t failer, small, big *Plan, k float64) {
	t.Helper()
	check := func(what string, a, b float64) {
		if !near(k*a, b, sameMass*math.Abs(k*a)+1e-12) {
			t.Fatalf("%s: %.12g g times %g is not %.12g g in\n%s", what, a, k, b, small.recipe.Print())
		}
	}
	for i, f := range small.Fats {
		check(f.Material, f.MassG, big.Fats[i].MassG)
	}
	for i, a := range small.Alkali {
		check(a.Material, a.PureG, big.Alkali[i].PureG)
	}
	for i, a := range small.Additions {
		check(a.Material, a.MassG, big.Additions[i].MassG)
	}
	check("lye", small.Lye.MassG, big.Lye.MassG)
	check("alkali for acids", small.AlkaliForAcidsG, big.AlkaliForAcidsG)
}

// Ounces and pounds weigh the same soap (international avoirdupois units,
// NIST Handbook 44, appendix C).
func TestUnitsKeepTheSoap(t *testing.T) {
	t.Parallel()
	units := map[string]float64{"g": 1, "kg": 1000, "oz": 28.349523125, "lb": 453.59237}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{byFats: true})
		unit := oneOf(t, "other_unit", "g", "kg", "oz", "lb")
		p := planOrSkip(t, r)
		q := made(t, changed(t, r, fmt.Sprintf("size.fats=%s %s", exactly(p.FatsG/units[unit]), unit)))
		if !near(p.Superfat.Typical, q.Superfat.Typical, samePoint) || !near(p.Superfat.Low, q.Superfat.Low, samePoint) || !near(p.Superfat.High, q.Superfat.High, samePoint) {
			t.Fatalf("superfat %+v in %s, %+v before, in\n%s", q.Superfat.Band, unit, p.Superfat.Band, r.Print())
		}
		sameButTimes(t, p, q, 1)
	})
}

// Another assay changes what is bought, not the soap.
func TestAssayKeepsTheSoap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{byFats: true})
		p := planOrSkip(t, r)
		if p.Alkali[0].Stock {
			t.Skip("stock lye has a strength instead")
		}
		purity := rapid.Float64Range(85, 100).Draw(t, "other_purity")
		r2 := changed(t, r, "alkali.0.purity_range=", "alkali.0.purity="+exactly(purity)+" %")
		q := planOrSkip(t, r2)
		if !near(p.Superfat.Typical, q.Superfat.Typical, samePoint) {
			t.Fatalf("superfat %g at %g %%, %g before, in\n%s", q.Superfat.Typical, purity, p.Superfat.Typical, r.Print())
		}
		if want := 100 * q.Alkali[0].PureG / purity; !near(q.Alkali[0].MassG, want, sameMass*want) {
			t.Fatalf("%g g as bought, want %g", q.Alkali[0].MassG, want)
		}
		sameButTimes(t, p, q, 1)
	})
}

// Another mould holds more or less of the same soap.
func TestMouldKeepsTheSoap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{sharesOnly: true, byFats: true})
		p := planOrSkip(t, r)
		volume := rapid.Float64Range(200, 5000).Draw(t, "other_volume")
		q := made(t, changed(t, r, "size.fats=", "size.mould=true", "mould=", "mould.shape=cavity", "mould.volume="+exactly(volume)+" ml"))
		if !near(p.Superfat.Typical, q.Superfat.Typical, samePoint) {
			t.Fatalf("superfat %g in the mould, %g before, in\n%s", q.Superfat.Typical, p.Superfat.Typical, r.Print())
		}
		sameButTimes(t, p, q, q.FatsG/p.FatsG)
	})
}
