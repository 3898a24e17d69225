package milp

import "math"

// source is the model a tableau is made from, its rows brought to a largest
// coefficient of about 1.
type source struct {
	cost  []float64
	a     []float64 // m × n
	scale []float64 // m: row as written = scale × row here
}

func newSource(m Model) (*source, []float64, []float64) {
	n := len(m.Vars)
	s := &source{cost: make([]float64, n), a: make([]float64, len(m.Rows)*n), scale: make([]float64, len(m.Rows))}
	lo, hi := make([]float64, n+len(m.Rows)), make([]float64, n+len(m.Rows))
	for j, v := range m.Vars {
		s.cost[j], lo[j], hi[j] = v.Cost, v.Low, v.High
	}
	for i, r := range m.Rows {
		largest := 0.0
		for _, t := range r.Terms {
			largest = max(largest, math.Abs(t.Coef))
		}
		s.scale[i] = 1
		if largest > 0 {
			_, e := math.Frexp(largest)
			s.scale[i] = math.Ldexp(1, e-1)
		}
		for _, t := range r.Terms {
			s.a[i*n+t.Var] = t.Coef / s.scale[i]
		}
		lo[n+i], hi[n+i] = r.Low/s.scale[i], r.High/s.scale[i]
	}
	return s, lo, hi
}
