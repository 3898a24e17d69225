package plan

import (
	"fmt"
	"iter"
	"math"

	"barwright/finding"
	"barwright/lye"
	"barwright/material"
	"barwright/quantity"
	"barwright/source"
)

// Limits of the superfat; the design fixes them.
const (
	leastTypical  = 1.0   // [%]: below it is a stop
	stopChance    = 0.01  // chance of lye-heavy above which it is a stop
	cautionChance = 0.001 // and a caution
)

// tooLittle says why a band is a stop, "" when it is not. The number printed
// is the one tested.
func tooLittle(b lye.Band) string {
	switch {
	case b.Typical < leastTypical:
		return fmt.Sprintf("it must be 1 %% or more, and is %s %%", superfatAgainst(b.Typical, leastTypical))
	case b.Low < 0:
		return fmt.Sprintf("one batch in forty falls below %s %%; that must not be under 0", superfatAgainst(b.Low, 0))
	case b.ChanceLyeHeavy > stopChance:
		return fmt.Sprintf("%s %% of batches would be lye-heavy; at most 1 %% may be", against(100*b.ChanceLyeHeavy, 100*stopChance, 0))
	}
	return ""
}

var lyeHeavy = rule{id: "lye_heavy", stops: true, detect: detectLyeHeavy, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	// What clears the stop should not leave the next caution behind.
	return p.moreSuperfat(func(b lye.Band) float64 {
		return math.Max(leastTypical-b.Typical, -math.Min(b.Low, b.Worst))
	})
}}

func detectLyeHeavy(p *Plan, _ int) *finding.Finding {
	band, reading := p.superfat().Band, "for the exact masses"
	why := tooLittle(band)
	if w := tooLittle(p.superfat().AsWeighed.Band); w != "" && why == "" {
		band, why, reading = p.superfat().AsWeighed.Band, w, "as it will be weighed"
	}
	if why == "" {
		return nil
	}
	title := fmt.Sprintf("Could be lye-heavy: superfat %s %% (%s to %s)", points(band.Typical), points(band.Low), points(band.High))
	if band.Typical < 0 {
		title = fmt.Sprintf("Lye-heavy: %s %% more alkali than the fats bind (%s to %s)", points(-band.Typical), points(-band.High), points(-band.Low))
	}
	grade, sources := p.sapEvidence()
	return &finding.Finding{Severity: finding.Stop, Title: title, Grade: grade, Sources: sources,
		Because: sentence(reading+", "+why) + p.widest(), Fix: "Do not make it. Check every mass first"}
}

var lyeMargin = rule{id: "lye_margin", detect: detectLyeMargin, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return p.moreSuperfat(func(b lye.Band) float64 { return -b.Worst })
}}

func detectLyeMargin(p *Plan, _ int) *finding.Finding {
	if detectLyeHeavy(p, 0) != nil {
		return nil
	}
	band, reading := p.superfat().Band, "for the exact masses"
	if w := p.superfat().AsWeighed.Band; w.Worst < band.Worst {
		band, reading = w, "as it will be weighed"
	}
	chance := math.Max(p.superfat().ChanceLyeHeavy, p.superfat().AsWeighed.ChanceLyeHeavy)
	title := fmt.Sprintf("Safe as a rule, but the worst case is lye-heavy (%s %%)", points(band.Worst))
	because := fmt.Sprintf("%s, with the leanest fats, the strongest alkali and the scale at its worst it comes to %s %%, below 0", reading, points(band.Worst))
	if w := p.superfat().AsWeighed.Worst; w >= 0 {
		title = fmt.Sprintf("Safe as it will be weighed: even the worst case keeps %s %% superfat", points(w))
		because = fmt.Sprintf("what the scale will show is what counts: no need to be afraid, it can be made so. It is told because only the scale's rounding makes it safe: weighed exactly, the worst case (leanest fats, strongest alkali) would come to %s %%, below 0", points(band.Worst))
	}
	switch {
	case band.Worst >= 0 && chance <= cautionChance:
		return nil
	case band.Worst >= 0:
		title = fmt.Sprintf("Safe as a rule, but about one batch in %s would be lye-heavy", oneIn(chance))
		because = "one in a thousand or fewer is no worry"
	}
	grade, sources := p.sapEvidence()
	return &finding.Finding{Severity: finding.Caution, Title: title,
		Because: sentence(because) + p.widest(), Fix: "Raise the superfat, or weigh the alkali on a finer scale", Grade: grade, Sources: sources}
}

