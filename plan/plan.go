// Package plan joins a recipe and the sciences into one batch plan: what to
// weigh, what will happen, and what to beware of, each with its because.
//
// Start with Make. A Plan is plain data; encoding/json writes it with the
// names other programs rely on. What it does not do: print for people (the
// command and the pages do) or remember anything.
package plan

import (
	"math"

	"barwright/finding"
	"barwright/lye"
	"barwright/material"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/source"
)

// Plan is a batch plan. Pointers are nil, and JSON null, where the recipe
// says too little or nature gives no data.
type Plan struct {
	Recipe          RecipeName        `json:"recipe"`
	Fats            []FatLine         `json:"fats"`
	FatsG           float64           `json:"fats_g"`
	Alkali          []AlkaliLine      `json:"alkali"`
	AlkaliForAcidsG float64           `json:"alkali_for_acids_g"`
	WaterG          float64           `json:"water_g"`
	WaterWeighG     float64           `json:"water_weigh_g"`
	IceG            float64           `json:"ice_g"` // of the water
	Paste           bool              `json:"paste"` // mostly potassium soap: no bar
	Lye             LyePart           `json:"lye"`
	Superfat        Superfat          `json:"superfat_pct"`
	Additions       []AdditionLine    `json:"additions"`
	Batter          Batter            `json:"batter"`
	Combine         Combine           `json:"combine"`
	Window          *Window           `json:"window_min"`
	Makeup          Makeup            `json:"makeup"`
	Bar             Bar               `json:"bar"`
	Mould           *MouldFill        `json:"mould"`
	Scale           Scales            `json:"scale"`
	Findings        []finding.Finding `json:"findings"`

	charge  charge
	recipe  recipe.Recipe
	library *material.Library
	unclear []string        // waxes whose cloud point nobody knows
	stopped map[string]bool // ids of the rules that stop it, once asked for
}

// RecipeName names what was planned.
type RecipeName struct {
	Name string `json:"name"`
	Hash string `json:"hash"`
}

// FatLine is one line of the weigh list.
type FatLine struct {
	Material string       `json:"material"`
	Name     string       `json:"name"`
	MassG    float64      `json:"mass_g"`
	WeighG   float64      `json:"weigh_g"`
	SharePct float64      `json:"share_pct"`
	Sap      Sap          `json:"sap_mg_koh_g"`
	Grade    source.Grade `json:"grade"`
	Evidence string       `json:"evidence"`
}

// Sap is a saponification value with its range and the value dosed by.
type Sap struct {
	Low     float64 `json:"low"`
	Typical float64 `json:"typical"`
	High    float64 `json:"high"`
	Dose    float64 `json:"dose"`
}

// AlkaliLine is one alkali as bought.
type AlkaliLine struct {
	Material  string  `json:"material"`
	Name      string  `json:"name"`
	MassG     float64 `json:"mass_g"`
	WeighG    float64 `json:"weigh_g"`
	PureG     float64 `json:"pure_g"`
	PurityPct float64 `json:"purity_pct"`
	Stock     bool    `json:"stock,omitempty"` // kept as a solution
}

// LyePart is the fresh lye.
type LyePart struct {
	StrengthPct    float64      `json:"strength_pct"`
	MassG          float64      `json:"mass_g"`
	VolumeML       float64      `json:"volume_ml"` // at 40 °C
	PeakC          *float64     `json:"peak_c"`    // adiabatic: the upper bound
	BoilingC       *float64     `json:"boiling_c"`
	FirstCrystalsC *float64     `json:"first_crystals_c"`
	WaterPerAlkali float64      `json:"water_per_alkali"` // the strength said another way
	WaterPctOfFats float64      `json:"water_pct_of_fats"`
	Grade          source.Grade `json:"grade"` // of peak, boiling point and crystals
}

// Superfat is the band for the exact masses and for what will be weighed.
type Superfat struct {
	Set *float64 `json:"set"`
	lye.Band
	AsWeighed AsWeighed   `json:"as_weighed"`
	Causes    []Cause     `json:"causes"` // the shares with names for people, the largest first
	Narrow    []Narrowing `json:"narrow"`
}

// AsWeighed is the band for what the scale will show.
type AsWeighed struct {
	Set *float64 `json:"set"`
	lye.Band
	AlkaliStep float64 `json:"alkali_step"` // what one whole step of the scale moves it [points]
}

