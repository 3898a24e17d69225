package heat

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/floats"
)

// Lobatto's nodes and weights against closed forms. Source: abramowitz_stegun
// 25.4.32 and table 25.6.
func TestLobatto(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ at, weights []float64 }{
		{[]float64{-1, 1}, []float64{1, 1}},
		{[]float64{-1, 0, 1}, []float64{1. / 3, 4. / 3, 1. / 3}},
		{[]float64{-1, -math.Sqrt(1. / 5), math.Sqrt(1. / 5), 1}, []float64{1. / 6, 5. / 6, 5. / 6, 1. / 6}},
		{[]float64{-1, -math.Sqrt(3. / 7), 0, math.Sqrt(3. / 7), 1}, []float64{0.1, 49. / 90, 32. / 45, 49. / 90, 0.1}},
	} {
		at, weights := lobatto(len(c.at) - 1)
		if !floats.EqualApprox(at, c.at, 1e-14) || !floats.EqualApprox(weights, c.weights, 1e-14) {
			t.Errorf("%d nodes: at %v, weights %v", len(c.at), at, weights)
		}
	}
	for n := 1; n <= 40; n++ { // exact for polynomials of degree 2n-1
		at, weights := lobatto(n)
		sum := 0.0
		for i, x := range at {
			sum += weights[i] * math.Pow(x, float64(2*(n-1)))
		}
		near(t, "the integral of x^(2n-2)", sum, 2/float64(2*n-1), 1e-12)
	}
}

// An axis is as long as its body, passes nothing where it is as warm all over,
// and knows the flow of a smooth course: of a cosine the integral of the square
// of its slope, by a fine sum.
func TestAxesKeepTheirMeasure(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		axis  axis
		whole float64
		low   float64
		per   func(x float64) float64 // measure per length
	}{
		"side":   {sideAxis(0.8, 7), 0.8, 0, func(float64) float64 { return 1 }},
		"whole":  {wholeAxis(0.8, 5), 0.8, 0, func(float64) float64 { return 1 }},
		"radius": {radiusAxis(0.8, 7), 0.32, 0, func(r float64) float64 { return r }},
	} {
		near(t, name+": measure", floats.Sum(c.axis.size), c.whole, 1e-12)
		n := len(c.axis.at)
		flow, warm := 0.0, 0.0
		for i := range n {
			row := 0.0
			for j := range n {
				row += c.axis.between.At(i, j)
				flow += math.Cos(3*c.axis.at[i]) * math.Cos(3*c.axis.at[j]) * c.axis.between.At(i, j)
			}
			warm = math.Max(warm, math.Abs(row))
		}
		near(t, name+": flow where all is as warm", warm, 0, 1e-9)
		at, matrix := c.axis.reading(9)
		for i, x := range at {
			got := 0.0
			for j, share := range matrix[i] {
				got += share * math.Cos(3*c.axis.at[j])
			}
			near(t, name+": read between the nodes", got, math.Cos(3*x), 1e-4)
		}
		const parts = 100000
		want := 0.0
		for i := range parts {
			x := 0.8 * (float64(i) + 0.5) / parts
			want += 9 * math.Sin(3*x) * math.Sin(3*x) * c.per(x) * 0.8 / parts
		}
		near(t, name+": flow of a cosine", flow, want, 1e-4*want)
	}
}

// A cell reaches over the gel line as far as its own temperatures do: by half of
// the way to either neighbour, along all axes at once.
func TestCellsReachOverTheGelLine(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Body.SizeM = [3]float64{0.08, 0.08, 0.08}
	v := newSolver(p, Settings{Grid: 4})
	v.enter(0)
	const perM = 300.0
	i := 0
	for range v.f.axes[0].at {
		for range v.f.axes[1].at {
			for _, z := range v.f.axes[2].at {
				v.f.body[i] = 71 - v.around + perM*(z-0.04)
				i++
			}
		}
	}
	v.sharpen()
	core, size := v.f.core(), v.f.axes[2].size[4]
	near(t, "span of the middle cell", 1/v.ramps[core].perK, 2*math.Hypot(0.5, perM*size/2), 0.02*perM*size)
	near(t, "half of it is above the line", v.ramps[core].share(71), 0.5, 1e-9)
	v.f.body[core] = 71 - gelReachK - 1 - v.around
	v.sharpen()
	near(t, "span far from the line", 1/v.ramps[core].perK, 1, 1e-5)
}

// The cell at the top of a hump is colder than its node, on the average by size²/24
// times the curvature; half of that is taken.
func TestTheTopOfAHumpGelsLater(t *testing.T) {
	t.Parallel()
	v := newSolver(loaf(), Settings{Grid: 4})
	v.enter(0)
	const perM2 = 5000.0
	i := 0
	for _, x := range v.f.axes[0].at {
		for _, y := range v.f.axes[1].at {
			for _, z := range v.f.axes[2].at {
				v.f.body[i] = 71 - v.around - perM2*(x*x+y*y+(z-0.04)*(z-0.04))
				i++
			}
		}
	}
	v.sharpen()
	colder := 0.0
	for i, a := range v.f.axes {
		size := a.size[v.f.middle[i]]
		if v.f.kinds[i] == halfSide {
			size *= 2
		}
		colder += 2 * perM2 * size * size / 24
	}
	cell := v.ramps[v.f.core()]
	near(t, "the node's temperature at which half of its cell is above the line", (0.5-cell.at0C)/cell.perK, 71+colder/2, 0.1*colder)
}
