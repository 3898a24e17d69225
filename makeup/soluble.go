package makeup

import "barwright/material"

// Soluble is one acid whose soap enters the dissolving share.
type Soluble struct {
	Acid string  // id of the acid
	Most float64 // the most of its soap that the dissolved phase holds, as a share of that phase
}

// Solubles returns what decides the dissolving share in water of tC [°C] with
// kohMolShare [0..1] of potassium: a share L of the soap can dissolve exactly
// when L ≤ Σ min(z, L × Most), z being the acids' shares of all acids listed
// here. Source: docs/model/makeup.md eq. 7.
func Solubles(tC, kohMolShare float64) []Soluble {
	out := make([]Soluble, len(kraffts))
	for i, k := range kraffts {
		shiftK := potassiumShift.Typical * min(1, max(0, kohMolShare))
		out[i] = Soluble{k.acid, idealLimit(tC, k.Typical-shiftK, dissolutionHeat.Typical)}
	}
	return out
}

// AcidPercent returns the mass of one acid per 100 g of a material [%]; of a
// wax only the acid part counts.
func AcidPercent(m material.Material, acid string) float64 {
	return acidPart(m) * m.Profile.Percent(acid)
}
