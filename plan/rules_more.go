package plan

import (
	"fmt"
	"iter"
	"math"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
	"barwright/source"
)

// Limits that makers keep. Common practice, no source.
const (
	hotFatsC  = 75.0 // fats and lye warmer than this steam, and scent boils off
	hotLyeC   = 65.0
	mostSugar = 0.03 // of the fats: above it the batch heats and weeps
	mostDust  = 0.10 // powder, of the fats: above it the bar crumbles
)

var tooHot = rule{id: "too_hot", detect: func(p *Plan, _ int) *finding.Finding {
	m := p.recipe.Combine
	if m == nil || p.recipe.Hot() || m.FatsTemperature.C() <= hotFatsC && m.LyeTemperature.C() <= hotLyeC || p.charge.share(isFreeAcid) > mostFreeAcid {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Hot: fats at %.0f °C, lye at %.0f °C", m.FatsTemperature.C(), m.LyeTemperature.C()),
		Because: "above 75 and 65 °C it spits, scent boils off, and the batter may rise out of the mould", Fix: "Let both cool, or write the recipe as a hot one if it is to be cooked", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		for _, c := range []float64{45, 60} {
			fatsC, lyeC := math.Min(c, p.recipe.Combine.FatsTemperature.C()), math.Min(c, p.recipe.Combine.LyeTemperature.C())
			text := fmt.Sprintf("Let the fats cool to %.0f °C and the lye to %.0f °C", fatsC, lyeC)
			if !yield(fix{text, []finding.Edit{edit("combine.fats_temperature", "%s °C", shortNumber(fatsC)), edit("combine.lye_temperature", "%s °C", shortNumber(lyeC))}}) {
				return
			}
		}
	}
}}

var scentInLye = rule{id: "scent_in_lye", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if a.Kind != material.Scent || !a.inLye() {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%s in the lye is lost", a.Name),
		Because: "hot lye boils it off and breaks it down", Fix: "Stir it in at trace", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	return one(fmt.Sprintf("Stir the %s in at trace", lowerName(p.charge.additions[i].Name)), edit(fmt.Sprintf("additions.%d.when", i), string(recipe.AtTrace)))
}}

// saltPerWater is what water holds of salt beside lye, at most [g/g]: pure
// water holds 0.36, lye far less. An estimate.
const saltPerWater = 0.10

var saltInLye = rule{id: "salt_in_lye", lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	water := p.charge.lyeG() - p.charge.pureG()
	if a.Kind != material.Salt || !a.inLye() || a.massG*(1-a.water) <= saltPerWater*water {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%.0f g of %s will not dissolve in this lye", a.massG, lowerName(a.Name)),
		Because: fmt.Sprintf("it has %.0f g of water, and lye drives salt out", water), Fix: "Stir it in at trace", Grade: source.Estimated, Sources: []string{"own_estimate"}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	return one(fmt.Sprintf("Stir the %s in at trace", lowerName(p.charge.additions[i].Name)), edit(fmt.Sprintf("additions.%d.when", i), string(recipe.AtTrace)))
}}

var sugarMuch = rule{id: "sugar_much", detect: func(p *Plan, _ int) *finding.Finding {
	share := p.sugarG() / p.FatsG
	if share <= mostSugar {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Sugars are %.1f %% of the fats: it may overheat, crack and weep", 100*share),
		Because: "above 3 % lye and sugar heat the batch from within", Fix: "Take less of it, and chill the mould", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	var edits []finding.Edit
	for i, a := range p.charge.additions {
		if a.Sugars.Typical > 0 {
			edits = append(edits, p.setAddition(i, a.massG*mostSugar*p.FatsG/p.sugarG()))
		}
	}
	return one("Take less of it: "+p.amountsIn(edits), edits...)
}}

func (p *Plan) sugarG() (g float64) {
	for _, a := range p.charge.additions {
		g += a.massG * a.Sugars.Typical / 100
	}
	return g
}

var powderMuch = rule{id: "powder_much", detect: func(p *Plan, _ int) *finding.Finding {
	share := p.kindShare(material.Powder)
	if share <= mostDust {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Powders are %.0f %% of the fats: the bar crumbles and scratches", 100*share),
		Because: "1 to 3 % is usual, above 10 % nothing holds it", Fix: "Take less of it", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	f := mostDust / p.kindShare(material.Powder)
	var edits []finding.Edit
	for i, a := range p.charge.additions {
		if a.Kind == material.Powder {
			edits = append(edits, p.setAddition(i, a.massG*f))
		}
	}
	return one("Take less of it: "+p.amountsIn(edits), edits...)
}}

// Limits of a harsh bar [%]. Common practice, no source.
const (
	harshLauric   = 55.0
	harshSuperfat = 12.0
)

var harsh = rule{id: "harsh", detect: func(p *Plan, _ int) *finding.Finding {
	g := p.makeup().GroupsPct
	lauric := g[material.C8C10] + g[material.C12C14]
	if lauric < harshLauric || p.superfat().Typical >= harshSuperfat {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Harsh on the skin: %.0f %% C8 to C14 acids, superfat %s %%", lauric, points(p.superfat().Typical)),
		Because: "makers give such bars 12 to 20 % superfat", Fix: "Raise the superfat, or keep it for laundry", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		if p.recipe.IsFound() {
			return
		}
		text, edits := p.setSuperfat(15)
		yield(fix{text, edits})
	}
}}

var saltSetsFast = rule{id: "salt_sets_fast", detect: func(p *Plan, _ int) *finding.Finding {
	if !p.salty() {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: "A salt bar sets within hours",
		Because: fmt.Sprintf("%.0f %% salt; cut after 2 to 5 hours, later it shatters under the wire", 100*p.kindShare(material.Salt)), Fix: "Pour single bars, or stay near it", Grade: source.Practice, Sources: []string{"makers_practice"}}
}}
