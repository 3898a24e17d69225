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
	gelled := 0.0
	switch {
	case r.GelRampK > 0:
		gelled = min(1, max(0, (tC-r.GelC)/r.GelRampK+0.5))
	case tC > r.GelC:
		gelled = 1
	}
	return r.plain(tC) * (1 + (r.GelFactor-1)*gelled)
}

// plain is Speed without the gel's factor.
func (r Rate) plain(tC float64) float64 {
	return math.Exp(-r.EaJMol / gasConstant * (1/(tC+zeroC) - 1/(r.TRefC+zeroC)))
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
	speed []entry // without the gel's factor
	order order
}

func newReactor(p Physics) reactor {
	r := reactor{Rate: p.Rate, riseK: p.ReactionJKg / p.HeatJKgK, order: orderOf(p.Rate.N)}
	r.speed = make([]entry, int((tableHighC-tableLowC)/tableStepK)+1)
	next := p.Rate.plain(tableLowC)
	for i := range r.speed {
		at := next
		next = p.Rate.plain(tableLowC + tableStepK*float64(i+1))
		r.speed[i] = entry{at - (next-at)*float64(i), next - at}
	}
	last := len(r.speed) - 1 // what is beyond is as fast as the ends
	r.speed[0], r.speed[last] = entry{p.Rate.plain(tableLowC), 0}, entry{p.Rate.plain(tableHighC), 0}
	return r
}

// speedAt is Rate.plain by the table.
func (r *reactor) speedAt(tC float64) float64 {
	at := (tC - tableLowC) * (1 / tableStepK)
	i := int(at)
	if uint(i) >= uint(len(r.speed)) {
		i = r.nearest(i)
	}
	e := &r.speed[i]
	return e.start + at*e.rise
}

func (r *reactor) nearest(i int) int { return min(max(i, 0), len(r.speed)-1) }

// gel is how much faster a cell reacts of which a share is above the gel line.
func (r *reactor) gel(share float64) float64 {
	switch {
	case share <= 0:
		return 1
	case share >= 1:
		return r.GelFactor
	}
	return 1 + (r.GelFactor-1)*share
}

// entry is the straight line from one speed of the table to the next, counted in
// steps from the first.
type entry struct{ start, rise float64 }

// react advances one node by dtS from conversion x, of which root is the root of
// what is left, and returns the new root and conversion. Conduction changes its
// temperature by driftK meanwhile. The autocatalytic speed is that of Kutta's rule
// of third order; with it what is left, 1-x, follows its own law exactly: it never
// passes 0, and for n below 1 reaches it in finite time. middle is the speed in the
// middle of the step [1/s], more how much more of what is left, X, it takes than
// that speed alone would. Source: docs/model/heat.md eq. 9.
func (r *reactor) react(root, x, tC, driftK, dtS float64, cell ramp) (rootAfter, after, middle, more float64) {
	fall := r.order.power * dtS
	start := r.speedAt(tC) * r.gel(cell.share(tC)) * (r.K1 + r.K2*power(x, r.M))
	half := 1 - r.order.left(root-fall*start/2)
	halfC := tC + r.riseK*(half-x) + driftK/2
	middle = r.speedAt(halfC) * r.gel(cell.share(halfC)) * (r.K1 + r.K2*power(half, r.M))
	end := 1 - r.order.left(root-fall*(2*middle-start))
	endC := tC + r.riseK*(end-x) + driftK
	last := r.speedAt(endC) * r.gel(cell.share(endC)) * (r.K1 + r.K2*power(end, r.M))
	more = (start - 2*middle + last) * dtS * (1.0 / 6)
	rootAfter = root - fall*middle - r.order.power*more
	return rootAfter, 1 - r.order.left(rootAfter), middle, more
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
		root *= root
		return root * root
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
