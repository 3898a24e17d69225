package cure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Rules say when a bar counts as dry; every one that is set must hold. Dry is
// not done: scores and tests decide that.
type Rules struct {
	WeeklyPct   float64 // loses at most so much of its weight in the week that follows [%], 0 off
	GonePct     float64 // has lost so much of what it will lose [%], 0 off
	LeastWeeks  float64 // since the cut, 0 off
	OfWaterOnly bool    // leave the slow creep of later months out of the weekly loss
}

// UsualRules are common practice without a source: under half a per cent a
// week, and four weeks at least.
var UsualRules = Rules{WeeklyPct: 0.5, LeastWeeks: 4}

// Check returns what is wrong with the rules.
func (r Rules) Check() error {
	switch {
	case !(r.WeeklyPct >= 0 && r.WeeklyPct <= 10) || r.WeeklyPct > 0 && r.WeeklyPct < 0.02:
		return wrong("0.02 to 10 % a week; bars creep on by less for good", "a loss of %g %% a week", r.WeeklyPct)
	case !(r.GonePct >= 0 && r.GonePct <= 99):
		return wrong("0 to 99 %", "%g %% of the final loss", r.GonePct)
	case !(r.LeastWeeks >= 0 && r.LeastWeeks <= 520):
		return wrong("0 to 520 weeks", "%g weeks at least", r.LeastWeeks)
	case r.WeeklyPct == 0 && r.GonePct == 0 && r.LeastWeeks == 0:
		return wrong("set one at least", "no rule says when a bar is dry")
	}
	return nil
}

// Ready is when a batch will be dry [days since the cut], and the rule that is
// met last.
type Ready struct {
	Day    Range
	Reason string
}

// Ready returns when the batch is dry by the rules. Rules that fail their Check
// panic. Source: docs/model/cure.md eq. 11.
func (d *Drying) Ready(r Rules) Ready {
	if err := r.Check(); err != nil {
		panic("cure: " + err.Error())
	}
	reasons := [...]string{
		fmt.Sprintf("it then loses less than %g %% of its weight a week", r.WeeklyPct),
		fmt.Sprintf("it has then lost %g %% of the water it will lose", r.GonePct),
		fmt.Sprintf("it has then stood %g weeks, as you ask", r.LeastWeeks),
	}
	var all []dated
	var one [len(reasons)][]dated
	for i := range d.pieces {
		p := &d.pieces[i]
		mean, sd := p.lossShare()
		for _, n := range nodes {
			last, weight := 0.0, p.weight*n.weight
			for k, day := range r.days(p.law, max(0, mean+n.z*sd)) {
				one[k] = append(one[k], dated{day, weight})
				last = max(last, day)
			}
			all = append(all, dated{last, weight})
		}
	}
	latest, reason := math.Inf(-1), ""
	for k, points := range one {
		if middle := rangeOf(points).Middle; middle > latest {
			latest, reason = middle, reasons[k]
		}
	}
	return Ready{rangeOf(all), reason}
}

// nodes stand for a normal distribution of the loss: Gauss and Hermite's three.
var nodes = [...]struct{ z, weight float64 }{{-math.Sqrt(3), 1.0 / 6}, {0, 2.0 / 3}, {math.Sqrt(3), 1.0 / 6}}

// dated is a day that a part of the posterior names, and its weight.
type dated struct{ day, weight float64 }

// rangeOf returns the range of weighted days.
func rangeOf(points []dated) Range {
	slices.SortFunc(points, func(a, b dated) int { return cmp.Compare(a.day, b.day) })
	quantile := func(q float64) float64 {
		sum := 0.0
		for _, p := range points {
			if sum += p.weight; sum >= q {
				return p.day
			}
		}
		return points[len(points)-1].day
	}
	return Range{quantile(0.05), quantile(0.5), quantile(0.95)}
}

// days are when one law with one loss meets each rule, 0 for one that is off.
func (r Rules) days(l law, loss float64) (out [3]float64) {
	if r.WeeklyPct > 0 {
		out[0] = r.settled(l, loss)
	}
	if r.GonePct > 0 {
		out[1] = l.dayOf(r.GonePct / 100)
	}
	out[2] = 7 * r.LeastWeeks
	return out
}

// settled is the first day from which the week's loss stays under the rule.
func (r Rules) settled(l law, loss float64) float64 {
	const week, never = 7.0, 3650.0
	still := func(day float64) bool {
		now, then := 1-loss*l.gone(day), 1-loss*l.gone(day+week)
		if !r.OfWaterOnly {
			now, then = now-crept(day), then-crept(day+week)
		}
		return now-then <= r.WeeklyPct/100*now
	}
	low, high := 0.0, 7.0
	if still(low) {
		return 0
	}
	for !still(high) {
		if low, high = high, 2*high; high > never {
			return never
		}
	}
	for high-low > 0.05 {
		if mid := (low + high) / 2; still(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
