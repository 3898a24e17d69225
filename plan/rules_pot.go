package plan

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"barwright/finding"
	"barwright/material"
	"barwright/mould"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/source"
)

// vessel is a stuff that lye or batter touches.
type vessel struct {
	key, what string
	stuff     *quantity.Stuff
}

func (p *Plan) vessels() []vessel {
	v := []vessel{{key: "lye.vessel", what: "lye jug"}, {key: "combine.pot", what: "pot"}, {key: "mould.wall", what: "mould"}, {key: "mould.lid", what: "lid"}}
	if p.recipe.Lye != nil {
		v[0].stuff = p.recipe.Lye.Vessel
	}
	if p.recipe.Combine != nil {
		v[1].stuff = p.recipe.Combine.Pot
	}
	if p.recipe.Mould != nil {
		v[2].stuff, v[3].stuff = p.recipe.Mould.Wall, p.recipe.Mould.Lid
	}
	return v
}

func vesselLines(p *Plan) int { return len(p.vessels()) }

var corroding = rule{id: "metal_corrodes", stops: true, lines: vesselLines, detect: func(p *Plan, i int) *finding.Finding {
	v := p.vessels()[i]
	if v.stuff == nil || !slices.Contains(mould.Corroding, v.stuff.Name) {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("Lye eats %s: not for the %s", v.stuff.Name, v.what),
		Because: "aluminium, zinc, tin, copper and brass dissolve in lye; aluminium and zinc give off hydrogen, which burns", Grade: source.Memory, Sources: []string{"safety_sheets"},
		Fix: "Use stainless steel, polypropylene (5) or HDPE (2)"}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	v := p.vessels()[i]
	safe := quantity.Stuff{Name: "polypropylene", Thickness: v.stuff.Thickness, Mass: v.stuff.Mass}
	if v.key == "combine.pot" {
		safe.Name = "steel"
	}
	return one(fmt.Sprintf("Use %s for the %s", plainStuff(safe.Name), v.what), edit(v.key, "%s", safe))
}}

func plainStuff(name string) string {
	if name == "steel" {
		return "stainless steel"
	}
	return name
}

var glassVessel = rule{id: "glass_vessel", detect: func(p *Plan, _ int) *finding.Finding {
	v := p.vessels()[0]
	if v.stuff == nil || v.stuff.Name != "glass" {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: "Glass for the lye can shatter",
		Because: "lye etches it, and one day the heat of fresh lye breaks it without warning", Grade: source.Memory, Sources: []string{"safety_sheets"}, Fix: "Use polypropylene (5) or HDPE (2)"}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	safe := quantity.Stuff{Name: "polypropylene", Mass: p.vessels()[0].stuff.Mass}
	return one("Use polypropylene for the lye jug", edit("lye.vessel", "%s", safe))
}}

// fillSlack is how far a filling may pass its limit before it counts [points]:
// less than what sticks to the pot.
const fillSlack = 0.05

var mouldOverflow = rule{id: "mould_overflow", stops: true, detect: func(p *Plan, _ int) *finding.Finding {
	if p.Mould == nil || p.Mould.FillPct <= p.recipe.Mould.FillPercent()+fillSlack {
		return nil
	}
	limit := p.recipe.Mould.FillPercent()
	f := &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Fills the mould to %.1f %%, more than the %.3g %% meant", p.Mould.FillPct, limit),
		Because: fmt.Sprintf("%.0f ml of batter for %.0f ml of mould", p.Batter.VolumeML, p.Mould.VolumeML), Fix: "Make less, or take a bigger mould", Grade: source.Derived, Sources: []string{"crc_concentrative"}}
	if p.Mould.FillPct > 100 {
		f.Severity = finding.Stop
		f.Title = fmt.Sprintf("The mould overflows: %.0f %% full, %.0f ml too much", p.Mould.FillPct, p.Batter.VolumeML-p.Mould.VolumeML)
	}
	return f
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	f := p.recipe.Mould.FillPercent() / p.Mould.FillPct
	return func(yield func(fix) bool) {
		if p.recipe.Fats[0].Share != nil && !p.recipe.IsFound() {
			byMould := []finding.Edit{edit("size.mould", "true"), edit("size.fats", ""), edit("size.batter", ""), edit("size.bars", "")}
			if !yield(fix{fmt.Sprintf("Size the batch by the mould: about %.0f g of fats", p.FatsG*f), byMould}) {
				return
			}
		}
		for _, safety := range []float64{1, 0.99, 0.95, 0.8, 0.5} {
			edits := p.resize(f * safety)
			if !yield(fix{fmt.Sprintf("Make %.0f %% of it: %.0f g of fats", 100*f*safety, p.FatsG*f*safety), edits}) {
				return
			}
		}
	}
}}

