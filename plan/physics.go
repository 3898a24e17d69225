package plan

import (
	"errors"

	"barwright/lye"
	"barwright/makeup"
	"barwright/material"
	"barwright/melt"
	"barwright/recipe"
	"barwright/window"
)

// Temperatures assumed where the recipe gives none [°C].
const roomC = 20

// solution is the lye of the charge.
func (c charge) solution() lye.Solution {
	byMass, _ := c.kohShare()
	return lye.Solution{Strength: c.strength(), KOHShare: byMass}
}

// lyeHeat returns the adiabatic peak of the fresh lye and its boiling point
// [°C]; nil where there are no data.
func (c charge) lyeHeat() (peakC, boilingC, solidC *float64) {
	s := c.solution()
	if b, err := s.BoilingC(); err == nil {
		boilingC = &b
	}
	if l, err := s.LiquidusC(); err == nil {
		solidC = &l
	}
	if s.KOHShare > 0 {
		return nil, boilingC, solidC
	}
	switch p, err := c.fresh().PeakC(); {
	case err == nil:
		peakC = &p
	case errors.Is(err, lye.ErrTooHot):
		most := lye.ExtendedC // hotter still, and long past boiling
		peakC = &most
	}
	return peakC, boilingC, solidC
}

func (c charge) fresh() lye.Fresh {
	f := lye.Fresh{Strength: c.strength(), SolidC: roomC, WaterC: roomC}
	if c.alkalis[0].stock {
		f.StockStrength = c.alkalis[0].pure
	}
	l := c.recipe.Lye
	if l == nil {
		return f
	}
	if l.WaterTemperature != nil {
		f.WaterC = l.WaterTemperature.C()
	}
	if l.Ice != nil {
		f.IceFraction = l.Ice.Fraction()
	}
	if v := l.Vessel; v != nil && v.Mass != nil {
		cp, _ := melt.StuffHeatCapacity(v.Name)
		// No more of a vessel warms with the lye than about its own mass.
		f.VesselJPerGK = cp * min(1, v.Mass.G()/c.lyeG())
	}
	return f
}

// pot is how fats and lye meet; false when the recipe does not say.
func (c charge) pot() (melt.Pot, bool) {
	m := c.recipe.Combine
	if m == nil {
		return melt.Pot{}, false
	}
	return c.mixing(m.FatsTemperature.C(), m.LyeTemperature.C()), true
}

// mixing is fats and lye of these temperatures about to meet.
func (c charge) mixing(fatsC, lyeC float64) melt.Pot {
	s := c.solution()
	p := melt.Pot{FatsG: c.fatsG(), FatsC: fatsC, LyeG: c.lyeG(), LyeC: lyeC,
		LyeCp: func(tC float64) float64 { return lyeHeatCapacity(s, tC) }, FreeAcidMol: c.freeAcidMol(),
		HeatKJPerMol: neutralisationKJPerMol + s.ExcessHeatKJPerMol()}
	if m := c.recipe.Combine; m != nil && m.Pot != nil && m.Pot.Mass != nil {
		cp, _ := melt.StuffHeatCapacity(m.Pot.Name)
		p.PotJPerK = cp * m.Pot.Mass.G()
	}
	return p
}

// neutralisationKJPerMol is the heat of a free acid meeting dilute lye
// [kJ/mol], 48 to 60. Source: docs/model/melt.md.
const neutralisationKJPerMol = 54

// lyeHeatCapacity returns J/(g K); beyond the table's ends the end holds.
func lyeHeatCapacity(s lye.Solution, tC float64) float64 {
	cp, err := s.HeatCapacity(min(max(tC, 20), 100))
	if err != nil {
		return 3.6 // 30 % lye: only on the way to a size can the strength leave the table
	}
	return cp
}

// freeAcidMol is the acid that reacts on contact [mol]: free fatty acids,
// waxes' acids, and the little that every fat holds.
func (c charge) freeAcidMol() (mol float64) {
	for _, f := range c.fats {
		switch f.Kind {
		case material.FreeAcid:
			mol += f.massG * f.Sap.Typical / lye.MgKOHPerMol
		default:
			mol += f.massG * f.AcidValue.Typical / lye.MgKOHPerMol
		}
	}
	return mol
}

// share is the part of the fats of one kind [0..1].
func (c charge) share(is func(material.Material) bool) (s float64) {
	for _, f := range c.fats {
		if is(f.Material) {
			s += f.massG / c.fatsG()
		}
	}
	return s
}

// cloud returns the cloud point of the fats, and the waxes nobody has data
// for.
func (c charge) cloud() (cloud melt.Cloud, ok bool, unknown []string) {
	parts := make([]melt.Part, len(c.fats))
	for i, f := range c.fats {
		parts[i] = melt.Part{Material: f.Material, Share: f.massG / c.fatsG()}
	}
	solutes, unknown := melt.SolutesOf(parts)
	cloud, ok = melt.CloudPoint(solutes)
	return cloud, ok, unknown
}

// IsHardWax reports a wax that sets in the pot: jojoba and lanolin do not.
func IsHardWax(m material.Material) bool { return m.Kind == material.Wax && m.Melting.Low > 45 }

func isFreeAcid(m material.Material) bool { return m.Kind == material.FreeAcid }

// conditions is what decides the working window.
func (c charge) conditions(landingC float64, belowClear bool) window.Conditions {
	groups := c.madeOf().Groups()
	w := window.Conditions{
		LandingC:    landingC,
		LyeStrength: c.strength(),
		Lauric:      (groups[material.C8C10] + groups[material.C12C14]) / 100,
		Unsaturated: (groups[material.Mono] + groups[material.Poly]) / 100,
		Ricinoleic:  groups[material.Hydroxy] / 100,
		FreeAcid:    c.share(isFreeAcid),
		HardWax:     c.share(IsHardWax),
		BelowClear:  belowClear,
		Paddle:      c.recipe.Combine != nil && c.recipe.Combine.Stir == recipe.Hand,
	}
	for _, a := range c.additions {
		w.Hurrying = w.Hurrying || a.Hurries
		w.Honey = w.Honey || a.Kind == material.Sugar
	}
	return w
}

func (c charge) madeOf() makeup.Fats {
	out := make(makeup.Fats, len(c.fats))
	for i, f := range c.fats {
		out[i] = makeup.Fat{Material: f.Material, MassG: f.massG}
	}
	return out
}
