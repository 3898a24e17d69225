package cure

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"barwright/source"
)

// Setting is what decides how soon a batch can be turned out and cut.
type Setting struct {
	Relief   bool    // the mould has a picture that must come out whole
	HighSalt bool    // half the fats' weight of salt or more
	WaxPct   float64 // of the fats
	HoneyPct float64 // of the fats
	SoftPct  float64 // fats that are liquid at room temperature, of the fats
}

// Hours after the pour from which a batch comes out clean, and until which it
// still cuts without crumbling. Common practice, no source.
var (
	outUsual  = practice(12, 24, 48, "h", "turned out clean: ordinary moulds")
	outRelief = practice(48, 90, 168, "h", "turned out clean: relief moulds")
	outSalt   = practice(2, 3.2, 5, "h", "turned out clean: high salt")
	cutUsual  = practice(48, 90, 168, "h", "still cuts without crumbling")
	cutSalt   = practice(4, 6, 9, "h", "still cuts without crumbling: high salt")

	waxTimes   = practice(0.6, 0.8, 1, "times, at 2 % of the fats", "wax shortens the wait")
	honeyTimes = practice(1, 1.25, 1.6, "times, at 2 % of the fats", "honey lengthens the wait")
	softTimes  = practice(1.2, 1.8, 2.7, "times, all fats soft", "soft oils lengthen the wait")
)

const usualSoftPct = 35.0 // of the batches the usual hours are of

func practice(low, typical, high float64, unit, locator string) source.Figure {
	return source.Figure{Low: low, Typical: typical, High: high, Unit: unit, Source: "makers_practice", Locator: locator, Grade: source.Practice}
}

// logBelief reads a figure's range as a normal distribution of the logarithm.
func logBelief(f source.Figure) Belief {
	return Belief{math.Log(f.Typical), math.Log(f.High/f.Low) / (2 * z90)}
}

// times moves a belief of a logarithm by a factor to a power.
func (b Belief) times(f source.Figure, power float64) Belief {
	l := logBelief(f)
	return Belief{b.Mean + power*l.Mean, math.Hypot(b.SD, power*l.SD)}
}

// TurnOut returns the logarithm of the hours after the pour from which the
// batch comes out clean, as practice has it. Shares outside 0 to 100 panic.
func (s Setting) TurnOut() Belief {
	for _, pct := range []float64{s.WaxPct, s.HoneyPct, s.SoftPct} {
		if !(pct >= 0 && pct <= 100) {
			panic("cure: a share of the fats is between 0 and 100 %")
		}
	}
	const atPct, most = 2.0, 3.0
	switch {
	case s.HighSalt:
		return logBelief(outSalt) // sets before anything else counts
	case s.Relief:
		return s.lengthen(logBelief(outRelief), atPct, most)
	}
	return s.lengthen(logBelief(outUsual), atPct, most)
}

func (s Setting) lengthen(b Belief, atPct, most float64) Belief {
	b = b.times(waxTimes, min(s.WaxPct/atPct, most))
	b = b.times(honeyTimes, min(s.HoneyPct/atPct, most))
	return b.times(softTimes, (s.SoftPct-usualSoftPct)/(100-usualSoftPct))
}

// TooLate returns the logarithm of the hours after the pour from which the
// batch crumbles under the wire, as practice has it.
func (s Setting) TooLate() Belief {
	if s.HighSalt {
		return logBelief(cutSalt)
	}
	return logBelief(cutUsual)
}

// Tried is one batch that was turned out or cut: after so many hours it was past
// the turning point (it came out clean; it crumbled) or it was not (it tore; it
// cut smoothly).
type Tried struct {
	Prior Belief // of that batch
	Hours float64
	Past  bool
}

// batchSD is how batches of one maker in like settings scatter about her own
// turning point, in the logarithm.
const batchSD = 0.2

// LearnTurning returns by how much the logarithm of this maker's hours is off
// practice, and how doubtful that is. Nothing tried leaves practice: 0, with
// all of its doubt. Source: docs/model/cure.md eq. 13.
func LearnTurning(tried []Tried, priorSD float64) Belief {
	const points, wide = 241, 4.0
	var m moments
	for i := range points {
		shift := priorSD * wide * (2*float64(i)/(points-1) - 1)
		weight := math.Exp(-0.5 * shift * shift / (priorSD * priorSD))
		for _, t := range tried {
			past := distuv.UnitNormal.CDF((math.Log(t.Hours) - t.Prior.Mean - shift) / batchSD)
			if !t.Past {
				past = 1 - past
			}
			weight *= 0.01 + 0.98*past // a stamp may be wrong
		}
		m.add(weight, shift, 0)
	}
	return m.belief()
}

// TurningHours returns the range of hours after the pour of a turning point:
// practice alone as long as nothing was tried, else the maker's own. Stamps that
// it was past say nothing of how much sooner it would have been: below practice
// the range goes only as far as somebody tried. Source: docs/model/cure.md eq. 13.
func TurningHours(prior Belief, tried []Tried) Range {
	practice := hoursOf(prior)
	if len(tried) == 0 {
		return practice
	}
	own := LearnTurning(tried, prior.SD)
	r := hoursOf(Belief{prior.Mean + own.Mean, min(math.Hypot(own.SD, batchSD), prior.SD)})
	floor := practice.Low
	for _, t := range tried {
		floor = min(floor, t.Hours)
	}
	if r.Low < floor {
		r.Low, r.High = floor, max(r.High, floor)
		r.Middle = max(r.Middle, math.Sqrt(r.Low*r.High))
	}
	return r
}

// hoursOf reads a belief of the logarithm of hours as their range.
func hoursOf(b Belief) Range {
	return Range{math.Exp(b.Mean - z90*b.SD), math.Exp(b.Mean), math.Exp(b.Mean + z90*b.SD)}
}
