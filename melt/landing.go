// Package melt answers two questions about the moment lye and fats meet: at
// which temperature the batter lands, and whether a wax or a fatty acid
// freezes out of it there.
//
// Start with Pot.LandingC and CloudPoint. What it does not do: it knows no
// hard fats (tallow and cocoa butter set too, but by no law as simple), nor how
// far lye and soap shift the cloud point, nor how long freezing takes. Model
// note: docs/model/melt.md.
package melt

import "math"

// The specific heat capacity of liquid fats is fatHeat0 + fatHeatSlope tC
// [J/(g K)], within 5 %. Source: handbooks_recalled, grade memory.
const (
	fatHeat0     = 1.92
	fatHeatSlope = 0.0030
)

// FatHeatCapacity returns the specific heat capacity of liquid fats [J/(g K)]
// at tC [about 20 to 180 °C]; fats that set take more.
func FatHeatCapacity(tC float64) float64 { return fatHeat0 + fatHeatSlope*tC }

// fatHeatJPerG is the integral of FatHeatCapacity from 0 °C to tC.
func fatHeatJPerG(tC float64) float64 { return tC * (fatHeat0 + fatHeatSlope/2*tC) }

// Pot is fats and lye about to meet.
type Pot struct {
	FatsG, FatsC float64 // all fats, waxes and free acids, molten
	LyeG, LyeC   float64
	LyeCp        func(tC float64) float64 // specific heat capacity of the lye [J/(g K)]

	PotJPerK     float64 // heat capacity of the vessel, which starts as warm as the fats
	FreeAcidMol  float64 // free fatty acids, which react on contact [mol]
	HeatKJPerMol float64 // that they give off
}

// LandingC returns the temperature [°C] of the batter once fats, lye and
// vessel share their heat and the free acids have reacted, before any fat does
// and with nothing lost to the room. Where cold lye first touches the fats it
// is colder for a moment. A pot with nothing in it panics.
// Source: docs/model/melt.md eq. 1.
func (p Pot) LandingC() float64 { return p.settle(1000 * p.FreeAcidMol * p.HeatKJPerMol) }

// TogetherC returns the one temperature [°C] that fats and lye must both have
// to land at targetC: the heat of the free acids below it.
func (p Pot) TogetherC(targetC float64) float64 {
	p.FatsC, p.LyeC = targetC, targetC
	return p.settle(-1000 * p.FreeAcidMol * p.HeatKJPerMol) // the landing, run backwards
}

// FatsForLanding returns the temperature [°C] the fats must have to land at
// targetC with the lye as it is. FatsC is not used. Fats and vessel of nothing
// panic.
func (p Pot) FatsForLanding(targetC float64) float64 {
	if p.FatsG*fatHeat0+p.PotJPerK <= 0 {
		panic("melt: no fats to warm")
	}
	needJ := p.FatsG*fatHeatJPerG(targetC) + p.PotJPerK*targetC +
		p.lyeJ(targetC) - 1000*p.FreeAcidMol*p.HeatKJPerMol
	// needJ = FatsG fatHeatJPerG(t) + PotJPerK t, a quadratic in t, in the
	// form that holds without fats too.
	b, a := p.FatsG*fatHeat0+p.PotJPerK, p.FatsG*fatHeatSlope/2
	return 2 * needJ / (b + math.Sqrt(max(0, b*b+4*a*needJ)))
}

// settle returns the temperature at which the pot has taken up heatJ in all.
func (p Pot) settle(heatJ float64) float64 {
	capacity := func(tC float64) float64 {
		c := p.FatsG*FatHeatCapacity(tC) + p.PotJPerK
		if p.LyeG > 0 {
			c += p.LyeG * p.LyeCp(tC)
		}
		return c
	}
	tC := p.FatsC
	if !(capacity(tC) > 0) {
		panic("melt: nothing in the pot")
	}
	// Newton's steps: capacity hardly changes with temperature, so each step
	// leaves less than a twentieth of the last.
	for range 20 {
		takenJ := p.FatsG*(fatHeatJPerG(tC)-fatHeatJPerG(p.FatsC)) + p.PotJPerK*(tC-p.FatsC) + p.lyeJ(tC)
		step := (heatJ - takenJ) / capacity(tC)
		tC += step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	return tC
}

// lyeJ is the heat that takes the lye from its temperature to tC, by Simpson's
// rule, which is exact for a heat capacity up to the cube of temperature.
func (p Pot) lyeJ(tC float64) float64 {
	if p.LyeG == 0 {
		return 0
	}
	mean := (p.LyeCp(p.LyeC) + 4*p.LyeCp((p.LyeC+tC)/2) + p.LyeCp(tC)) / 6
	return p.LyeG * mean * (tC - p.LyeC)
}
