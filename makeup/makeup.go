// Package makeup says what a bar is made of: its fatty acids by chain group,
// the iodine, saponification and Cox values that follow from them, how much
// of the soap can dissolve in the hand, and the mass balance of the batch.
//
// Start with Fats.Groups and Compose. What it does not do: decide how much
// alkali to weigh (package lye) or how the bar dries (package cure). It judges
// no bar: it counts what is in it. Its model note is docs/model/makeup.md.
package makeup

import "barwright/material"

// Fat is one fat, wax or free fatty acid of a blend with its mass [g].
type Fat struct {
	material.Material
	MassG float64
}

// Fats is a blend. Masses are zero or more and not all zero; a blend that
// weighs nothing has no make-up, and asking for it panics.
type Fats []Fat

// MassG returns the mass of the blend [g].
func (f Fats) MassG() float64 {
	total := 0.0
	for _, fat := range f {
		if !(fat.MassG >= 0) {
			panic("makeup: a fat of negative or unknown mass")
		}
		total += fat.MassG
	}
	return total
}

// mean returns the mean of a property over the blend, weighted by mass.
func (f Fats) mean(of func(material.Material) float64) float64 {
	total := f.MassG()
	if total == 0 {
		panic("makeup: a blend that weighs nothing")
	}
	sum := 0.0
	for _, fat := range f {
		if fat.MassG > 0 {
			sum += fat.MassG / total * of(fat.Material)
		}
	}
	return sum
}

// acidPart returns the part of a material's mass that its fatty-acid profile
// speaks for: all of a fat or a free acid, and of a wax what is not
// unsaponifiable at its typical value. docs/model/makeup.md eq. 1.
func acidPart(m material.Material) float64 {
	if m.Kind == material.Wax {
		return 1 - m.UnsaponifiableFraction()
	}
	return 1
}

// acids returns the mass of every acid per 100 g of the blend [%], by acid id
// and "other". Nothing is renormalised: a profile that lists 99.3 % gives 99.3 %.
func (f Fats) acids() map[string]float64 {
	total := f.MassG()
	if total == 0 {
		panic("makeup: a blend that weighs nothing")
	}
	out := make(map[string]float64, len(material.Acids)+1)
	for i := range f {
		part := f[i].MassG / total * acidPart(f[i].Material)
		for id, percent := range f[i].Profile.Acids {
			out[id] += part * percent
		}
	}
	return out
}

// Groups returns the mass of every chain group per 100 g of fats [%], linear
// in the shares of the blend. Of a wax only the acid part counts; the rest is
// UnsaponifiedPercent. docs/model/makeup.md eq. 2.
func (f Fats) Groups() map[material.Group]float64 {
	acids := f.acids()
	groups := make(map[material.Group]float64, len(material.Groups))
	for _, a := range material.Acids {
		groups[a.Group] += acids[a.ID]
	}
	groups[material.OtherFat] += acids["other"]
	return groups
}

// UnsaponifiedPercent returns the part of the blend that is wax beyond its
// acids: fatty alcohols and hydrocarbons that no alkali binds [% of fats].
// The unsaponifiables of ordinary fats are not in it.
func (f Fats) UnsaponifiedPercent() float64 {
	return 100 * f.mean(func(m material.Material) float64 { return 1 - acidPart(m) })
}
