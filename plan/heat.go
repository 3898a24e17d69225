package plan

import (
	"barwright/heat"
	"barwright/material"
	"barwright/melt"
	"barwright/mould"
	"barwright/quantity"
	"barwright/source"
)

// Specific heat capacities of additions [J/(g K)]: their water, and what is
// dry in them. Source: handbooks_recalled; for the dry part an estimate.
const (
	waterHeat = 4.18
	dryHeat   = 1.4
	saltHeat  = 0.86
)

// Poured is how a batch went into its mould and how it rested there, where that
// is known. The zero value is: as planned.
type Poured struct {
	TC    *float64    // the batter
	Rests []heat.Rest // nil: as the recipe says
}

// HeatCase returns the batch as package heat sees it, poured as it lands and
// resting as the recipe says; missing names what the recipe would have to say
// for it, and then there is no case. Source: docs/model/heat.md.
func (p *Plan) HeatCase() (c heat.Case, missing []string, err error) {
	return p.HeatCaseOf(Poured{})
}

// HeatCaseOf is HeatCase of a batch that was poured.
func (p *Plan) HeatCaseOf(as Poured) (c heat.Case, missing []string, err error) {
	if missing = p.heatMissing(); len(missing) > 0 {
		return heat.Case{}, missing, nil
	}
	tC, rests := *p.Combine.LandingC, p.HeatRests()
	if as.TC != nil {
		tC = *as.TC
	}
	if as.Rests != nil {
		rests = as.Rests
	}
	c, err = heat.NewCase(p.heatBatter(tC), *p.recipe.Mould, rests)
	return c, nil, err
}

func (p *Plan) heatMissing() (missing []string) {
	if p.recipe.Hot() {
		return []string{"this batch is cooked, so its heat is spent before it is moulded"}
	}
	if p.recipe.Combine == nil {
		missing = append(missing, "[combine] with fats_temperature and lye_temperature: how warm it is poured")
	}
	if p.recipe.Mould == nil {
		missing = append(missing, "[mould] with shape and inside: what it is poured into")
	}
	if len(p.recipe.Rest) == 0 {
		missing = append(missing, `[[rest]] with place and temperature: where it stands, like place = "room"`)
	}
	return missing
}

func (p *Plan) heatBatter(landingC float64) heat.Batter {
	c := p.charge
	volumeML, lyeML := c.volumeML()
	b := heat.Batter{MassG: c.batterG(), VolumeML: volumeML, HeatJPerGK: c.heatCapacity(landingC) / c.batterG(), LyeVolume: lyeML / volumeML,
		AlkaliMol: c.slowMol(), ExcessKJPerMol: c.solution().ExcessHeatKJPerMol(), WaterPct: 100 * c.batterWaterG() / c.batterG(),
		SugarG: c.sugarG(), TC: landingC, Grade: source.Estimated}
	if byMass, _ := c.kohShare(); byMass > 0 {
		b.Grade = source.Memory // the heat of potassium lye is taken as that of sodium lye
	}
	return b
}

// heatCapacity is what the whole batter holds [J/K].
func (c charge) heatCapacity(tC float64) float64 {
	j := c.fatsG()*melt.FatHeatCapacity(tC) + c.lyeG()*lyeHeatCapacity(c.solution(), tC)
	for _, a := range c.additions {
		dry, water := a.massG*(1-a.water), a.massG*a.water
		if a.inLye() {
			water = 0 // counted with the lye
		}
		perG := dryHeat
		if a.Kind == material.Salt {
			perG = saltHeat
		}
		j += dry*perG + water*waterHeat
	}
	return j
}

// slowMol is the alkali that fats use up after the pour [mol]: all of it but
// what acids have taken on contact, and no more than the fats can bind.
func (c charge) slowMol() float64 {
	capacity := 0.0
	for _, f := range c.fats {
		capacity += f.massG * f.sapLaw.Mode
	}
	return max(0, min(c.alkaliMol()-c.acidMol(), capacity)-c.freeAcidMol())
}

// sugarG is the sugar of honey, sugars and sweet liquids [g].
func (c charge) sugarG() (g float64) {
	for _, a := range c.additions {
		switch {
		case a.Sugars.Known():
			g += a.massG * a.Sugars.Typical / 100
		case a.Kind == material.Sugar:
			g += a.massG * (1 - a.water)
		}
	}
	return g
}

// HeatRests are the recipe's rests as package heat sees them.
func (p *Plan) HeatRests() []heat.Rest {
	out := make([]heat.Rest, len(p.recipe.Rest))
	for i, r := range p.recipe.Rest {
		out[i] = heat.Rest{Place: r.Place, TC: r.Temperature.C(), Cover: r.Cover, Fan: r.Fan}
		if r.For != nil {
			out[i].ForS = r.For.Seconds()
		}
	}
	return out
}

// heatLimits are the pour temperatures that may be advised: clear of the
// cloud point.
func (p *Plan) heatLimits() heat.Limits {
	l := heat.UsualLimits
	if c := p.Combine.ClearC; c != nil {
		l.LowC = max(l.LowC, *c)
		l.HighC = max(l.HighC, l.LowC)
	}
	return l
}

// sugarOf names what brings the sugar.
func (c charge) sugarOf() string {
	for _, a := range c.additions {
		if a.Sugars.Known() || a.Kind == material.Sugar {
			return lowerName(a.Name)
		}
	}
	return ""
}

// mouldName tells one mould from another for learning.
func (p *Plan) mouldName() string {
	m := p.recipe.Mould
	if m == nil {
		return ""
	}
	if m.Name != "" {
		return m.Name
	}
	return m.Shape + " " + sizeOf(m) + " " + stuffText(m.Wall)
}

func sizeOf(m *mould.Mould) string {
	if m.Inside != nil {
		return m.Inside.String()
	}
	return m.Volume.String()
}

func stuffText(s *quantity.Stuff) string {
	if s == nil {
		return quantity.None.Name
	}
	return s.String()
}

// lyeHasPotassium reports a lye whose heat is a guess.
func (c charge) lyeHasPotassium() bool { byMass, _ := c.kohShare(); return byMass > 0 }
