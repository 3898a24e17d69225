package heat

import "math"

// cells says how much of every node's cell is above the gel line, where the
// speed jumps: as much as would be if the temperature were straight across
// it. A node that gelled all at once would make the front jump from node to node.
type cells struct {
	sharp []float64  // by node: 1 over the span of temperatures in its cell [1/K]
	turn  [3][]slope // by axis, the first one of a single place where there are but two
}

// slope takes the temperatures of two neighbours of a node to half the span
// across its cell.
type slope struct {
	below, above int     // how many entries away the neighbours are
	half         float64 // half the cell's size over the way between the neighbours
}

// gelReachK is how far from the gel line no cell reaches over it [K].
const gelReachK = 20.0

func newCells(g grid) cells {
	c := cells{sharp: make([]float64, g.nodes()), turn: [3][]slope{{{}}, {{}}, {{}}}}
	for i, a := range g.axes {
		inner, n := g.stride(i)
		turn := make([]slope, n)
		for j := range turn {
			low, high := max(j-1, 0), min(j+1, n-1)
			turn[j] = slope{(low - j) * inner, (high - j) * inner, a.size[j] / 2 / (a.edge(a.at[high]) - a.edge(a.at[low]))}
			if j == 0 && g.kinds[i] == halfSide {
				turn[j].half = 0 // it mirrors itself
			}
		}
		c.turn[3-len(g.axes)+i] = turn
	}
	return c
}

// sharpen finds the span of temperatures in every cell near the gel line. The
// spans along the axes and the ramp of the line itself add as independent ones do.
func (v *solver) sharpen() {
	gel, body, sharp := v.GelC-v.around, v.f.body, v.sharp[:len(v.f.body)]
	least := v.GelRampK*v.GelRampK/4 + 1e-6
	sharpest := 0.5 / math.Sqrt(least)
	i := 0
	for _, a := range v.turn[0] {
		for _, b := range v.turn[1] {
			for _, c := range v.turn[2] {
				if math.Abs(body[i]-gel) > gelReachK {
					sharp[i] = sharpest
				} else {
					da := a.half * (body[i+a.above] - body[i+a.below])
					db := b.half * (body[i+b.above] - body[i+b.below])
					dc := c.half * (body[i+c.above] - body[i+c.below])
					sharp[i] = 0.5 / math.Sqrt(least+da*da+db*db+dc*dc)
				}
				i++
			}
		}
	}
}
