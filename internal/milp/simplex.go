package milp

import "math"

// Tolerances of the floating-point walk. What they let through wrongly is
// caught by the exact check of every certificate.
const (
	feasTol  = 1e-9  // of a bound, relative to its size
	looseTol = 1e-7  // the same, where a proof at the finer one failed
	pivotTol = 1e-9  // smallest entry to turn on
	dualTol  = 1e-10 // of a reduced cost
	rebuild  = 80    // turns after which the tableau is made anew
)

// verdict is how a walk ended.
type verdict int

const (
	optimal    verdict = iota
	infeasible         // see ray
	beyond             // the bound passed the cutoff before the end
	stuck              // too many turns
)

// simplex is a bounded dual simplex on a dense tableau. Every basic variable
// is a combination of the nonbasic ones: basic = t × nonbasic, without
// constants, because the row variables n.. are the values of the rows. Since
// all variables proper have two finite bounds, putting each on the side its
// reduced cost asks for makes any basis dual feasible, so there is no first
// phase.
type simplex struct {
	m, n     int
	t        []float64 // m × n
	d        []float64 // n, reduced costs of the nonbasic
	basic    []int     // m, variable of each row
	nonbasic []int     // n, variable of each column
	upper    []bool    // n, the nonbasic one stands on its upper bound
	beta     []float64 // m, values of the basic
	lo, hi   []float64 // n + m bounds, by variable
	tol      float64   // feasTol or looseTol
	turns    int       // since the tableau was made
	ray      int       // row that proves infeasibility

	src  *source
	cols []int // scratch: columns of the pivot row that are not zero
}

func newSimplex(m Model) *simplex {
	src, lo, hi := newSource(m)
	s := &simplex{m: len(m.Rows), n: len(m.Vars), src: src, lo: lo, hi: hi, tol: feasTol,
		t: make([]float64, len(m.Rows)*len(m.Vars)), d: make([]float64, len(m.Vars)),
		basic: make([]int, len(m.Rows)), nonbasic: make([]int, len(m.Vars)), upper: make([]bool, len(m.Vars)), beta: make([]float64, len(m.Rows))}
	s.start()
	return s
}

// start puts all row variables into the basis.
func (s *simplex) start() {
	copy(s.t, s.src.a)
	copy(s.d, s.src.cost)
	for i := range s.m {
		s.basic[i] = s.n + i
	}
	for j := range s.n {
		s.nonbasic[j] = j
		s.upper[j] = s.d[j] < 0
	}
	s.turns = 0
	s.place()
}

// copyFrom makes s the same walk as o, which has the same source.
func (s *simplex) copyFrom(o *simplex) {
	copy(s.t, o.t)
	copy(s.d, o.d)
	copy(s.basic, o.basic)
	copy(s.nonbasic, o.nonbasic)
	copy(s.upper, o.upper)
	copy(s.beta, o.beta)
	copy(s.lo, o.lo)
	copy(s.hi, o.hi)
	s.tol, s.turns, s.ray = o.tol, o.turns, o.ray
}

func (s *simplex) clone() *simplex {
	c := &simplex{m: s.m, n: s.n, src: s.src, t: make([]float64, len(s.t)), d: make([]float64, s.n), basic: make([]int, s.m), nonbasic: make([]int, s.n),
		upper: make([]bool, s.n), beta: make([]float64, s.m), lo: make([]float64, s.n+s.m), hi: make([]float64, s.n+s.m)}
	c.copyFrom(s)
	return c
}

// at is the value of the nonbasic variable in column j.
func (s *simplex) at(j int) float64 {
	if s.upper[j] {
		return s.hi[s.nonbasic[j]]
	}
	return s.lo[s.nonbasic[j]]
}

// place computes the basic values from the nonbasic ones.
func (s *simplex) place() {
	clear(s.beta)
	for j := range s.n {
		if v := s.at(j); v != 0 {
			for i := range s.m {
				s.beta[i] += s.t[i*s.n+j] * v
			}
		}
	}
}

// objective is the bound that the reduced costs give.
func (s *simplex) objective() (sum float64) {
	for j, d := range s.d {
		if d != 0 {
			sum += d * s.at(j)
		}
	}
	return sum
}

// solve walks until the basic values fit their bounds, or none can, or the
// bound reaches cutoff. It always returns: after many turns without gain it
// chooses by index (Bland), and after very many it gives up.
func (s *simplex) solve(cutoff float64) verdict {
	most, idle := 200+20*(s.m+s.n), 0
	last := s.objective()
	for range most {
		if s.turns > rebuild {
			s.remake()
		}
		r := s.leaving(idle > 30+s.m)
		if r < 0 {
			return optimal
		}
		over := s.miss(r) < 0
		q := s.entering(r, idle > 30+s.m)
		if q < 0 {
			s.ray = r
			return infeasible
		}
		s.pivot(r, q, over)
		now := s.objective()
		if now >= cutoff {
			return beyond
		}
		if now > last+1e-12*(1+math.Abs(last)) {
			idle, last = 0, now
		} else {
			idle++
		}
	}
	return stuck
}