// AdditionLine is one addition.
type AdditionLine struct {
	Material  string  `json:"material"`
	Name      string  `json:"name"`
	Written   string  `json:"written"`
	When      string  `json:"when"`
	MassG     float64 `json:"mass_g"`
	WeighG    float64 `json:"weigh_g"`
	WaterG    float64 `json:"water_g"`
	NaOHTaken Range   `json:"naoh_taken_g"`
	Declared  bool    `json:"declared_acid"`
}

// Scales is what the scales can show.
type Scales struct {
	Fats   Steps `json:"fats"`
	Alkali Steps `json:"alkali"`
}

// Steps is the step of one scale.
type Steps struct {
	StepG float64 `json:"step_g"`
	Unit  string  `json:"unit"` // the unit it shows
}

// Show prints a mass as the scale shows it.
func (s Steps) Show(g float64) string { return quantity.ShowIn(g, s.Unit, 4) }

func steps(m *quantity.Mass) Steps {
	if m == nil {
		return Steps{recipe.DefaultStepG, "g"}
	}
	return Steps{m.G(), m.Unit}
}

// Range is a likely value between its 5 % and 95 % points.
type Range struct {
	Low     float64 `json:"low"`
	Typical float64 `json:"typical"`
	High    float64 `json:"high"`
}

// Batter is everything in the pot.
type Batter struct {
	MassG    float64 `json:"mass_g"`
	VolumeML float64 `json:"volume_ml"` // at 40 °C
	WaterPct float64 `json:"water_pct"`
}

// Combine is where fats and lye meet.
type Combine struct {
	LandingC   *float64     `json:"landing_c"`
	CloudPoint *Range       `json:"cloud_point_c"`
	CloudOf    string       `json:"cloud_of,omitempty"` // what falls out first
	ClearC     *float64     `json:"clear_c"`
	Grade      source.Grade `json:"grade"`
}

// Window is the working time in minutes from combining.
type Window struct {
	ToTrace      Range        `json:"to_trace"`
	ToUnpourable Range        `json:"to_unpourable"`
	Grade        source.Grade `json:"grade"`
}

// MouldFill is how full the mould gets.
type MouldFill struct {
	VolumeML float64 `json:"volume_ml"`
	FillPct  float64 `json:"fill_pct"`
}

// JugG is what the lye jug should weigh, without the jug [g]: alkali, water
// and all that goes into the lye, as weighed.
func (p *Plan) JugG() float64 {
	g := p.WaterWeighG
	for _, a := range p.Alkali {
		g += a.WeighG
	}
	for _, a := range p.Additions {
		if a.When == string(recipe.InLye) {
			g += a.WeighG
		}
	}
	return g
}

// Make returns the plan of a recipe that passed recipe.Check. The error, a
// recipe.Fault, is what makes it impossible rather than unwise: no room for
// the water, lye over 50 %, additions bigger than the batch.
func Make(r recipe.Recipe, lib *material.Library) (*Plan, error) {
	p, err := compute(r, lib)
	if err != nil {
		return nil, err
	}
	p.Recipe = RecipeName{r.Name, r.Hash()}
	p.describe()
	p.Findings = p.findings()
	return p, nil
}

// compute makes what is quick. The band, the minutes and the make-up are made
// by superfat, window and makeup when they are first asked for, because a plan
// made to try a fix mostly needs one of them.
func compute(r recipe.Recipe, lib *material.Library) (*Plan, error) {
	r = withPapers(r, lib)
	c, err := resolve(r, lib)
	if err != nil {
		return nil, err
	}
	if c, err = c.sized(); err != nil {
		return nil, err
	}
	if err := c.checkLye(); err != nil {
		return nil, err
	}
	p := &Plan{charge: c, recipe: r, library: lib, FatsG: c.fatsG(), WaterG: math.Max(0, c.waterG)}
	p.planLye()
	p.planBatter()
	p.planCombine()
	return p, nil
}

func (p *Plan) planLye() {
	c := p.charge
	_, lyeML := c.volumeML()
	peak, boiling, solid := c.lyeHeat()
	p.Lye = LyePart{StrengthPct: 100 * c.strength(), MassG: c.lyeG(), VolumeML: lyeML, PeakC: peak, BoilingC: boiling, FirstCrystalsC: solid,
		WaterPerAlkali: (c.lyeG() - c.pureG()) / c.pureG(), WaterPctOfFats: 100 * (c.lyeG() - c.pureG()) / c.fatsG(), Grade: source.Unknown}
	if peak != nil {
		p.Lye.Grade = source.Memory // the heat of solid alkali is recalled; the rest is derived
	}
}