var fitsMould = rule{id: "fits_mould", detect: func(p *Plan, _ int) *finding.Finding {
	if p.Mould == nil || p.Mould.FillPct > p.recipe.Mould.FillPercent()+fillSlack {
		return nil
	}
	return &finding.Finding{Severity: finding.OK, Title: fmt.Sprintf("Fills the mould to %.0f %%", p.Mould.FillPct),
		Because: fmt.Sprintf("%.0f ml of batter for %.0f ml of mould", p.Batter.VolumeML, p.Mould.VolumeML), Grade: source.Derived, Sources: []string{"crc_concentrative"}}
}}

// curedG is what the batch weighs after the cure [g].
func (p *Plan) curedG() float64 { return p.Batter.MassG * (1 - p.charge.cureLoss().Typical) }

var scentOverLimit = rule{id: "scent_over_limit", stops: true, lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if a.line.Limit == nil {
		return nil
	}
	share := 100 * p.scentOfG(a.scent()) / p.curedG()
	if share <= a.line.Limit.Share.Percent {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s is over its limit: %.2g %% of the cured bar", a.Name, share),
		Because: fmt.Sprintf("its document allows %s, of a batch that weighs %.0f g after the cure", a.line.Limit, p.curedG()), Fix: "Take less of it", Grade: source.Measured, Sources: []string{"certificate"}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	a := p.charge.additions[i]
	return func(yield func(fix) bool) {
		most := a.line.Limit.Share.Fraction()*p.curedG() - (p.scentOfG(a.scent()) - math.Max(a.massG, p.charge.rounded().additions[i].massG))
		if most <= 0 {
			return
		}
		for _, safety := range []float64{1, 0.99, 0.95} {
			e := p.setAddition(i, most*safety)
			if !yield(fix{fmt.Sprintf("Use %s instead of %s g", e.Value, shortNumber(roundTo(a.massG, 0.1))), []finding.Edit{e}}) {
				return
			}
		}
		e := p.setAddition(i, most*0.9)
		yield(fix{fmt.Sprintf("Use %s, weighed on a 0.01 g scale", e.Value), []finding.Edit{e, edit("scale.fats", "0.01 g")}})
	}
}}

// farOff is how far rounding to the scale's step may move a small mass.
const farOff = 0.2

var tooLittleToWeigh = rule{id: "too_little_to_weigh", detect: func(p *Plan, _ int) *finding.Finding {
	name, exactG, weighG := p.farthestOff()
	if math.Abs(weighG-exactG) <= farOff*exactG {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Too little to weigh: %s g of %s becomes %s on this scale", shortNumber(roundTo(exactG, 0.01)), lowerName(name), p.steps("fats").Show(weighG)),
		Because: fmt.Sprintf("its step is %s", p.finerStep("fats", 1)), Fix: "Weigh it on a finer scale", Grade: source.Derived, Sources: []string{"stoichiometry"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		for _, tenths := range []float64{10, 100, 1000} {
			finer := p.finerStep("fats", tenths)
			if !yield(fix{fmt.Sprintf("Weigh it on a %s scale", finer), []finding.Edit{edit("scale.fats", "%s", finer)}}) {
				return
			}
		}
	}
}}

// farthestOff returns the fat or addition that rounding changes most for its
// mass.
func (p *Plan) farthestOff() (name string, exactG, weighG float64) {
	worst, w := -1.0, p.charge.rounded()
	look := func(n string, exact, weigh float64) {
		if off := math.Abs(weigh-exact) / exact; exact > 0 && off > worst {
			worst, name, exactG, weighG = off, n, exact, weigh
		}
	}
	for i, f := range p.charge.fats {
		look(f.Name, f.massG, w.fats[i].massG)
	}
	for i, a := range p.charge.additions {
		look(a.Name, a.massG, w.additions[i].massG)
	}
	return name, exactG, weighG
}

// scentOfG is all of one scent, over all its lines, as the scale will show it
// or exactly, whichever is more [g].
func (p *Plan) scentOfG(scent string) (g float64) {
	rounded := p.charge.rounded().additions
	for i, a := range p.charge.additions {
		if a.scent() == scent {
			g += math.Max(a.massG, rounded[i].massG)
		}
	}
	return g
}

var scentLimitUnknown = rule{id: "scent_limit_unknown", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if a.Kind != material.Scent || a.line.Limit != nil {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("%s: its limit for soap is not written down", a.Name),
		Because: fmt.Sprintf("it is %.2g %% of the cured bar, and every scent's own document says how much skin bears", 100*a.massG/p.curedG()),
		Fix:     "Copy it from its document, like 0.7 % of bar", Grade: source.Unknown, Sources: []string{"ifra_51"}}
}}

