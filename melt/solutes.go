package melt

import (
	"barwright/material"
	"barwright/source"
)

// acidCrystals is melting point and heat of fusion of the saturated acids that
// come out of warm fat. The molar masses are rounded as the check table was.
// Source: handbooks_recalled, grade memory. The unsaturated acids melt too low
// to matter; arachidic and behenic acid have no figures here.
var acidCrystals = map[string]material.Crystal{
	"c12_0": {MolarMass: 200.3, MeltC: 44.0, HeatJ: 36.3},
	"c14_0": {MolarMass: 228.4, MeltC: 54.2, HeatJ: 45.0},
	"c16_0": {MolarMass: 256.4, MeltC: 62.7, HeatJ: 53.7},
	"c18_0": {MolarMass: 284.5, MeltC: 69.3, HeatJ: 61.2},
	"c24_0": {MolarMass: 368.6, MeltC: 84.0, HeatJ: 88.0},
}

// Part is one material of the fat phase and its share of it [0..1].
type Part struct {
	Material material.Material
	Share    float64
}

// SolutesOf returns what can freeze out of a fat phase: waxes by their
// crystal data and free fatty acids by the components of their profile. The
// same wax from two lots, and the same acid from two materials, count
// together. unknown names the solid waxes without crystal data: of them the
// cloud point says nothing.
func SolutesOf(parts []Part) (solutes []Solute, unknown []string) {
	acidFraction := make([]float64, len(material.Acids))
	for _, p := range parts {
		switch {
		case p.Share <= 0:
		case p.Material.Kind == material.FreeAcid:
			for i, a := range material.Acids {
				acidFraction[i] += p.Share * p.Material.Profile.Percent(a.ID) / 100
			}
		case p.Material.Kind != material.Wax:
		case p.Material.Crystal.Known():
			solutes = addWax(solutes, p)
		case p.Share >= leastMassFraction && !liquidWax(p.Material):
			unknown = append(unknown, p.Material.Name)
		}
	}
	for i, a := range material.Acids {
		if c, ok := acidCrystals[a.ID]; ok && acidFraction[i] > 0 {
			solutes = append(solutes, Solute{a.Name + " acid", acidFraction[i], c.MolarMass, c.MeltC, c.HeatJ, "handbooks_recalled", source.Memory})
		}
	}
	return solutes, unknown
}

// addWax adds a wax to the solutes, to the one with the same crystals if it is
// there already.
func addWax(solutes []Solute, p Part) []Solute {
	c := p.Material.Crystal
	for i, s := range solutes {
		if s.MolarMass == c.MolarMass && s.MeltC == c.MeltC && s.HeatKJPerMol == c.HeatJ {
			solutes[i].MassFraction += p.Share
			return solutes
		}
	}
	return append(solutes, Solute{p.Material.Name, p.Share, c.MolarMass, c.MeltC, c.HeatJ, c.Source, c.Grade})
}

// liquidWax reports whether a wax is liquid at room temperature, as jojoba is,
// and so cannot freeze out of warm fat.
func liquidWax(m material.Material) bool { return m.Melting.Known() && m.Melting.High < 20 }
