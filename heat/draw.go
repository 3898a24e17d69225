package heat

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// The columns of a draw; the first three are those that curves teach.
const (
	drawRate = iota
	drawLoss
	drawHeat
	drawActivation
	drawGel
	drawGelFactor
	drawAtPour
	drawPour
	drawPlace
	drawHeld
	drawThrough
	drawSugar
	draws
)

// hypercube returns n points of the unit cube, a Latin hypercube: every
// column has one point in each n-th part. Source: McKay, Beckman and Conover,
// Technometrics 21 (1979) 239.
func hypercube(n int, seed uint64) [][draws]float64 {
	points := make([][draws]float64, n)
	for d := range draws {
		random := rand.New(rand.NewPCG(seed, uint64(d)))
		for i, part := range random.Perm(n) {
			points[i][d] = (float64(part) + random.Float64()) / float64(n)
		}
	}
	return points
}

// drawn returns the physics at one point of the unit cube.
func (c Case) drawn(u [draws]float64) Physics {
	z := func(d int) float64 { return distuv.UnitNormal.Quantile(min(max(u[d], 1e-6), 1-1e-6)) }
	p := c.learned([3]float64{z(drawRate), z(drawLoss), z(drawHeat)})
	p.ReactionJKg += c.sugarJ * (u[drawSugar] - SugarHeat.Typical/SugarHeat.High)
	p.Rate.EaJMol += 1000 * deviation(Activation) * z(drawActivation)
	p.Rate.GelC += c.gelSD * z(drawGel)
	p.Rate.GelFactor = math.Max(1, p.Rate.GelFactor*math.Exp(logDeviation(GelFactor)*z(drawGelFactor)))
	p.Start.X = math.Min(0.3, p.Start.X*math.Exp(logDeviation(AtPour)*z(drawAtPour)))
	p.Start.TC += deviation(PourK) * z(drawPour)
	p.HeatJKgK *= math.Exp(logDeviation(HeldFactor) * z(drawHeld))
	p.ConductivityWMK *= math.Exp(logDeviation(ThroughFac) * z(drawThrough))
	shift := deviation(PlaceK) * z(drawPlace)
	for i := range p.Stages {
		p.Stages[i].TC += shift
	}
	return p
}

// learned returns the likely physics with rate, loss and heat moved by z
// standard deviations of what is believed of them.
func (c Case) learned(z [3]float64) Physics {
	return c.Physics.moved(c.Belief.at(z))
}

// moved returns the physics with the logarithms of rate, loss and heat moved.
func (p Physics) moved(by [3]float64) Physics {
	p.Rate.K1 *= math.Exp(by[0])
	p.Rate.K2 *= math.Exp(by[0])
	p.ReactionJKg *= math.Exp(by[2])
	p.Stages = append([]Stage{}, p.Stages...)
	f := math.Exp(by[1])
	for i := range p.Stages {
		s := &p.Stages[i]
		s.USide, s.UTop, s.UBottom = s.USide*f, s.UTop*f, s.UBottom*f
	}
	return p
}

// Belief is what is believed of this maker's logarithms of rate, loss and heat
// beside the model's own: a normal law. The zero value is the belief about any
// maker. Source: docs/model/heat.md eq. 10.
type Belief struct {
	Batches int           `json:"batches"`
	Mean    [3]float64    `json:"mean"`
	Cov     [3][3]float64 `json:"cov"` // of the next batch: the maker's own and the scatter between batches
}

// Prior returns the belief about any maker.
func Prior() Belief {
	var b Belief
	for i, sd := range [3]float64{logDeviation(RateFactor), logDeviation(LossFactor), ReactionHeatLogSD()} {
		b.Cov[i][i] = sd * sd
	}
	return b
}

// ReactionHeatLogSD is the standard deviation of the logarithm of the heat of
// reaction.
func ReactionHeatLogSD() float64 { return logDeviation(ReactionHeat) }

// known returns the belief, the prior for the zero value.
func (b Belief) known() Belief {
	if b.Batches == 0 {
		return Prior()
	}
	return b
}

// at returns the point z standard deviations from the mean, along the columns
// of the lower Cholesky factor.
func (b Belief) at(z [3]float64) [3]float64 {
	b = b.known()
	var chol mat.Cholesky
	if !chol.Factorize(b.sym()) {
		panic("heat: a belief without a covariance")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	out := b.Mean
	for i := range 3 {
		for j := 0; j <= i; j++ {
			out[i] += lower.At(i, j) * z[j]
		}
	}
	return out
}

func (b Belief) sym() *mat.SymDense {
	s := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := i; j < 3; j++ {
			s.SetSym(i, j, b.Cov[i][j])
		}
	}
	return s
}

// sideBySide calls do(0) to do(n-1) on up to workers cores; 0 is all there
// are. Which core takes which does not change any result.
func sideBySide(n, workers int, do func(i int)) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	var wait sync.WaitGroup
	next := make(chan int)
	for range min(workers, n) {
		wait.Go(func() {
			for i := range next {
				do(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
}

func (b Belief) words() Learned {
	switch b.Batches {
	case 0:
		return Learned{0, "no batch of yours yet: the rates of any maker"}
	case 1:
		return Learned{1, "your last batch"}
	}
	return Learned{b.Batches, fmt.Sprintf("your last %d batches", b.Batches)}
}
