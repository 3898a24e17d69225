package milp

import "math"

// turn exchanges row r and column q of the tableau.
func (s *simplex) turn(r, q int) {
	s.turns++
	row := s.t[r*s.n : (r+1)*s.n]
	alpha := row[q]
	cols := s.cols[:0]
	for j, a := range row {
		if a != 0 && j != q {
			row[j] = -a / alpha
			cols = append(cols, j)
		}
	}
	row[q] = 1 / alpha
	for i := range s.m {
		if i == r || s.isIdle(s.basic[i]) {
			continue
		}
		other := s.t[i*s.n : (i+1)*s.n]
		if f := other[q]; f != 0 {
			for _, j := range cols {
				other[j] += f * row[j]
			}
			other[q] = f / alpha
		}
	}
	if f := s.d[q]; f != 0 {
		for _, j := range cols {
			s.d[j] += f * row[j]
		}
		s.d[q] = f / alpha
	}
	s.cols = cols[:0]
}

// isIdle reports a row that asks nothing. It stays basic for good, so nobody
// reads its line of the tableau.
func (s *simplex) isIdle(v int) bool { return math.IsInf(s.lo[v], -1) && math.IsInf(s.hi[v], 1) }

// remake computes the tableau anew from the model, for the same basis.
func (s *simplex) remake() {
	wanted := make([]bool, s.n+s.m)
	for _, v := range s.basic {
		wanted[v] = true
	}
	side := make([]bool, s.n+s.m)
	for j, v := range s.nonbasic {
		side[v] = s.upper[j]
	}
	s.start()
	for {
		r, q := s.largestTurn(wanted)
		if q < 0 {
			break
		}
		s.basic[r], s.nonbasic[q] = s.nonbasic[q], s.basic[r]
		s.turn(r, q)
	}
	s.turns = 0
	for j, v := range s.nonbasic {
		s.upper[j] = side[v]
	}
	s.settle()
}

// largestTurn finds the largest entry between an unwanted basic and a wanted
// nonbasic variable.
func (s *simplex) largestTurn(wanted []bool) (r, q int) {
	r, q = -1, -1
	most := pivotTol
	for i, out := range s.basic {
		if wanted[out] {
			continue
		}
		for j, in := range s.nonbasic {
			if a := math.Abs(s.t[i*s.n+j]); wanted[in] && a > most {
				r, q, most = i, j, a
			}
		}
	}
	return r, q
}

// settle puts every nonbasic variable on the bound its reduced cost asks for
// and computes the basic values.
func (s *simplex) settle() {
	for j, v := range s.nonbasic {
		switch {
		case s.d[j] > dualTol && finite(s.lo[v]), math.IsInf(s.hi[v], 1):
			s.upper[j] = false
		case s.d[j] < -dualTol && finite(s.hi[v]), math.IsInf(s.lo[v], -1):
			s.upper[j] = true
		}
	}
	s.place()
}
