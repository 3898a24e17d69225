package heat

import "math"

// Frame is the cross-section of the body at one time: the middle of a box
// seen along its length, or half a cylinder seen from the side.
type Frame struct {
	TimeS float64     `json:"t_s"`
	C     [][]float64 `json:"c"` // [°C], row by row from the bottom, from the middle outward
}

// detail is how many steps a frame has across a half.
const detail = 12

// section is what takes a field to its frames: the last axis upward, the one
// before it outward.
type section struct {
	outM, upM []float64
	out, up   [][]float64
}

func newSection(g grid) (s section) {
	outward, up := len(g.axes)-2, len(g.axes)-1
	steps := func(axis int) int {
		if g.kinds[axis] == upDown {
			return 2 * detail
		}
		return detail
	}
	s.outM, s.out = g.axes[outward].reading(steps(outward))
	s.upM, s.up = g.axes[up].reading(steps(up))
	return s
}

// frame keeps the section through the middle.
func (v *solver) frame() Frame {
	f := Frame{TimeS: v.now}
	n := len(v.section.up[0])
	for _, up := range v.section.up {
		row := make([]float64, len(v.section.out))
		for j, out := range v.section.out {
			for i, share := range out {
				row[j] += share * dot(up, v.f.body[i*n:i*n+n])
			}
			row[j] += v.around
		}
		f.C = append(f.C, row)
	}
	return f
}

// frameTime returns when the i-th frame is due [s]: early ones lie closer,
// where more happens.
func (v *solver) frameTime(i int) float64 {
	return v.UntilS * math.Pow(float64(i)/float64(v.Frames), 1.6)
}

// settled reports that nothing more can happen that a chance counts: the last
// stage has begun, nearly all has reacted, and it is well below the gel line.
func (v *solver) settled(r *Run) bool {
	last := len(r.TimeS) - 1
	return v.next >= len(v.Stages) && r.MeanX[last] > 0.97 && r.CoreC[last] < v.Physics.Rate.GelC-8 && v.around < v.Physics.Rate.GelC-8
}
