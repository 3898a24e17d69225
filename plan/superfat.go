package plan

import (
	"math"

	"barwright/lye"
)

// terms turns the charge into the independent terms of its superfat.
func (c charge) terms() lye.Batch {
	b := lye.Batch{DosedMol: c.dosedMol()}
	fatStep, alkaliStep, noise := c.recipe.FatStepG(), c.recipe.AlkaliStepG(), c.recipe.NoiseG()
	for _, f := range c.fats {
		b.Terms = append(b.Terms, lye.Term{Cause: f.ID, MassG: f.massG, StepG: fatStep, NoiseG: noise, PerG: f.sapLaw})
	}
	b.Terms = append(b.Terms, c.takers()...)
	for _, a := range c.alkalis {
		b.Terms = append(b.Terms, lye.Term{Cause: lye.Assay, MassG: a.massG, StepG: alkaliStep, NoiseG: noise,
			PerG: a.pureLaw.Scaled(1 / a.molarMass()), Brings: true})
	}
	return b
}

// takers returns a term for everything that takes alkali besides fats. One
// nature stands behind all lines of a material, and behind all sugars: how far
// sugar breaks down is the batch's doing. So they are one term, and splitting a
// line cannot make doubt average out.
func (c charge) takers() []lye.Term {
	var terms []lye.Term
	at := map[string]int{}
	for _, a := range c.additions {
		if a.takes == (lye.Law{}) {
			continue
		}
		cause := a.ID
		if !a.declared && a.Sugars.Known() {
			cause = sugarsCause
		}
		k, ok := at[cause]
		if !ok {
			k, at[cause] = len(terms), len(terms)
			terms = append(terms, lye.Term{Cause: a.ID, NoiseG: c.recipe.NoiseG(), Slow: !a.declared})
		}
		terms[k] = joined(terms[k], a, c.recipe.FatStepG())
	}
	return terms
}

// sugarsCause stands for several sugars together.
const sugarsCause = "sugars"

// joined adds one more line to a term: its mass, its law by its mass, and its
// own error of the scale, independent of the others'.
func joined(t lye.Term, a addition, step float64) lye.Term {
	perG := a.takes.Scaled(1 / lye.MolarMassNaOH)
	if t.MassG == 0 {
		t.MassG, t.PerG, t.StepG = a.massG, perG, step
		return t
	}
	if t.Cause != a.ID {
		t.Cause = sugarsCause
	}
	t.PerG = lye.Mixed(t.MassG, t.PerG, a.massG, perG)
	t.MassG += a.massG
	t.StepG, t.NoiseG = math.Hypot(t.StepG, step), math.Hypot(t.NoiseG, t.NoiseG)
	return t
}

// weighed returns the charge as it will stand on the scale: the alkali down
// to its step, everything else to the nearest one. Where the fats round down,
// or a free acid or a scent that takes lye does, the alkali follows what they
// will really be, so that rounding never takes superfat away.
func (c charge) weighed() charge {
	out := c.rounded()
	if c.recipe.IsFound() {
		return out
	}
	spare := (out.terms().Typical() - c.terms().Typical()) / 100 * out.dosedMol()
	most := out.alkaliMol() + spare // leaves the typical superfat of the exact masses
	for i, mol := range out.demand() {
		a := &out.alkalis[i]
		mol = math.Min(mol, most*a.molShare)
		wanted := math.Min(c.alkalis[i].massG, mol*a.molarMass()/a.pure)
		a.massG = floorTo(wanted, c.recipe.AlkaliStepG())
	}
	return out
}

func (c charge) rounded() charge {
	out := c
	step := c.recipe.FatStepG()
	out.fats = append([]fat(nil), c.fats...)
	for i, f := range out.fats {
		out.fats[i].massG = math.Max(step, roundTo(f.massG, step))
	}
	out.additions = append([]addition(nil), c.additions...)
	for i, a := range out.additions {
		if a.massG > 0 {
			out.additions[i].massG = math.Max(step, roundTo(a.massG, step))
		}
	}
	out.alkalis = append([]alkali(nil), c.alkalis...)
	for i, a := range out.alkalis {
		out.alkalis[i].massG = floorTo(a.massG, c.recipe.AlkaliStepG())
	}
	out.waterG = roundTo(c.waterG, step)
	return out
}

func roundTo(g, step float64) float64 { return math.Round(g/step) * step }

// floorTo rounds down to the step; a mass that is a whole number of steps but
// for the last bits of the arithmetic stays.
func floorTo(g, step float64) float64 { return math.Floor(g/step+1e-9) * step }

// alkaliStepPoints is what one whole step of the alkali's scale moves the
// superfat [points].
func (c charge) alkaliStepPoints() float64 {
	worst := 0.0
	for _, a := range c.alkalis {
		worst = math.Max(worst, c.recipe.AlkaliStepG()*a.pure/a.molarMass())
	}
	return 100 * worst / c.dosedMol()
}
