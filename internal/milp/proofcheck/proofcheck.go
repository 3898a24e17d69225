// Package proofcheck checks the proofs of package milp with code of its own:
// nothing here walks, branches or rounds. It reads the steps of presolve and
// the tree one by one and adds up in rational arithmetic.
//
// Start with Infeasible and Bound. It trusts the statement of the model and
// nothing else.
package proofcheck

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"

	"barwright/internal/milp"
)

// Infeasible returns nil when the proof shows that the model it was given has
// no feasible point.
func Infeasible(p *milp.Proof) error {
	least, err := check(p)
	if err == nil && least != nil {
		return errors.New("a leaf is not shown to be empty")
	}
	return err
}

// Bound returns a number that no feasible point of the model given is below,
// nil when the proof shows that there is none.
func Bound(p *milp.Proof) (*big.Rat, error) { return check(p) }

func check(p *milp.Proof) (*big.Rat, error) {
	m, empty, err := replay(p)
	if err != nil || empty {
		return nil, err
	}
	c := checker{m: m, tree: p.Tree}
	if err := c.node(); err != nil {
		return nil, err
	}
	if len(c.tree) > 0 {
		return nil, errors.New("the tree goes on after its end")
	}
	return c.least, nil
}

// model is a milp.Model in rational numbers; nil is infinite.
type model struct {
	low, high, cost []*big.Rat
	whole           []bool
	rows            []row
}

type row struct {
	a         map[int]*big.Rat
	low, high *big.Rat
}

func number(v float64) *big.Rat {
	if math.IsInf(v, 0) {
		return nil
	}
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'g', -1, 64))
	if !ok {
		panic(v)
	}
	return r
}

func read(m milp.Model) (out model) {
	for _, v := range m.Vars {
		out.low, out.high, out.cost = append(out.low, number(v.Low)), append(out.high, number(v.High)), append(out.cost, number(v.Cost))
		out.whole = append(out.whole, v.Integer)
	}
	for _, r := range m.Rows {
		a := map[int]*big.Rat{}
		for _, t := range r.Terms {
			a[t.Var] = number(t.Coef)
		}
		out.rows = append(out.rows, row{a, number(r.Low), number(r.High)})
	}
	return out
}

// most returns the most that a row can be without its term of variable but.
func (m model) most(r row, but int) *big.Rat {
	sum := new(big.Rat)
	for j, a := range r.a {
		if j != but {
			sum.Add(sum, higher(times(a, m.low[j]), times(a, m.high[j])))
		}
	}
	return sum
}

func (m model) least(r row, but int) *big.Rat {
	negative := row{a: map[int]*big.Rat{}}
	for j, a := range r.a {
		negative.a[j] = new(big.Rat).Neg(a)
	}
	sum := m.most(negative, but)
	return sum.Neg(sum)
}

func times(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }

func higher(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) > 0 {
		return a
	}
	return b
}

// replay makes every step of presolve on the model given, checking each, and
// returns what comes out; empty when a variable has no value left.
func replay(p *milp.Proof) (m model, empty bool, err error) {
	m = read(p.Given)
	for k, s := range p.Steps {
		if err := m.step(s); err != nil {
			return m, false, fmt.Errorf("step %d: %w", k, err)
		}
	}
	for j := range m.low {
		if m.low[j].Cmp(m.high[j]) > 0 {
			return m, true, nil
		}
	}
	return m, false, nil
}

func (m *model) step(s milp.Step) error {
	r := &m.rows[s.Row]
	switch s.Kind {
	case milp.DropRow:
		if r.low != nil && m.least(*r, -1).Cmp(r.low) < 0 || r.high != nil && m.most(*r, -1).Cmp(r.high) > 0 {
			return errors.New("the row can bind")
		}
		r.low, r.high = nil, nil
		return nil
	case milp.Coefficient:
		return m.lift(r, s)
	}
	// Everything beyond the new bound, by one when whole, must break the row.
	value := number(s.Value)
	if m.whole[s.Var] {
		if !value.IsInt() {
			return errors.New("a bound of a whole variable is not whole")
		}
		next := big.NewRat(1, 1)
		if s.Kind == milp.LowerBound {
			next.Neg(next)
		}
		if !m.breaks(*r, s.Var, next.Add(next, value), s.Kind == milp.UpperBound, true) {
			return errors.New("the next whole value fits the row")
		}
	} else if !m.breaks(*r, s.Var, value, s.Kind == milp.UpperBound, false) {
		return errors.New("values beyond the bound fit the row")
	}
	if s.Kind == milp.LowerBound {
		m.low[s.Var] = value
	} else {
		m.high[s.Var] = value
	}
	return nil
}

