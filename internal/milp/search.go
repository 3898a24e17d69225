package milp

import (
	"context"
	"math"
	"math/big"
	"slices"
)

// search is a depth-first branch and bound. A part of the box is left when an
// exact certificate says that nothing in it fits, or nothing better than the
// best found.
type search struct {
	ctx   context.Context
	model Model // presolved
	given Model
	scaled
	opts  Options
	grain *big.Int // see scaled.grain
	pure  bool     // no variable has to be whole

	best    []*big.Rat
	bestObj *big.Rat
	cutoff  float64  // what the walk need not go beyond
	need    *big.Int // what an exact bound must reach, in units; nil without a best or a guess

	nodes   int
	until   int  // nodes at which the round ends
	cut     bool // it ended so
	stopped bool
	least   *big.Int // the least bound of all leaves, in units; nil while none is finite
	proved  *big.Rat // what earlier rounds showed that nothing is better than
	sharp   *big.Rat // the bound itself, where one leaf is all and its weights are exact
	proof   *Proof

	free []*simplex
	x, y []float64 // scratch: values of the node, weights of a certificate
}

func newSearch(ctx context.Context, given, tight Model, o Options) *search {
	b := &search{ctx: ctx, model: tight, given: given, scaled: *newScaled(tight), opts: o, cutoff: math.Inf(1),
		x: make([]float64, len(tight.Vars)), y: make([]float64, len(tight.Rows))}
	b.grain = b.scaled.grain()
	b.pure = !slices.ContainsFunc(tight.Vars, func(v Var) bool { return v.Integer })
	if o.Record {
		b.proof = &Proof{Model: tight}
	}
	return b
}

// halted reports whether the search has to end here.
func (b *search) halted() bool {
	if !b.stopped && (b.nodes >= b.opts.nodes() || b.nodes&15 == 0 && b.ctx.Err() != nil) {
		b.stopped = true
	}
	b.cut = b.cut || b.nodes >= b.until
	return b.stopped || b.cut
}

// explore searches the box of s, which it uses up.
func (b *search) explore(s *simplex) {
	for {
		if b.halted() {
			b.leaveOpen(s)
			return
		}
		b.nodes++
		if b.settled(s) {
			return
		}
		v := b.branchOn(s)
		down := math.Floor(b.x[v] + wholeTol)
		if down >= s.hi[v] {
			down = s.hi[v] - 1
		}
		upFirst := b.x[v]-down > 0.5
		b.proof.branch(v, down, upFirst)
		other := b.copyOf(s)
		b.branch(s, v, down, upFirst)
		b.explore(s)
		s = other
		b.branch(s, v, down, !upFirst)
	}
}

func (b *search) branch(s *simplex, v int, down float64, up bool) {
	if up {
		s.bound(v, down+1, s.hi[v])
	} else {
		s.bound(v, s.lo[v], down)
	}
}

func (b *search) copyOf(s *simplex) *simplex {
	if n := len(b.free); n > 0 {
		c := b.free[n-1]
		b.free = b.free[:n-1]
		c.copyFrom(s)
		return c
	}
	return s.clone()
}

func (b *search) done(s *simplex) bool {
	b.free = append(b.free, s)
	return true
}

// settled solves the node and reports whether it needs no branching. When it
// does, x holds its values. Where a proof fails for rounding's sake the tableau
// is made anew, then the node is given a little more room; what still cannot be
// settled is solved in rational arithmetic.
func (b *search) settled(s *simplex) bool {
	for _, tol := range []float64{s.tol, s.tol, looseTol} {
		s.tol = tol
		switch v := s.solve(b.cutoff); {
		case v == infeasible && b.provesEmpty(s):
			return b.done(s)
		case v == infeasible, v == stuck:
			s.remake()
			continue
		case s.objective() >= b.cutoff && b.provesBound(s):
			return b.done(s)
		case v == beyond && s.solve(math.Inf(1)) != optimal:
			s.remake()
			continue
		}
		return b.settledAt(s)
	}
	return b.settledExactly(s)
}

// settledAt judges a node at the optimum of its relaxation.
func (b *search) settledAt(s *simplex) bool {
	if b.pure {
		return b.settledLP(s)
	}
	s.values(b.x)
	if b.isWhole() && b.take(s) && b.provesBound(s) {
		return b.done(s)
	}
	if b.allFixed(s) {
		return b.settledExactly(s)
	}
	return false
}

// provesEmpty makes the certificate that the node's box holds no feasible
// point, and checks it exactly.
func (b *search) provesEmpty(s *simplex) bool {
	s.farkas(b.y)
	largest := 0.0
	for _, v := range b.y {
		largest = max(largest, math.Abs(v))
	}
	for i := range b.y {
		b.y[i] /= largest
	}
	w := b.weights(b.y)
	if b.scaled.bound(w, s.lo, s.hi, false).Sign() <= 0 {
		return false
	}
	b.proof.leaf(w, true)
	return true
}

// provesBound makes the certificate that nothing in the node's box is better
// than the best found, and checks it exactly.
func (b *search) provesBound(s *simplex) bool {
	if b.need == nil {
		return false
	}
	s.duals(b.y)
	w := b.weights(b.y)
	bound := b.scaled.bound(w, s.lo, s.hi, true)
	if bound.Cmp(b.need) < 0 {
		return false
	}
	b.lower(bound)
	b.proof.leaf(w, false)
	return true
}

