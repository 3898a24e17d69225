package heat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns of one logged batch: what moves the physics, of which the first
// are taught, how warm it was really poured, and how warm its place was.
const (
	fitPour = moves + iota
	fitPlace
	fits
)

// stepOf is how far each unknown is moved to see what it does.
var stepOf = [fits]float64{drawRate: 0.02, drawLoss: 0.02, drawHeat: 0.02, drawActivation: 1, drawHeld: 0.02, drawAtPour: 0.1, drawGelFactor: 0.1, drawGel: 0.5, fitPour: 0.2, fitPlace: 0.2}

// nuisance are the standard deviations of the unknowns that are not taught.
func nuisance() (sd [fits]float64) {
	deviations := priorDeviations()
	copy(sd[taught:], deviations[taught:])
	sd[fitPour], sd[fitPlace] = deviation(PourK), deviation(PlaceK)
	return sd
}

// batch is a logged batch while it is learned from.
type batch struct {
	c      Case
	bins   []Reading
	picks  *mat.Dense // from the maker's numbers to this batch's
	x      [fits]float64
	core   []float64 // at every bin, for x
	before float64   // miss of any maker's batch [K]
	odd    float64   // how many times as far as usual it is taken to scatter

	// The curve made straight about x: its cost is xᵀAx/2 - cᵀx.
	a  *mat.Dense
	c0 *mat.VecDense
}

func newBatch(l Log, picks *mat.Dense) (*batch, error) {
	b := &batch{c: l.Case, bins: joined(l.Curve), picks: picks, odd: 1}
	core, err := b.course(b.x)
	if err != nil {
		return nil, err
	}
	b.core, b.before = core, b.miss(core)
	return b, nil
}

// begin puts all batches of a maker where together they are met best, of some
// starts: a curve that ran away has another course nearby that did not, and
// between them is a ridge.
func begin(batches []*batch, o Options) error {
	sd, least := priorDeviations(), math.Inf(1)
	for _, rate := range []float64{0, -1.5, -0.75, 0.75, 1.5} {
		for _, loss := range []float64{0, -1.2, 1.2} {
			x := [fits]float64{drawRate: rate * sd[drawRate], drawLoss: loss * sd[drawLoss]}
			cost := (rate*rate + loss*loss) / 2
			cores := make([][]float64, len(batches))
			if err := o.each(len(batches), func(i int) (err error) {
				cores[i], err = batches[i].course(x)
				return err
			}); err != nil {
				return err
			}
			for i, b := range batches {
				cost += b.missed(cores[i])
			}
			if cost >= least {
				continue
			}
			least = cost
			for i, b := range batches {
				b.x, b.core = x, cores[i]
			}
		}
	}
	return nil
}

// course returns the core at every bin.
func (b *batch) course(x [fits]float64) ([]float64, error) {
	p := b.c.Physics.moved([moves]float64(x[:moves]))
	p.Start.TC += x[fitPour]
	for i := range p.Stages {
		p.Stages[i].TC += x[fitPlace]
	}
	r, err := Solve(p, Settings{Grid: 3, UntilS: b.bins[len(b.bins)-1].TimeS + 1, MostStepS: 900, ToleranceK: 0.1})
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(b.bins))
	i := 0
	for j, bin := range b.bins {
		for i < len(r.TimeS)-2 && r.TimeS[i+1] < bin.TimeS {
			i++
		}
		out[j] = straight(r.TimeS, r.CoreC, i, bin.TimeS)
	}
	return out, nil
}

// straighten makes the curve straight about x, and adds what is known of the
// unknowns that are not taught.
func (b *batch) straighten() error {
	slopes := mat.NewDense(len(b.bins), fits, nil)
	for k, size := range stepOf {
		y := b.x
		y[k] += size
		other, err := b.course(y)
		if err != nil {
			return err
		}
		for i := range b.core {
			slopes.Set(i, k, (other[i]-b.core[i])/size)
		}
	}
	b.a, b.c0 = mat.NewDense(fits, fits, nil), mat.NewVecDense(fits, nil)
	for i, bin := range b.bins {
		miss := bin.C - b.core[i]
		weight := believed(miss) / (probeK * probeK)
		ahead := miss // the reading less the straight line's value at x = 0
		for k := range fits {
			ahead += slopes.At(i, k) * b.x[k]
		}
		for k := range fits {
			b.c0.SetVec(k, b.c0.AtVec(k)+weight*slopes.At(i, k)*ahead)
			for l := range fits {
				b.a.Set(k, l, b.a.At(k, l)+weight*slopes.At(i, k)*slopes.At(i, l))
			}
		}
	}
	for k, sd := range nuisance() {
		if sd > 0 {
			b.a.Set(k, k, b.a.At(k, k)+1/(sd*sd))
		}
	}
	return nil
}

// reduced returns A and c of what is taught alone, the other unknowns taken at
// their best for it, and what takes it to them.
func (b *batch) reduced() (a *mat.Dense, c *mat.VecDense, others func(theta mat.Vector) *mat.VecDense) {
	tt, tn := b.a.Slice(0, taught, 0, taught), b.a.Slice(0, taught, taught, fits)
	var inverse, cross mat.Dense
	if err := inverse.Inverse(b.a.Slice(taught, fits, taught, fits)); err != nil {
		panic("heat: unknowns without a spread")
	}
	cross.Mul(tn, &inverse)
	a, c = mat.NewDense(taught, taught, nil), mat.NewVecDense(taught, nil)
	a.Mul(&cross, tn.T())
	a.Sub(tt, a)
	cn := b.c0.SliceVec(taught, fits)
	c.MulVec(&cross, cn)
	c.SubVec(b.c0.SliceVec(0, taught), c)
	return a, c, func(theta mat.Vector) *mat.VecDense {
		var pull, out mat.VecDense
		pull.MulVec(tn.T(), theta)
		pull.SubVec(cn, &pull)
		out.MulVec(&inverse, &pull)
		return &out
	}
}

