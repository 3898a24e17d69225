package heat

import "math"

// Frame is the cross-section of the body at one time: the middle of a box
// seen along its length, or half a cylinder seen from the side.
type Frame struct {
	TimeS float64     `json:"t_s"`
	C     [][]float64 `json:"c"` // [°C], row by row from the bottom, from the middle outward
}

// frame keeps the section through the middle: the last axis upward, the one
// before it outward.
func (v *solver) frame() Frame {
	outward, up := len(v.f.axes)-2, len(v.f.axes)-1
	f := Frame{TimeS: v.now}
	nOut, nUp := len(v.f.axes[outward].at), len(v.f.axes[up].at)
	for k := range nUp {
		row := make([]float64, nOut)
		for j := range row {
			row[j] = v.around + v.f.body[j*nUp+k]
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
