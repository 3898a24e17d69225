package plan

import (
	"fmt"
	"iter"
	"math"

	"barwright/finding"
	"barwright/source"
)

// Distances of the fresh lye's peak from its boiling point [K].
const (
	boilStopK    = 3.0
	boilCautionK = 10.0
)

var nearBoiling = rule{id: "lye_near_boiling", stops: true, detect: func(p *Plan, _ int) *finding.Finding {
	if p.Lye.PeakC == nil || p.Lye.BoilingC == nil || *p.Lye.BoilingC-*p.Lye.PeakC > boilCautionK {
		return nil
	}
	peak, boiling := *p.Lye.PeakC, *p.Lye.BoilingC
	f := &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("The fresh lye can reach %.0f °C and boils at %.0f °C", peak, boiling),
		Because: fmt.Sprintf("it starts in water of %.0f °C; within 10 K of boiling it steams and spits. A jug reads a few degrees less", p.charge.fresh().WaterC),
		Fix:     "Start with colder water or with ice", Grade: source.Memory, Sources: []string{"olsson_1997", "nbs_1982"}}
	if boiling-peak <= boilStopK {
		f.Severity = finding.Stop
	}
	return f
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return colderWater(p)
}}

// colderWater offers colder water, then ice.
func colderWater(p *Plan) iter.Seq[fix] {
	waterC := p.charge.fresh().WaterC
	return func(yield func(fix) bool) {
		for _, c := range []float64{20, 15, 10, 5} {
			if c < waterC && !yield(fix{fmt.Sprintf("Start with water of %.0f °C", c), []finding.Edit{edit("lye.water_temperature", "%.0f °C", c)}}) {
				return
			}
		}
		for ice := 10.0; ice <= 60; ice += 10 {
			if !yield(fix{fmt.Sprintf("Start with water of 5 °C, %.0f %% of it as ice", ice),
				[]finding.Edit{edit("lye.water_temperature", "5 °C"), edit("lye.ice", "%.0f %%", ice)}}) {
				return
			}
		}
	}
}

// Water for potassium lye [°C]: how hot it gets nobody here knows, so the water
// must be cool.
const (
	kohCautionC = 25.0
	kohStopC    = 35.0
)

var heatUnknown = rule{id: "lye_heat_unknown", stops: true, detect: func(p *Plan, _ int) *finding.Finding {
	byMass, _ := p.charge.kohShare()
	waterC := p.charge.fresh().WaterC
	if byMass == 0 || waterC <= kohCautionC {
		return nil
	}
	f := &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("How hot lye with potassium gets is not known, and the water has %.0f °C", waterC),
		Because: "sodium lye started in water over 35 °C can boil, and potassium lye heats about as much", Fix: "Start with colder water", Grade: source.Unknown, Sources: []string{"nbs_1982"}}
	if waterC > kohStopC {
		f.Severity = finding.Stop
	}
	return f
}, fixes: func(p *Plan, _ int) iter.Seq[fix] { return colderWater(p) }}