// breaks reports whether the row fails for every value of variable j from v
// on, upward or downward; v itself included or not.
func (m model) breaks(r row, j int, v *big.Rat, upward, included bool) bool {
	a := r.a[j]
	if a == nil {
		return false
	}
	term := times(a, v)
	if upward == (a.Sign() > 0) { // the row only grows from here
		if r.high == nil {
			return false
		}
		c := term.Add(term, m.least(r, j)).Cmp(r.high)
		return c > 0 || c == 0 && !included
	}
	if r.low == nil {
		return false
	}
	c := term.Add(term, m.most(r, j)).Cmp(r.low)
	return c < 0 || c == 0 && !included
}

// lift checks that the new coefficient of a 0-1 variable cuts nothing off: at
// 1 the row asks nothing any more, at 0 what it asked before.
func (m *model) lift(r *row, s milp.Step) error {
	one := big.NewRat(1, 1)
	if !m.whole[s.Var] || m.low[s.Var].Sign() < 0 || m.high[s.Var].Cmp(one) > 0 || r.low != nil {
		return errors.New("not a row to lift")
	}
	if at1 := m.most(*r, s.Var); at1.Add(at1, number(s.Value)).Cmp(r.high) > 0 {
		return errors.New("the lifted row cuts points off")
	}
	r.a[s.Var] = number(s.Value)
	return nil
}

type checker struct {
	m     model
	tree  []milp.Node
	least *big.Rat // of all leaves that are not empty
}

// node checks the node at the head of the tree, in the box as it is.
func (c *checker) node() error {
	if len(c.tree) == 0 {
		return errors.New("the tree ends too early")
	}
	n := c.tree[0]
	c.tree = c.tree[1:]
	if n.Leaf {
		return c.leaf(n)
	}
	at := number(n.At)
	if !c.m.whole[n.Var] || !at.IsInt() {
		return errors.New("a branch between values that are not whole")
	}
	for _, up := range []bool{n.UpFirst, !n.UpFirst} {
		low, high := c.m.low[n.Var], c.m.high[n.Var]
		if up {
			c.m.low[n.Var] = higher(low, new(big.Rat).Add(at, big.NewRat(1, 1)))
		} else if at.Cmp(high) < 0 {
			c.m.high[n.Var] = at
		}
		if err := c.node(); err != nil {
			return err
		}
		c.m.low[n.Var], c.m.high[n.Var] = low, high
	}
	return nil
}

func (c *checker) leaf(n milp.Node) error {
	bound, err := c.m.bound(n.Weights, n.Empty)
	switch {
	case err != nil:
		return err
	case n.Empty && bound.Sign() <= 0:
		return errors.New("the weights do not show that the leaf is empty")
	case !n.Empty && (c.least == nil || bound.Cmp(c.least) < 0):
		c.least = bound
	}
	return nil
}

// bound adds the rows up by their weights. Weak duality: for every feasible x,
// cost·x = (cost − Aᵀy)·x + y·(A x), and each part is at least its least over
// the box and over the row's own range.
func (m model) bound(y []*big.Rat, free bool) (*big.Rat, error) {
	rest := make([]*big.Rat, len(m.cost))
	for j, c := range m.cost {
		rest[j] = new(big.Rat)
		if !free {
			rest[j].Set(c)
		}
	}
	sum := new(big.Rat)
	for i, w := range y {
		end := m.rows[i].low
		if w.Sign() < 0 {
			end = m.rows[i].high
		}
		if w.Sign() == 0 {
			continue
		}
		if end == nil {
			return nil, fmt.Errorf("row %d is leaned on where it has no end", i)
		}
		sum.Add(sum, times(w, end))
		for j, a := range m.rows[i].a {
			rest[j].Sub(rest[j], times(w, a))
		}
	}
	for j, d := range rest {
		end := m.low[j]
		if d.Sign() < 0 {
			end = m.high[j]
		}
		sum.Add(sum, times(d, end))
	}
	return sum, nil
}
