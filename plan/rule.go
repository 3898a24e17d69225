package plan

import (
	"iter"
	"slices"

	"barwright/finding"
	"barwright/source"
)

// rule is one thing a plan is checked for. A rule about lists is asked once
// for every line of its list.
type rule struct {
	id     string
	stops  bool                                  // may find a stop
	lines  func(p *Plan) int                     // how many lines it is asked about; nil: the plan, once
	detect func(p *Plan, i int) *finding.Finding // nil when all is well
	fixes  func(p *Plan, i int) iter.Seq[fix]    // candidates, the gentlest first; nil: words alone help
}

// fix is a change that may clear a finding.
type fix struct {
	text  string
	edits []finding.Edit
}

// findings runs every rule. A fix is only offered once a trial plan with its
// edits has shown that the finding is gone.
func (p *Plan) findings() []finding.Finding {
	out := []finding.Finding{}
	for _, r := range rules {
		lines := 1
		if r.lines != nil {
			lines = r.lines(p)
		}
		for i := range lines {
			f := r.detect(p, i)
			if f == nil {
				continue
			}
			f.ID = r.id
			if r.fixes != nil {
				p.offer(f, r, i)
			}
			if f.Sources == nil {
				f.Sources = []string{}
			}
			f.Because = sentence(f.Because)
			out = append(out, f.Typeset())
		}
	}
	finding.Sort(out)
	return out
}

// offer gives the finding the first candidate that clears it and brings no
// stop that was not there.
func (p *Plan) offer(f *finding.Finding, r rule, line int) {
	for candidate := range r.fixes(p, line) {
		after, ok := p.try(candidate.edits)
		if ok && r.detect(after, line) == nil && !after.stopsBeyond(p) {
			f.Fix, f.Edits = candidate.text, candidate.edits
			return
		}
	}
}

// stopsBeyond reports a stop that before does not have.
func (p *Plan) stopsBeyond(before *Plan) bool {
	had := before.stops()
	for id := range p.stops() {
		if !had[id] {
			return true
		}
	}
	return false
}

// stops returns the ids of the rules that stop the plan.
func (p *Plan) stops() map[string]bool {
	if p.stopped == nil {
		p.stopped = map[string]bool{}
		for _, r := range rules {
			lines := 1
			if r.lines != nil {
				lines = r.lines(p)
			}
			for i := range lines {
				if r.stops {
					if f := r.detect(p, i); f != nil && f.Severity == finding.Stop {
						p.stopped[r.id] = true
					}
				}
			}
		}
	}
	return p.stopped
}

// try plans the recipe with edits applied; false when that is not a recipe.
func (p *Plan) try(edits []finding.Edit) (*Plan, bool) {
	r, err := p.recipe.With(edits...)
	if err != nil || len(r.Check(p.library)) > 0 {
		return nil, false
	}
	after, err := compute(r, p.library)
	return after, err == nil
}

// one is a single candidate.
func one(text string, edits ...finding.Edit) iter.Seq[fix] {
	return func(yield func(fix) bool) { yield(fix{text, edits}) }
}

// sapEvidence returns the worst grade and the sources of what decides the
// superfat.
func (p *Plan) sapEvidence() (grade source.Grade, sources []string) {
	for _, f := range p.charge.fats {
		grade = source.Worst(grade, f.Sap.Grade)
		if !slices.Contains(sources, f.Sap.Source) {
			sources = append(sources, f.Sap.Source)
		}
	}
	return grade, sources
}

// rules lists every rule. Order within one severity is the order people read
// them in: what burns, what heats, what spoils, what to know.
var rules = []rule{
	lyeHeavy, certificateOdd, assayOdd, acidStrengthUnknown, acidsTakeMuch, corroding, lyeFizzes, nearBoiling, heatUnknown, scentOverLimit, lotHeld, mouldOverflow,
	lyeMargin, kohLabel, lyeFoams, lyeCrystallises, glassVessel, scaleTooCoarse, scaleOverloaded,
	willFreeze, mayFreeze, seizingAcids, seizingScent, ricing, quick, waxHigh, scentHeavy, superfatHigh, lyeWeak, keepsShort,
	tooHot, scentInLye, saltInLye, sugarMuch, powderMuch, foundRecipe, acidDosedLow, purityAssumed, tooLittleToWeigh, fatDoubtful, fatSets, slow, softBar, wearsFast, harsh, saltSetsFast, scentLimitUnknown, notSaid,
	lyeSafe, staysClear, fitsMould,
}