var lyeCrystallises = rule{id: "lye_crystallises", detect: func(p *Plan, _ int) *finding.Finding {
	m := p.recipe.Combine
	if m == nil || p.Lye.FirstCrystalsC == nil || m.LyeTemperature.C() >= *p.Lye.FirstCrystalsC {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Lye of %.3g %% crystallises below %.0f °C", p.Lye.StrengthPct, *p.Lye.FirstCrystalsC),
		Because: fmt.Sprintf("it is to stand at %.0f °C; crystals leave weak lye above and caustic lumps below", m.LyeTemperature.C()),
		Fix:     "Keep the lye warmer", Grade: source.Published, Sources: []string{"wang_2008"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	c := math.Ceil(*p.Lye.FirstCrystalsC + 2)
	return one(fmt.Sprintf("Keep the lye at %.0f °C", c), edit("combine.lye_temperature", "%.0f °C", c))
}}

// Limits for sugar and milk in lye. Common practice, no source.
const (
	foamC     = 35.0 // lye warmer than this foams over
	foamShare = 0.05 // so does more than this part of the lye's mass
)

var lyeFoams = rule{id: "lye_foams", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if !a.Foams || !a.inLye() {
		return nil
	}
	lyeC, known := p.lyeMeets()
	share := a.massG / p.charge.lyeG()
	why := ""
	switch {
	case !known:
		why = "it meets fresh lye, which is hot; above 35 °C its sugar browns and foams over hot caustic"
	case lyeC > foamC:
		why = fmt.Sprintf("it meets lye of %.0f °C; above 35 °C its sugar browns and foams over hot caustic", lyeC)
	case share > foamShare:
		why = fmt.Sprintf("it is %.0f %% of the lye; above 5 %% its sugar heats the lye and foams", 100*share)
	default:
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%s in the lye can foam over", a.Name), Because: why + ". Use a vessel of twice the volume and add it cold, a little at a time",
		Fix: "Put it in at trace", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	name := lowerName(p.charge.additions[i].Name)
	cooler := fix{fmt.Sprintf("Let the lye cool to 30 °C before the %s goes in", name), []finding.Edit{edit("combine.lye_temperature", "30 °C")}}
	later := fix{fmt.Sprintf("Put the %s in at trace", name), []finding.Edit{edit(fmt.Sprintf("additions.%d.when", i), "trace")}}
	return func(yield func(fix) bool) {
		if p.recipe.Combine != nil && !yield(cooler) {
			return
		}
		if strength := p.strengthWithout(i); strength > 0 {
			same := fix{fmt.Sprintf("%s, with lye of %.0f %% so that the water stays the same", later.text, strength),
				append([]finding.Edit{edit("lye_strength", "%.0f %%", strength)}, later.edits...)}
			if !yield(same) {
				return
			}
		}
		yield(later)
	}
}}

// strengthWithout is the lye strength [whole %] at which the water of addition
// i comes at trace and all the water is what it was; 0 when that is over 45 %
// or no whole per cent more.
func (p *Plan) strengthWithout(i int) float64 {
	a, c := p.charge.additions[i], p.charge
	strength := math.Floor(100 * c.pureG() / (c.lyeG() - a.massG*a.water))
	if p.recipe.IsFound() || strength > 45 || strength <= p.Lye.StrengthPct {
		return 0
	}
	return strength
}

// lyeMeets is the temperature of the lye when something goes into it [°C]: as
// it is combined, else its peak; false when neither is known.
func (p *Plan) lyeMeets() (tC float64, known bool) {
	switch {
	case p.recipe.Combine != nil:
		return p.recipe.Combine.LyeTemperature.C(), true
	case p.Lye.PeakC != nil:
		return *p.Lye.PeakC, true
	}
	return 0, false
}

var lyeFizzes = rule{id: "lye_fizzes", stops: true, lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if !a.Fizzes || a.line.Flat || !a.inLye() {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s boils up in lye while it holds gas or alcohol", a.Name),
		Because: "lye drives gas and alcohol out all at once and throws hot caustic out of the vessel", Grade: source.Practice, Sources: []string{"makers_practice"},
		Fix: "Boil it, let it go flat and cold, and write flat = true"}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	return one("Stir it in at trace, or boil it, let it go flat and cold, and write flat = true", edit(fmt.Sprintf("additions.%d.when", i), "trace"))
}}

// freezes says how the landing temperature lies to the cloud point.
func (p *Plan) freezes() (will, may bool) {
	c := p.Combine
	if c.LandingC == nil || c.CloudPoint == nil {
		return false, false
	}
	will = *c.LandingC < c.CloudPoint.Low
	return will, !will && *c.LandingC < *c.ClearC
}

var willFreeze = rule{id: "will_freeze", detect: func(p *Plan, _ int) *finding.Finding {
	if will, _ := p.freezes(); !will {
		return nil
	}
	return p.freezing(fmt.Sprintf("%s will freeze before it traces: lands at %.0f °C", sentence(p.Combine.CloudOf), *p.Combine.LandingC))
}, fixes: warmClear}

var mayFreeze = rule{id: "may_freeze", detect: func(p *Plan, _ int) *finding.Finding {
	if _, may := p.freezes(); !may {
		return nil
	}
	return p.freezing(fmt.Sprintf("%s may freeze before it traces: lands at %.0f °C", sentence(p.Combine.CloudOf), *p.Combine.LandingC))
}, fixes: warmClear}

func (p *Plan) freezing(title string) *finding.Finding {
	c := p.Combine
	return &finding.Finding{Severity: finding.Caution, Title: title,
		Because: fmt.Sprintf("it falls out of these fats below %.0f °C (%.0f to %.0f) and is clear again above %.0f; the batter then thickens by cooling, a false trace",
			c.CloudPoint.Typical, c.CloudPoint.Low, c.CloudPoint.High, *c.ClearC) + p.fewer(),
		Fix: "Combine warmer, or take less of it", Grade: c.Grade, Sources: []string{"ideal_solubility", "oleogel_dsc"}}
}

// hottest is the warmest that fats and lye are planned to be combined [°C].
const hottest = 90

func warmClear(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		first := math.Ceil(*p.Combine.ClearC) + 1
		for _, c := range []float64{first, first + 2} {
			if c > hottest {
				break
			}
			if text, edits := p.warmTo(c); !yield(fix{text, edits}) {
				return
			}
		}
		p.lessHardWax(yield)
	}
}

var staysClear = rule{id: "stays_clear", detect: func(p *Plan, _ int) *finding.Finding {
	c := p.Combine
	if c.LandingC == nil || c.CloudPoint == nil || *c.LandingC < *c.ClearC {
		return nil
	}
	return &finding.Finding{Severity: finding.OK, Title: fmt.Sprintf("%s stays melted: lands at %.0f °C, clear above %.0f", sentence(c.CloudOf), *c.LandingC, *c.ClearC),
		Because: fmt.Sprintf("it falls out below %.0f °C (%.0f to %.0f)", c.CloudPoint.Typical, c.CloudPoint.Low, c.CloudPoint.High) + p.edge(), Grade: c.Grade, Sources: []string{"ideal_solubility", "oleogel_dsc"}}
}}

// nearClearK is how far above the line where wax is clear a batter has to land
// for a thermometer's error not to matter [K].
const nearClearK = 3.0

// edge says what a batter that lands just clear would lose by cooling; "" when
// it lands well clear.
func (p *Plan) edge() string {
	c := p.Combine
	if *c.LandingC-*c.ClearC >= nearClearK || p.recipe.Hot() {
		return ""
	}
	belowC := math.Floor(*c.ClearC) - 1
	return fmt.Sprintf("; it lands within %.0f °C above that line; below it, what freezes would leave %s to pour instead of %s", nearClearK,
		aboutMinutes(p.WindowAt(belowC, nil).ToUnpourable.Typical), Minutes(p.window().ToUnpourable.Typical))
}

// fewer says how many minutes freezing takes; "" for what is cooked.
func (p *Plan) fewer() string {
	if p.recipe.Hot() {
		return ""
	}
	clearC := math.Ceil(*p.Combine.ClearC)
	return fmt.Sprintf(", and leaves %s to pour: at %.0f °C there would be %s", aboutMinutes(p.window().ToUnpourable.Typical), clearC, aboutMinutes(p.WindowAt(clearC, nil).ToUnpourable.Typical))
}