func (b *search) lower(bound *big.Int) {
	if b.least == nil || bound.Cmp(b.least) < 0 {
		b.least = new(big.Int).Set(bound)
	}
}

// leaveOpen notes what is known of a node that was not searched.
func (b *search) leaveOpen(s *simplex) {
	s.duals(b.y)
	w := b.weights(b.y)
	b.lower(b.scaled.bound(w, s.lo, s.hi, true))
	b.proof.leaf(w, false)
	b.done(s)
}

// settledExactly solves the node in rational arithmetic, where floating point
// came to nothing.
func (b *search) settledExactly(s *simplex) bool {
	lp, ok := solveExactly(b.ctx, b.model.within(s.lo, s.hi))
	if !ok {
		b.stopped = true
		b.leaveOpen(s)
		return true
	}
	if !lp.feasible {
		b.proof.leafExact(lp.y, true)
		return b.done(s)
	}
	for j := range b.x {
		b.x[j], _ = lp.x[j].Float64()
	}
	whole := true
	for j, v := range b.model.Vars {
		whole = whole && (!v.Integer || lp.x[j].IsInt())
	}
	if whole && b.given.Feasible(lp.x) {
		b.improve(lp.x)
	}
	if b.need != nil && lp.objective.Cmp(b.rat(b.need)) >= 0 {
		b.lower(new(big.Int).Sub(b.units(lp.objective), big.NewInt(1)))
		if b.pure {
			b.sharp = lp.objective
		}
		b.proof.leafExact(lp.y, false)
		return b.done(s)
	}
	if whole || b.allFixed(s) {
		panic("milp: a whole point of a presolved model is none of the model given")
	}
	return false
}

// wholeTol is how far from whole a value may be to be tried as whole.
const wholeTol = 1e-6

func (b *search) isWhole() bool {
	for j, v := range b.model.Vars {
		if v.Integer && math.Abs(b.x[j]-math.Round(b.x[j])) > wholeTol {
			return false
		}
	}
	return true
}

func (b *search) allFixed(s *simplex) bool {
	for j, v := range b.model.Vars {
		if v.Integer && s.lo[j] < s.hi[j] {
			return false
		}
	}
	return true
}

// take makes an exact point of the node's whole values, and keeps it when it
// is the best.
func (b *search) take(s *simplex) bool {
	x, ok := b.polish(s)
	if ok {
		b.improve(x)
	}
	return ok
}

// polish returns the exact best point with the whole variables as they are.
func (b *search) polish(s *simplex) (x []*big.Rat, ok bool) {
	c := b.copyOf(s)
	defer b.done(c)
	continuous := false
	for j, v := range b.model.Vars {
		if !v.Integer {
			continuous = true
		} else if r := math.Round(b.x[j]); c.lo[j] < c.hi[j] {
			c.bound(j, r, r)
		}
	}
	if !continuous {
		x = make([]*big.Rat, len(b.x))
		for j, v := range b.x {
			x[j] = Exact(math.Round(v))
		}
		return x, b.given.Feasible(x)
	}
	if c.solve(math.Inf(1)) == optimal {
		if x, ok = c.vertex(b.model); ok && b.given.Feasible(x) {
			return x, true
		}
	}
	lp, ok := solveExactly(b.ctx, b.model.within(c.lo, c.hi))
	return lp.x, ok && lp.feasible && b.given.Feasible(lp.x)
}

// improve keeps x when it is better than all that is looked for.
func (b *search) improve(x []*big.Rat) {
	obj := b.given.Objective(x)
	if b.need != nil && b.units(obj).Cmp(b.need) >= 0 {
		return
	}
	b.best, b.bestObj = x, obj
	b.aimBelow(obj)
}

// aimBelow asks of what is still to be found to be better than obj.
func (b *search) aimBelow(obj *big.Rat) {
	o, _ := obj.Float64()
	b.need = b.units(obj)
	if b.grain != nil {
		g, _ := b.rat(b.grain).Float64()
		b.need.Sub(b.need, b.grain)
		b.need.Add(b.need, big.NewInt(1))
		b.cutoff = o - g + 1e-6*g
		return
	}
	tol := b.opts.gap() * (1 + math.Abs(o))
	b.need.Sub(b.need, b.units(Exact(tol)))
	b.cutoff = o - tol/2
}

// branchOn picks the variable to branch on: of those that are not whole the
// one that has moved the bound most so far.
func (b *search) branchOn(s *simplex) int {
	best, most := -1, -1.0
	for j, v := range b.model.Vars {
		if !v.Integer {
			continue
		}
		f := b.x[j] - math.Floor(b.x[j])
		if f < wholeTol || f > 1-wholeTol {
			continue
		}
		score := min(f, 1-f)
		if v.Low == 0 && v.High == 1 {
			score += 1
		}
		if score > most {
			best, most = j, score
		}
	}
	if best >= 0 {
		return best
	}
	for j, v := range b.model.Vars {
		if v.Integer && s.lo[j] < s.hi[j] {
			return j
		}
	}
	panic("milp: nothing left to branch on")
}

// within returns the model with other bounds of its whole variables.
func (m Model) within(lo, hi []float64) Model {
	out := m.Clone()
	for j := range out.Vars {
		if out.Vars[j].Integer {
			out.Vars[j].Low, out.Vars[j].High = lo[j], hi[j]
		}
	}
	return out
}