// miss says how far below its lower bound (more than 0) or above its upper one
// (less than 0) basic row i is; 0 when it fits.
func (s *simplex) miss(i int) float64 {
	v := s.basic[i]
	if low := s.lo[v]; s.beta[i] < low-s.tol*(1+math.Abs(low)) {
		return low - s.beta[i]
	}
	if high := s.hi[v]; s.beta[i] > high+s.tol*(1+math.Abs(high)) {
		return high - s.beta[i]
	}
	return 0
}

// leaving picks the row that misses its bounds most, or the one of the lowest
// variable; -1 when all fit.
func (s *simplex) leaving(byIndex bool) int {
	best, most := -1, 0.0
	for i := range s.m {
		miss := math.Abs(s.miss(i))
		switch {
		case miss == 0:
		case byIndex && (best < 0 || s.basic[i] < s.basic[best]), !byIndex && miss > most:
			best, most = i, miss
		}
	}
	return best
}

// entering picks the column that keeps the reduced costs in order, passing
// over variables that may as well jump to their other bound (which it makes
// them do). -1 when no column helps.
func (s *simplex) entering(r int, byIndex bool) int {
	row, need := s.t[r*s.n:(r+1)*s.n], s.miss(r)
	slope := math.Abs(need)
	for {
		q, least, size := -1, math.Inf(1), 0.0
		for j, a := range row {
			if need < 0 {
				a = -a
			}
			if s.upper[j] {
				a = -a
			}
			v := s.nonbasic[j]
			if a <= pivotTol || s.lo[v] == s.hi[v] || s.isFlipped(j) {
				continue
			}
			ratio := math.Abs(s.d[j]) / a
			switch {
			case ratio < least-dualTol, ratio <= least+dualTol && (byIndex && v < s.nonbasic[q] || !byIndex && a > size):
				q, least, size = j, min(least, ratio), a
			}
		}
		if q < 0 {
			s.flip(false)
			return -1
		}
		v := s.nonbasic[q]
		if slope -= size * (s.hi[v] - s.lo[v]); byIndex || !(slope > s.tol*(1+math.Abs(need))) {
			s.flip(true)
			return q
		}
		s.cols = append(s.cols, q)
	}
}

func (s *simplex) isFlipped(j int) bool {
	for _, c := range s.cols {
		if c == j {
			return true
		}
	}
	return false
}

// flip forgets the columns passed over, moving them to their other bound when
// a pivot follows.
func (s *simplex) flip(really bool) {
	if really {
		for _, j := range s.cols {
			s.move(j, !s.upper[j])
		}
	}
	s.cols = s.cols[:0]
}

// move puts the nonbasic column j on a bound.
func (s *simplex) move(j int, upper bool) {
	was := s.at(j)
	s.upper[j] = upper
	if by := s.at(j) - was; by != 0 {
		for i := range s.m {
			s.beta[i] += s.t[i*s.n+j] * by
		}
	}
}

// pivot takes row r out at the bound it misses, the upper one if it is over,
// and column q in.
func (s *simplex) pivot(r, q int, over bool) {
	out, in := s.basic[r], s.nonbasic[q]
	goal := s.lo[out]
	if over {
		goal = s.hi[out]
	}
	alpha := s.t[r*s.n+q]
	step := (goal - s.beta[r]) / alpha
	value := s.at(q) + step
	for i := range s.m {
		s.beta[i] += s.t[i*s.n+q] * step
	}
	s.beta[r] = value
	s.basic[r], s.nonbasic[q], s.upper[q] = in, out, over
	s.turn(r, q)
}

// bound narrows variable v to [lo, hi].
func (s *simplex) bound(v int, lo, hi float64) {
	for j, w := range s.nonbasic {
		if w != v {
			continue
		}
		was := s.at(j)
		s.lo[v], s.hi[v] = lo, hi
		if by := s.at(j) - was; by != 0 {
			for i := range s.m {
				s.beta[i] += s.t[i*s.n+j] * by
			}
		}
		return
	}
	s.lo[v], s.hi[v] = lo, hi
}

// values fills x with the values of the variables proper.
func (s *simplex) values(x []float64) {
	for j, v := range s.nonbasic {
		if v < s.n {
			x[v] = s.at(j)
		}
	}
	for i, v := range s.basic {
		if v < s.n {
			x[v] = s.beta[i]
		}
	}
}

// duals fills y with the price of every row as written.
func (s *simplex) duals(y []float64) {
	clear(y)
	for j, v := range s.nonbasic {
		if v >= s.n {
			y[v-s.n] = s.d[j] / s.src.scale[v-s.n]
		}
	}
}

// farkas fills y with the weights of rows that show the infeasibility found:
// the row of the tableau that cannot reach its bound.
func (s *simplex) farkas(y []float64) {
	clear(y)
	sign := 1.0
	if s.miss(s.ray) < 0 {
		sign = -1
	}
	if v := s.basic[s.ray]; v >= s.n {
		y[v-s.n] = sign / s.src.scale[v-s.n]
	}
	for j, v := range s.nonbasic {
		if v >= s.n {
			y[v-s.n] = -sign * s.t[s.ray*s.n+j] / s.src.scale[v-s.n]
		}
	}
}
