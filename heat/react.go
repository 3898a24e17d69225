package heat

import "math"

// gasConstant is R [J/(mol K)] and zeroC is 0 °C [K].
const (
	gasConstant = 8.314462618
	zeroC       = 273.15
)

// Temperatures the table of speeds covers [°C] and its step [K]. Between its
// entries a speed is straight, within 5e-5 of itself.
const (
	tableLowC, tableHighC = -60.0, 180.0
	tableStepK            = 0.25
)

// Speed returns how many times faster the reaction runs at tC than at TRefC,
// the gel's factor included. Source: docs/model/heat.md eq. 3.
func (r Rate) Speed(tC float64) float64 {
	s := math.Exp(-r.EaJMol / gasConstant * (1/(tC+zeroC) - 1/(r.TRefC+zeroC)))
	gelled := 0.0
	switch {
	case r.GelRampK > 0:
		gelled = min(1, max(0, (tC-r.GelC)/r.GelRampK+0.5))
	case tC > r.GelC:
		gelled = 1
	}
	return s * (1 + (r.GelFactor-1)*gelled)
}

// PerSecond returns dX/dt [1/s] at conversion x [0..1] and tC.
// Source: docs/model/heat.md eq. 2.
func (r Rate) PerSecond(x, tC float64) float64 {
	if x >= 1 {
		return 0
	}
	return r.Speed(tC) * (r.K1 + r.K2*power(x, r.M)) * math.Pow(1-x, r.N)
}

func power(x, m float64) float64 {
	if m == 1 {
		return x
	}
	return math.Pow(x, m)
}

// reactor advances the reaction of single nodes.
type reactor struct {
	Rate
	riseK float64 // of the whole reaction without loss
	speed []float64
	order order
}

func newReactor(p Physics) reactor {
	r := reactor{Rate: p.Rate, riseK: p.ReactionJKg / p.HeatJKgK, order: orderOf(p.Rate.N)}
	r.speed = make([]float64, int((tableHighC-tableLowC)/tableStepK)+2)
	for i := range r.speed {
		r.speed[i] = p.Rate.Speed(tableLowC + tableStepK*float64(i))
	}
	return r
}

func (r *reactor) speedAt(tC float64) float64 {
	at := (min(max(tC, tableLowC), tableHighC) - tableLowC) * (1 / tableStepK)
	i := int(at)
	share := at - float64(i)
	return r.speed[i] + share*(r.speed[i+1]-r.speed[i])
}

// react advances one node by dtS: it returns the new conversion and, as the
// measure of the error, how far the first-order step would have been off.
// The autocatalytic speed is taken at the middle of the step, and with that
// speed what is left, 1-x, follows its own law exactly: it never passes 0, and
// for n below 1 reaches it in finite time. Source: docs/model/heat.md eq. 9.
func (r *reactor) react(x, tC, dtS float64) (after, missed float64) {
	left := 1 - x
	if left <= 0 {
		return 1, 0
	}
	slope := r.speedAt(tC) * (r.K1 + r.K2*power(x, r.M))
	half := r.order.left(left, slope*dtS/2)
	xHalf := 1 - half
	middle := r.speedAt(tC+r.riseK*(left-half)) * (r.K1 + r.K2*power(xHalf, r.M))
	end := r.order.left(left, middle*dtS)
	// What the slope at the start would have given, to first order.
	missed = math.Abs((middle - slope) * dtS * half)
	return 1 - end, min(missed, left)
}

// order is how what is left of the alkali enters the speed: dY/dt = -k Y^n.
type order struct {
	n    float64
	kind int
}

const (
	general      = iota
	first        // n = 1
	threeQuarter // n = 3/4, by square roots alone
)

func orderOf(n float64) order {
	switch n {
	case 1:
		return order{n, first}
	case 0.75:
		return order{n, threeQuarter}
	}
	return order{n, general}
}

// left returns what is left of y after k dt = kt, exactly.
func (o order) left(y, kt float64) float64 {
	switch o.kind {
	case first:
		return y * math.Exp(-kt)
	case threeQuarter:
		root := math.Sqrt(math.Sqrt(y)) - kt/4
		if root <= 0 {
			return 0
		}
		root *= root
		return root * root
	}
	p := 1 - o.n
	base := math.Pow(y, p) - p*kt
	if base <= 0 {
		return 0 // n below 1: it has ended
	}
	return min(y, math.Pow(base, 1/p))
}
