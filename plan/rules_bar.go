package plan

import (
	"fmt"
	"iter"
	"math"
	"strings"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
	"barwright/source"
)

// MostWax is the share of hard wax above which the bar crumbles under the
// wire. Common practice, no source.
const MostWax = 0.05

var waxHigh = rule{id: "wax_high", detect: func(p *Plan, _ int) *finding.Finding {
	wax := p.charge.share(IsHardWax)
	if wax <= MostWax+1e-9 {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%.1f %% wax: sets in the pot and crumbles when cut", 100*wax),
		Because: "above 5 % the wax decides the bar; 1 to 3 % is usual", Fix: "Take less wax", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] { return p.lessHardWax }}

// lessHardWax offers the largest hard wax at less and less.
func (p *Plan) lessHardWax(yield func(fix) bool) {
	most := -1
	for i, f := range p.charge.fats {
		if IsHardWax(f.Material) && (most < 0 || f.massG > p.charge.fats[most].massG) {
			most = i
		}
	}
	if most < 0 {
		return
	}
	for _, share := range []float64{0.05, 0.04, 0.03, 0.02, 0.01, 0.005} {
		if share >= p.charge.fats[most].massG/p.FatsG {
			continue
		}
		edits := p.setFatShare(most, share)
		if edits == nil || !yield(fix{fmt.Sprintf("Take %s %% %s", shortNumber(100*share), lowerName(p.charge.fats[most].Name)), edits}) {
			return
		}
	}
}

// Limits of lye strength [%]. Common practice, no source.
const (
	weakLye = 29.0 // below it bars stay soft for long
	partLye = 27.0 // below it batter parts
)

var lyeWeak = rule{id: "lye_weak", detect: func(p *Plan, _ int) *finding.Finding {
	whole := p.wholeStrength()
	if whole >= weakLye-1e-9 || p.isPaste() {
		return nil
	}
	if whole < p.Lye.StrengthPct-1 {
		return p.watery(whole)
	}
	f := &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Lye of %.3g %% is weak: a soft bar for weeks, and rivers if it gels", p.Lye.StrengthPct),
		Because: fmt.Sprintf("%.0f %% of the batter is water; 30 to 36 %% lye is usual", p.Batter.WaterPct), Fix: "Take less water", Grade: source.Practice, Sources: []string{"makers_practice"}}
	if whole < partLye {
		f.Severity = finding.Caution
		f.Title = fmt.Sprintf("Lye of %.3g %% is weak: the batter may part, and the bar stays soft", p.Lye.StrengthPct)
	}
	return f
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	if p.recipe.IsFound() {
		g := math.Floor(p.charge.pureG()/0.30 - p.charge.alkaliG() - p.charge.lyeWaterG())
		return one(fmt.Sprintf("Take %.0f g of water instead of %.0f g", g, p.WaterG), edit("water", "%.0f g", g))
	}
	return func(yield func(fix) bool) {
		for _, strength := range []float64{30, 33, 36, 40, 45, 50} {
			if strength > p.Lye.StrengthPct && !yield(fix{fmt.Sprintf("Set the lye strength to %.0f %%", strength), []finding.Edit{edit("lye_strength", "%.0f %%", strength)}}) {
				return
			}
		}
	}
}}

// wholeStrength is the alkali in all the water there is, that of additions at
// trace included [%].
func (p *Plan) wholeStrength() float64 {
	return 100 * p.charge.pureG() / (p.charge.pureG() + p.charge.batterWaterG())
}

// watery is a batter whose additions bring more water than the lye shows.
func (p *Plan) watery(whole float64) *finding.Finding {
	f := &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("With the water of the additions, as if the lye were %.0f %%: soft for weeks", whole),
		Because: fmt.Sprintf("%.0f %% of the batter is water; the lye alone is %.3g %%", p.Batter.WaterPct, p.Lye.StrengthPct), Fix: "Plan stronger lye, or less of the liquid", Grade: source.Practice, Sources: []string{"makers_practice"}}
	if whole < partLye {
		f.Severity = finding.Caution
	}
	return f
}

