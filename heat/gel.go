package heat

import (
	"math"
	"slices"
)

// Outcome is what a batch does about the gel line, by the volume that passed
// it at any time.
type Outcome string

// The outcomes.
const (
	NoGel      Outcome = "none"
	PartialGel Outcome = "partial"
	FullGel    Outcome = "full"
)

// Shares of the volume that part the outcomes.
const (
	noneBelow = 0.01
	fullAbove = 0.95
)

// Outcome returns the outcome of a gelled share of the volume [0..1].
func outcomeOf(gelled float64) Outcome {
	switch {
	case gelled < noneBelow:
		return NoGel
	case gelled > fullAbove:
		return FullGel
	}
	return PartialGel
}

// Overheating begins at the larger of overheatC and overheatK above the gel
// line. Common practice puts it at 85 to 90 °C.
const (
	overheatC = 88.0
	overheatK = 10.0
)

// OverheatC returns the temperature of the core at which a batch counts as
// overheated [°C].
func OverheatC(gelC float64) float64 { return math.Max(overheatC, gelC+overheatK) }

// Gelled returns the share of the volume that was ever warmer than gelC
// [0..1]. Between the nodes the highest temperature is taken as straight, and
// every cell is looked at in three places along every axis.
func (r *Run) Gelled(gelC float64) float64 {
	places := make([][]place, 3)
	for i := range places {
		places[i] = []place{{0, 0, 1}}
		if i < len(r.grid.axes) {
			places[i] = r.grid.axes[i].places()
		}
	}
	n1, n2 := 1, 1
	if len(r.grid.axes) > 1 {
		n1 = len(r.grid.axes[1].at)
	}
	if len(r.grid.axes) > 2 {
		n2 = len(r.grid.axes[2].at)
	}
	at := func(i, j, k int) float64 { return r.reached[(i*n1+j)*n2+k] }
	gelled, all := 0.0, 0.0
	for _, a := range places[0] {
		for _, b := range places[1] {
			for _, c := range places[2] {
				share := a.size * b.size * c.size
				all += share
				if between(at, a, b, c) > gelC {
					gelled += share
				}
			}
		}
	}
	return gelled / all
}

// hotPart is the share of the volume that counts as a part: less is a corner.
const hotPart = 0.05

// partC returns the temperature that hotPart of the volume passes [°C], to 0.1 K.
func (r *Run) partC() float64 {
	low, high := slices.Min(r.reached), r.HottestC
	for high-low > 0.1 {
		if middle := (low + high) / 2; r.Gelled(middle) > hotPart {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// place is one place on an axis: after node i by a fraction of the way to the
// next, standing for a size of the axis.
type place struct {
	i        int
	fraction float64
	size     float64
}

// places returns three places in every cell of the axis.
func (a axis) places() (ps []place) {
	const parts = 3
	for i := range len(a.at) - 1 {
		step := (a.at[i+1] - a.at[i]) / parts
		for p := range parts {
			low := a.at[i] + step*float64(p)
			ps = append(ps, place{i, (float64(p) + 0.5) / parts, a.edge(low+step) - a.edge(low)})
		}
	}
	return ps
}

// between returns a value between the nodes, straight along every axis.
func between(at func(i, j, k int) float64, a, b, c place) (v float64) {
	for di, wa := range [2]float64{1 - a.fraction, a.fraction} {
		for dj, wb := range [2]float64{1 - b.fraction, b.fraction} {
			for dk, wc := range [2]float64{1 - c.fraction, c.fraction} {
				if w := wa * wb * wc; w > 0 {
					v += w * at(a.i+di, b.i+dj, c.i+dk)
				}
			}
		}
	}
	return v
}
