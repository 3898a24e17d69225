package heat

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Reading is one reading of a thermometer in the core.
type Reading struct {
	TimeS float64 // since the pour
	C     float64
}

// Fit is how well a curve was met.
type Fit struct {
	Moved  [taught]float64 // what Physics.moved would take for this very batch
	MissK  float64         // root mean square of what is left
	Before float64         // the same with what was believed before
	Used   int             // readings, after those close together were joined
}

// ErrCurve says that a curve teaches nothing.
var ErrCurve = errors.New("too little to learn from")

const (
	binS        = 1200.0 // readings within it are one: they do not err independently
	leastBins   = 6
	leastHours  = 2.0
	probeK      = 0.7 // what a probe, its place and the model miss by, one standard deviation
	believeK    = 4.0 // readings off by many times this are believed less and less
	mostFitting = 8
)

// The unknowns of one curve: what is taught, and what differs from batch to
// batch without being learned.
const (
	fitPour = taught + iota
	fitPlace
	fitAtPour
	fits
)

// Learn returns the maker after one more logged batch, and how it was met.
// The case is that of the batch as it was poured and rested; its Belief is not
// used. The curve is fitted by maximum a posteriori with log-normal priors,
// its doubt taken from the curvature there (Laplace). ErrCurve when there is
// too little of it. Source: docs/model/heat.md eq. 10 and 11.
func (m Maker) Learn(mould string, c Case, curve []Reading) (Maker, Fit, error) {
	bins := joined(curve)
	if len(bins) < leastBins || bins[len(bins)-1].TimeS-bins[0].TimeS < leastHours*3600 {
		return m, Fit{}, fmt.Errorf("%w: it takes readings over %g h at least, not %d", ErrCurve, leastHours, len(curve))
	}
	w, at := m.with(mould)
	h := w.picks(at)
	var mean mat.VecDense
	mean.MulVec(h, w.mean)
	var before mat.Dense // covariance of this batch's own, before it
	before.Product(h, w.cov, h.T())
	for i, sd := range scatter {
		before.Set(i, i, before.At(i, i)+sd*sd)
	}
	f := fitter{c: c, bins: bins}
	fit, after, err := f.fit(&mean, &before)
	if err != nil {
		return m, Fit{}, err
	}
	w.update(h, &before, &mean, fit.Moved, after)
	return w, fit, nil
}

// update moves the maker by what one batch showed: its numbers are the maker's
// own and a scatter.
func (m *Maker) update(h, before *mat.Dense, mean *mat.VecDense, moved [taught]float64, after *mat.Dense) {
	var inverse, gain, change mat.Dense
	if err := inverse.Inverse(before); err != nil {
		panic("heat: a belief without a spread")
	}
	gain.Product(m.cov, h.T(), &inverse)
	change.Sub(after, before)
	var cov mat.Dense
	cov.Product(&gain, &change, gain.T())
	step := mat.NewVecDense(taught, nil)
	for i := range taught {
		step.SetVec(i, moved[i]-mean.AtVec(i))
	}
	next, shift := mat.NewVecDense(m.mean.Len(), nil), mat.NewVecDense(m.mean.Len(), nil)
	shift.MulVec(&gain, step)
	next.AddVec(m.mean, shift)
	sum := mat.NewSymDense(m.mean.Len(), nil)
	for i := range m.mean.Len() {
		for j := i; j < m.mean.Len(); j++ {
			sum.SetSym(i, j, m.cov.At(i, j)+(cov.At(i, j)+cov.At(j, i))/2)
		}
	}
	m.mean, m.cov, m.batches = next, sum, m.batches+1
}

// joined returns the means of readings within every bin of time.
func joined(curve []Reading) (out []Reading) {
	last, n := -1, 0.0
	for _, r := range curve {
		if r.TimeS < 0 || math.IsNaN(r.TimeS+r.C) || math.IsInf(r.TimeS+r.C, 0) {
			continue
		}
		bin := int(r.TimeS / binS)
		if bin != last {
			out, last, n = append(out, Reading{}), bin, 0
		}
		n++
		o := &out[len(out)-1]
		o.TimeS += (r.TimeS - o.TimeS) / n
		o.C += (r.C - o.C) / n
	}
	return out
}

// fitter meets one curve.
type fitter struct {
	c    Case
	bins []Reading
}

// deviations of the unknowns that are not learned.
func nuisance() [fits]float64 {
	return [fits]float64{fitPour: deviation(PourK), fitPlace: deviation(PlaceK), fitAtPour: logDeviation(AtPour)}
}

// course returns the core at every bin for the unknowns.
func (f fitter) course(x [fits]float64) ([]float64, error) {
	p := f.c.Physics.moved([taught]float64(x[:taught]))
	p.Start.TC += x[fitPour]
	p.Start.X = math.Min(0.3, p.Start.X*math.Exp(x[fitAtPour]))
	for i := range p.Stages {
		p.Stages[i].TC += x[fitPlace]
	}
	last := f.bins[len(f.bins)-1].TimeS
	r, err := Solve(p, Settings{Grid: 3, UntilS: last + 1, MostStepS: 900, ToleranceK: 0.3})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(f.bins))
	i := 0
	for j, b := range f.bins {
		for i < len(r.TimeS)-2 && r.TimeS[i+1] < b.TimeS {
			i++
		}
		out[j] = straight(r.TimeS, r.CoreC, i, b.TimeS)
	}
	return out, nil
}