// teaches returns what the batch says of its maker's numbers: a share of
// information and a push, its own scatter taken off.
func (b *batch) teaches(loose float64) (share *mat.Dense, toward *mat.VecDense) {
	a, c, _ := b.reduced()
	var spread, inverse mat.Dense
	spread.Mul(a, scatterMatrix(loose))
	for i := range taught {
		spread.Set(i, i, 1+spread.At(i, i))
	}
	if err := inverse.Inverse(&spread); err != nil {
		panic("heat: a scatter that cannot be taken off")
	}
	share, toward = mat.NewDense(taught, taught, nil), mat.NewVecDense(taught, nil)
	share.Mul(&inverse, a)
	toward.MulVec(&inverse, c)
	return share, toward
}

func scatterMatrix(loose float64) *mat.Dense {
	s := mat.NewDense(taught, taught, nil)
	for i, sd := range scatter {
		s.Set(i, i, loose*loose*sd*sd)
	}
	return s
}

// likeness is the number of degrees of freedom of the law that batches scatter
// by, a Student law: the smaller, the less a batch counts that is unlike the
// others. Our own judgement.
const likeness = 4.0

// compare sees how far the batch lies from what its maker's numbers say. One
// that is far off is taken to scatter as widely as it does, and so teaches less
// (Lange, Little and Taylor 1989, weight (ν + p)/(ν + d²); from memory).
func (b *batch) compare(maker *mat.VecDense) {
	var centre mat.VecDense
	centre.MulVec(b.picks, maker)
	d2 := 0.0
	for k, sd := range scatter {
		u := (b.x[k] - centre.AtVec(k)) / sd
		d2 += u * u
	}
	b.odd = math.Max(1, math.Sqrt((likeness+d2)/(likeness+taught)))
}

// follow moves the batch to where it is best given the maker, as far as that
// really is better, and returns the move in standard deviations.
func (b *batch) follow(maker *mat.VecDense, loose float64) (moved float64, err error) {
	var centre mat.VecDense
	centre.MulVec(b.picks, maker)
	a, c, others := b.reduced()
	for i, sd := range scatter {
		sd *= loose
		a.Set(i, i, a.At(i, i)+1/(sd*sd))
		c.SetVec(i, c.AtVec(i)+centre.AtVec(i)/(sd*sd))
	}
	var theta mat.VecDense
	if err := theta.SolveVec(a, c); err != nil {
		return 0, fmt.Errorf("%w: the curve fits anything", ErrCurve)
	}
	rest := others(&theta)
	var aim [fits]float64
	for k := range aim {
		if k < taught {
			aim[k] = theta.AtVec(k)
		} else {
			aim[k] = rest.AtVec(k - taught)
		}
	}
	return b.walk(b.capped(aim), &centre, loose)
}

// capped shortens the way to aim to one standard deviation of any maker's in
// every number: beyond, the straight line says little.
func (b *batch) capped(aim [fits]float64) [fits]float64 {
	sd, share := priorDeviations(), 1.0
	for k := range taught {
		if far := math.Abs(aim[k]-b.x[k]) / sd[k]; far*share > 1 {
			share = 1 / far
		}
	}
	for k := range aim {
		aim[k] = b.x[k] + share*(aim[k]-b.x[k])
	}
	return aim
}

// walk goes toward aim, halving the way until the cost falls.
func (b *batch) walk(aim [fits]float64, centre *mat.VecDense, loose float64) (moved float64, err error) {
	now, sd := b.cost(b.x, b.core, centre, loose), priorDeviations()
	for share := 1.0; share > 0.05; share /= 2 {
		y := b.x
		for k := range y {
			y[k] += share * (aim[k] - b.x[k])
		}
		core, err := b.course(y)
		if err != nil || b.cost(y, core, centre, loose) >= now {
			continue
		}
		for k := range taught {
			moved = math.Max(moved, math.Abs(y[k]-b.x[k])/sd[k])
		}
		b.x, b.core = y, core
		return moved, nil
	}
	return 0, nil
}

// cost is minus the logarithm of the batch's posterior given its maker.
func (b *batch) cost(x [fits]float64, core []float64, centre *mat.VecDense, loose float64) float64 {
	sum, sd := b.missed(core), nuisance()
	for k, v := range x {
		if k < taught {
			u := (v - centre.AtVec(k)) / (loose * scatter[k])
			sum += u * u / 2
		} else {
			sum += v * v / (sd[k] * sd[k]) / 2
		}
	}
	return sum
}

// missed is the cost of the readings, which grows ever slower for one far off.
func (b *batch) missed(core []float64) (sum float64) {
	for i, bin := range b.bins {
		u := (bin.C - core[i]) / believeK
		sum += believeK * believeK / (probeK * probeK) * math.Log1p(u*u) / 2
	}
	return sum
}

// believed is the weight of a reading that is off by missK.
func believed(missK float64) float64 {
	u := missK / believeK
	return 1 / (1 + u*u)
}

func (b *batch) miss(core []float64) float64 {
	sum := 0.0
	for i, bin := range b.bins {
		sum += (bin.C - core[i]) * (bin.C - core[i])
	}
	return math.Sqrt(sum / float64(len(b.bins)))
}
