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
	edges   []float64   // room for rows that are no nodes: walls, what is lost
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
		f.edges = make([]float64, max(len(f.edges), 3*len(after), 2*len(g.axes[i].at)+5))
		most = max(most, len(g.axes[i].at)+3)
	}
	f.in, f.out = make([][]float64, most), make([][]float64, most)
	return f
}

// conduct lets heat flow along one axis for the time of its step, and returns
// what left through the faces as the integral of flux over area and time, divided
// by the heat per volume [K m³].
func (f *field) conduct(axis int, l line) (lost float64) {
	inner, n := f.stride(axis)
	if inner == 1 {
		return f.conductLast(axis, l)
	}
	rows, outs := f.in[:l.n], f.out[:l.n+1]
	walls, last := f.walls[axis], l.n-1
	outs[0], outs[last], outs[l.n] = f.edges[:inner], f.edges[inner:2*inner], f.edges[2*inner:3*inner]
	for o, weight := range f.across[axis] {
		at := o * n * inner
		for i := range n {
			rows[l.lows+i] = f.body[at+i*inner : at+(i+1)*inner]
			outs[l.lows+i] = f.spare[at+i*inner : at+(i+1)*inner]
		}
		if l.lows == 1 {
			rows[0] = walls[0][o*inner : (o+1)*inner]
		}
		if last == l.lows+n {
			rows[last] = walls[1][o*inner : (o+1)*inner]
		}
		f.steps[axis].apply(outs, rows)
		lost += weight * dot(f.between[axis], outs[l.n])
		if l.lows == 1 {
			copy(rows[0], outs[0])
		}
		if last == l.lows+n {
			copy(rows[last], outs[last])
		}
	}
	f.body, f.spare = f.spare, f.body
	return lost
}

// conductLast is conduct for the axis whose nodes lie side by side.
func (f *field) conductLast(axis int, l line) (lost float64) {
	_, n := f.stride(axis)
	walls, last := f.walls[axis], l.n-1
	in, out := f.edges[:l.n], f.edges[l.n:2*l.n+1]
	for o, weight := range f.across[axis] {
		body := f.body[o*n : o*n+n]
		copy(in[l.lows:], body)
		if l.lows == 1 {
			in[0] = walls[0][o]
		}
		if last == l.lows+n {
			in[last] = walls[1][o]
		}
		f.steps[axis].times(out, in)
		copy(body, out[l.lows:])
		if l.lows == 1 {
			walls[0][o] = out[0]
		}
		if last == l.lows+n {
			walls[1][o] = out[last]
		}
		lost += weight * out[l.n]
	}
	return lost
}

// times sets out = matrix · in: four rows at once, since one alone waits for its
// own sum. The last four may overlap those before.
func (s step) times(out, in []float64) {
	n := len(in)
	for i := 0; i < len(out); i += 4 {
		i := min(i, len(out)-4)
		m, o := s.matrix[i*n:(i+4)*n], out[i:i+4]
		m0, m1, m2, m3 := m[:n], m[n:][:n], m[2*n:][:n], m[3*n:][:n]
		var s0, s1, s2, s3 float64
		for j, v := range in {
			s0 += m0[j] * v
			s1 += m1[j] * v
			s2 += m2[j] * v
			s3 += m3[j] * v
		}
		o[0], o[1], o[2], o[3] = s0, s1, s2, s3
	}
}

// apply is times for many lines side by side: two rows at once.
func (s step) apply(out, in [][]float64) {
	n := len(in)
	for i := 0; i < len(out); i += 2 {
		i := min(i, len(out)-2)
		combine(out[i], out[i+1], s.matrix[i*n:(i+1)*n], s.matrix[(i+1)*n:(i+2)*n], in)
	}
}

// combine sets a and b to sums of rows, each times its coefficient: four rows at
// once, since the loop is bound by memory, not by arithmetic.
func combine(a, b, ca, cb []float64, rows [][]float64) {
	b = b[:len(a)]
	clear(a)
	clear(b)
	for ; len(rows) >= 4; ca, cb, rows = ca[4:], cb[4:], rows[4:] {
		a0, a1, a2, a3 := ca[0], ca[1], ca[2], ca[3]
		b0, b1, b2, b3 := cb[0], cb[1], cb[2], cb[3]
		r0, r1, r2, r3 := rows[0][:len(a)], rows[1][:len(a)], rows[2][:len(a)], rows[3][:len(a)]
		for p := range a {
			v0, v1, v2, v3 := r0[p], r1[p], r2[p], r3[p]
			a[p] += a0*v0 + a1*v1 + a2*v2 + a3*v3
			b[p] += b0*v0 + b1*v1 + b2*v2 + b3*v3
		}
	}
	for i, row := range rows {
		for p, v := range row[:len(a)] {
			a[p] += ca[i] * v
			b[p] += cb[i] * v
		}
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
