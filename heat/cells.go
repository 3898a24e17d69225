package heat

import "math"

// cells says how much of every node's cell is above the gel line, where the
// speed jumps: as much as would be if the temperature were straight across
// it. A node that gelled all at once would make the front jump from node to node.
type cells struct {
	ramps []ramp     // by node
	turn  [3][]slope // by axis, the first one of a single place where there are but two
}

// ramp takes the temperature of a node [°C] to the share of its cell above the gel
// line, below 0 none and above 1 all of it.
type ramp struct{ at0C, perK float64 }

func (r ramp) share(tC float64) float64 { return r.at0C + r.perK*tC }

// slope takes the temperatures of two neighbours of a node to half the span
// across its cell.
type slope struct {
	below, above int     // how many entries away the neighbours are
	half         float64 // half the cell's size over the way between the neighbours
}

// bend takes how much warmer the neighbours along an axis are than a node, together,
// to how much warmer its cell is on the average: it would be 1/24 in an even grid and
// a smooth course. At a front less is better. Own trials: docs/model/heat.md.
const bend = 1.0 / 48

// gelReachK is how far from the gel line no cell reaches over it [K].
const gelReachK = 20.0

func newCells(g grid) cells {
	c := cells{ramps: make([]ramp, g.nodes()), turn: [3][]slope{{{}}, {{}}, {{}}}}
	for i, a := range g.axes {
		inner, n := g.stride(i)
		turn := make([]slope, n)
		for j := range turn {
			low, high := max(j-1, 0), min(j+1, n-1)
			turn[j] = slope{(low - j) * inner, (high - j) * inner, a.size[j] / 2 / (a.edge(a.at[high]) - a.edge(a.at[low]))}
		}
		if g.kinds[i] == halfSide {
			turn[0].below = turn[0].above // it mirrors itself
		}
		c.turn[3-len(g.axes)+i] = turn
	}
	return c
}

// sharpen finds the ramp of every cell. The spans along the axes and the ramp of
// the line itself add as independent ones do.
func (v *solver) sharpen() {
	gel, body, ramps := v.GelC-v.around, v.f.body, v.ramps[:len(v.f.body)]
	least := v.GelRampK*v.GelRampK/4 + 1e-6
	sharpest := 0.5 / math.Sqrt(least)
	i := 0
	for _, a := range v.turn[0] {
		for _, b := range v.turn[1] {
			for _, c := range v.turn[2] {
				t, warmer, perK := body[i], 0.0, sharpest
				if math.Abs(t-gel) <= gelReachK {
					a0, a1 := body[i+a.below], body[i+a.above]
					b0, b1 := body[i+b.below], body[i+b.above]
					c0, c1 := body[i+c.below], body[i+c.above]
					da, db, dc := a.half*(a1-a0), b.half*(b1-b0), c.half*(c1-c0)
					warmer = bend * (a0 + a1 + b0 + b1 + c0 + c1 - 6*t)
					perK = 0.5 / math.Sqrt(least+da*da+db*db+dc*dc)
				}
				ramps[i] = ramp{0.5 - (v.GelC-warmer)*perK, perK}
				i++
			}
		}
	}
}
