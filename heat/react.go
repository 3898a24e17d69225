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
	speed []entry
	order order
}

func newReactor(p Physics) reactor {
	r := reactor{Rate: p.Rate, riseK: p.ReactionJKg / p.HeatJKgK, order: orderOf(p.Rate.N)}
	r.speed = make([]entry, int((tableHighC-tableLowC)/tableStepK)+1)
	next := p.Rate.Speed(tableLowC)
	for i := range r.speed {
		at := next
		next = p.Rate.Speed(tableLowC + tableStepK*float64(i+1))
		r.speed[i] = entry{at, next - at}
	}
	r.speed[0].rise, r.speed[len(r.speed)-1].rise = 0, 0 // the same for all that is beyond
	return r
}

func (r *reactor) speedAt(tC float64) float64 {
	at := (tC - tableLowC) * (1 / tableStepK)
	i := min(max(int(at), 0), len(r.speed)-1)
	e := &r.speed[i]
	return e.at + (at-float64(i))*e.rise
}

// entry is a speed of the table and how much it rises to the next.
type entry struct{ at, rise float64 }

// react advances one node by dtS from conversion x, of which root is the root
// of what is left: it returns the new root and conversion and, as the measure
// of the error, how far the first-order step would have been off.
// The autocatalytic speed is taken at the middle of the step, and with that
// speed what is left, 1-x, follows its own law exactly: it never passes 0, and
// for n below 1 reaches it in finite time. Source: docs/model/heat.md eq. 9.
func (r *reactor) react(root, x, tC, dtS float64) (rootAfter, after, missed float64) {
	rootAfter, after, missed = r.once(root, x, tC, dtS)
	if tC >= r.GelC+r.GelRampK/2 || tC+r.riseK*(after-x) <= r.GelC-r.GelRampK/2 {
		return rootAfter, after, missed
	}
	start := x
	rootAfter, after = root, x
	for range crossing {
		rootAfter, after, _ = r.once(rootAfter, after, tC+r.riseK*(after-start), dtS/crossing)
	}
	return rootAfter, after, missed
}

// crossing is in how many pieces a node steps over the gel line, where its
// speed jumps.
const crossing = 4

func (r *reactor) once(root, x, tC, dtS float64) (rootAfter, after, missed float64) {
	fall := r.order.power * dtS
	slope := r.speedAt(tC) * (r.K1 + r.K2*power(x, r.M))
	half := r.order.left(root - fall*slope/2)
	middle := r.speedAt(tC+r.riseK*(1-x-half)) * (r.K1 + r.K2*power(1-half, r.M))
	rootAfter = root - fall*middle
	// What the slope at the start would have given, to first order.
	missed = math.Abs((middle - slope) * dtS * half)
	return rootAfter, 1 - r.order.left(rootAfter), min(missed, 1-x)
}

// order is how what is left of the alkali enters the speed: dY/dt = -k Y^n.
// Its root Y^(1-n), or ln Y for n = 1, changes in a straight line: by
// -power k dt, whatever Y.
type order struct {
	power float64 // 1-n, or 1
	kind  int
}

const (
	general      = iota
	first        // n = 1
	threeQuarter // n = 3/4, by products alone
)

func orderOf(n float64) order {
	switch {
	case math.Abs(n-1) < 1e-9: // nearer, its root loses every digit
		return order{1, first}
	case n == 0.75:
		return order{0.25, threeQuarter}
	}
	return order{1 - n, general}
}

// root returns the root of y, of 0 to 1.
func (o order) root(y float64) float64 {
	if o.kind == first {
		return math.Log(y)
	}
	return math.Pow(y, o.power)
}

// left returns what is left by its root. For n below 1 a root of 0 or less
// means that it has ended.
func (o order) left(root float64) float64 {
	if o.kind == threeQuarter && root > 0 {
		return root * root * root * root
	}
	return o.otherLeft(root)
}

func (o order) otherLeft(root float64) float64 {
	switch {
	case o.kind == first:
		return math.Exp(root)
	case root <= 0:
		return 0
	}
	return math.Pow(root, 1/o.power)
}
