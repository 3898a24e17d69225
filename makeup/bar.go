package makeup

import "barwright/material"

// Charge is everything that goes into the pot. Whatever declared acids take
// of the alkali is gone before: their salts are OtherDryG and the water they
// form is in WaterG.
type Charge struct {
	Fats      Fats
	NaOHMol   float64 // pure sodium hydroxide left for the fats, 0 or more [mol]
	KOHMol    float64 // pure potassium hydroxide left for the fats, 0 or more [mol]
	WaterG    float64 // all water: of the lye, of the alkali as bought, of additions [g]
	OtherDryG float64 // dry part of additions, carbonate of the alkali, salts of acids [g]
}

// Bar is the batch once everything has reacted that can. The masses add up
// to TotalG, and TotalG to what was charged.
type Bar struct {
	SoapG         float64
	GlycerolG     float64
	FreeFatG      float64 // superfat: glycerides and, if alkali fell short even of them, free acids
	UnsaponifiedG float64 // wax esters and the rest of waxes
	WaterG        float64 // as charged, and formed by free acids
	OtherG        float64
	ExcessAlkaliG float64 // alkali beyond what the fats can bind: such a bar burns
	TotalG        float64

	SodiumMol, PotassiumMol float64 // bound in soap [mol]
}

// Compose returns the mass balance of a charge. Alkali meets the free acids
// first and frees water, then the glycerides and frees glycerol; the esters of
// waxes stay as they are. Every saponification and acid value is the typical
// one of its material. A charge with negative amounts is a programmer's
// mistake and panics. Source: docs/model/makeup.md eq. 8 to 10.
func Compose(c Charge) Bar {
	if !(c.NaOHMol >= 0 && c.KOHMol >= 0 && c.WaterG >= 0 && c.OtherDryG >= 0) {
		panic("makeup: a charge with negative or unknown amounts")
	}
	var pot reactants
	for _, fat := range c.Fats {
		pot.add(fat)
	}
	alkaliMol := c.NaOHMol + c.KOHMol
	acidsDone := part(alkaliMol, pot.acidMol)
	estersDone := part(alkaliMol-acidsDone*pot.acidMol, pot.esterMol)
	boundMol := acidsDone*pot.acidMol + estersDone*pot.esterMol
	used := part(boundMol, alkaliMol)
	alkaliG := c.NaOHMol*molarNaOH + c.KOHMol*molarKOH

	b := Bar{
		GlycerolG:     estersDone * pot.esterMol / 3 * molarGlycerol,
		FreeFatG:      (1-acidsDone)*pot.acidG + (1-estersDone)*pot.esterG,
		UnsaponifiedG: pot.waxG,
		OtherG:        c.OtherDryG,
		ExcessAlkaliG: (1 - used) * alkaliG,
		TotalG:        c.Fats.MassG() + alkaliG + c.WaterG + c.OtherDryG,
		SodiumMol:     used * c.NaOHMol,
		PotassiumMol:  used * c.KOHMol,
	}
	formedG := acidsDone * pot.acidMol * molarWater
	b.WaterG = c.WaterG + formedG
	b.SoapG = acidsDone*pot.acidG + estersDone*pot.esterG + used*alkaliG - formedG - b.GlycerolG
	return b
}

// part returns how much of want there is, 0 to 1; nothing wanted is nothing
// done.
func part(have, want float64) float64 {
	if want <= 0 {
		return 0
	}
	return min(1, max(0, have)/want)
}

// reactants is what the fats offer to the alkali.
type reactants struct {
	acidMol, acidG   float64 // free acids
	esterMol, esterG float64 // glycerides, by acid group
	waxG             float64 // wax without its free acids
}

func (r *reactants) add(f Fat) {
	sapMol := f.MassG * f.Sap.Typical / mgKOHPerMol
	acidMol, acidG := freeAcids(f)
	r.acidMol += acidMol
	r.acidG += acidG
	switch f.Kind {
	case material.Wax:
		r.waxG += f.MassG - acidG
	case material.FreeAcid:
	default:
		r.esterMol += sapMol - acidMol
		r.esterG += f.MassG - acidG
	}
}

// freeAcids returns the free acids of a fat: all of a free acid, and of fats
// and waxes what the acid value says at the mean molar mass of the profile.
// A fat whose acid value or acids are unknown counts as having none.
func freeAcids(f Fat) (mol, massG float64) {
	if f.Kind == material.FreeAcid {
		return f.MassG * f.Sap.Typical / mgKOHPerMol, f.MassG
	}
	meanM, ok := MeanMolarMass(f.Material)
	if !ok || !f.AcidValue.Known() {
		return 0, 0
	}
	mol = f.MassG * min(f.AcidValue.Typical, f.Sap.Typical) / mgKOHPerMol
	return mol, min(mol*meanM, f.MassG)
}

// TotalFattyMatter returns the fatty acids of the soap with all free fat and
// wax, per cent of the bar's mass, as ISO 685 counts it: glycerides and
// unsaponifiables are in, sodium, potassium and glycerol are not. A bar that
// weighs nothing panics. Source: docs/model/makeup.md eq. 11.
func (b Bar) TotalFattyMatter() float64 {
	if b.TotalG <= 0 {
		panic("makeup: a bar that weighs nothing")
	}
	acidsG := b.SoapG - b.SodiumMol*(molarNa-molarH) - b.PotassiumMol*(molarK-molarH)
	return 100 * (acidsG + b.FreeFatG + b.UnsaponifiedG) / b.TotalG
}
