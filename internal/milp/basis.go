package milp

import "math/big"

// vertex returns the exact point of the basis that a walk ended on; not ok
// when its equations have no single solution, which is rounding's doing.
// m holds the bounds of variables that are not whole; those of whole ones are
// the walk's.
func (s *simplex) vertex(m Model) (x []*big.Rat, ok bool) {
	x = make([]*big.Rat, s.n)
	var inside []int // basic variables proper
	for j, v := range s.nonbasic {
		if v < s.n {
			x[v] = Exact(s.at(j))
		}
	}
	for _, v := range s.basic {
		if v < s.n {
			inside = append(inside, v)
		}
	}
	place := make(map[int]int, len(inside))
	for k, v := range inside {
		place[v] = k
	}
	var eqs [][]*big.Rat
	for j, v := range s.nonbasic {
		if v >= s.n {
			eqs = append(eqs, m.Rows[v-s.n].equation(s.upper[j], x, place))
		}
	}
	values, ok := gauss(eqs)
	for k, v := range inside {
		if ok {
			x[v] = values[k]
		}
	}
	return x, ok
}

// equation returns a row that holds with equality as coefficients of the
// unknown variables (nil in x) and, at the end, the right side.
func (r Row) equation(upper bool, x []*big.Rat, place map[int]int) []*big.Rat {
	eq := zeros(len(place) + 1)
	right := eq[len(place)]
	if upper {
		right.Set(Exact(r.High))
	} else {
		right.Set(Exact(r.Low))
	}
	for _, t := range r.Terms {
		if k, unknown := place[t.Var]; unknown {
			eq[k] = Exact(t.Coef)
		} else {
			right.Sub(right, new(big.Rat).Mul(Exact(t.Coef), x[t.Var]))
		}
	}
	return eq
}

// prices returns the exact price of every row at the basis that a walk ended
// on.
func (s *simplex) prices(m Model) (y []*big.Rat, ok bool) {
	y = zeros(s.m)
	var tight []int
	place := map[int]int{}
	for _, v := range s.nonbasic {
		if v >= s.n {
			place[v-s.n] = len(tight)
			tight = append(tight, v-s.n)
		}
	}
	var eqs [][]*big.Rat
	column := map[int][]*big.Rat{}
	for _, v := range s.basic {
		if v < s.n {
			column[v] = zeros(len(tight) + 1)
			column[v][len(tight)] = Exact(m.Vars[v].Cost)
			eqs = append(eqs, column[v])
		}
	}
	for i, k := range place {
		for _, t := range m.Rows[i].Terms {
			if c := column[t.Var]; c != nil {
				c[k] = Exact(t.Coef)
			}
		}
	}
	values, ok := gauss(eqs)
	if ok {
		for k, i := range tight {
			y[i] = values[k]
		}
	}
	return y, ok
}

// settledLP proves the optimum of a model without whole variables at the basis
// the walk ended on, or solves it again in rational arithmetic.
func (b *search) settledLP(s *simplex) bool {
	x, ok := s.vertex(b.model)
	y, known := s.prices(b.model)
	if !ok || !known || !b.given.Feasible(x) {
		return b.settledExactly(s)
	}
	bound, finite := b.model.bound(y)
	if !finite || bound.Cmp(b.given.Objective(x)) != 0 {
		return b.settledExactly(s)
	}
	b.improve(x)
	b.sharp = bound
	b.proof.leafExact(y, false)
	return b.done(s)
}

// bound returns what weights of the rows prove of every feasible point: no
// objective is below it. False when a weight leans on an infinite side.
func (m Model) bound(y []*big.Rat) (sum *big.Rat, finite bool) {
	reduced := make([]*big.Rat, len(m.Vars))
	for j, v := range m.Vars {
		reduced[j] = Exact(v.Cost)
	}
	sum = new(big.Rat)
	for i, w := range y {
		if w.Sign() == 0 {
			continue
		}
		end := exactEnd(m.Rows[i].Low)
		if w.Sign() < 0 {
			end = exactEnd(m.Rows[i].High)
		}
		if end == nil {
			return nil, false
		}
		sum.Add(sum, end.Mul(end, w))
		for _, t := range m.Rows[i].Terms {
			reduced[t.Var].Sub(reduced[t.Var], new(big.Rat).Mul(w, Exact(t.Coef)))
		}
	}
	for j, d := range reduced {
		end := m.Vars[j].Low
		if d.Sign() < 0 {
			end = m.Vars[j].High
		}
		sum.Add(sum, d.Mul(d, Exact(end)))
	}
	return sum, true
}

// gauss solves n equations of n coefficients and a right side, which it uses
// up; not ok without a single solution.
func gauss(eqs [][]*big.Rat) (x []*big.Rat, ok bool) {
	n := len(eqs)
	for _, e := range eqs {
		if len(e) != n+1 {
			return nil, false
		}
	}
	for k := range n {
		p := k
		for p < n && eqs[p][k].Sign() == 0 {
			p++
		}
		if p == n {
			return nil, false
		}
		eqs[k], eqs[p] = eqs[p], eqs[k]
		inverse := new(big.Rat).Inv(eqs[k][k])
		for j := k; j <= n; j++ {
			eqs[k][j].Mul(eqs[k][j], inverse)
		}
		for i := range n {
			f := eqs[i][k]
			if i == k || f.Sign() == 0 {
				continue
			}
			f = new(big.Rat).Set(f)
			for j := k; j <= n; j++ {
				if eqs[k][j].Sign() != 0 {
					eqs[i][j].Sub(eqs[i][j], new(big.Rat).Mul(f, eqs[k][j]))
				}
			}
		}
	}
	x = make([]*big.Rat, n)
	for k := range n {
		x[k] = eqs[k][n]
	}
	return x, true
}
