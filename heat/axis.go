package heat

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// axis is one direction of the body cut at nodes, the first and the last on its
// faces. Between the nodes a temperature is one polynomial through all of them,
// so a smooth course is met far better than by volumes of the same number.
// Heat per kelvin sits at the nodes, conduction joins every node with every other.
type axis struct {
	at      []float64     // place of every node [m], rising
	size    []float64     // length a node stands for [m]; of a radius its ring per radian [m²]
	between *mat.SymDense // conductance between nodes per conductivity and other measure [1/m], or [1]
	ends    [2]float64    // area of the ends per other measure: 1, or the radius [m]
	edge    func(x float64) float64
	of      func(x float64) float64 // what the polynomials are of, at a place [m]
}

// Where the nodes lie: at those of Lobatto, drawn apart near the faces by
// x = asin(evenness ξ)/asin(evenness), since soap has no thin layer there and
// a front needs them in the middle. 0 would leave them, 1 make them even (and
// the polynomials useless). Own trials: docs/model/heat.md.
const evenness = 0.7

func evenly(xi float64) (x, slope float64) {
	s := evenness * xi
	return math.Asin(s) / math.Asin(evenness), evenness / (math.Asin(evenness) * math.Sqrt(1-s*s))
}

// unevenly is the way back.
func unevenly(x float64) (xi float64) { return math.Sin(x*math.Asin(evenness)) / evenness }

// wholeAxis cuts a length [m] from face to face at 2n+1 nodes.
func wholeAxis(lengthM float64, n int) axis {
	xi, weights := lobatto(2 * n)
	a := axis{at: make([]float64, len(xi)), size: make([]float64, len(xi)), ends: [2]float64{1, 1}, edge: func(x float64) float64 { return x },
		of: func(x float64) float64 { return unevenly(2*x/lengthM - 1) }}
	through := make([]float64, len(xi))
	for i, z := range xi {
		x, slope := evenly(z)
		a.at[i], a.size[i] = lengthM/2*(1+x), lengthM/2*weights[i]*slope
		through[i] = weights[i] / (lengthM / 2 * slope)
	}
	a.at[n] = lengthM / 2
	a.fill(lengthM)
	a.between = conductance(xi, through)
	return a
}

// sideAxis cuts a length [m] from the middle, of which it is the mirror, to a
// face at n+1 nodes.
func sideAxis(lengthM float64, n int) axis {
	whole := wholeAxis(2*lengthM, n)
	mirror := mat.NewDense(2*n+1, n+1, nil)
	for i := range n + 1 {
		mirror.Set(n-i, i, 1)
		mirror.Set(n+i, i, 1)
	}
	a := axis{at: make([]float64, n+1), size: make([]float64, n+1), between: mat.NewSymDense(n+1, nil), ends: whole.ends, edge: whole.edge,
		of: func(x float64) float64 { return math.Pow(unevenly(x/lengthM), 2) }}
	var half, folded mat.Dense
	half.Mul(whole.between, mirror)
	folded.Mul(mirror.T(), &half)
	for i := range n + 1 {
		a.at[i], a.size[i] = whole.at[n+i]-lengthM, whole.size[n+i]
		for j := i; j <= n; j++ {
			a.between.SetSym(i, j, folded.At(i, j)/2)
		}
	}
	a.size[0] /= 2
	return a
}

// radiusAxis cuts a radius [m] from the middle outward at n+1 nodes. What is
// smooth about the middle is a polynomial of the radius squared.
func radiusAxis(radiusM float64, n int) axis {
	xi, weights := lobatto(n)
	a := axis{at: make([]float64, n+1), size: make([]float64, n+1), ends: [2]float64{0, radiusM}, edge: func(r float64) float64 { return r * r / 2 },
		of: func(r float64) float64 { return math.Pow(unevenly(r/radiusM), 2) }}
	through := make([]float64, n+1)
	for i, z := range xi {
		root := math.Sqrt((1 + z) / 2)
		x, slope := evenly(root)
		perSquare := 1 / (math.Asin(evenness) * math.Asin(evenness)) * evenness * evenness // of x², at the middle
		if root > 0 {
			perSquare = x * slope / root
		}
		a.at[i] = radiusM * x
		a.size[i] = radiusM * radiusM / 2 * perSquare * weights[i] / 2
		through[i] = 4 * x * x / perSquare * weights[i]
	}
	a.fill(radiusM * radiusM / 2)
	a.between = conductance(xi, through)
	return a
}

// fill makes the sizes come to the whole, which the rule meets but for some 1e-5.
func (a axis) fill(whole float64) { floats.Scale(whole/floats.Sum(a.size), a.size) }

// reading returns n+1 places from the first node to the last at even steps [m], and
// the matrix that takes values at the nodes to values there.
func (a axis) reading(n int) (at []float64, matrix [][]float64) {
	first, last := a.at[0], a.at[len(a.at)-1]
	for p := range n + 1 {
		x := first + (last-first)*float64(p)/float64(n)
		row := make([]float64, len(a.at))
		for i, node := range a.at {
			row[i] = 1
			for k, other := range a.at {
				if k != i {
					row[i] *= (a.of(x) - a.of(other)) / (a.of(node) - a.of(other))
				}
			}
		}
		at, matrix = append(at, x), append(matrix, row)
	}
	return at, matrix
}

// lobatto returns the n+1 nodes of Lobatto's rule on -1 to 1, the ends among
// them, and their weights; n of 1 or more. The inner nodes are where the slope of
// Legendre's polynomial of degree n is 0. Source: abramowitz_stegun 25.4.32.
func lobatto(n int) (at, weights []float64) {
	at, weights = make([]float64, n+1), make([]float64, n+1)
	for i := range at {
		x := -math.Cos(math.Pi * float64(i) / float64(n))
		p, slope := legendre(n, x)
		for inner := i > 0 && i < n; inner; {
			step := slope * (1 - x*x) / (2*x*slope - float64(n*(n+1))*p)
			x -= step
			p, slope = legendre(n, x)
			inner = math.Abs(step) > 1e-14
		}
		at[i], weights[i] = x, 2/(float64(n*(n+1))*p*p)
	}
	return at, weights
}

// legendre returns Legendre's polynomial of degree n at x and, within the ends,
// its slope. Source: abramowitz_stegun 22.7.10, 22.8.5.
func legendre(n int, x float64) (p, slope float64) {
	before, p := 1.0, x
	for k := 2; k <= n; k++ {
		before, p = p, (float64(2*k-1)*x*p-float64(k-1)*before)/float64(k)
	}
	return p, float64(n) * (before - x*p) / (1 - x*x)
}

// conductance returns what conduction joins: the sum over the nodes of through times
// the slopes of every two polynomials that are 1 at one node and 0 at the others.
func conductance(at, through []float64) *mat.SymDense {
	n := len(at)
	slopes := mat.NewDense(n, n, nil) // of the polynomial of j at node i
	for i := range at {
		for j := range at {
			if i == j {
				continue
			}
			d := 1 / (at[j] - at[i])
			for k := range at {
				if k != i && k != j {
					d *= (at[i] - at[k]) / (at[j] - at[k])
				}
			}
			slopes.Set(i, j, d)
			slopes.Set(i, i, slopes.At(i, i)-d)
		}
	}
	k := mat.NewSymDense(n, nil)
	for q, g := range through {
		k.SymRankOne(k, g, slopes.RowView(q))
	}
	return k
}
