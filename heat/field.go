package heat

// field is the temperature above the surroundings [K] at every node of a grid
// and in the walls on the ends of its axes.
type field struct {
	grid
	body    []float64
	walls   [][2][]float64 // by axis and end; nil without a wall
	spare   []float64
	across  [][]float64 // by axis: the measure of every line along it, before and after the axis
	between [][]float64
	steps   []step
	in, out [][]float64 // rows of the lines being worked on
	outWall []float64
}

func newField(g grid) *field {
	f := &field{grid: g, body: make([]float64, g.nodes()), spare: make([]float64, g.nodes()), walls: make([][2][]float64, len(g.axes)),
		across: make([][]float64, len(g.axes)), between: make([][]float64, len(g.axes)), steps: make([]step, len(g.axes))}
	most := 0
	for i := range g.axes {
		before, after := []float64{1}, []float64{1}
		for _, a := range g.axes[:i] {
			before = outer(before, a.size)
		}
		for _, a := range g.axes[i+1:] {
			after = outer(after, a.size)
		}
		f.across[i], f.between[i] = before, after
		f.outWall = make([]float64, max(len(f.outWall), 2*len(after), len(g.axes[i].at)+2))
		most = max(most, len(g.axes[i].at)+2)
	}
	f.in, f.out = make([][]float64, most), make([][]float64, most)
	return f
}

// conduct lets heat flow for the time of the steps, axis after axis, and
// returns what left through the faces as the integral of flux over area and
// time, divided by the heat per volume [K m³]. Without walls the axes commute
// and nothing is lost by the order. With them the steps of all but the last axis
// are of half the time, and it goes there and back.
func (f *field) conduct(lines []line, andBack bool) (lost float64) {
	for i, l := range lines {
		lost += f.conductAlong(i, l)
	}
	if andBack {
		for i := len(lines) - 2; i >= 0; i-- {
			lost += f.conductAlong(i, lines[i])
		}
	}
	return lost
}

func (f *field) conductAlong(axis int, l line) (lost float64) {
	inner, n := f.stride(axis)
	if inner == 1 {
		return f.conductAlongLast(axis, l)
	}
	s := f.steps[axis]
	rows, outs, wallSpare := f.in[:l.n], f.out[:l.n], f.outWall[:2*inner]
	walls := f.walls[axis]
	for o, weight := range f.across[axis] {
		at := o * n * inner
		for i := range n {
			rows[l.lows+i] = f.body[at+i*inner : at+(i+1)*inner]
			outs[l.lows+i] = f.spare[at+i*inner : at+(i+1)*inner]
		}
		if l.lows == 1 {
			rows[0], outs[0] = walls[0][o*inner:(o+1)*inner], wallSpare[:inner]
		}
		if last := l.n - 1; last == l.lows+n {
			rows[last], outs[last] = walls[1][o*inner:(o+1)*inner], wallSpare[inner:]
		}
		lost += weight * s.apply(outs, rows, f.between[axis])
		if l.lows == 1 {
			copy(rows[0], outs[0])
		}
		if last := l.n - 1; last == l.lows+n {
			copy(rows[last], outs[last])
		}
	}
	f.body, f.spare = f.spare, f.body
	return lost
}

// conductAlongLast is conductAlong for the axis whose nodes lie side by side.
func (f *field) conductAlongLast(axis int, l line) (lost float64) {
	_, n := f.stride(axis)
	s, walls := f.steps[axis], f.walls[axis]
	in := f.outWall[:l.n]
	for o, weight := range f.across[axis] {
		copy(in[l.lows:], f.body[o*n:o*n+n])
		if l.lows == 1 {
			in[0] = walls[0][o]
		}
		last := l.n - 1
		if last == l.lows+n {
			in[last] = walls[1][o]
		}
		s.times(f.spare[o*n:o*n+n], l.lows, in)
		if l.lows == 1 {
			walls[0][o] = dot(s.matrix[:l.n], in)
		}
		if last == l.lows+n {
			walls[1][o] = dot(s.matrix[last*l.n:], in)
		}
		lost += weight * dot(s.lost, in)
	}
	f.body, f.spare = f.spare, f.body
	return lost
}

// times sets out to rows of the matrix, from the one given on, times in: four
// rows at once, since one alone waits for its own sum.
func (s step) times(out []float64, from int, in []float64) {
	n := len(in)
	m := s.matrix[from*n:]
	for ; len(out) >= 4; out, m = out[4:], m[4*n:] {
		m0, m1, m2, m3 := m[:n], m[n:2*n], m[2*n:3*n], m[3*n:4*n]
		var s0, s1, s2, s3 float64
		for j, v := range in {
			s0 += m0[j] * v
			s1 += m1[j] * v
			s2 += m2[j] * v
			s3 += m3[j] * v
		}
		out[0], out[1], out[2], out[3] = s0, s1, s2, s3
	}
	for i := range out {
		out[i] = dot(m[i*n:i*n+n], in)
	}
}

// dot returns the sum of products, in two sums for the same reason.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	even, odd := 0.0, 0.0
	i := 0
	for ; i+1 < len(a); i += 2 {
		even += a[i] * b[i]
		odd += a[i+1] * b[i+1]
	}
	if i < len(a) {
		even += a[i] * b[i]
	}
	return even + odd
}

// apply sets out = matrix · in, row by row, and returns the loss of all lines
// together, each line weighted.
func (s step) apply(out, in [][]float64, weights []float64) (lost float64) {
	n := len(in)
	combine(out[0], s.lost, in)
	lost = dot(weights, out[0])
	for i, dst := range out {
		combine(dst, s.matrix[i*n:i*n+n], in)
	}
	return lost
}

// combine sets dst to the sum of rows, each times its coefficient: four at
// once, since the loop is bound by memory, not by arithmetic.
func combine(dst, c []float64, rows [][]float64) {
	clear(dst)
	for ; len(rows) >= 4; c, rows = c[4:], rows[4:] {
		c0, c1, c2, c3 := c[0], c[1], c[2], c[3]
		a0, a1, a2, a3 := rows[0][:len(dst)], rows[1][:len(dst)], rows[2][:len(dst)], rows[3][:len(dst)]
		for p := range dst {
			dst[p] += c0*a0[p] + c1*a1[p] + c2*a2[p] + c3*a3[p]
		}
	}
	for i, row := range rows {
		for p, v := range row[:len(dst)] {
			dst[p] += c[i] * v
		}
	}
}

// shift adds deltaK to the body and the walls: the surroundings have changed.
func (f *field) shift(deltaK float64) {
	for i := range f.body {
		f.body[i] += deltaK
	}
	for _, ends := range f.walls {
		for _, wall := range ends {
			for i := range wall {
				wall[i] += deltaK
			}
		}
	}
}
