package plan

import (
	"sync"

	"barwright/makeup"
	"barwright/material"
	"barwright/source"
	"barwright/window"
)

// prior is the window model before any batch of this maker.
var prior = sync.OnceValue(window.Prior)

// Makeup is the chemistry of the fats, for the drawer.
type Makeup struct {
	SapTypical      float64                    `json:"sap_mg_koh_g"`
	SapCalculated   *float64                   `json:"sap_calculated"` // null with a wax
	IodineValue     float64                    `json:"iodine_value"`
	Cox             float64                    `json:"cox"`
	GroupsPct       map[material.Group]float64 `json:"groups_pct"`
	UnsaponifiedPct float64                    `json:"unsaponified_pct"`
	Dissolving      Dissolving                 `json:"dissolving_pct"`
	Oxidation       float64                    `json:"oxidation_exposure"`
	ProfileGrade    source.Grade               `json:"profile_grade"`
}

// Dissolving is the share of the soap that can dissolve, by water temperature.
type Dissolving struct {
	At20 float64 `json:"20c"`
	At35 float64 `json:"35c"`
	At45 float64 `json:"45c"`
}

// Bar is what the bar is made of, poured and cured [per cent by mass].
type Bar struct {
	Fresh Composition `json:"fresh_pct"`
	Cured Composition `json:"cured_pct"` // at CureDays
	Loss  Range       `json:"loss_pct"`  // of the fresh weight, by CureDays

	FattyMatter float64 `json:"total_fatty_matter_pct"` // of the cured bar, as ISO 685 counts it
}

// Composition is a make-up by mass that comes to 100 %.
type Composition struct {
	Soap         float64 `json:"soap"`
	Glycerol     float64 `json:"glycerol"`
	FreeFat      float64 `json:"free_fat"`
	Unsaponified float64 `json:"unsaponified"`
	Water        float64 `json:"water"`
	Other        float64 `json:"other"`
	FreeAlkali   float64 `json:"free_alkali"` // what no fat can bind: such a bar burns
}

// makeup returns the chemistry of the fats.
func (p *Plan) makeup() *Makeup {
	if p.Makeup.GroupsPct == nil {
		p.planMakeup()
	}
	return &p.Makeup
}

func (p *Plan) planMakeup() {
	c := p.charge
	fats := c.madeOf()
	_, koh := c.kohShare()
	p.Makeup = Makeup{
		SapTypical:      fats.SapTypical(),
		IodineValue:     fats.IodineValue(),
		Cox:             fats.Cox(),
		GroupsPct:       fats.Groups(),
		UnsaponifiedPct: fats.UnsaponifiedPercent(),
		Dissolving:      Dissolving{fats.Dissolving(20, koh), fats.Dissolving(35, koh), fats.Dissolving(45, koh)},
		Oxidation:       makeup.Oxidation(fats.Cox(), max(0, c.terms().Typical()), c.keepers()),
	}
	if sap, ok := fats.SapCalculated(); ok {
		p.Makeup.SapCalculated = &sap
	}
	for _, f := range c.fats {
		p.Makeup.ProfileGrade = source.Worst(p.Makeup.ProfileGrade, f.Profile.Grade)
	}
}

func (c charge) keepers() (ks []string) {
	for _, a := range c.additions {
		if a.Antioxidant != "" {
			ks = append(ks, a.Antioxidant)
		}
	}
	return ks
}

// molarMassWater is in g/mol; every acid group that meets alkali frees one.
const molarMassWater = 18.015

// planBar makes the mass balance of the poured and the cured bar.
func (p *Plan) planBar() {
	c := p.charge
	charge := makeup.Charge{Fats: c.madeOf(), WaterG: c.batterWaterG()}
	left := 1.0
	if c.alkaliMol() > 0 {
		left = max(0, 1-c.acidMol()/c.alkaliMol())
	}
	_, koh := c.kohShare()
	charge.NaOHMol, charge.KOHMol = c.alkaliMol()*left*(1-koh), c.alkaliMol()*left*koh
	taken := c.alkaliMol() * (1 - left)
	charge.WaterG += taken * molarMassWater
	charge.OtherDryG = c.additionsG() - c.additionsWaterG() + c.pureG()*(1-left) - taken*molarMassWater
	b := makeup.Compose(charge)
	p.Bar.Fresh = composition(b, b.WaterG)
	loss := c.cureLoss()
	p.Bar.Loss = Range{100 * loss.Low, 100 * loss.Typical, 100 * loss.High}
	lostG := min(b.WaterG, loss.Typical*b.TotalG)
	p.Bar.Cured = composition(b, b.WaterG-lostG)
	p.Bar.FattyMatter = b.TotalFattyMatter() * b.TotalG / (b.TotalG - lostG)
}

func (c charge) additionsWaterG() (g float64) {
	for _, a := range c.additions {
		g += a.massG * a.water
	}
	return g
}

// composition returns the make-up of a bar with waterG of water left.
func composition(b makeup.Bar, waterG float64) Composition {
	f := 100 / (b.TotalG - b.WaterG + waterG)
	return Composition{b.SoapG * f, b.GlycerolG * f, b.FreeFatG * f, b.UnsaponifiedG * f, waterG * f, b.OtherG * f, b.ExcessAlkaliG * f}
}
