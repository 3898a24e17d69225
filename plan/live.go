package plan

import (
	"cmp"
	"math"

	"barwright/lye"
	"barwright/material"
	"barwright/source"
	"barwright/window"
)

// What a batch asks of its plan while it is made: the same sums for what was
// really weighed and measured.

// Weights are what went in [g], line by line in the order of the plan.
type Weights struct {
	Fats, Alkali, Additions []float64
	WaterG                  float64
}

// WeighOut returns what the scale is to show.
func (p *Plan) WeighOut() Weights {
	w := Weights{WaterG: p.WaterWeighG}
	for _, f := range p.Fats {
		w.Fats = append(w.Fats, f.WeighG)
	}
	for _, a := range p.Alkali {
		w.Alkali = append(w.Alkali, a.WeighG)
	}
	for _, a := range p.Additions {
		w.Additions = append(w.Additions, a.WeighG)
	}
	return w
}

// with returns the charge with other masses. Weights of other lists than the
// plan's are a programmer's mistake and panic.
func (c charge) with(w Weights) charge {
	if len(w.Fats) != len(c.fats) || len(w.Alkali) != len(c.alkalis) || len(w.Additions) != len(c.additions) {
		panic("plan: weights of another recipe")
	}
	out := c
	out.waterG = w.WaterG
	out.fats = append([]fat(nil), c.fats...)
	for i := range out.fats {
		out.fats[i].massG = w.Fats[i]
	}
	out.alkalis = append([]alkali(nil), c.alkalis...)
	for i := range out.alkalis {
		out.alkalis[i].massG = w.Alkali[i]
	}
	out.additions = append([]addition(nil), c.additions...)
	for i := range out.additions {
		out.additions[i].massG = w.Additions[i]
	}
	return out
}

// Weighed is a batch as it was weighed.
type Weighed struct {
	Superfat    lye.Band
	TooMuchLye  string  // why it is a stop, by the very rule that stops a plan; "" when it is none
	StrengthPct float64 // of the lye
	LyeG        float64
	FatsG       float64
	BatterG     float64
	WaterPct    float64 // of the batter
}

// Weighed returns the superfat and the lye of what was weighed. There must be
// some fat.
func (p *Plan) Weighed(w Weights) Weighed {
	c := p.charge.with(w)
	band := c.terms().Superfat()
	return Weighed{Superfat: band, TooMuchLye: tooLittle(band), StrengthPct: 100 * c.strength(), LyeG: c.lyeG(), FatsG: c.fatsG(),
		BatterG: c.batterG(), WaterPct: 100 * c.batterWaterG() / c.batterG()}
}

// Dose returns the alkali [g, down to the scale's step] and the water that the
// weighed fats and acids need at the set superfat and lye strength; false for a
// recipe that sets neither.
func (p *Plan) Dose(w Weights) (alkali []float64, waterG float64, ok bool) {
	if p.recipe.IsFound() {
		return nil, 0, false
	}
	c := p.charge.with(w)
	for i, mol := range c.demand() {
		a := c.alkalis[i]
		alkali = append(alkali, floorTo(mol*a.molarMass()/a.pure, p.recipe.AlkaliStepG()))
		c.alkalis[i].massG = alkali[i]
	}
	waterG = c.pureG()/p.recipe.LyeStrength.Fraction() - c.alkaliG() - c.lyeWaterG()
	return alkali, math.Max(0, roundTo(waterG, p.recipe.FatStepG())), true
}

// MoreFat returns how much more of fat i [g, up to the scale's step] brings the
// typical superfat of what was weighed to percent; 0 when it is there already.
// With d mol dosed a gram, D dosed in all and B bound less brought:
// s = (B + d x) / (D + d x), so x = (s D − B) / (d (1 − s)).
func (p *Plan) MoreFat(w Weights, i int, percent float64) float64 {
	c := p.charge.with(w)
	s, dosed := percent/100, c.dosedMol()
	bound := c.terms().Typical() / 100 * dosed
	f := c.fats[i]
	// A free acid or a wax binds more, as a rule, than it is dosed by.
	x := (s*dosed - bound) / (f.sapLaw.Mode - s*f.dose)
	if x <= 0 {
		return 0
	}
	step := p.recipe.FatStepG()
	return math.Ceil(x/step-1e-9) * step
}

// PointsPerGram is what a gram of each alkali takes from the superfat [points].
func (p *Plan) PointsPerGram() []float64 {
	out := make([]float64, len(p.charge.alkalis))
	for i, a := range p.charge.alkalis {
		out[i] = 100 * a.pure / a.molarMass() / p.charge.dosedMol()
	}
	return out
}

// LandingAt returns where fats and lye of these temperatures land [°C], with
// the pot of the recipe.
func (p *Plan) LandingAt(fatsC, lyeC float64) float64 {
	return p.charge.mixing(fatsC, lyeC).LandingC()
}

// WindowAt returns the working time for a batter that lands at landingC [°C],
// by a model that learned from the maker's batches; nil is one that did not.
func (p *Plan) WindowAt(landingC float64, m *window.Model) Window {
	f := cmp.Or(m, prior()).Forecast(p.WindowConditions(landingC))
	return Window{Range(f.ToTrace), Range(f.ToUnpourable), source.Estimated}
}

// WindowConditions is what the working time of a batter depends on that lands
// at landingC [°C].
func (p *Plan) WindowConditions(landingC float64) window.Conditions {
	return p.charge.conditions(landingC, p.belowClear(landingC))
}

// AfterTrace returns the minutes from trace to unpourable, once the trace came
// toTraceMin [min, above 0] after combining at landingC [°C]; m is as in
// WindowAt.
func (p *Plan) AfterTrace(landingC, toTraceMin float64, m *window.Model) Range {
	return Range(cmp.Or(m, prior()).AfterTrace(p.WindowConditions(landingC), toTraceMin))
}

func (p *Plan) belowClear(landingC float64) bool {
	return p.Combine.ClearC != nil && landingC < *p.Combine.ClearC
}

// FatMaterial is the material of a line of fats.
func (p *Plan) FatMaterial(i int) material.Material { return p.charge.fats[i].Material }

// AdditionMaterial is the material of an addition.
func (p *Plan) AdditionMaterial(i int) material.Material { return p.charge.additions[i].Material }

// FreeAcidShare is the share of free fatty acids in the fats [0..1].
func (p *Plan) FreeAcidShare() float64 { return p.charge.share(isFreeAcid) }

// HardWaxShare is the share of waxes that are solid in the room [0..1].
func (p *Plan) HardWaxShare() float64 { return p.charge.share(IsHardWax) }

// AlkaliMaterial is the material of an alkali.
func (p *Plan) AlkaliMaterial(i int) material.Material { return p.charge.alkalis[i].Material }
