package plan

import (
	"fmt"
	"math"

	"barwright/finding"
	"barwright/heat"
)

// Chances from which on an outcome is told as a danger.
const (
	overheatTold = 0.20
	partialTold  = 0.20
	someChance   = 0.07 // from here on it is not called unlikely: one in fourteen
)

// heatFindings judges a forecast: overheating first, then gelling halfway.
func (p *Plan) heatFindings(f *Forecast) []finding.Finding {
	chance, sources := f.Gel.Chance, []string{"dunn_2018_temperature", "dunn_2018_cure", "own_estimate"}
	var out []finding.Finding
	if chance.Overheat >= overheatTold {
		g := finding.Finding{ID: "overheats", Severity: finding.Caution, Grade: f.Grade, Sources: sources,
			Title:   fmt.Sprintf("May overheat: chance %s of a core over %.0f °C", Chance(chance.Overheat), f.Gel.OverheatC),
			Because: fmt.Sprintf("Likely peak %.0f °C (%.0f to %.0f), poured at %.0f °C; above that it may crack, tunnel or weep", f.Peak.CoreC, f.Peak.C.Low, f.Peak.C.High, f.Physics.Start.TC),
			Fix:     "Uncover it, stand it on something cold, a fan, a tray under it"}
		p.takeFix(&g, f, heat.NoGel, heat.FullGel)
		out = append(out, g)
	}
	if chance.Partial >= partialTold {
		g := finding.Finding{ID: "partial_gel", Severity: finding.Caution, Grade: f.Grade, Sources: sources,
			Title:   fmt.Sprintf("May gel halfway: chance %s", Chance(chance.Partial)),
			Because: fmt.Sprintf("Core likely to reach %.0f °C (%.0f to %.0f), gel line about %.0f °C; the edge stays colder, so a ring would show", f.Peak.CoreC, f.Peak.C.Low, f.Peak.C.High, f.Gel.TemperatureC.Typical),
			Fix:     "Box it warmly, or chill it hard"}
		p.takeFix(&g, f, heat.FullGel, heat.NoGel)
		out = append(out, g)
	}
	if sweet := p.charge.sugarOf(); sweet != "" && chance.Overheat < overheatTold && f.Gel.PartChance >= someChance {
		out = append(out, p.hotPart(f, sweet))
	}
	if len(out) == 0 {
		severity, title := finding.OK, fmt.Sprintf("Unlikely to overheat (%s) or to gel halfway (%s)", Chance(chance.Overheat), Chance(chance.Partial))
		if worst := max(chance.Overheat, chance.Partial); worst >= someChance {
			severity, title = finding.Note, fmt.Sprintf("Some chance to overheat (%s) or to gel halfway (%s)", Chance(chance.Overheat), Chance(chance.Partial))
		}
		out = append(out, finding.Finding{ID: "rests_well", Severity: severity, Grade: f.Grade, Sources: sources,
			Title:   title,
			Because: fmt.Sprintf("Likely peak %.0f °C (%.0f to %.0f), gel line about %.0f °C", f.Peak.CoreC, f.Peak.C.Low, f.Peak.C.High, f.Gel.TemperatureC.Typical)})
	}
	for i, g := range out {
		out[i] = g.Typeset()
	}
	return out
}

// hotPart tells of a batch with sugar whose core keeps below what counts as too
// hot, while a part of it may not.
func (p *Plan) hotPart(f *Forecast, sweet string) finding.Finding {
	g := finding.Finding{ID: "hot_part", Severity: finding.Caution, Grade: f.Grade, Sources: []string{"own_estimate", "makers_practice"},
		Title: fmt.Sprintf("Warm for the %s in it: the core likely reaches %.0f °C, and a part of it may pass %.0f °C (chance %s)", sweet, f.Peak.CoreC, f.Gel.OverheatC, Chance(f.Gel.PartChance)),
		Because: "Soap with sugar is known to crack, tunnel and brown when it is kept this warm (makers' practice, no source); " +
			"what the sugar adds is drawn between nothing and its most",
		Fix: "Let it rest cooler: uncovered, or before a fan"}
	p.takeFix(&g, f, heat.NoGel)
	return g
}

