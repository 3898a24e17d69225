package heat

import "math"

// Resolution says how finely a body is cut: the number of steps across its
// thinnest half, from the middle to a face.
type Resolution int

// Resolutions in use. docs/model/heat.md has the error of each.
const (
	Coarse Resolution = 3 // the many runs of a band
	Fine   Resolution = 6 // the one run that is shown
)

// longest is how many times as long as across the thinnest half a step along
// a long one may be: the middle of a loaf is flat.
const longest = 5.0

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
	thinnest := math.Min(b.RadiusM, b.LengthM/2)
	out, along := fineness.across(b.RadiusM, thinnest), fineness.across(b.LengthM/2, thinnest)
	g := grid{axes: []axis{radiusAxis(b.RadiusM, out)}, kinds: []kind{halfSide, upDown}, times: 2 * math.Pi}
	if b.Axis == Level {
		g.axes, g.kinds[1], g.times = append(g.axes, sideAxis(b.LengthM/2, along)), halfSide, 4*math.Pi
		g.middle = []int{0, 0}
		return g
	}
	g.axes = append(g.axes, wholeAxis(b.LengthM, along))
	g.middle = []int{0, along}
	return g
}

func newBoxGrid(b Body, fineness Resolution) grid {
	x, y, z := b.SizeM[0]/2, b.SizeM[1]/2, b.SizeM[2]/2
	thinnest := min(x, y, z)
	up := fineness.across(z, thinnest)
	return grid{
		axes:   []axis{sideAxis(x, fineness.across(x, thinnest)), sideAxis(y, fineness.across(y, thinnest)), wholeAxis(2*z, up)},
		kinds:  []kind{halfSide, halfSide, upDown},
		middle: []int{0, 0, up},
		times:  4,
	}
}

// across returns how many steps a half of the body takes from the middle to a
// face, its thinnest half taking as many as the resolution says.
func (r Resolution) across(halfM, thinnestM float64) int {
	n := math.Ceil(float64(r) / longest * halfM / thinnestM * (1 - 1e-9))
	return min(max(int(r), int(n)), 3*int(r)) // a very long body is a rod: its ends matter little
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
