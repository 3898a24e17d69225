package melt

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.3f, want %g within %g", what, got, want, tolerance)
	}
}

func constant(c float64) func(float64) float64 { return func(float64) float64 { return c } }

// oilAndLye is the worked batter of the reference: 1000 g oil of
// saponification value 195 without superfat takes 421.2 g of 33 % lye, whose
// heat capacity is 3.579 J/(g K).
func oilAndLye(fatsC, lyeC float64) Pot {
	return Pot{FatsG: 1000, FatsC: fatsC, LyeG: 421.2, LyeC: lyeC, LyeCp: constant(3.579)}
}

// Worked outside this project with a constant 2.0 J/(g K) for the oil; ours is
// 2.055 at 45 °C, which weighs the oil more by 0.1 to 0.2 K.
func TestLandingWorked(t *testing.T) {
	t.Parallel()
	t.Logf("landing %.2f, oil %.2f °C", oilAndLye(45, 25).LandingC(), oilAndLye(0, 25).FatsForLanding(39.3))
	near(t, "45 and 25 °C", oilAndLye(45, 25).LandingC(), 36.4, 0.3)
	// Needed oil temperature for the cloud point of 3 % beeswax. The way from
	// 39.3 to 50.1 °C magnifies the same 3 % in heat capacity to 0.3 K.
	near(t, "oil for 39.3 °C", oilAndLye(0, 25).FatsForLanding(39.3), 50.1, 0.4)
}

// Worked outside this project: free acids react at once. 1 % oleic acid is
// 0.0354 mol in a kilogram; 5 % stearic acid 0.176 mol, 60.5 kJ/mol with 33 %
// lye. Rounded to 0.1 K; ours divides by a heat capacity 1 % larger.
func TestFreeAcidsWarm(t *testing.T) {
	t.Parallel()
	for mol, want := range map[float64]float64{0.0354: 0.6, 0.176: 3.0} {
		p := oilAndLye(40, 40)
		p.FreeAcidMol, p.HeatKJPerMol = mol, 60.5
		t.Logf("%g mol: %.2f K", mol, p.LandingC()-40)
		near(t, "free acids", p.LandingC()-40, want, 0.08)
		near(t, "together", p.TogetherC(43)+want, 43, 0.08)
	}
}

// Wax 3 % of 680 g fats at 52 °C and lye at 30 °C land at about 43 °C, the
// acceptance story; about is a kelvin. 5 % superfat and 33 % lye on 195 mg
// KOH/g make 272 g of lye.
func TestStoryOfFallingWax(t *testing.T) {
	t.Parallel()
	p := Pot{FatsG: 680, FatsC: 52, LyeG: 272, LyeC: 30, LyeCp: constant(3.577)}
	landing := p.LandingC()
	t.Logf("landing %.2f °C", landing)
	near(t, "landing", landing, 43, 1)
	cloud, ok := CloudPoint([]Solute{beeswax(0.03)})
	if got := cloud.Verdict(landing); !ok || got != MayFreeze {
		t.Errorf("cloud %+v: %v, want may freeze", cloud, got)
	}
	// The fix: a pair of temperatures that lands clear.
	p.FatsC = p.FatsForLanding(cloud.ClearC + 0.01)
	if got := cloud.Verdict(p.LandingC()); got != StaysClear {
		t.Errorf("after the fix at %.1f °C: %v", p.FatsC, got)
	}
}

func TestFatHeatCapacity(t *testing.T) {
	t.Parallel()
	// Handbooks, recalled: olive oil 1.97 J/(g K) at 20 °C, palm and coconut
	// oil 2.0 to 2.1 at 40 to 50 °C.
	near(t, "20 °C", FatHeatCapacity(20), 1.97, 0.03)
	near(t, "45 °C", FatHeatCapacity(45), 2.05, 0.05)
}