// moreSuperfat tries rising superfats, starting where need says that enough
// is left; need is what a band lacks [points]. After that a finer scale.
func (p *Plan) moreSuperfat(need func(lye.Band) float64) iter.Seq[fix] {
	const step, most = 0.5, 30
	now := p.superfat().Typical
	if p.superfat().Set != nil {
		now = *p.superfat().Set
	}
	lacking := math.Max(need(p.superfat().Band), need(p.superfat().AsWeighed.Band))
	return func(yield func(fix) bool) {
		if p.superfat().AsWeighed.AlkaliStep > coarse && !p.finerAlkaliScale(yield) {
			return
		}
		first := math.Ceil((now+math.Max(0, lacking))/step) * step
		for s := first; s <= math.Min(first+6, most); s += step {
			text, edits := p.setSuperfat(s)
			if s > now && !yield(fix{text, edits}) {
				return
			}
		}
		for _, tenths := range []float64{10, 100} {
			text, edits := p.setSuperfat(math.Max(now, 8))
			finer := p.finerStep("alkali", tenths)
			if !yield(fix{fmt.Sprintf("%s and weigh the alkali on a %s scale", text, finer), append(edits, edit("scale.alkali", "%s", finer))}) {
				return
			}
		}
	}
}

// finerAlkaliScale offers a scale of a tenth of the step; false when enough
// was offered.
func (p *Plan) finerAlkaliScale(yield func(fix) bool) bool {
	finer := p.finerStep("alkali", 10)
	return yield(fix{fmt.Sprintf("Weigh the alkali on a %s scale", finer), []finding.Edit{edit("scale.alkali", "%s", finer)}})
}

// finerStep is a fraction of a scale's step, in the unit it shows.
func (p *Plan) finerStep(which string, tenths float64) string {
	s := p.steps(which)
	return quantity.ShowIn(s.StepG/tenths, s.Unit, 6)
}

// steps is what one of the scales can show.
func (p *Plan) steps(which string) Steps {
	if sc := p.recipe.Scale; sc != nil {
		return steps(map[string]*quantity.Mass{"alkali": sc.Alkali, "fats": sc.Fats}[which])
	}
	return steps(nil)
}

// widest names the cause with the largest share of the width.
func (p *Plan) widest() string {
	causes := p.causes()
	if len(causes) == 0 {
		return ""
	}
	return fmt.Sprintf(". Most of the width is %s (%.0f %%)", causes[0].Name, 100*causes[0].Share)
}

func (p *Plan) causeName(cause string) string {
	switch cause {
	case lye.Assay:
		return "the assay of the alkali"
	case lye.AlkaliScale:
		return "the scale's step on the alkali"
	case lye.FatsScale:
		return "the scale's step on the fats"
	case sugarsCause:
		return "the sugars"
	}
	return "the " + lowerName(p.nameOf(cause))
}

var lyeSafe = rule{id: "lye_safe", detect: func(p *Plan, _ int) *finding.Finding {
	if detectLyeHeavy(p, 0) != nil || detectLyeMargin(p, 0) != nil || p.superfat().Typical > absurdSuperfat {
		return nil
	}
	grade, sources := p.sapEvidence()
	worst := math.Min(p.superfat().Worst, p.superfat().AsWeighed.Worst)
	return &finding.Finding{Severity: finding.OK, Title: fmt.Sprintf("The lye is safe: even at the worst, at least %s %% superfat stays", points(worst)),
		Because: "the worst is the leanest fats, the strongest alkali and the scale half a step off" + p.widest(), Grade: grade, Sources: sources}
}}

func additionLines(p *Plan) int { return len(p.charge.additions) }

