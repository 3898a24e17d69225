package heat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// face is how one end of an axis meets its surroundings, everything divided
// by the batter's heat per volume. A zero face is a plane of symmetry.
type face struct {
	out  float64 // [m/s] from the surface, or from the wall when there is one
	in   float64 // [m/s] from the surface to the wall
	wall float64 // thickness of batter that holds as much heat as the wall [m]
}

// line is the conduction along one axis: C dθ/dt = -K θ, θ above the
// surroundings, over the nodes and the walls at either end.
type line struct {
	n      int        // nodes and walls
	lows   int        // 1 when there is a wall before the first node
	values []float64  // eigenvalues of C⁻¹K [1/s]
	left   *mat.Dense // C^-½ V
	right  *mat.Dense // Vᵀ C^½
	loss   [2]float64 // what leaves at the first and last entry per kelvin
}

// newLine joins an axis, its two faces and the batter's diffusivity [m²/s].
func newLine(a axis, diffusivity float64, faces [2]face) line {
	lows, highs := walls(faces[0]), walls(faces[1])
	n := lows + len(a.at) + highs
	l := line{n: n, lows: lows}
	size := make([]float64, n)
	k := mat.NewSymDense(n, nil)
	couple := func(i int, g float64) {
		k.SetSym(i, i, k.At(i, i)+g)
		k.SetSym(i+1, i+1, k.At(i+1, i+1)+g)
		k.SetSym(i, i+1, -g)
	}
	copy(size[lows:], a.size)
	for i := range a.at {
		for j := i; j < len(a.at); j++ {
			k.SetSym(lows+i, lows+j, diffusivity*a.between.At(i, j))
		}
	}
	for end, f := range faces {
		at := end * (n - 1)
		if walls(f) == 1 {
			size[at] = f.wall * a.ends[end]
			couple(at-end, f.in*a.ends[end])
		}
		l.loss[end] = f.out * a.ends[end]
		k.SetSym(at, at, k.At(at, at)+l.loss[end])
	}
	l.decompose(size, k)
	return l
}

func walls(f face) int {
	if f.wall > 0 {
		return 1
	}
	return 0
}

func (l *line) decompose(size []float64, k *mat.SymDense) {
	for i := range size {
		for j := i; j < len(size); j++ {
			k.SetSym(i, j, k.At(i, j)/math.Sqrt(size[i]*size[j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(k, true) {
		panic("heat: conduction along an axis has no eigenvalues")
	}
	l.values = eigen.Values(nil)
	l.left, l.right = mat.NewDense(l.n, l.n, nil), mat.NewDense(l.n, l.n, nil)
	var v mat.Dense
	eigen.VectorsTo(&v)
	for i, s := range size {
		for m := range size {
			l.left.Set(i, m, v.At(i, m)/math.Sqrt(s))
			l.right.Set(m, i, v.At(i, m)*math.Sqrt(s))
		}
	}
}

// step is what conduction along a line does in a given time: exact, whatever
// the time. The matrix takes θ of every entry to θ of every entry and, by its
// last row, to what left through the faces.
type step struct {
	dtS    float64   // what it was filled for; 0: nothing yet
	matrix []float64 // n+1 rows of n
}

// over fills s with the step of dtS seconds: e^(-C⁻¹K dt), and the integral
// of the flux over it.
func (l line) over(dtS float64, s *step) {
	if s.dtS == dtS {
		return
	}
	n := l.n
	s.dtS = dtS
	if len(s.matrix) != (n+1)*n {
		s.matrix = make([]float64, (n+1)*n)
	}
	clear(s.matrix)
	left, right := l.left.RawMatrix().Data, l.right.RawMatrix().Data
	for m, value := range l.values {
		decay := math.Exp(-value * dtS)
		during := dtS
		if value*dtS > 1e-12 {
			during = -math.Expm1(-value*dtS) / value
		}
		row := right[m*n : m*n+n]
		for i := range n + 1 {
			f := (l.loss[0]*left[m] + l.loss[1]*left[(n-1)*n+m]) * during
			if i < n {
				f = left[i*n+m] * decay
			}
			out := s.matrix[i*n : i*n+n]
			for j, r := range row {
				out[j] += f * r
			}
		}
	}
}