// mostScent is the most scent that batter holds without parting [share of the
// fats]. Common practice, no source.
const mostScent = 0.06

var scentHeavy = rule{id: "scent_heavy", detect: func(p *Plan, _ int) *finding.Finding {
	share := p.scentG() / p.FatsG
	if share <= mostScent {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Scent is %.1f %% of the fats: the batter may part and weep", 100*share),
		Because: "above 6 % the scent no longer stays in the soap", Fix: "Take less scent", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	f := mostScent * p.FatsG / p.scentG()
	var edits []finding.Edit
	for i, a := range p.charge.additions {
		if a.Kind == material.Scent {
			edits = append(edits, p.setAddition(i, a.massG*f))
		}
	}
	return one("Take less scent: "+p.amountsIn(edits), edits...)
}}

func (p *Plan) scentG() (g float64) {
	for _, a := range p.charge.additions {
		if a.Kind == material.Scent {
			g += a.massG
		}
	}
	return g
}

// mostFreeAcid is the share of free fatty acids above which cold lye sets the
// pot solid. Common practice, no source.
const mostFreeAcid = 0.10

var seizingAcids = rule{id: "seizing", detect: func(p *Plan, _ int) *finding.Finding {
	acids := p.charge.share(isFreeAcid)
	if p.recipe.Hot() || acids <= mostFreeAcid || p.Combine.ClearC == nil {
		return nil
	}
	if m := p.recipe.Combine; m != nil && m.LyeTemperature.C() >= *p.Combine.ClearC {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Will seize: %.0f %% free fatty acids meet colder lye", 100*acids),
		Because: fmt.Sprintf("free acids turn to soap on contact, and lye colder than %.0f °C freezes it in lumps that only heat takes out", *p.Combine.ClearC), Grade: source.Published, Sources: []string{"simmons_appleton_1908", "makers_practice"},
		Fix: "Make it hot"}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	text, edits := p.warmTo(math.Ceil(*p.Combine.ClearC) + 1)
	return one("Make it hot. "+text, edits...)
}}

// mostPhenol is the share of a phenolic scent that batter bears. Common
// practice, no source.
const mostPhenol = 0.005

var seizingScent = rule{id: "seizing", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if a.Kind != material.Scent || !a.TakesNaOH.Known() || a.massG/p.FatsG <= mostPhenol {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%s can set the batter solid within a minute", a.Name),
		Because: fmt.Sprintf("it is %.2g %% of the fats; its phenol reacts with lye at once. Above 0.5 %% makers see it seize", 100*a.massG/p.FatsG), Grade: source.Practice, Sources: []string{"makers_practice"},
		Fix: "Take less of it"}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	a := p.charge.additions[i]
	e := p.setAddition(i, mostPhenol*p.FatsG)
	return one(fmt.Sprintf("Use %s of the %s instead of %s g", e.Value, lowerName(a.Name), shortNumber(roundTo(a.massG, 0.1))), e)
}}

// coldScentK is how much colder than the batter a scent may be [K].
const coldScentK = 10.0

var ricing = rule{id: "ricing", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if a.Kind != material.Scent {
		return nil
	}
	why := ""
	switch landing := p.Combine.LandingC; {
	case a.Rices && a.line.Stir != recipe.Hand:
		why = "it is known to make grains when it is blended in"
	case landing != nil && a.line.Temperature != nil && *landing-a.line.Temperature.C() > coldScentK:
		why = fmt.Sprintf("at %.0f °C it is over 10 °C colder than the batter, which lands at %.0f °C", a.line.Temperature.C(), *landing)
	default:
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%s may rice the batter", a.Name), Because: why, Grade: source.Practice, Sources: []string{"makers_practice"},
		Fix: "Warm it, and stir it in by hand"}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	name := lowerName(p.charge.additions[i].Name)
	edits := []finding.Edit{edit(fmt.Sprintf("additions.%d.stir", i), recipe.Hand)}
	text := fmt.Sprintf("Stir the %s in by hand", name)
	if landing := p.Combine.LandingC; landing != nil {
		edits = append(edits, edit(fmt.Sprintf("additions.%d.temperature", i), "%.0f °C", *landing))
		text = fmt.Sprintf("Warm the %s to %.0f °C and stir it in by hand", name, *landing)
	}
	return one(text, edits...)
}}