var acidStrengthUnknown = rule{id: "acid_strength_unknown", stops: true, lines: additionLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.additions[i]
	if !a.unknown {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s without its strength: nobody knows how much lye it takes", a.Name),
		Because: fmt.Sprintf("the pure acid takes %.3f g of sodium hydroxide per gram, and bottles differ", a.TakesNaOH.Typical),
		Fix:     fmt.Sprintf("Read the strength on the bottle and write it down, like %g %%", a.UsualPercent), Grade: source.Unknown, Sources: []string{a.TakesNaOH.Source}}
}}

// mostForAcids is the largest share of the alkali that may go to declared
// acids: beyond it a slip in their strength decides the superfat.
const mostForAcids = 0.10

var acidsTakeMuch = rule{id: "acids_take_much", stops: true, detect: func(p *Plan, _ int) *finding.Finding {
	share := p.acidShare()
	if share <= mostForAcids {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("Acids take %.1f %% of the alkali", 100*share),
		Because: "above 10 % a slip in their amount or strength decides the superfat", Fix: "Take less acid", Grade: source.Derived, Sources: []string{"stoichiometry"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	// The acids' share s of the alkali becomes 10 % when they shrink by f with
	// f s / (1 - s + f s) = 0.1.
	s := p.acidShare()
	f := mostForAcids * (1 - s) / (s * (1 - mostForAcids))
	return func(yield func(fix) bool) {
		for _, safety := range []float64{1, 0.98, 0.9} {
			var edits []finding.Edit
			for i, a := range p.charge.additions {
				if a.declared {
					edits = append(edits, p.setAddition(i, a.massG*f*safety))
				}
			}
			if !yield(fix{fmt.Sprintf("Take %.0f %% of the acid, %s", 100*f*safety, p.amountsIn(edits)), edits}) {
				return
			}
		}
	}
}}

func (p *Plan) acidShare() float64 {
	if p.charge.alkaliMol() == 0 {
		return 0
	}
	return p.charge.acidMol() / p.charge.alkaliMol()
}

func (p *Plan) amountsIn(edits []finding.Edit) (s string) {
	for i, e := range edits {
		if i > 0 {
			s += " and "
		}
		s += e.Value
	}
	return s
}

func alkaliLines(p *Plan) int { return len(p.recipe.Alkali) }

// strongFlakes is what most potassium hydroxide flakes are sold at [%], by
// the strong end of the trade's range.
const strongFlakes = 92

var kohLabel = rule{id: "koh_label_hides_strength", lines: alkaliLines, detect: func(p *Plan, i int) *finding.Finding {
	line := p.recipe.Alkali[i]
	if p.charge.alkalis[i].base() != "koh" || line.PurityRange != nil || line.StockStrength != nil {
		return nil
	}
	f := &finding.Finding{Severity: finding.Caution, Grade: source.Standard, Sources: []string{"usp_nf"}, Fix: "Plan by the assay on its certificate"}
	switch {
	case line.Purity == nil:
		f.Title = "Potassium hydroxide without its assay, planned as 100 % pure"
		f.Because = "it is never sold pure: flakes hold 85 to 92 %, the rest is water, so there is more superfat than shown"
	case line.Purity.Percent < 100*hiddenKOHLabel:
		f.Title = fmt.Sprintf("Potassium hydroxide labelled %s may be up to 6 points stronger", line.Purity)
		f.Because = "a pharmacopoeia label gives only the lower limit, at least 85 %; flakes are often 90 to 92 %"
	default:
		return nil
	}
	return f
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	strong := float64(strongFlakes)
	if pu := p.recipe.Alkali[i].Purity; pu != nil {
		strong = math.Max(100*hiddenKOHLabel, pu.Percent+100*hiddenKOHSpread)
	}
	return one(fmt.Sprintf("Plan by the strong end, %s %%: doubt then goes to more superfat", shortNumber(strong)), edit(fmt.Sprintf("alkali.%d.purity", i), "%s %%", shortNumber(strong)))
}}

var purityAssumed = rule{id: "purity_assumed", lines: alkaliLines, detect: func(p *Plan, i int) *finding.Finding {
	line := p.recipe.Alkali[i]
	if p.charge.alkalis[i].base() != "naoh" || line.Purity != nil || line.PurityRange != nil || line.StockStrength != nil {
		return nil
	}
	return &finding.Finding{Severity: finding.Note, Title: "Sodium hydroxide planned as 100 % pure",
		Because: "no assay is written; what is sold holds 97 to 99.5 %, so there is a little more superfat than shown",
		Fix:     "Write down the assay on its label, like 98.5 %", Grade: source.Standard, Sources: []string{"ph_eur", "usp_nf"}}
}}

// Limits of an assay that can be meant [%]. Source: the worst legal
// pharmacopoeia grade holds 92.7 % caustic soda (95 % total alkali less 3 %
// carbonate), 82.2 % caustic potash; usp_nf.
var leastAssay = map[string]struct{ usual, legal, advised float64 }{"naoh": {95, 90, 98}, "koh": {85, 80, 90}}

var assayOdd = rule{id: "assay_odd", stops: true, lines: alkaliLines, detect: func(p *Plan, i int) *finding.Finding {
	a := p.charge.alkalis[i]
	least, ok := leastAssay[a.base()]
	if !ok || a.stock || 100*a.pure >= least.usual {
		return nil
	}
	f := &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("%s of %s %%: is that its assay?", a.Name, shortNumber(100*a.pure)),
		Because: fmt.Sprintf("it is sold at %.0f %% and more; if it is stronger than written, the batch is lye-heavy", least.usual), Grade: source.Standard, Sources: []string{"usp_nf", "ph_eur"},
		Fix: "Read the label again; a solution is written with stock_strength"}
	if 100*a.pure < least.legal {
		f.Severity = finding.Stop
	}
	return f
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	advised := leastAssay[p.charge.alkalis[i].base()].advised
	return one(fmt.Sprintf("Plan by %.0f %% until the label is read: doubt then goes to more superfat", advised),
		edit(fmt.Sprintf("alkali.%d.purity", i), "%.0f %%", advised), edit(fmt.Sprintf("alkali.%d.purity_range", i), ""))
}}

// certificateSlack is how far a lot may lie outside the range of its kind
// before its certificate is doubted: a unit mixed up is off by 29 %.
const certificateSlack = 0.03

// kindOf is the material that a lot is of, or the built-in one that a file of
// the maker's own stands in for.
func (p *Plan) kindOf(m material.Material) (material.Material, bool) {
	if m.Of != "" {
		kind, err := p.library.Find(m.Of)
		return kind, err == nil
	}
	kind, err := material.Builtin().Find(m.ID)
	return kind, err == nil
}

var certificateOdd = rule{id: "certificate_odd", stops: true, lines: fatLines, detect: func(p *Plan, i int) *finding.Finding {
	f := p.charge.fats[i]
	kind, ok := p.kindOf(f.Material)
	if !ok {
		return nil
	}
	if most := kind.AcidValue.High * 1.2; f.Kind == material.Wax && f.AcidValue.Typical > most {
		return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s: an acid value of %s cannot be", f.Name, shortNumber(f.AcidValue.Typical)),
			Because: fmt.Sprintf("%s has at most %s mg KOH/g of free acid, and only that is dosed for; the saponification value is another figure", lowerName(kind.Name), shortNumber(kind.AcidValue.High)),
			Fix:     "Read the certificate again", Grade: kind.AcidValue.Grade, Sources: []string{kind.AcidValue.Source}}
	}
	if f.Sap.Typical >= kind.Sap.Low*(1-certificateSlack) && f.Sap.Typical <= kind.Sap.High*(1+certificateSlack) {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s: a saponification value of %s cannot be", f.Name, shortNumber(f.Sap.Typical)),
		Because: fmt.Sprintf("%s lies between %s and %s mg KOH/g; a value in sodium hydroxide is 0.713 times that in potassium hydroxide", lowerName(kind.Name), shortNumber(kind.Sap.Low), shortNumber(kind.Sap.High)),
		Fix:     "Read the certificate's unit again", Grade: kind.Sap.Grade, Sources: []string{kind.Sap.Source}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	f := p.charge.fats[i]
	if f.Of == "" {
		return func(func(fix) bool) {} // the file itself must be put right
	}
	return one(fmt.Sprintf("Plan with %s in general until it is clear", lowerName(p.nameOf(f.Of))), edit(fmt.Sprintf("fats.%d.material", i), "%s", f.Of))
}}

// coarse is the largest step of superfat that one step of the scale may make
// [points].
const coarse = 2.0

var scaleTooCoarse = rule{id: "scale_too_coarse", detect: func(p *Plan, _ int) *finding.Finding {
	step := p.superfat().AsWeighed.AlkaliStep
	if step <= coarse {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution,
		Title:   fmt.Sprintf("The scale is coarse for so small a batch: one step of %s is %s points of superfat", p.finerStep("alkali", 1), points(step)),
		Because: fmt.Sprintf("the alkali weighs only %s g; a step should be 2 points or less", shortNumber(roundTo(p.charge.alkaliG(), 0.1))),
		Fix:     "Make a bigger batch, or weigh the alkali on a finer scale", Grade: source.Derived, Sources: []string{"stoichiometry"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	f := p.superfat().AsWeighed.AlkaliStep / coarse
	tenths := 1.0
	for p.superfat().AsWeighed.AlkaliStep/tenths > coarse {
		tenths *= 10
	}
	finer := p.finerStep("alkali", tenths)
	return func(yield func(fix) bool) {
		if s := p.recipe.Size; s != nil && s.Fats != nil && p.Mould == nil {
			edits := p.resize(f)
			if !yield(fix{fmt.Sprintf("Make at least %s of fats, or weigh the alkali on a %s scale", edits[0].Value, finer), edits}) {
				return
			}
		}
		yield(fix{fmt.Sprintf("Weigh the alkali on a %s scale, or make at least %.0f g of fats", finer, math.Ceil(p.FatsG*f/10)*10),
			[]finding.Edit{edit("scale.alkali", "%s", finer)}})
	}
}}

var superfatHigh = rule{id: "superfat_high", stops: true, detect: func(p *Plan, _ int) *finding.Finding {
	most := p.mostSuperfat()
	if p.superfat().Typical > absurdSuperfat {
		return p.absurd()
	}
	if p.superfat().Typical <= most+0.05 {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Superfat of %s %% makes a soft bar that spoils early", points(p.superfat().Typical)),
		Because: fmt.Sprintf("up to %s %% stays firm and keeps; bars rich in coconut or babassu carry up to 20", shortNumber(most)), Fix: "Set a lower superfat", Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, _ int) iter.Seq[fix] {
	return func(yield func(fix) bool) {
		if p.superfat().Typical > absurdSuperfat {
			return // no amount can be right while the units are in doubt
		}
		set := p.mostSuperfat()
		for s := set; s >= 1; s -= 0.5 {
			text, edits := p.setSuperfat(s)
			if !yield(fix{text, edits}) {
				return
			}
		}
	}
}}

// absurdSuperfat is beyond any bar [%]: something was weighed in another unit.
const absurdSuperfat = 30

// absurd is a recipe whose lye cannot be meant.
func (p *Plan) absurd() *finding.Finding {
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("Most of the fat stays oil: superfat %s %%", points(p.superfat().Typical)),
		Because: "no bar has over 30 %; an ounce is 28.35 g, so a figure may be in the other unit, or alkali and water were swapped",
		Fix:     "Read the recipe's units again", Grade: source.Derived, Sources: []string{"stoichiometry", "nist_handbook_44"}}
}

// mostSuperfat is the most that stays sensible [%]: lauric soap is hard and
// harsh enough to carry far more. Common practice, no source.
func (p *Plan) mostSuperfat() float64 {
	if g := p.makeup().GroupsPct; g[material.C8C10]+g[material.C12C14] >= 55 {
		return 20
	}
	return 9
}

var foundRecipe = rule{id: "found_recipe", detect: func(p *Plan, _ int) *finding.Finding {
	if !p.recipe.IsFound() {
		return nil
	}
	b := p.superfat().Band
	grade, sources := p.sapEvidence()
	return &finding.Finding{Severity: finding.Note, Title: fmt.Sprintf("As written, this recipe leaves %s %% superfat (%s to %s)", points(b.Typical), points(b.Low), points(b.High)),
		Because: fmt.Sprintf("its lye is %.1f %% strong", p.Lye.StrengthPct) + p.widest(), Grade: grade, Sources: sources}
}}