// fit finds the unknowns of greatest posterior by Gauss and Newton, with
// readings far off weighed less, and the covariance of what is taught.
func (f fitter) fit(mean *mat.VecDense, before *mat.Dense) (Fit, *mat.Dense, error) {
	var inverse mat.Dense
	if err := inverse.Inverse(before); err != nil {
		panic("heat: a belief without a spread")
	}
	prior := mat.NewDense(fits, fits, nil)
	var centre [fits]float64
	for i := range taught {
		centre[i] = mean.AtVec(i)
		for j := range taught {
			prior.Set(i, j, inverse.At(i, j))
		}
	}
	for i, sd := range nuisance() {
		if sd > 0 {
			prior.Set(i, i, 1/(sd*sd))
		}
	}
	x, core, err := f.begin(centre, before, prior)
	if err != nil {
		return Fit{}, nil, err
	}
	believed, err := f.course(centre)
	if err != nil {
		return Fit{}, nil, err
	}
	fit := Fit{Before: f.miss(believed), Used: len(f.bins)}
	curvature := mat.NewDense(fits, fits, nil)
	for range mostFitting {
		step, err := f.newton(x, centre, core, prior, curvature)
		if err != nil {
			return Fit{}, nil, err
		}
		next, nextCore, moved := f.descend(x, centre, core, step, prior)
		x, core = next, nextCore
		if moved < 0.02 {
			break
		}
	}
	fit.Moved, fit.MissK = [taught]float64(x[:taught]), f.miss(core)
	var cov mat.Dense
	if err := cov.Inverse(curvature); err != nil {
		return Fit{}, nil, fmt.Errorf("%w: the curve fits anything", ErrCurve)
	}
	return fit, mat.DenseCopyOf(cov.Slice(0, taught, 0, taught)), nil
}

// begin returns the best of a few starts round the centre: a curve that ran
// away has another course nearby that did not, and between them is a ridge.
func (f fitter) begin(centre [fits]float64, before, prior *mat.Dense) (best [fits]float64, bestCore []float64, err error) {
	least := math.Inf(1)
	for _, rate := range []float64{0, -1.5, -0.75, 0.75, 1.5} {
		for _, loss := range []float64{0, -1.2, 1.2} {
			x := centre
			x[drawRate] += rate * math.Sqrt(before.At(drawRate, drawRate))
			x[drawLoss] += loss * math.Sqrt(before.At(drawLoss, drawLoss))
			core, err := f.course(x)
			if err != nil {
				return best, nil, err
			}
			if c := f.cost(x, centre, core, prior); c < least {
				least, best, bestCore = c, x, core
			}
		}
	}
	return best, bestCore, nil
}

// newton returns the step toward the greatest posterior and sets curvature.
func (f fitter) newton(x, centre [fits]float64, core []float64, prior, curvature *mat.Dense) (step [fits]float64, err error) {
	sizes := [fits]float64{drawRate: 0.02, drawLoss: 0.02, drawHeat: 0.02, drawActivation: 1, drawHeld: 0.02, fitPour: 0.2, fitPlace: 0.2, fitAtPour: 0.1}
	slopes := mat.NewDense(len(f.bins), fits, nil)
	for k, size := range sizes {
		y := x
		y[k] += size
		other, err := f.course(y)
		if err != nil {
			return step, err
		}
		for i := range core {
			slopes.Set(i, k, (other[i]-core[i])/size)
		}
	}
	gradient := mat.NewVecDense(fits, nil)
	curvature.Copy(prior)
	for i, b := range f.bins {
		miss := b.C - core[i]
		weight := believed(miss) / (probeK * probeK)
		for k := range fits {
			s := slopes.At(i, k)
			gradient.SetVec(k, gradient.AtVec(k)+weight*miss*s)
			for l := range fits {
				curvature.Set(k, l, curvature.At(k, l)+weight*s*slopes.At(i, l))
			}
		}
	}
	for k := range fits {
		for l := range fits {
			gradient.SetVec(k, gradient.AtVec(k)-prior.At(k, l)*(x[l]-centre[l]))
		}
	}
	out := mat.NewVecDense(fits, nil)
	if err := out.SolveVec(curvature, gradient); err != nil {
		return step, fmt.Errorf("%w: the curve fits anything", ErrCurve)
	}
	copy(step[:], out.RawVector().Data)
	return step, nil
}

// descend follows the step as far as the posterior grows, and returns how far
// that was in standard deviations.
func (f fitter) descend(x, centre [fits]float64, core []float64, step [fits]float64, prior *mat.Dense) ([fits]float64, []float64, float64) {
	now := f.cost(x, centre, core, prior)
	for share := 1.0; share > 0.05; share /= 2 {
		y := x
		for k := range y {
			y[k] += share * step[k]
		}
		other, err := f.course(y)
		if err == nil && f.cost(y, centre, other, prior) < now {
			moved := 0.0
			for k := range y {
				moved = math.Max(moved, share*math.Abs(step[k])*math.Sqrt(prior.At(k, k)))
			}
			return y, other, moved
		}
	}
	return x, core, 0
}

// cost is minus the logarithm of the posterior.
func (f fitter) cost(x, centre [fits]float64, core []float64, prior *mat.Dense) (sum float64) {
	for i, b := range f.bins {
		u := (b.C - core[i]) / believeK
		sum += believeK * believeK / (probeK * probeK) * math.Log1p(u*u) / 2
	}
	for k := range fits {
		for l := range fits {
			sum += (x[k] - centre[k]) * prior.At(k, l) * (x[l] - centre[l]) / 2
		}
	}
	return sum
}

// believed is the weight of a reading that is off by missK.
func believed(missK float64) float64 {
	u := missK / believeK
	return 1 / (1 + u*u)
}

func (f fitter) miss(core []float64) float64 {
	sum := 0.0
	for i, b := range f.bins {
		sum += (b.C - core[i]) * (b.C - core[i])
	}
	return math.Sqrt(sum / float64(len(f.bins)))
}
