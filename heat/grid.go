package heat

import "math"

// Resolution says how finely a body is cut: the number of steps across its
// thinnest half, from the middle to a face.
type Resolution int

// Resolutions in use. docs/model/heat.md has the error of each.
const (
	Coarse Resolution = 4 // the many runs of a band
	Fine   Resolution = 8 // the one run that is shown
)

// most is how much longer than the shortest step a step in the middle of a
// long side may be: the middle of a loaf is flat.
const most = 4.0

// grid is a body cut along its axes: x, y and z of a box, radius and z of an
// upright cylinder, radius and length of a level one. Across a plane of
// symmetry only one half is there.
type grid struct {
	axes   []axis
	kinds  []kind
	middle []int   // index of the middle on every axis
	times  float64 // how much bigger the body is than the part that is cut
}

// kind says which faces an axis ends in.
type kind int

const (
	halfSide kind = iota // from the middle to a side: the other half is its mirror
	upDown               // from the bottom to the top
)

func newGrid(b Body, fineness Resolution) grid {
	if b.Shape == Box {
		return newBoxGrid(b, fineness)
	}
	step := math.Min(b.RadiusM, b.LengthM/2) / float64(fineness)
	g := grid{axes: []axis{newAxis(half(b.RadiusM, step, fineness), true)}, kinds: []kind{halfSide, upDown}, times: 2 * math.Pi}
	along := half(b.LengthM/2, step, fineness)
	if b.Axis == Level {
		g.axes, g.kinds[1], g.times = append(g.axes, newAxis(along, false)), halfSide, 4*math.Pi
		g.middle = []int{0, 0}
		return g
	}
	g.axes = append(g.axes, newAxis(both(along), false))
	g.middle = []int{0, len(along) - 1}
	return g
}

func newBoxGrid(b Body, fineness Resolution) grid {
	x, y, z := b.SizeM[0]/2, b.SizeM[1]/2, b.SizeM[2]/2
	step := min(x, y, z) / float64(fineness)
	up := half(z, step, fineness)
	return grid{
		axes:   []axis{newAxis(half(x, step, fineness), false), newAxis(half(y, step, fineness), false), newAxis(both(up), false)},
		kinds:  []kind{halfSide, halfSide, upDown},
		middle: []int{0, 0, len(up) - 1},
		times:  4,
	}
}

// half cuts a length [m] from the middle outward; steps shorten smoothly
// toward the face, where they are about step long.
func half(lengthM, step float64, fineness Resolution) []float64 {
	n := int(fineness)
	curve := 0.0 // x = L ((1+c) s - c s²): steps from (1+c) to (1-c) of the mean
	if lengthM > step*float64(n)*1.001 {
		n = int(math.Ceil(math.Max(float64(n), lengthM/step/most)))
		n = min(n, 3*int(fineness)) // a very long body is a rod: its ends matter little
		curve = math.Max(0, math.Min((most-1)/(most+1)*1.25, 1-step*float64(n)/lengthM))
	}
	at := make([]float64, n+1)
	for i := range at {
		s := float64(i) / float64(n)
		at[i] = lengthM * s * (1 + curve - curve*s)
	}
	return at
}

// both mirrors a half into a whole that begins at 0.
func both(half []float64) []float64 {
	n := len(half) - 1
	at := make([]float64, 2*n+1)
	for i, x := range half {
		at[n+i], at[n-i] = half[n]+x, half[n]-x
	}
	return at
}

// stride returns how many entries lie between neighbours on an axis of a
// field over the grid, and how many nodes the axis has.
func (g grid) stride(axis int) (inner, n int) {
	inner = 1
	for _, a := range g.axes[axis+1:] {
		inner *= len(a.at)
	}
	return inner, len(g.axes[axis].at)
}

// nodes returns how many nodes the grid has.
func (g grid) nodes() int {
	n := 1
	for _, a := range g.axes {
		n *= len(a.at)
	}
	return n
}

// core is the index of the middle of the body.
func (g grid) core() int { return g.index(g.middle) }

// edge is the index of the middle of a vertical edge of a box, or of the
// curved face of a cylinder.
func (g grid) edge() int {
	at := append([]int{}, g.middle...)
	at[0] = len(g.axes[0].at) - 1
	if len(at) == 3 {
		at[1] = len(g.axes[1].at) - 1
	}
	return g.index(at)
}

func (g grid) index(at []int) int {
	i := 0
	for axis, a := range g.axes {
		i = i*len(a.at) + at[axis]
	}
	return i
}

// weights returns the share of the body's volume every node owns; they come
// to 1.
func (g grid) weights() []float64 {
	w := []float64{1}
	for _, a := range g.axes {
		w = outer(w, a.size)
	}
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

func outer(a, b []float64) []float64 {
	out := make([]float64, 0, len(a)*len(b))
	for _, x := range a {
		for _, y := range b {
			out = append(out, x*y)
		}
	}
	return out
}
