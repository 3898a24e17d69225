package milp

import (
	"context"
	"math/big"
)

// exactLP is the answer of the rational simplex.
type exactLP struct {
	feasible  bool
	x         []*big.Rat
	objective *big.Rat
	y         []*big.Rat // prices of the rows, or the weights that show that nothing fits
}

// rational is the dual simplex in rational arithmetic. By index all the way
// (Bland), it ends after finitely many turns, whatever the model. It is slow,
// and only asked where floating point came to nothing.
type rational struct {
	m, n            int
	t               [][]*big.Rat
	d               []*big.Rat
	basic, nonbasic []int
	upper           []bool
	lo, hi          []*big.Rat // nil where infinite
}

// solveExactly solves a model as if no variable had to be whole; not ok when
// ctx was done first.
func solveExactly(ctx context.Context, m Model) (lp exactLP, ok bool) {
	s := newRational(m)
	for ctx.Err() == nil {
		r, over := s.leaving()
		if r < 0 {
			return s.optimum(m), true
		}
		q := s.entering(r, over)
		if q < 0 {
			return exactLP{y: s.farkas(r, over)}, true
		}
		s.basic[r], s.nonbasic[q], s.upper[q] = s.nonbasic[q], s.basic[r], over
		s.turn(r, q)
	}
	return exactLP{}, false
}

func newRational(m Model) *rational {
	s := &rational{m: len(m.Rows), n: len(m.Vars)}
	for j, v := range m.Vars {
		s.d = append(s.d, Exact(v.Cost))
		s.nonbasic, s.upper = append(s.nonbasic, j), append(s.upper, v.Cost < 0)
		s.lo, s.hi = append(s.lo, Exact(v.Low)), append(s.hi, Exact(v.High))
	}
	for i, r := range m.Rows {
		row := make([]*big.Rat, s.n)
		for j := range row {
			row[j] = new(big.Rat)
		}
		for _, t := range r.Terms {
			row[t.Var] = Exact(t.Coef)
		}
		s.t, s.basic = append(s.t, row), append(s.basic, s.n+i)
		s.lo, s.hi = append(s.lo, exactEnd(r.Low)), append(s.hi, exactEnd(r.High))
	}
	return s
}

func exactEnd(v float64) *big.Rat {
	if !finite(v) {
		return nil
	}
	return Exact(v)
}

func (s *rational) at(j int) *big.Rat {
	if s.upper[j] {
		return s.hi[s.nonbasic[j]]
	}
	return s.lo[s.nonbasic[j]]
}

func (s *rational) value(i int) *big.Rat {
	sum := new(big.Rat)
	for j, a := range s.t[i] {
		if a.Sign() != 0 {
			sum.Add(sum, new(big.Rat).Mul(a, s.at(j)))
		}
	}
	return sum
}

// leaving returns the row of the lowest variable outside its bounds.
func (s *rational) leaving() (r int, over bool) {
	r = -1
	for i, v := range s.basic {
		if r >= 0 && v > s.basic[r] {
			continue
		}
		value := s.value(i)
		switch {
		case s.lo[v] != nil && value.Cmp(s.lo[v]) < 0:
			r, over = i, false
		case s.hi[v] != nil && value.Cmp(s.hi[v]) > 0:
			r, over = i, true
		}
	}
	return r, over
}

// entering returns the column of the least ratio, of the lowest variable among
// equals.
func (s *rational) entering(r int, over bool) int {
	q, least := -1, new(big.Rat)
	for j, a := range s.t[r] {
		v := s.nonbasic[j]
		helps := a.Sign() > 0 != over != s.upper[j]
		fixed := s.lo[v] != nil && s.hi[v] != nil && s.lo[v].Cmp(s.hi[v]) == 0
		if a.Sign() == 0 || !helps || fixed {
			continue
		}
		ratio := new(big.Rat).Quo(s.d[j], a)
		ratio.Abs(ratio)
		if c := ratio.Cmp(least); q < 0 || c < 0 || c == 0 && v < s.nonbasic[q] {
			q, least = j, ratio
		}
	}
	return q
}

func (s *rational) turn(r, q int) {
	row := s.t[r]
	inverse := new(big.Rat).Inv(row[q])
	for j := range row {
		if j != q && row[j].Sign() != 0 {
			row[j].Mul(row[j], inverse).Neg(row[j])
		}
	}
	row[q] = inverse
	for i := range s.t {
		if i != r {
			addTimes(s.t[i], row, q)
		}
	}
	addTimes(s.d, row, q)
}

// addTimes puts row, for its column q, into another row of the tableau.
func addTimes(other, row []*big.Rat, q int) {
	f := other[q]
	if f.Sign() == 0 {
		return
	}
	for j := range row {
		if j != q && row[j].Sign() != 0 {
			other[j].Add(other[j], new(big.Rat).Mul(f, row[j]))
		}
	}
	other[q] = new(big.Rat).Mul(f, row[q])
}

func (s *rational) optimum(m Model) exactLP {
	out := exactLP{feasible: true, x: make([]*big.Rat, s.n), y: zeros(s.m)}
	for j, v := range s.nonbasic {
		if v < s.n {
			out.x[v] = s.at(j)
		} else {
			out.y[v-s.n] = s.d[j]
		}
	}
	for i, v := range s.basic {
		if v < s.n {
			out.x[v] = s.value(i)
		}
	}
	out.objective = m.Objective(out.x)
	return out
}

func (s *rational) farkas(r int, over bool) []*big.Rat {
	y := zeros(s.m)
	if v := s.basic[r]; v >= s.n {
		y[v-s.n] = big.NewRat(1, 1)
	}
	for j, v := range s.nonbasic {
		if v >= s.n {
			y[v-s.n] = new(big.Rat).Neg(s.t[r][j])
		}
	}
	for _, v := range y {
		if over {
			v.Neg(v)
		}
	}
	return y
}

func zeros(n int) []*big.Rat {
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = new(big.Rat)
	}
	return out
}