// Limits of oxidation exposure and of linoleic with linolenic acid [%].
// The index is an estimate of this project; 15 % is common practice.
const (
	watchExposure = 2.0
	shortExposure = 3.5
	mostPoly      = 15.0
)

var keepsShort = rule{id: "keeps_short", detect: func(p *Plan, _ int) *finding.Finding {
	exposure, poly := p.makeup().Oxidation, p.makeup().GroupsPct[material.Poly]
	if exposure <= watchExposure && poly <= mostPoly {
		return nil
	}
	f := &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Watch for rancid spots: oxidation exposure %.1f", exposure),
		Because: fmt.Sprintf("%.0f %% linoleic and linolenic acid, superfat %s %%; below 2 keeps long, above 3.5 short", poly, points(p.superfat().Typical)),
		Fix:     "Use fresh fats, and keep the bars cool and dark", Grade: source.Estimated, Sources: []string{"fatemi_hammond_1980", "own_estimate"}}
	if exposure > shortExposure || poly > mostPoly {
		f.Severity = finding.Caution
		f.Title = fmt.Sprintf("Will not keep long: oxidation exposure %.1f, %.0f %% linoleic and linolenic acid", exposure, poly)
		f.Because = fmt.Sprintf("superfat %s %%; makers keep these acids under 15 %% for a year on the shelf, exposure above 3.5 is short", points(p.superfat().Typical))
	}
	return f
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	worst, most := -1, 0.0
	for i, f := range p.charge.fats {
		poly := f.Profile.Percent("c18_2") + f.Profile.Percent("c18_3")
		if w := f.massG / p.FatsG * (f.Profile.Percent("c18_2")*10.3 + f.Profile.Percent("c18_3")*21.6); w > most && poly > p.makeup().GroupsPct[material.Poly] {
			worst, most = i, w
		}
	}
	return func(yield func(fix) bool) {
		// A borderline note is no reason to change a recipe, and lye in grams
		// belongs to the fats as they are.
		if worst < 0 || p.recipe.IsFound() || p.keepsLongEnough() {
			return
		}
		was := p.charge.fats[worst].massG / p.FatsG
		for share := math.Floor(was*20-0.01) / 20; share >= 0.05; share -= 0.05 {
			edits := p.setFatShare(worst, share)
			text := fmt.Sprintf("Take %.0f %% %s instead of %.0f %%", 100*share, lowerName(p.charge.fats[worst].Name), 100*was)
			if edits == nil || !yield(fix{text, edits}) {
				return
			}
		}
	}
}}

func (p *Plan) keepsLongEnough() bool {
	return p.makeup().Oxidation <= shortExposure && p.makeup().GroupsPct[material.Poly] <= mostPoly
}

// Limits of the working window [min]. Common practice, no source.
const (
	slowTrace = 20.0
	shortPour = 5.0
	warmestC  = 50.0
	tryEveryC = 2.0
)

var slow = rule{id: "slow", detect: func(p *Plan, _ int) *finding.Finding {
	if p.recipe.Hot() || p.window() == nil || p.window().ToTrace.Typical <= slowTrace {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Slow to trace: %s (%s)", aboutMinutes(p.window().ToTrace.Typical), rangeOf(p.window().ToTrace)),
		Because: fmt.Sprintf("it lands at %.0f °C", *p.Combine.LandingC), Fix: "Have patience, or combine warmer", Grade: source.Estimated, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		if p.recipe.Combine.Stir == recipe.Hand && !yield(fix{"Use a blender", []finding.Edit{edit("combine.stir", recipe.Blender)}}) {
			return
		}
		for c := *p.Combine.LandingC + tryEveryC; c <= warmestC; c += tryEveryC {
			if text, edits := p.warmTo(math.Round(c)); !yield(fix{text, edits}) {
				return
			}
		}
	}
}}

