package cure

import (
	"math"
)

// Like says which bars dry alike, by any name: a recipe, a mould.
type Like string

// Finished is what one finished series found, beside what its bar alone made
// believe: how many times the loss, how much longer, and the law's shape.
type Finished struct {
	Of                   Like
	LossTimes, Ln, Shape Belief
}

// leastFinished is the share of the loss that must have left before a series
// is finished: what has not left yet teaches nothing of it.
const leastFinished = 0.8

// Finished returns what the series found; false as long as it is not finished:
// four weighings at least, the last after most of the loss.
func (d *Drying) Finished(of Like) (Finished, bool) {
	last, plain := 0.0, d.Bar.Prior()
	for _, w := range d.Series {
		last = max(last, w.Day)
	}
	if len(d.Series) < 4 || plain.Loss.Mean <= 0 {
		return Finished{}, false
	}
	var gone, weight float64
	var loss, ln, shape moments
	for i := range d.pieces {
		p := &d.pieces[i]
		m, s := p.lossShare()
		gone += p.weight * p.gone(last)
		weight += p.weight
		loss.add(p.weight, m/plain.Loss.Mean, s/plain.Loss.Mean)
		ln.add(p.weight, p.lnTau-plain.LnTau.Mean, 0)
		shape.add(p.weight, p.law.shape, 0)
	}
	return Finished{of, loss.belief(), ln.belief(), shape.belief()}, gone/weight >= leastFinished
}

// moments gathers mean and variance.
type moments struct{ weight, sum, squares float64 }

func (m *moments) add(weight, mean, sd float64) {
	m.weight += weight
	m.sum += weight * mean
	m.squares += weight * (mean*mean + sd*sd)
}

func (m *moments) belief() Belief {
	mean := m.sum / m.weight
	return Belief{mean, math.Sqrt(max(0, m.squares/m.weight-mean*mean))}
}

// Habit is what finished series of like bars taught: what the next one is
// expected to find. The zero Habit has learned nothing.
type Habit struct {
	Series               int
	LossTimes, Ln, Shape Belief
}

// Learn returns what the finished series of like bars teach together.
// Source: docs/model/cure.md eq. 12.
func Learn(of []Finished) Habit {
	if len(of) == 0 {
		return Habit{}
	}
	h := Habit{Series: len(of)}
	pick := func(get func(Finished) Belief, prior Belief, alike float64) Belief {
		all := make([]Belief, len(of))
		for i, f := range of {
			all[i] = get(f)
		}
		return learned(all, prior, alike)
	}
	// Batches of one recipe in one mould are expected to differ by a fifth to a
	// third of what bars of any maker differ by.
	h.LossTimes = pick(func(f Finished) Belief { return f.LossTimes }, Belief{1, 0.15}, 0.05)
	h.Ln = pick(func(f Finished) Belief { return f.Ln }, Belief{0, math.Log(tau.High/tau.Low) / (2 * z90)}, 0.12)
	h.Shape = pick(func(f Finished) Belief { return f.Shape }, Belief{shape.Typical, sd(shape)}, 0.04)
	return h
}

// learned joins what several batches found to what the next one is expected to
// find: their mean, drawn to the prior's, and how they differ, beginning from
// how alike such batches are expected to be.
func learned(found []Belief, prior Belief, alike float64) Belief {
	const alikeCounts = 3.0 // batches' worth
	between := alike * alike
	var mean, variance float64
	for range 10 {
		precision, sum := 1/(prior.SD*prior.SD), prior.Mean/(prior.SD*prior.SD)
		for _, f := range found {
			w := 1 / (f.SD*f.SD + between)
			precision, sum = precision+w, sum+w*f.Mean
		}
		mean, variance = sum/precision, 1/precision
		scatter := alikeCounts * alike * alike
		for _, f := range found {
			scatter += max(0, (f.Mean-mean)*(f.Mean-mean)-f.SD*f.SD)
		}
		between = scatter / (alikeCounts + float64(len(found)))
	}
	return Belief{mean, math.Sqrt(variance + between)}
}

// With returns the prior as a habit sharpens it, for a bar that is like those it
// was learned from.
func (p Prior) With(h Habit) Prior {
	if h.Series == 0 {
		return p
	}
	return Prior{
		Loss:  Belief{p.Loss.Mean * h.LossTimes.Mean, p.Loss.Mean * h.LossTimes.SD},
		LnTau: Belief{p.LnTau.Mean + h.Ln.Mean, h.Ln.SD},
		Shape: h.Shape,
	}
}
