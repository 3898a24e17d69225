package makeup

import "barwright/material"

// Molar masses [g/mol] from IUPAC abridged standard atomic weights; source
// key iupac_weights_2021. Those of alkalis, water and glycerol are the same
// to the digits anybody can weigh in every edition.
const (
	molarNaOH     = 39.9971
	molarKOH      = 56.1056
	molarWater    = 18.015
	molarGlycerol = 92.094
	molarNa       = 22.990
	molarK        = 39.098
	molarH        = 1.008

	mgKOHPerMol = 1000 * molarKOH // a saponification value [mg KOH/g] over this is mol/g
)

// iodineFactors say what one per cent of an acid adds to the iodine value, as
// part of a triglyceride's acids and as a free acid. AOCS Cd 1c-85, source key
// aocs_cd_1c_85, grade standard. Ricinoleic acid is not in the method; its
// factors are derived by the method's own rule, double bonds times the mass of
// I2 over the molar mass.
var iodineFactors = []struct {
	acid              string
	inFat, asFreeAcid float64
}{
	{"c16_1", 0.950, 0.9976},
	{"c18_1", 0.860, 0.8986},
	{"c18_2", 1.732, 1.810},
	{"c18_3", 2.616, 2.735},
	{"c20_1", 0.785, 0.8175},
	{"c22_1", 0.723, 0.7497},
	{"c18_1oh", 0.8157, 0.8504},
}

// IodineOf returns the iodine value [g I2/100 g] that a material's profile
// gives: the factors of triglycerides for fats and for the acid part of a
// wax, those of free acids for free acids. Double bonds of acids lumped as
// other are not counted. Source: docs/model/makeup.md eq. 3.
func IodineOf(m material.Material) float64 {
	sum := 0.0
	for _, f := range iodineFactors {
		factor := f.inFat
		if m.Kind == material.FreeAcid {
			factor = f.asFreeAcid
		}
		sum += factor * m.Profile.Percent(f.acid)
	}
	return acidPart(m) * sum
}

// IodineValue returns the iodine value of the blend from its profiles
// [g I2/100 g], the mean of IodineOf by mass.
func (f Fats) IodineValue() float64 { return f.mean(IodineOf) }

// coxRates are the rates of oxidation of the three acids that oxidise,
// against oleic. Source key fatemi_hammond_1980, recalled.
var coxRates = []struct {
	acid string
	rate float64
}{{"c18_1", 1}, {"c18_2", 10.3}, {"c18_3", 21.6}}

// CoxOf returns the Cox value of a material, a number without unit that ranks
// how readily its acids oxidise; of a wax only the acid part counts. Source:
// docs/model/makeup.md eq. 4.
func CoxOf(m material.Material) float64 {
	sum := 0.0
	for _, c := range coxRates {
		sum += c.rate * m.Profile.Percent(c.acid)
	}
	return acidPart(m) * sum / 100
}

// Cox returns the Cox value of the blend, the mean of CoxOf by mass.
func (f Fats) Cox() float64 { return f.mean(CoxOf) }

// MeanMolarMass returns the mean molar mass of a material's fatty acids
// [g/mol], Σw / Σ(w/M) over the acids that are listed; those lumped as other
// have no molar mass and stay out of both sums. False when none is listed.
// Source: docs/model/makeup.md eq. 5.
func MeanMolarMass(m material.Material) (gPerMol float64, ok bool) {
	mass, moles := 0.0, 0.0
	for _, a := range material.Acids {
		w := m.Profile.Percent(a.ID)
		mass += w
		moles += w / a.M()
	}
	if moles == 0 {
		return 0, false
	}
	return mass / moles, true
}

// SapOf returns the saponification value [mg KOH/g] that a material's profile
// gives, less its typical unsaponifiables: AOCS Cd 3a-94 for fats, one acid
// group per mean molar mass for free acids. False for a wax, whose esters are
// not triglycerides, and without a listed acid. Source: docs/model/makeup.md
// eq. 6.
func SapOf(m material.Material) (mgKOHPerG float64, ok bool) {
	meanM, ok := MeanMolarMass(m)
	if !ok || m.Kind == material.Wax {
		return 0, false
	}
	perMaterial := 1 - m.UnsaponifiableFraction()
	if m.Kind == material.FreeAcid {
		return mgKOHPerMol / meanM * perMaterial, true
	}
	return 3 * mgKOHPerMol / (3*meanM + molarGlycerol - 3*molarWater) * perMaterial, true
}

// SapCalculated returns the saponification value of the blend [mg KOH/g] from
// its profiles, the mean of SapOf by mass. False when it has no meaning: with
// a wax in the blend, or a fat of unknown acids.
func (f Fats) SapCalculated() (mgKOHPerG float64, ok bool) {
	for _, fat := range f {
		if _, ok := SapOf(fat.Material); !ok && fat.MassG > 0 {
			return 0, false
		}
	}
	return f.mean(func(m material.Material) float64 { sap, _ := SapOf(m); return sap }), true
}

// SapTypical returns the mean by mass of the typical saponification values of
// the material files [mg KOH/g], for a wax that of full saponification.
func (f Fats) SapTypical() float64 {
	return f.mean(func(m material.Material) float64 { return m.Sap.Typical })
}