var quick = rule{id: "quick", detect: func(p *Plan, _ int) *finding.Finding {
	if p.recipe.Hot() || p.window() == nil || p.window().ToUnpourable.Typical >= shortPour {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: "Little time: " + p.littleTime(),
		Because: fmt.Sprintf("it lands at %.0f °C%s%s", *p.Combine.LandingC, p.hurries(), p.jump()), Grade: source.Estimated, Sources: []string{"makers_practice"},
		Fix: "Have moulds, scent and colours ready before the lye goes in, and stir by hand"}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		if p.recipe.Combine.Stir != recipe.Hand && !yield(fix{"Stir by hand instead of blending", []finding.Edit{edit("combine.stir", recipe.Hand)}}) {
			return
		}
	}
}}

// littleTime is the time to unpourable in words.
func (p *Plan) littleTime() string {
	w := p.window().ToUnpourable
	return fmt.Sprintf("%s until it is too thick to pour (%s)", aboutMinutes(w.Typical), rangeOf(w))
}

// jump says that the minutes are few because what freezes thickens too, and
// how many there would be just above that; "" when it lands clear.
func (p *Plan) jump() string {
	c := p.Combine
	if c.LandingC == nil || c.ClearC == nil || *c.LandingC >= *c.ClearC || p.recipe.Hot() {
		return ""
	}
	clearC := math.Ceil(*c.ClearC)
	return fmt.Sprintf("; its %s is clear only above %.0f °C, and what freezes thickens at once: at %.0f °C there would be %s",
		lowerName(c.CloudOf), *c.ClearC, clearC, aboutMinutes(p.WindowAt(clearC, nil).ToUnpourable.Typical))
}

// hurries names what makes the batch quick.
func (p *Plan) hurries() string {
	var why []string
	if s := p.charge.share(isFreeAcid); s > 0.01 {
		why = append(why, fmt.Sprintf("%.0f %% free acids", 100*s))
	}
	if s := p.charge.share(IsHardWax); s > 0.005 {
		why = append(why, fmt.Sprintf("%.1f %% wax", 100*s))
	}
	for _, a := range p.charge.additions {
		if a.Hurries {
			why = append(why, lowerName(a.Name))
		}
	}
	if len(why) == 0 {
		return ""
	}
	return " and holds " + strings.Join(why, ", ")
}

// softSaturated is the share of saturated acids below which a bar is soft at
// first [%]. Common practice, no source.
const softSaturated = 22.0

var softBar = rule{id: "soft_bar", detect: func(p *Plan, _ int) *finding.Finding {
	g := p.makeup().GroupsPct
	hard := g[material.C12C14] + g[material.C16C18] + g[material.C20C24]
	if hard >= softSaturated || p.isPaste() {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Soft at first: %.0f %% saturated acids", hard),
		Because: "below 22 % makers wait days to turn out and eight weeks and more to cure", Fix: "Plan for a late turn-out and a long cure", Grade: source.Practice, Sources: []string{"makers_practice"}}
}}

// wearsShare is the share of the soap that dissolves at 20 °C above which a
// bar goes quickly [%]: an estimate, for ranking.
const wearsShare = 95.0

// slowAcids is the share of palmitic and stearic acid that makes a bar last [%].
// Common practice, no source.
const slowAcids = 13.0

// isPaste reports soft soap, which is no bar.
func (p *Plan) isPaste() bool {
	_, koh := p.charge.kohShare()
	return koh > 0.5
}

// saltBar is the share of salt, of the fats, from which a bar is a salt bar.
const saltBar = 0.25

// salty reports a salt bar.
func (p *Plan) salty() bool { return p.kindShare(material.Salt) >= saltBar }

