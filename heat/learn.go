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

// Log is one logged batch: the mould by any name of its own, the case as it
// was poured and rested, whose Belief is not used, and what the core did.
type Log struct {
	Mould string
	Case  Case
	Curve []Reading
}

// Fit is how well a logged curve was met.
type Fit struct {
	Moved  [taught]float64 // the logarithms of rate, loss and heat of this very batch
	MissK  float64         // root mean square of what is left
	Before float64         // the same as any maker's batch
	Used   int             // readings, after those close together were joined
	Odd    float64         // how many times as far as usual it lies from the others, 1 and more
}

// Unlike reports a batch so far from the others that it teaches little.
func (f Fit) Unlike() bool { return f.Odd > 2 }

// ErrCurve says that a curve teaches nothing.
var ErrCurve = errors.New("too little to learn from")

const (
	binS       = 1200.0 // readings within it are one: they do not err independently
	leastBins  = 6
	leastHours = 2.0
	probeK     = 0.7 // what a probe, its place and the model miss by, one standard deviation
	believeK   = 4.0 // readings off by many times this are believed less and less
	mostRounds = 8
	loosest    = 4.0
)

// Check returns what makes the log useless, an error of ErrCurve.
func (l Log) Check() error {
	bins := joined(l.Curve)
	if len(bins) < leastBins || bins[len(bins)-1].TimeS-bins[0].TimeS < leastHours*3600 {
		return fmt.Errorf("%w: it takes %d readings at least, %g min apart and over %g h; these are %d", ErrCurve, leastBins, binS/60, leastHours, len(bins))
	}
	return nil
}

// Learn returns what the logged batches of one maker teach, in any order, and
// how each was met. All curves are fitted at once by maximum a posteriori with
// log-normal priors, the doubt taken from the curvature there (Laplace):
// the maker's own numbers, how every mould's loss differs, how every batch
// scatters about them, and for each batch what else is doubtful about it. ErrCurve
// when a log is useless, ErrStopped when o says so; of o no more is used than that
// and the cores. Source: docs/model/heat.md eq. 10 and 11.
func Learn(logs []Log, o Options) (Maker, []Fit, error) {
	m := newMaker(logs)
	for _, l := range logs {
		if err := l.Check(); err != nil {
			return Maker{}, nil, err
		}
	}
	batches := make([]*batch, len(logs))
	if err := o.each(len(logs), func(i int) (err error) {
		batches[i], err = newBatch(logs[i], m.picks(logs[i].Mould))
		return err
	}); err != nil {
		return Maker{}, nil, err
	}
	if err := begin(batches, o); err != nil {
		return Maker{}, nil, err
	}
	prior := m
	for i := range mostRounds {
		// Batches are first let free of each other, then drawn together: bound
		// from the start they would all follow the first bad guess.
		loose := math.Max(1, loosest/math.Pow(2, float64(i)))
		moved, err := m.round(prior, batches, loose, o)
		if err != nil {
			return Maker{}, nil, err
		}
		if moved < 0.02 && loose == 1 {
			break
		}
	}
	fits := make([]Fit, len(batches))
	for i, b := range batches {
		fits[i] = Fit{[taught]float64(b.x[:taught]), b.miss(b.core), b.before, len(b.bins), b.odd}
	}
	m.batches = len(logs)
	return m, fits, nil
}

// round makes every batch straight where it stands, solves for the maker, and
// moves the batches, which scatter loose times as much as they do; it returns
// the largest move in standard deviations.
func (m *Maker) round(prior Maker, batches []*batch, loose float64, o Options) (moved float64, err error) {
	n := prior.mean.Len()
	information, linear := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	if err := information.Inverse(prior.cov); err != nil {
		panic("heat: a prior without a spread")
	}
	if err := o.each(len(batches), func(i int) error { return batches[i].straighten() }); err != nil {
		return 0, err
	}
	for _, b := range batches {
		share, toward := b.teaches(loose * b.odd)
		var whole mat.Dense
		whole.Product(b.picks.T(), share, b.picks)
		information.Add(information, &whole)
		var push mat.VecDense
		push.MulVec(b.picks.T(), toward)
		linear.AddVec(linear, &push)
	}
	var cov mat.Dense
	if err := cov.Inverse(information); err != nil {
		return 0, fmt.Errorf("%w: these curves fit anything", ErrCurve)
	}
	m.mean, m.cov = mat.NewVecDense(n, nil), symmetric(&cov)
	m.mean.MulVec(&cov, linear)
	steps := make([]float64, len(batches))
	if err := o.each(len(batches), func(i int) (err error) {
		steps[i], err = batches[i].follow(m.mean, loose*batches[i].odd)
		return err
	}); err != nil {
		return 0, err
	}
	for i, b := range batches {
		moved = math.Max(moved, steps[i])
		if loose == 1 {
			b.compare(m.mean)
		}
	}
	return moved, nil
}

func symmetric(d *mat.Dense) *mat.SymDense {
	n, _ := d.Dims()
	s := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s.SetSym(i, j, (d.At(i, j)+d.At(j, i))/2)
		}
	}
	return s
}

// joined returns the means of readings within every bin of time.
func joined(curve []Reading) (out []Reading) {
	last, n := -1, 0.0
	for _, r := range curve {
		if !(r.TimeS >= 0 && r.TimeS < 1e8) || math.IsNaN(r.C) || math.IsInf(r.C, 0) {
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
