package cure

import (
	"math"
	"slices"
)

// Weighing is one weight of one marked bar.
type Weighing struct {
	Bar   int     // marked bars count from 0
	Day   float64 // since the cut
	MassG float64
}

// Limits of a series.
const (
	MostBars      = 6
	MostWeighings = 400
	latestDay     = 3700.0
)

// CheckSeries returns what is wrong with a series.
func CheckSeries(series []Weighing) error {
	if len(series) > MostWeighings {
		return wrong("leave weighings out", "%d weighings, %d at most", len(series), MostWeighings)
	}
	for i, w := range series {
		switch {
		case w.Bar < 0 || w.Bar >= MostBars:
			return wrong("mark six bars at most", "weighing %d is of bar %d", i+1, w.Bar+1)
		case !(w.Day >= 0 && w.Day <= latestDay):
			return wrong("days since the cut, ten years at most", "weighing %d is of day %g", i+1, w.Day)
		case !(w.MassG > 0 && w.MassG < 1e5):
			return wrong("grams of one bar", "weighing %d is %g g", i+1, w.MassG)
		}
	}
	return nil
}

// A weighing's scatter is one of these, share of the mass, with the weights
// beside them; and a slip of the pen or key happens to one weighing in fifty,
// after which it may stand anywhere.
var scatters = [...]struct{ sd, lnPrior float64 }{
	{0.0007, math.Log(0.2)}, {0.0015, math.Log(0.4)}, {0.003, math.Log(0.3)}, {0.006, math.Log(0.1)},
}

const (
	slipChance = 0.02
	lawSD      = 0.02 // how far bars stray from any one law, share of what has gone
	slipSD     = 0.3
	namedFrom  = 0.95 // a weighing is named as mistyped from this chance on
	sureFrom   = 0.9  // and left out while others are judged from this one
	coarseTau  = 25
	coarseForm = 9
	fineTau    = 17
	fineForm   = 9
	reach      = 3.2 // standard deviations of the prior looked at
	mostLog    = 6.5 // no density of a weighing is above exp(6.5): the least scatter
	leastLog   = 9   // what is less likely by exp(-9) than the best is dropped
)

// state is the belief of the first weights and the loss under one law: a normal
// distribution in 1+bars dimensions, the loss first, all as shares of the
// bars' reference weights.
type state struct {
	mean [MostBars + 1]float64
	cov  [MostBars + 1][MostBars + 1]float64
}

// add takes in one weighing, u_bar − A·gone = y with a variance, and returns
// the logarithm of how likely it was.
func (s *state) add(dims, bar int, gone, y, variance float64) float64 {
	k := bar + 1
	var toward [MostBars + 1]float64
	for i := range dims {
		toward[i] = s.cov[i][k] - gone*s.cov[i][0]
	}
	total := toward[k] - gone*toward[0] + variance
	off := y - (s.mean[k] - gone*s.mean[0])
	for i := range dims {
		gain := toward[i] / total
		s.mean[i] += gain * off
		for j := range dims {
			s.cov[i][j] -= gain * toward[j]
		}
	}
	return -0.5 * (off*off/total + math.Log(2*math.Pi*total))
}

// piece is one part of the posterior: a law, a scatter and a weighing left out.
type piece struct {
	law
	state
	weight  float64 // logarithm until settled
	slipped int     // index of the weighing, −1 none
}

// relative is a weighing as a share of its bar's reference weight.
type relative struct {
	bar  int
	day  float64
	y    float64
	scat float64 // more scatter than usual: 1 is usual
}

// fitter holds what a fit looks at.
type fitter struct {
	prior   Prior
	dims    int
	look    []relative
	slipped []int // known by now
	lnTaus  []float64
	shapes  []float64
	pieces  []piece
	goneAt  []float64
}

// spread returns n points from low to high.
func spread(low, high float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = low + (high-low)*float64(i)/float64(n-1)
	}
	return out
}

// run fits coarsely over the whole prior, then finely where there is weight,
// and as long as a weighing turns out mistyped beyond doubt again without it.
func (f *fitter) run() {
	for {
		f.lnTaus = spread(f.prior.LnTau.Mean-reach*f.prior.LnTau.SD, f.prior.LnTau.Mean+reach*f.prior.LnTau.SD, coarseTau)
		f.shapes = spread(max(0.4, f.prior.Shape.Mean-reach*f.prior.Shape.SD), min(1.25, f.prior.Shape.Mean+reach*f.prior.Shape.SD), coarseForm)
		f.pass()
		f.narrow()
		f.pass()
		worst, chance := f.mostLikelySlip()
		if chance < sureFrom || len(f.slipped) >= len(f.look)/4 {
			return
		}
		f.slipped = append(f.slipped, worst)
	}
}