func TestStuffs(t *testing.T) {
	t.Parallel()
	// Handbooks, recalled: EN ISO 10456 and its like. Steels 0.46 to 0.50.
	for name, want := range map[string]float64{"Steel": 0.48, "polypropylene": 1.8, "glass": 0.75} {
		got, ok := StuffHeatCapacity(name)
		if !ok {
			t.Errorf("%s is not known", name)
		}
		near(t, name, got, want, 0.05*want)
	}
	if _, ok := StuffHeatCapacity("unobtainium"); ok {
		t.Error("an unknown stuff has a heat capacity")
	}
}

func anyPot(t *rapid.T) Pot {
	slope := rapid.Float64Range(-0.002, 0.002).Draw(t, "slope")
	return Pot{
		FatsG: rapid.Float64Range(1, 5000).Draw(t, "fats"), FatsC: rapid.Float64Range(5, 95).Draw(t, "fatsC"),
		LyeG: rapid.Float64Range(1, 3000).Draw(t, "lye"), LyeC: rapid.Float64Range(0, 95).Draw(t, "lyeC"),
		LyeCp:    func(tC float64) float64 { return 3.5 + slope*tC },
		PotJPerK: rapid.Float64Range(0, 2000).Draw(t, "pot"),
	}
}

// Without acids the batter lands between fats and lye, more of the hotter side
// lands hotter, and the heat one side gives is the heat the other takes.
func TestLandingLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := anyPot(t)
		landing := p.LandingC()
		low, high := min(p.FatsC, p.LyeC), max(p.FatsC, p.LyeC)
		if landing < low-1e-6 || landing > high+1e-6 {
			t.Errorf("lands at %g", landing)
		}
		more := p
		if p.FatsC > p.LyeC {
			more.FatsG *= 1.5
		} else {
			more.LyeG *= 1.5
		}
		if more.LandingC() < landing-1e-6 {
			t.Errorf("more of the hotter side lands at %g instead of %g", more.LandingC(), landing)
		}
		gain := numericalHeatJ(p, landing)
		if scale := (p.FatsG*2 + p.LyeG*3.5 + p.PotJPerK) * 100; math.Abs(gain) > 1e-6*scale {
			t.Errorf("%g J do not balance", gain)
		}
	})
}

// numericalHeatJ sums what fats, lye and vessel take up on the way to tC, by
// the midpoint rule in small steps.
func numericalHeatJ(p Pot, tC float64) float64 {
	sum := p.PotJPerK * (tC - p.FatsC)
	const steps = 1000
	for i := range steps {
		share := (float64(i) + 0.5) / steps
		sum += p.FatsG * FatHeatCapacity(p.FatsC+share*(tC-p.FatsC)) * (tC - p.FatsC) / steps
		sum += p.LyeG * p.LyeCp(p.LyeC+share*(tC-p.LyeC)) * (tC - p.LyeC) / steps
	}
	return sum
}

// What the advice says is what happens when it is followed.
func TestAdviceLands(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := anyPot(t)
		// up to a third of the fats as free acids of 250 g/mol
		p.FreeAcidMol, p.HeatKJPerMol = p.FatsG*rapid.Float64Range(0, 1.0/3).Draw(t, "acids")/250, 60
		target := p.LandingC()
		if got := p.FatsForLanding(target); math.Abs(got-p.FatsC) > 1e-6 {
			t.Errorf("fats for %g °C: %g", target, got)
		}
		together := p
		together.FatsC = p.TogetherC(50)
		together.LyeC = together.FatsC
		if got := together.LandingC(); math.Abs(got-50) > 1e-4 {
			t.Errorf("together at %g lands at %g", together.FatsC, got)
		}
	})
}

func TestEmptyPotPanics(t *testing.T) {
	t.Parallel()
	for name, act := range map[string]func(){
		"landing": func() { Pot{}.LandingC() },
		"fats":    func() { Pot{LyeG: 1, LyeCp: constant(3.5)}.FatsForLanding(40) },
		"cloud":   func() { Solute{MolarMass: 1, HeatKJPerMol: 1}.CloudC() },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s does not panic", name)
				}
			}()
			act()
		}()
	}
}
