// Package lye answers how much alkali a recipe needs, how much superfat that
// leaves as a range, and what the fresh lye does: heat, boiling, crystals.
//
// Start with Batch.Superfat for the band and Fresh.PeakC for the heat. What it
// does not do: sizes, kitchen units, or what a person should be told; package
// plan does. Model notes: docs/model/superfat.md and docs/model/fresh-lye.md.
package lye

import "barwright/material"

// Molar masses [g/mol], IUPAC abridged standard atomic weights (2021):
// Na 22.98977, K 39.0983, O 15.999, H 1.008.
const (
	MolarMassNaOH = 22.98977 + 15.999 + 1.008
	MolarMassKOH  = 39.0983 + 15.999 + 1.008
)

// MgKOHPerMol turns a saponification value [mg KOH/g] into the alkali it
// binds: value / MgKOHPerMol [mol/g].
const MgKOHPerMol = 1000 * MolarMassKOH

// NaOHPerSugar is the most alkali that sugar can take when it breaks down
// [g NaOH/g sugar]: two acids per hexose, 2 × 39.997 / 180.16, rounded down as
// the design fixes it. Nothing is ever dosed for it.
const NaOHPerSugar = 0.44

// DosedSap returns the saponification value a material is dosed by [mg
// KOH/g]. Doubt goes to the side of more superfat: waxes at their acid value,
// free fatty acids at the low end unless this lot has a certificate, the rest
// at the typical value. The material must be a fat.
func DosedSap(m material.Material) float64 {
	switch {
	case m.Kind == material.Wax:
		return m.AcidValue.Typical
	case m.Kind == material.FreeAcid && !m.Sap.IsMeasured():
		return m.Sap.Low
	}
	return m.Sap.Typical
}

// SapLaw returns what is known of the saponification value of a fat [mg
// KOH/g]. A wax lies between its fast acids and its full value, because its
// esters react slowly or not at all in the cold.
func SapLaw(m material.Material) Law {
	if m.Kind == material.Wax {
		return NewLaw(m.AcidValue.Typical, m.AcidValue.Typical, m.Sap.Typical)
	}
	return NewLaw(m.Sap.Low, m.Sap.Typical, m.Sap.High)
}

// TakesLaw returns how much alkali an addition takes [g NaOH per g] at the
// given strength (1 for a pure substance), and whether it is a declared acid
// that is dosed for. sugars is the sugar share of this lot [0..1].
func TakesLaw(m material.Material, strength, sugars float64) (law Law, declared bool) {
	if m.Kind == material.KitchenAcid {
		t := m.TakesNaOH
		return NewLaw(t.Low*strength, t.Typical*strength, t.High*strength), true
	}
	law = AtMost(NaOHPerSugar * sugars)
	if m.TakesNaOH.Known() {
		law = law.Plus(NewLaw(m.TakesNaOH.Low, m.TakesNaOH.Typical, m.TakesNaOH.High))
	}
	return law, false
}
