package plan

import (
	"fmt"
	"math"

	"barwright/cure"
	"barwright/lye"
	"barwright/material"
	"barwright/recipe"
)

// CureDays is the day whose typical loss turns cured bars into fresh ones.
const CureDays = 42

// volumeC is the temperature of the volumes of lye and batter [°C].
const volumeC = 40

// fatExpansion is what fats lose in density per kelvin [g/ml/K].
// Source: 0.00064 to 0.00070 for liquid triglycerides (recalled).
const fatExpansion = 0.00066

// sized returns the charge at the size the recipe asks for.
func (c charge) sized() (charge, error) {
	s := c.recipe.Size
	switch {
	case s == nil, c.recipe.Fats[0].Amount != nil:
		return c.scaled(c.fatsG()), nil
	case s.Fats != nil:
		return c.scaled(s.Fats.G()), nil
	case s.Batter != nil:
		return c.solve(s.Batter.G(), charge.batterG, "the batter")
	case s.Bars != nil:
		return c.sizedForBars(float64(s.Bars.Count) * s.Bars.Each.G())
	}
	m := c.recipe.Mould
	return c.solve(m.CapacityML()*m.FillPercent()/100, func(c charge) float64 { ml, _ := c.volumeML(); return ml }, "the mould")
}

// solve returns the charge for which measure is target. Everything that can
// be measured grows in a straight line with the fats, because additions are
// either a share of them or fixed.
func (c charge) solve(target float64, measure func(charge) float64, what string) (charge, error) {
	at1, at2 := measure(c.scaled(1000)), measure(c.scaled(2000))
	fatsG := 1000 + 1000*(target-at1)/(at2-at1)
	if !(fatsG > 0) || math.IsInf(fatsG, 0) {
		return c, recipe.Fault{Path: "size", Text: fmt.Sprintf("the additions alone are more than %s holds", what), Advice: "make the batch bigger or the additions smaller"}
	}
	return c.scaled(fatsG), nil
}

// sizedForBars returns the charge whose bars come to curedG after the cure.
// The loss depends on the water share, which depends on the size only where
// additions are fixed masses, so a few rounds settle it.
func (c charge) sizedForBars(curedG float64) (charge, error) {
	out, err := c.solve(curedG/0.9, charge.batterG, "the bars")
	for range 8 {
		if err != nil {
			return out, err
		}
		out, err = c.solve(curedG/(1-out.cureLoss().Typical), charge.batterG, "the bars")
	}
	return out, err
}

// cureLoss is the share of its mass a bar loses in CureDays.
func (c charge) cureLoss() cure.Loss {
	return cure.LossAt(c.batterWaterG()/c.batterG(), c.soapShare(), CureDays)
}

// soapShare is the part of the batter that becomes soap, glycerol and free
// fat: what holds water in the cured bar. Salt, clay and wax hold none.
func (c charge) soapShare() float64 {
	g := c.pureG()
	for _, f := range c.fats {
		if f.Kind != material.Wax {
			g += f.massG
		}
	}
	return g / c.batterG()
}

// volumeML returns the volume of the batter at 40 °C [ml], solids by their
// true density, and of its lye alone.
func (c charge) volumeML() (batter, lyeML float64) {
	byMass, _ := c.kohShare()
	rho, err := lye.Solution{Strength: c.strength(), KOHShare: byMass}.Density(volumeC)
	if err != nil {
		// checkLye keeps every planned strength inside the tables; on the way to
		// a size, water's own density is near enough.
		rho = 1
	}
	lyeML = c.lyeG() / rho
	batter = lyeML
	for _, f := range c.fats {
		batter += f.massG / fatDensity(f.Material)
	}
	for _, a := range c.additions {
		batter += a.bulkML()
	}
	return batter, lyeML
}

// bulkML is the room an addition takes in the batter [ml]; water that it
// brings into the lye is counted there.
func (a addition) bulkML() float64 {
	rho := a.Density.Typical
	if !a.Density.Known() {
		rho = 1
	}
	ml := a.massG / rho
	if a.inLye() {
		ml -= a.massG * a.water
	}
	return math.Max(0, ml)
}

func fatDensity(m material.Material) float64 {
	return m.Density.Typical - fatExpansion*(volumeC-m.Density.AtC)
}
