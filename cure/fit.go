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
	lawSD      = 0.005 // how far bars stray from any one law, share of what has gone
	slipSD     = 0.3
	namedFrom  = 0.95 // a weighing is named as mistyped from this chance on
	sureFrom   = 0.9  // and left out while others are judged from this one
	coarseTau  = 25
	coarseForm = 9
	fineTau    = 17
	fineForm   = 9
	reach      = 3.2 // standard deviations of the prior looked at
	leastShape = 0.4
	mostShape  = 1.25
	leastLog   = 9    // what is less likely by exp(-9) than the best is dropped
	leastDoubt = 1e-3 // of a logarithm that was not summed anew
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
	return lnNormal(off, total)
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
	grids   []grid
	pieces  []piece
	goneAt  []float64
}

// grid is the points of one form that are looked at.
type grid struct {
	form     *form // nil is Page's
	lnBelief float64
	lnTaus   []float64
	shapes   []float64
}

// spread returns n points from low to high.
func spread(low, high float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = low + (high-low)*float64(i)/float64(n-1)
	}
	return out
}

// begun are the grids over the whole prior.
func (f *fitter) begun(forms []*form) (out []grid) {
	about := func(b Belief, n int) []float64 { return spread(b.Mean-reach*b.SD, b.Mean+reach*b.SD, n) }
	lnTaus := about(f.prior.LnTau, coarseTau)
	page := grid{nil, math.Log(formBelief.page), lnTaus, spread(max(leastShape, f.prior.Shape.Mean-reach*f.prior.Shape.SD), min(mostShape, f.prior.Shape.Mean+reach*f.prior.Shape.SD), coarseForm)}
	out = append(out, page)
	for i, one := range forms {
		belief := formBelief.fick
		if i > 0 {
			belief = formBelief.twoTerm
		}
		out = append(out, grid{one, math.Log(belief), lnTaus, []float64{one.shape}})
	}
	return out
}

// run fits coarsely over the whole prior, then finely where there is weight,
// and as long as a weighing turns out mistyped beyond doubt again without it.
func (f *fitter) run(forms []*form) {
	for {
		f.grids = f.begun(forms)
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

// narrow sets the finer points where the pieces have weight, form by form.
func (f *fitter) narrow() {
	var finer []grid
	for _, g := range f.grids {
		lowT, highT, lowS, highS := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range f.pieces {
			if p.form == g.form && p.weight > 1e-6 {
				lowT, highT = min(lowT, p.lnTau), max(highT, p.lnTau)
				lowS, highS = min(lowS, p.shape), max(highS, p.shape)
			}
		}
		if lowT > highT {
			continue // nothing speaks for the form
		}
		step := g.lnTaus[1] - g.lnTaus[0]
		g.lnTaus = spread(lowT-0.7*step, highT+0.7*step, fineTau)
		if g.form == nil {
			step = g.shapes[1] - g.shapes[0]
			g.shapes = spread(max(leastShape, lowS-0.7*step), min(mostShape, highS+0.7*step), fineForm)
		}
		finer = append(finer, g)
	}
	f.grids = finer
}

// pass weighs every law on the grids.
func (f *fitter) pass() {
	f.pieces = f.pieces[:0]
	best := math.Inf(-1)
	for _, g := range f.grids {
		lnCell := g.lnBelief + math.Log(g.lnTaus[1]-g.lnTaus[0])
		if g.form == nil {
			lnCell += math.Log((g.shapes[1] - g.shapes[0]) / (f.prior.Shape.SD * math.Sqrt(2*math.Pi)))
		}
		for _, lnTau := range g.lnTaus {
			for _, shape := range g.shapes {
				z1, z2 := (lnTau-f.prior.LnTau.Mean)/f.prior.LnTau.SD, (shape-f.prior.Shape.Mean)/f.prior.Shape.SD
				best = f.weigh(law{lnTau, shape, g.form}, lnCell-0.5*(z1*z1+z2*z2), best)
			}
		}
	}
	f.settle(best)
}

// weigh adds the pieces of one law: with all weighings, and without each that
// would be much likelier as a slip.
func (f *fitter) weigh(l law, lnPrior, best float64) float64 {
	f.goneAt = f.goneAt[:0]
	for _, r := range f.look {
		f.goneAt = append(f.goneAt, l.gone(r.day))
	}
	keep := func(p piece) {
		if p.weight >= best-leastLog {
			best = max(best, p.weight)
			f.pieces = append(f.pieces, p)
		}
	}
	for _, s := range scatters {
		whole := f.fold(piece{law: l, state: f.begin(), weight: lnPrior + s.lnPrior, slipped: -1}, s.sd)
		keep(whole)
		for out := range f.look {
			if slices.Contains(f.slipped, out) || whole.weight+f.asSlip(&whole, out, s.sd) < best-leastLog-leastDoubt {
				continue
			}
			keep(f.fold(piece{law: l, state: f.begin(), weight: lnPrior + s.lnPrior, slipped: out}, s.sd))
		}
	}
	return best
}

// asSlip is by how much the logarithm of a piece's weight would rise if one of
// its weighings were a slip: from what the others say of it, which follows from
// what all say with it (the leave-one-out residual of linear regression).
func (f *fitter) asSlip(p *piece, i int, scatter float64) float64 {
	r, k := f.look[i], f.look[i].bar+1
	gone, variance := f.goneAt[i], f.variance(i, scatter)
	said := p.cov[k][k] - 2*gone*p.cov[k][0] + gone*gone*p.cov[0][0]
	rest := max(1-said/variance, 1e-9)
	off := (r.y + crept(r.day) - (p.mean[k] - gone*p.mean[0])) / rest
	others := said / rest
	return math.Log(slipChance) + lnNormal(off, others+slipSD*slipSD) - math.Log1p(-slipChance) - lnNormal(off, others+variance)
}

// lnNormal is the logarithm of a normal density.
func lnNormal(off, variance float64) float64 {
	return -0.5 * (off*off/variance + math.Log(2*math.Pi*variance))
}

// variance is how far a weighing strays from its law.
func (f *fitter) variance(i int, scatter float64) float64 {
	wide, astray := scatter*f.look[i].scat, lawSD*f.prior.Loss.Mean*f.goneAt[i]
	return wide*wide + astray*astray
}

func (f *fitter) begin() (s state) {
	s.mean[0], s.cov[0][0] = f.prior.Loss.Mean, f.prior.Loss.SD*f.prior.Loss.SD
	for i := 1; i < f.dims; i++ {
		s.mean[i], s.cov[i][i] = 1, 0.1*0.1
	}
	return s
}

// fold takes the weighings into a piece.
func (f *fitter) fold(p piece, scatter float64) piece {
	for i, r := range f.look {
		lnChance, variance := math.Log1p(-slipChance), f.variance(i, scatter)
		if i == p.slipped || slices.Contains(f.slipped, i) {
			lnChance, variance = math.Log(slipChance), slipSD*slipSD
		}
		p.weight += lnChance + p.add(f.dims, r.bar, f.goneAt[i], r.y+crept(r.day), variance)
	}
	return p
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