// kindShare is the mass of additions of one kind as a share of the fats.
func (p *Plan) kindShare(kind material.Kind) (share float64) {
	for _, a := range p.charge.additions {
		if a.Kind == kind {
			share += a.massG / p.FatsG
		}
	}
	return share
}

var wearsFast = rule{id: "wears_fast", detect: func(p *Plan, _ int) *finding.Finding {
	if p.makeup().Dissolving.At20 <= wearsShare || p.makeup().GroupsPct[material.C16C18] > slowAcids || p.salty() || p.isPaste() {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Goes quickly in use: %.0f %% of its soap can dissolve at 20 °C", p.makeup().Dissolving.At20),
		Because: fmt.Sprintf("%.0f %% of its acids are palmitic and stearic, the slow ones", p.makeup().GroupsPct[material.C16C18]), Fix: "Cure it long and keep it dry between washes", Grade: source.Estimated, Sources: []string{"klein_2008", "own_estimate"}}
}}

func fatLines(p *Plan) int { return len(p.charge.fats) }

var fatDoubtful = rule{id: "fat_doubtful", lines: fatLines, detect: func(p *Plan, i int) *finding.Finding {
	f := p.charge.fats[i]
	const matters = 0.05
	if f.Sap.Grade != source.Doubtful || f.massG/p.FatsG < matters {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("%s: saponification value %.0f to %.0f, and the source is doubtful", f.Name, f.Sap.Low, f.Sap.High),
		Because: strings.TrimRight(f.Sap.Note, "."), Fix: "Ask for the certificate of this lot", Grade: source.Doubtful, Sources: []string{f.Sap.Source}}
}}

var acidDosedLow = rule{id: "acid_dosed_low", detect: func(p *Plan, _ int) *finding.Finding {
	set := p.recipe.Superfat
	if set == nil || p.superfat().Typical-set.Percent < 0.3 || p.charge.share(isFreeAcid) == 0 {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("Superfat is likely %s %%, not the %s set", points(p.superfat().Typical), set),
		Because: "free fatty acids are dosed by the low end of their range until a lot has its certificate", Fix: "Get the certificate of the acid", Grade: source.Standard, Sources: []string{"usp_nf"}}
}}

var fatSets = rule{id: "fat_sets", lines: fatLines, detect: func(p *Plan, i int) *finding.Finding {
	f := p.charge.fats[i]
	const matters = 0.15
	if p.Combine.LandingC == nil || f.Kind != material.Triglyceride || !f.Melting.Known() || f.massG/p.FatsG < matters || *p.Combine.LandingC >= f.Melting.Typical {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("%s alone melts at %.0f to %.0f °C; the batter lands at %.0f", f.Name, f.Melting.Low, f.Melting.High, *p.Combine.LandingC),
		Because: "mixed with oils it sets lower, nobody has measured how low; grains early on may be cold fat, not trace", Fix: "If it thickens early, warm a spoonful: cold fat runs again, trace does not", Grade: f.Melting.Grade, Sources: []string{f.Melting.Source}}
}}

var notSaid = rule{id: "not_said", detect: func(p *Plan, _ int) *finding.Finding {
	var missing []string
	if p.recipe.Combine == nil {
		missing = append(missing, "the temperatures of fats and lye: where it lands, wax falling out, and the minutes")
	}
	if p.recipe.Mould == nil {
		missing = append(missing, "the mould: whether it fits")
	}
	if p.Lye.PeakC == nil && p.Lye.BoilingC == nil {
		missing = append(missing, "heat of potassium lye: no data; expect 95 to 105 °C from room temperature")
	} else if p.Lye.PeakC == nil {
		missing = append(missing, "heat of the lye: outside the tables, for one because the ice would not all melt")
	}
	for _, name := range p.unclear {
		missing = append(missing, "when "+lowerName(name)+" falls out of the fats: no data")
	}
	if len(missing) == 0 {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: "Not said, because the recipe or the data do not give it", Because: strings.Join(missing, "; "), Grade: source.Unknown}
}}