// narrow sets the finer points where the pieces have weight.
func (f *fitter) narrow() {
	lowT, highT, lowS, highS := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range f.pieces {
		if p.weight > 1e-6 {
			lowT, highT = min(lowT, p.lnTau), max(highT, p.lnTau)
			lowS, highS = min(lowS, p.shape), max(highS, p.shape)
		}
	}
	stepT, stepS := f.lnTaus[1]-f.lnTaus[0], f.shapes[1]-f.shapes[0]
	f.lnTaus = spread(lowT-0.7*stepT, highT+0.7*stepT, fineTau)
	f.shapes = spread(max(0.4, lowS-0.7*stepS), min(1.25, highS+0.7*stepS), fineForm)
}

// pass weighs every law on the grid.
func (f *fitter) pass() {
	f.pieces = f.pieces[:0]
	best := math.Inf(-1)
	for _, lnTau := range f.lnTaus {
		for _, shape := range f.shapes {
			l := law{lnTau, shape}
			z1, z2 := (lnTau-f.prior.LnTau.Mean)/f.prior.LnTau.SD, (shape-f.prior.Shape.Mean)/f.prior.Shape.SD
			best = f.weigh(l, -0.5*(z1*z1+z2*z2), best)
		}
	}
	f.settle(best)
}

// weigh adds the pieces of one law.
func (f *fitter) weigh(l law, lnPrior, best float64) float64 {
	f.goneAt = f.goneAt[:0]
	for _, r := range f.look {
		f.goneAt = append(f.goneAt, l.gone(r.day))
	}
	for _, s := range scatters {
		for out := -1; out < len(f.look); out++ {
			if out >= 0 && slices.Contains(f.slipped, out) {
				continue
			}
			p := piece{law: l, state: f.begin(), weight: lnPrior + s.lnPrior, slipped: out}
			if !f.fold(&p, s.sd, best-leastLog) {
				continue
			}
			best = max(best, p.weight)
			f.pieces = append(f.pieces, p)
		}
	}
	return best
}

func (f *fitter) begin() (s state) {
	s.mean[0], s.cov[0][0] = f.prior.Loss.Mean, f.prior.Loss.SD*f.prior.Loss.SD
	for i := 1; i < f.dims; i++ {
		s.mean[i], s.cov[i][i] = 1, 0.1*0.1
	}
	return s
}

// fold takes the weighings into a piece; false when it is not worth keeping.
func (f *fitter) fold(p *piece, scatter, least float64) bool {
	for i, r := range f.look {
		if i == p.slipped || slices.Contains(f.slipped, i) {
			continue
		}
		if p.weight < least-mostLog*float64(len(f.look)-i) {
			return false // what follows cannot raise it so far
		}
		wide, astray := scatter*r.scat, lawSD*f.prior.Loss.Mean*f.goneAt[i]
		p.weight += math.Log1p(-slipChance) + p.add(f.dims, r.bar, f.goneAt[i], r.y+crept(r.day), wide*wide+astray*astray)
	}
	for i, r := range f.look {
		if i == p.slipped || slices.Contains(f.slipped, i) {
			p.weight += math.Log(slipChance) + p.add(f.dims, r.bar, f.goneAt[i], r.y+crept(r.day), slipSD*slipSD)
		}
	}
	return p.weight >= least
}

// settle turns logarithms into weights that sum to 1, and drops what has none.
func (f *fitter) settle(best float64) {
	sum := 0.0
	f.pieces = slices.DeleteFunc(f.pieces, func(p piece) bool { return p.weight < best-leastLog })
	for i := range f.pieces {
		f.pieces[i].weight = math.Exp(f.pieces[i].weight - best)
		sum += f.pieces[i].weight
	}
	for i := range f.pieces {
		f.pieces[i].weight /= sum
	}
}

// slips returns the chance of every weighing to be mistyped.
func (f *fitter) slips() []float64 {
	chance := make([]float64, len(f.look))
	for _, p := range f.pieces {
		if p.slipped >= 0 {
			chance[p.slipped] += p.weight
		}
	}
	for _, i := range f.slipped {
		chance[i] = 1
	}
	return chance
}

func (f *fitter) mostLikelySlip() (index int, chance float64) {
	for i, c := range f.slips() {
		if !slices.Contains(f.slipped, i) && c > chance {
			index, chance = i, c
		}
	}
	return index, chance
}