func (p *Plan) planBatter() {
	c := p.charge
	ml, _ := c.volumeML()
	p.Batter = Batter{MassG: c.batterG(), VolumeML: ml, WaterPct: 100 * c.batterWaterG() / c.batterG()}
	if m := p.recipe.Mould; m != nil {
		p.Mould = &MouldFill{VolumeML: m.CapacityML(), FillPct: 100 * ml / m.CapacityML()}
	}
}

func (p *Plan) planCombine() {
	cloud, hasCloud, unknown := p.charge.cloud()
	p.unclear = unknown
	if hasCloud {
		p.Combine.CloudPoint = &Range{cloud.LowC, cloud.TypicalC, cloud.HighC}
		p.Combine.CloudOf = cloud.Of
		p.Combine.ClearC = &cloud.ClearC
		p.Combine.Grade = cloud.Grade
	}
	pot, ok := p.charge.pot()
	if !ok {
		return
	}
	landing := pot.LandingC()
	p.Combine.LandingC = &landing
}

// window returns the working time; nil without temperatures.
func (p *Plan) window() *Window {
	if c := p.Combine; p.Window == nil && c.LandingC != nil {
		f := prior().Forecast(p.charge.conditions(*c.LandingC, c.ClearC != nil && *c.LandingC < *c.ClearC))
		p.Window = &Window{Range(f.ToTrace), Range(f.ToUnpourable), source.Estimated}
	}
	return p.Window
}

// superfat returns the band.
func (p *Plan) superfat() *Superfat {
	if p.Superfat.Shares == nil {
		p.planSuperfat()
	}
	return &p.Superfat
}

func (p *Plan) planSuperfat() {
	bands := lye.Superfats(p.charge.terms(), p.charge.weighed().terms())
	p.Superfat.Band = bands[0]
	p.Superfat.AsWeighed = AsWeighed{Band: bands[1], AlkaliStep: p.charge.alkaliStepPoints()}
	if s := p.recipe.Superfat; s != nil {
		p.Superfat.Set, p.Superfat.AsWeighed.Set = &s.Percent, &s.Percent
	}
}

// describe fills in what only a reader needs.
func (p *Plan) describe() {
	c, w := p.charge, p.charge.weighed()
	p.superfat()
	p.window()
	p.makeup()
	p.planBar()
	for i, f := range c.fats {
		p.Fats = append(p.Fats, f.line(w.fats[i].massG, c.fatsG()))
	}
	for i, a := range c.alkalis {
		p.Alkali = append(p.Alkali, AlkaliLine{Material: p.recipe.Alkali[i].Material, Name: a.Name, MassG: a.massG,
			WeighG: w.alkalis[i].massG, PureG: a.pureG(), PurityPct: 100 * a.pure, Stock: a.stock})
		p.AlkaliForAcidsG += c.acidMol() * a.molShare * a.molarMass()
	}
	p.WaterWeighG = math.Max(0, w.waterG)
	p.IceG = p.charge.fresh().IceFraction * p.WaterWeighG
	p.Paste = p.isPaste()
	p.Additions = []AdditionLine{}
	for i, a := range c.additions {
		p.Additions = append(p.Additions, a.lineFor(w.additions[i].massG))
	}
	p.Superfat.Causes = p.causes()
	p.Superfat.Narrow = p.narrow()
	p.Scale = Scales{steps(nil), steps(nil)}
	if s := p.recipe.Scale; s != nil {
		p.Scale = Scales{steps(s.Fats), steps(s.Alkali)}
	}
}

func (f fat) line(weighG, fatsG float64) FatLine {
	law := lye.SapLaw(f.Material)
	return FatLine{Material: f.ID, Name: f.Name, MassG: f.massG, WeighG: weighG, SharePct: 100 * f.massG / fatsG,
		Sap:   Sap{law.Low(), law.Mode, law.High(), lye.DosedSap(f.Material)},
		Grade: f.Sap.Grade, Evidence: f.Sap.Evidence()}
}

func (a addition) lineFor(weighG float64) AdditionLine {
	law := a.takes.Scaled(a.massG)
	return AdditionLine{Material: a.ID, Name: a.Name, Written: a.line.Amount.String(), When: string(a.line.When), MassG: a.massG, WeighG: weighG,
		WaterG: a.massG * a.water, Declared: a.declared,
		NaOHTaken: Range{math.Min(law.Mode, law.Quantile(0.05)), law.Mode, math.Max(law.Mode, law.Quantile(0.95))}}
}
