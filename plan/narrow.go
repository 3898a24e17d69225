package plan

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"barwright/lye"
	"barwright/material"
)

// Cause is one source of doubt about the superfat.
type Cause struct {
	Cause string  `json:"cause"`
	Name  string  `json:"name"`
	Share float64 `json:"share"` // of the variance
}

// causes lists where the doubt comes from, the largest share first.
func (p *Plan) causes() []Cause {
	out := []Cause{}
	for cause, share := range p.superfat().Shares {
		out = append(out, Cause{cause, p.causeName(cause), share})
	}
	slices.SortFunc(out, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.Cause, b.Cause))
	})
	return out
}

// Narrowing is one thing she could do to make the superfat band narrower.
type Narrowing struct {
	Cause  string  `json:"cause"`
	Share  float64 `json:"share"` // of the variance today
	Advice string  `json:"advice"`
	Now    float64 `json:"now_points"`  // width of the band between its 2.5 % and 97.5 % points
	Then   float64 `json:"then_points"` // width when she has done it
}

// What narrowing brings: a certificate states a saponification value to about
// half a per cent (repeatability of the titration, recalled), a titration of
// the alkali to 0.2 points, and a finer scale has a tenth of the step.
const (
	certificateSpread = 0.005
	titrationSpread   = 0.002
	finerScale        = 0.1
)

// smallestShare of the variance that is worth advice.
const smallestShare = 0.08

// narrow lists what would narrow the band, the most useful first.
func (p *Plan) narrow() []Narrowing {
	terms := p.charge.weighed().terms()
	now := terms.FirstOrder()
	out := []Narrowing{}
	for _, cause := range slices.Sorted(maps.Keys(now.Shares)) {
		if now.Shares[cause] < smallestShare {
			continue
		}
		advice, better := p.narrowed(cause, terms)
		if advice == "" {
			continue
		}
		width := p.superfat().AsWeighed.High - p.superfat().AsWeighed.Low
		out = append(out, Narrowing{cause, now.Shares[cause], advice, width, width * better.FirstOrder().SD / now.SD})
	}
	slices.SortStableFunc(out, func(a, b Narrowing) int { return cmp.Compare(a.Then, b.Then) })
	return out
}

// narrowed returns the terms with one cause narrowed, and how she gets there.
func (p *Plan) narrowed(cause string, b lye.Batch) (advice string, better lye.Batch) {
	better = lye.Batch{DosedMol: b.DosedMol, Terms: slices.Clone(b.Terms)}
	for i := range better.Terms {
		t := &better.Terms[i]
		switch {
		case cause == lye.Assay && t.Cause == cause:
			t.PerG = around(t.PerG.Mode, titrationSpread)
			advice = "titrate the alkali, or buy it with an assay to ±0.2 points"
		case cause == lye.AlkaliScale && t.Brings:
			t.StepG, t.NoiseG = t.StepG*finerScale, t.NoiseG*finerScale
			advice = fmt.Sprintf("weigh the alkali on a %s scale", p.finerStep("alkali", 1/finerScale))
		case cause == lye.FatsScale && !t.Brings:
			t.StepG, t.NoiseG = t.StepG*finerScale, t.NoiseG*finerScale
			advice = fmt.Sprintf("weigh the fats on a %s scale", p.finerStep("fats", 1/finerScale))
		case t.Cause == cause && t.Slow && p.isUnknown(cause):
			t.PerG = lye.Exactly(t.PerG.Mode)
			advice = fmt.Sprintf("read the strength of the %s on its bottle", lowerName(p.nameOf(cause)))
		case t.Cause == cause && t.Slow:
			t.PerG = lye.Exactly(t.PerG.Mode)
			advice = fmt.Sprintf("use less of the %s: how much lye it takes nobody knows", lowerName(p.nameOf(cause)))
		case t.Cause == cause && !t.Brings:
			advice = p.narrowedFat(cause, t)
		}
	}
	return advice, better
}

// isUnknown reports an acid without its strength.
func (p *Plan) isUnknown(id string) bool {
	return slices.ContainsFunc(p.charge.additions, func(a addition) bool { return a.ID == id && a.unknown })
}

func (p *Plan) narrowedFat(cause string, t *lye.Term) string {
	name := lowerName(p.nameOf(cause))
	if m, err := p.library.Find(cause); err == nil && m.Kind == material.Wax {
		t.PerG = lye.Exactly(t.PerG.Mode)
		return fmt.Sprintf("use less of the %s: how much of its esters reacts nobody knows", name)
	}
	t.PerG = around(t.PerG.Mode, certificateSpread)
	return fmt.Sprintf("get the certificate of the %s: its own saponification value", name)
}

func around(v, spread float64) lye.Law { return lye.NewLaw(v*(1-spread), v, v*(1+spread)) }

func (p *Plan) nameOf(id string) string {
	if m, err := p.library.Find(id); err == nil {
		return m.Name
	}
	return id
}

// shortNumber prints v with at most four decimals, and never with an exponent.
func shortNumber(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64) }