// takeFix gives a finding the first suggestion that was found and clears it.
func (p *Plan) takeFix(g *finding.Finding, f *Forecast, goals ...heat.Outcome) {
	if f.Advice == nil {
		return
	}
	for _, goal := range goals {
		for _, s := range f.Advice.Suggestions {
			clears := s.Chance.Overheat < overheatTold && s.Chance.Partial < partialTold
			if s.Goal == goal && s.Reached && !s.Planned && clears {
				g.Fix = fmt.Sprintf("%s: then %s with a chance of %s", sentence(s.Words), outcomeWords[goal], Chance(s.Chance.Of(goal)))
				g.Edits = p.RestEdits(s)
				return
			}
		}
	}
}

var outcomeWords = map[heat.Outcome]string{heat.NoGel: "no gel", heat.PartialGel: "gel halfway", heat.FullGel: "full gel"}

// Chance prints a chance, its ends as far as some hundred runs can tell.
func Chance(c float64) string {
	switch {
	case c < 0.02:
		return "under 2 %"
	case c > 0.98:
		return "over 98 %"
	}
	return fmt.Sprintf("%.0f %%", 100*c)
}

// TrustWords says how far to trust the forecast.
func (f *Forecast) TrustWords() string {
	return fmt.Sprintf("From %s. Ranges hold nine batches in ten [%s].", f.Learned.Words, f.Grade.Phrase())
}

// PartWords says how much hotter than its core a part of the batch gets, and
// how likely that is too hot; empty when it is no hotter.
func (f *Forecast) PartWords() string {
	g := f.Gel
	if g.PartC < f.Peak.CoreC+1 {
		return ""
	}
	return fmt.Sprintf("Where the reaction arrives late it finds warm batter: a twentieth of it, between core and faces, is likely to pass %.0f °C for some minutes (chance of more than %.0f °C: %s).", g.PartC, g.OverheatC, Chance(g.PartChance))
}

// RestEdits are the changes of the recipe that a suggestion asks for.
func (p *Plan) RestEdits(s heat.Suggestion) (edits []finding.Edit) {
	if pot, ok := p.charge.pot(); ok && math.Abs(s.StartC-*p.Combine.LandingC) > 0.01 {
		together := pot.TogetherC(s.StartC)
		edits = append(edits, edit("combine.fats_temperature", "%.1f °C", together), edit("combine.lye_temperature", "%.1f °C", together))
	}
	if sameRests(s.Rests, p.HeatRests()) {
		return edits
	}
	for i := len(p.recipe.Rest) - 1; i >= len(s.Rests); i-- {
		edits = append(edits, edit(fmt.Sprintf("rest.%d", i), ""))
	}
	for i, r := range s.Rests {
		at := func(key string) string { return fmt.Sprintf("rest.%d.%s", i, key) }
		fan, span := "", ""
		if r.Fan {
			fan = "true"
		}
		if r.ForS > 0 {
			span = fmt.Sprintf("%g h", r.ForS/3600)
		}
		edits = append(edits, edit(at("place"), "%s", r.Place), edit(at("temperature"), "%g °C", r.TC), edit(at("cover"), "%s", stuffText(r.Cover)),
			edit(at("fan"), "%s", fan), edit(at("for"), "%s", span))
	}
	return edits
}

func sameRests(a, b []heat.Rest) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		x, y := a[i], b[i]
		if stuffText(x.Cover) != stuffText(y.Cover) {
			return false
		}
		x.Cover, y.Cover = nil, nil
		if x != y {
			return false
		}
	}
	return true
}

// OvenWords says what an oven would do to a batch with sugar from something.
func OvenWords(sweet string, s heat.Suggestion) string {
	words := fmt.Sprintf("An oven (%g °C for 1 h, then off) gives the %s", heat.OvenC, sweet)
	switch {
	case s.Chance.Overheat >= overheatTold:
		return words + fmt.Sprintf(" too much: it would overheat with a chance of %s. Leave the oven off.", Chance(s.Chance.Overheat))
	case s.Chance.Overheat >= 0.05:
		return words + fmt.Sprintf(" some risk: it would overheat with a chance of %s.", Chance(s.Chance.Overheat))
	}
	return words + fmt.Sprintf(" little risk: overheating %s, full gel %s.", Chance(s.Chance.Overheat), Chance(s.Chance.Full))
}
