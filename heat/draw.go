package heat

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// The columns of a draw. The first ones move the physics; of those the first
// three are what curves teach.
const (
	drawRate = iota
	drawLoss
	drawHeat
	drawActivation
	drawHeld
	drawAtPour
	drawGelFactor
	drawGel
	moves

	taught = drawActivation
)

// The other columns.
const (
	drawOwnGel = moves + iota
	drawPour
	drawPlace
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
	var moved [moves]float64
	for i := range moved {
		moved[i] = z(i)
	}
	p := c.learned(moved)
	p.ReactionJKg += c.sugarJ * (u[drawSugar] - SugarHeat.Typical/SugarHeat.High)
	p.Rate.GelC += c.ownGelSD * z(drawOwnGel)
	p.Start.TC += deviation(PourK) * z(drawPour)
	p.ConductivityWMK *= math.Exp(logDeviation(ThroughFac) * z(drawThrough))
	shift := deviation(PlaceK) * z(drawPlace)
	for i := range p.Stages {
		p.Stages[i].TC += shift
	}
	return p
}

// learned returns the likely physics moved by z standard deviations of what is
// believed.
func (c Case) learned(z [moves]float64) Physics { return c.Physics.moved(c.Belief.at(z)) }

// moved returns the physics moved: the energy of
// activation by kJ/mol, the gel line by kelvin, all else by its logarithm.
func (p Physics) moved(by [moves]float64) Physics {
	p.Rate.K1 *= math.Exp(by[drawRate])
	p.Rate.K2 *= math.Exp(by[drawRate])
	p.Rate.EaJMol = math.Max(1e4, p.Rate.EaJMol+1000*by[drawActivation])
	p.ReactionJKg *= math.Exp(by[drawHeat])
	p.HeatJKgK *= math.Exp(by[drawHeld])
	p.Start.X = math.Min(0.3, p.Start.X*math.Exp(by[drawAtPour]))
	p.Rate.GelFactor = math.Max(1, p.Rate.GelFactor*math.Exp(by[drawGelFactor]))
	p.Rate.GelC += by[drawGel]
	p.Stages = append([]Stage{}, p.Stages...)
	f := math.Exp(by[drawLoss])
	for i := range p.Stages {
		s := &p.Stages[i]
		s.USide, s.UTop, s.UBottom = s.USide*f, s.UTop*f, s.UBottom*f
	}
	return p
}

// sideBySide calls do(0) to do(n-1) on up to workers cores; 0 is all there
// are. Which core takes which does not change any result. ErrStopped when done
// was closed meanwhile.
func sideBySide(n, workers int, done <-chan struct{}, do func(i int)) error {
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
	stopped := false
	for i := 0; i < n && !stopped; i++ {
		select {
		case next <- i:
		case <-done:
			stopped = true
		}
	}
	close(next)
	wait.Wait()
	if stopped {
		return ErrStopped
	}
	return nil
}

// each does n things side by side, unless nobody waits any more, and returns
// the first of their errors.
func (o Options) each(n int, do func(i int) error) error {
	errs := make([]error, n)
	if err := sideBySide(n, o.Workers, o.Done, func(i int) { errs[i] = do(i) }); err != nil {
		return err
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
