package plan

import (
	"math"
	"testing"

	"barwright/material"

	"pgregory.net/rapid"
)

// What the scale shows: the alkali rounds down, the rest to the nearest step,
// and rounding never takes superfat away.
func TestRoundingOnlyAddsSuperfat(t *testing.T) {
	t.Parallel()
	most := 0.0
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{})
		p := planOrSkip(t, r)
		added := p.Superfat.AsWeighed.Typical - p.Superfat.Typical
		if added < -1e-9 {
			t.Fatalf("rounding takes %g points of superfat in\n%s", -added, r.Print())
		}
		bound := roundingBound(p)
		if added > bound+1e-9 {
			t.Fatalf("rounding adds %g points, more than a step of alkali and the fats' own %g, in\n%s", added, bound, r.Print())
		}
		most = max(most, added/bound)
		for _, a := range p.Alkali {
			if a.WeighG > a.MassG+1e-9 {
				t.Fatalf("%s: %g g weighed for %g g in\n%s", a.Material, a.WeighG, a.MassG, r.Print())
			}
			isOnStep(t, p, a.Material, a.WeighG, r.AlkaliStepG())
		}
		for _, f := range p.Fats {
			isOnStep(t, p, f.Material, f.WeighG, r.FatStepG())
			isNearest(t, p, f.Material, f.MassG, f.WeighG, r.FatStepG())
		}
		for _, a := range p.Additions {
			isOnStep(t, p, a.Material, a.WeighG, r.FatStepG())
			isNearest(t, p, a.Material, a.MassG, a.WeighG, r.FatStepG())
		}
	})
	if most < 0.5 { // the bound must bind, or it proves nothing
		t.Errorf("the closest draw used only %.0f %% of the bound", 100*most)
	}
}

// roundingBound is one whole step of every alkali, and what the rounding of
// fats and additions moves of the alkali they bind [points].
func roundingBound(p *Plan) float64 {
	const molarKOH, molarNaOH = 56105.3, 39.997 // mg/mol, g/mol
	dosed, mol := 0.0, 0.0
	for _, f := range p.Fats {
		dosed += f.WeighG * f.Sap.Dose / molarKOH
		m, err := material.Builtin().Find(f.Material)
		if err != nil {
			panic(err)
		}
		mol += math.Abs(f.WeighG-f.MassG) * math.Max(m.Sap.Typical, f.Sap.Dose) / molarKOH
	}
	for i, a := range p.Additions {
		if taken := p.charge.additions[i].takes.Mode; taken > 0 {
			mol += math.Abs(a.WeighG-a.MassG) * taken / molarNaOH
		}
	}
	for _, a := range p.Alkali {
		molar := map[string]float64{"naoh": 39.997, "koh": 56.1053}[a.Material]
		mol += p.Scale.Alkali.StepG * a.PureG / a.MassG / molar
	}
	// What changes the denominator scales the superfat there is.
	return 100*mol/dosed + math.Abs(p.Superfat.Typical)*mol/dosed
}

func isOnStep(t failer, p *Plan, what string, g, step float64) {
	t.Helper()
	if steps := g / step; !near(steps, math.Round(steps), 1e-6) {
		t.Fatalf("%s: %g g on a scale of %g g in\n%s", what, g, step, p.recipe.Print())
	}
}

// isNearest allows one whole step for what is less than half of one: a thing
// that is in the recipe is never weighed as nothing.
func isNearest(t failer, p *Plan, what string, exact, weigh, step float64) {
	t.Helper()
	if exact == 0 && weigh == 0 {
		return
	}
	if math.Abs(exact-weigh) > step/2+1e-9 && weigh != step {
		t.Fatalf("%s: %g g weighed for %g g on a scale of %g g in\n%s", what, weigh, exact, step, p.recipe.Print())
	}
}

// Plain Tow, 350 g on a 1 g scale, by hand: the fats round to 193, 88 and 70 g,
// the alkali 49.81 g down to 49 g.
func TestWeighedByHand(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, plainTow, "size.fats=350 g"))
	binds := (193*197.0 + 88*189 + 70*257) / 56105.3 // mol
	want := 100 * (1 - 49*0.985/39.997/binds)
	if p.Alkali[0].WeighG != 49 || !near(p.Superfat.AsWeighed.Typical, want, 1e-3) { // molar masses to six figures
		t.Errorf("%g g leaves %.4f %%, want 49 g and %.4f %%", p.Alkali[0].WeighG, p.Superfat.AsWeighed.Typical, want)
	}
	if step := 100 * 0.985 / 39.997 / (350 * 207 / 56105.3); !near(p.Superfat.AsWeighed.AlkaliStep, step, 1e-3) {
		t.Errorf("a step is %.4f points, want %.4f", p.Superfat.AsWeighed.AlkaliStep, step)
	}
}
