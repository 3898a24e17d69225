package heat

// faces returns the two faces of an axis in a stage, divided by the batter's
// heat per volume.
func (v *solver) faces(k kind, s Stage) [2]face {
	side := face{out: s.USide}
	bottom := face{out: s.UBottom}
	if w := v.Wall; w != nil {
		side = w.behind(s.USide, w.SideJM2K, w.SideInside)
		bottom = w.behind(s.UBottom, w.BottomJM2K, w.BottomInside)
	}
	ends := [2]face{bottom, {out: s.UTop}}
	if k == halfSide {
		ends = [2]face{{}, side}
	}
	perVolume := v.DensityKgM3 * v.HeatJKgK
	for i := range ends {
		ends[i].in, ends[i].out, ends[i].wall = ends[i].in/perVolume, ends[i].out/perVolume, ends[i].wall/perVolume
	}
	return ends
}

// leastWall is the heat below which a wall is none [J/m²K]: a film.
const leastWall = 1.0

// leastOutside keeps a wall's outer resistance above nothing [m²K/W].
const leastOutside = 1e-4

// behind returns the face of a wall that holds heatJM2K per area and kelvin,
// inside m²K/W before it and the rest of 1/u after it.
func (w *Wall) behind(u, heatJM2K, inside float64) face {
	if heatJM2K < leastWall {
		return face{out: u}
	}
	if u == 0 {
		return face{in: 1 / max(inside, leastOutside), wall: heatJM2K}
	}
	inside = max(inside, leastOutside)
	return face{in: 1 / inside, out: 1 / max(1/u-inside, leastOutside), wall: heatJM2K}
}

// buildWalls sets the walls to their own temperature.
func (v *solver) buildWalls() {
	if v.Wall == nil {
		return
	}
	for axis := range v.f.axes {
		_, n := v.f.stride(axis)
		lines := len(v.x) / n
		for end, f := range v.faces(v.f.kinds[axis], v.Stages[0]) {
			if f.wall == 0 {
				continue
			}
			wall := make([]float64, lines)
			for i := range wall {
				wall[i] = v.Wall.StartC
			}
			v.f.walls[axis][end] = wall
		}
	}
}

// wallJ returns the heat the walls hold above their start [J].
func (v *solver) wallJ() (joule float64) {
	if v.Wall == nil {
		return 0
	}
	perVolume := v.DensityKgM3 * v.HeatJKgK
	for axis, ends := range v.f.walls {
		faces := v.faces(v.f.kinds[axis], v.Stages[0])
		before, after := v.f.across[axis], v.f.between[axis]
		for end, wall := range ends {
			if wall == nil {
				continue
			}
			held := faces[end].wall * perVolume * v.f.axes[axis].ends[end] * v.f.times
			for i, k := range wall {
				joule += held * before[i/len(after)] * after[i%len(after)] * (v.around + k - v.Wall.StartC)
			}
		}
	}
	return joule
}
