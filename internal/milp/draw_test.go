package milp_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"barwright/internal/milp"
)

// draw makes a small random model: whole and fractional variables, dense and
// sparse rows, equalities, ranges, repeated rows, rows that never bind, rows
// that meet in one point, and now and then none that can be met.
func draw(seed uint64) milp.Model {
	rng := rand.New(rand.NewPCG(seed, 7))
	var m milp.Model
	n := 2 + rng.IntN(6)
	point := make([]float64, n)
	for j := range n {
		low, high := float64(rng.IntN(4)-2), float64(2+rng.IntN(5))
		point[j] = low + float64(rng.IntN(int(high-low)+1))
		m.Add(milp.Var{Name: fmt.Sprintf("x%d", j), Low: low, High: high, Cost: float64(rng.IntN(21)-10) / 4, Integer: rng.IntN(3) > 0})
	}
	for i := range 1 + rng.IntN(7) {
		var terms []milp.Term
		value := 0.0
		for j := range n {
			if rng.IntN(3) > 0 {
				c := float64(rng.IntN(19)-9) / 2
				terms, value = append(terms, milp.Term{Var: j, Coef: c}), value+c*point[j]
			}
		}
		low, high := math.Inf(-1), math.Inf(1)
		switch rng.IntN(6) {
		case 0:
			low, high = value, value
		case 1:
			low, high = value-float64(rng.IntN(3)), value+float64(rng.IntN(3))
		case 2:
			low = value + float64(rng.IntN(16)-6)
		case 3:
			high = value + 40
		default:
			high = value + float64(rng.IntN(4))/2
		}
		m.AddRow(fmt.Sprintf("r%d", i), low, high, terms...)
		if rng.IntN(4) == 0 {
			m.AddRow(fmt.Sprintf("again%d", i), low, high, terms...)
		}
	}
	return m
}

// enumerate returns the least objective over all whole points, for a model of
// whole variables only.
func enumerate(m milp.Model) (best float64, found bool) {
	x := make([]float64, len(m.Vars))
	var visit func(j int)
	visit = func(j int) {
		if j == len(x) {
			if obj, ok := judge(m, x); ok && (!found || obj < best) {
				best, found = obj, true
			}
			return
		}
		for v := m.Vars[j].Low; v <= m.Vars[j].High; v++ {
			x[j] = v
			visit(j + 1)
		}
	}
	visit(0)
	return best, found
}

// judge works on halves and quarters, so floating point is exact.
func judge(m milp.Model, x []float64) (obj float64, ok bool) {
	for _, r := range m.Rows {
		sum := 0.0
		for _, t := range r.Terms {
			sum += t.Coef * x[t.Var]
		}
		if sum < r.Low || sum > r.High {
			return 0, false
		}
	}
	for j, v := range m.Vars {
		obj += v.Cost * x[j]
	}
	return obj, true
}
