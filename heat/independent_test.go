package heat

import (
	"math"
	"testing"
)

// An independent solver of the same equations: the whole box in cells, or the
// cylinder in rings, marched explicitly in small steps. It shares no code with
// the package, has the gel's factor as a step, and boils at a cap.

type other struct {
	k, rho, c, q                       float64
	k1, k2, m, n, ea, tRef, gelF, gelC float64
	boil                               float64
}

func otherOf(p Physics) other {
	r := p.Rate
	return other{p.ConductivityWMK, p.DensityKgM3, p.HeatJKgK, p.ReactionJKg, r.K1, r.K2, r.M, r.N, r.EaJMol, r.TRefC, r.GelFactor, r.GelC, p.Boiling.TC}
}

func (o other) rate(x, t float64) float64 {
	if x >= 1 {
		return 0
	}
	f := math.Exp(-o.ea / 8.314462618 * (1/(t+273.15) - 1/(o.tRef+273.15)))
	if t > o.gelC {
		f *= o.gelF
	}
	return f * (o.k1 + o.k2*math.Pow(x, o.m)) * math.Pow(1-x, o.n)
}

// box marches a box of 2 nx by 2 ny by 2 nz cells and returns core and mean at
// every record seconds.
func (o other) box(size [3]float64, cells [3]int, u [3]float64, around func(t float64) float64, t0, x0, dt, until, record float64) (core, mean []float64) {
	nx, ny, nz := cells[0], cells[1], cells[2]
	h := [3]float64{size[0] / float64(nx), size[1] / float64(ny), size[2] / float64(nz)}
	at := func(i, j, k int) int { return (i*ny+j)*nz + k }
	temp, x, next := make([]float64, nx*ny*nz), make([]float64, nx*ny*nz), make([]float64, nx*ny*nz)
	for i := range temp {
		temp[i], x[i] = t0, x0
	}
	// From a cell's middle through half of it and the face's resistance.
	through := func(u, h float64) float64 {
		if u == 0 {
			return 0
		}
		return 1 / (1/u + h/2/o.k)
	}
	side := [3]float64{through(u[0], h[0]), through(u[0], h[1]), 0}
	top, bottom := through(u[1], h[2]), through(u[2], h[2])
	for step, now := 0, 0.0; now <= until+1e-6; step, now = step+1, now+dt {
		if math.Mod(now+1e-6, record) < dt/2 {
			c, m := 0.0, 0.0
			for i := nx/2 - 1; i <= nx/2; i++ {
				for j := ny/2 - 1; j <= ny/2; j++ {
					for k := nz/2 - 1; k <= nz/2; k++ {
						c += temp[at(i, j, k)] / 8
					}
				}
			}
			for _, v := range temp {
				m += v / float64(len(temp))
			}
			core, mean = append(core, c), append(mean, m)
		}
		ta := around(now)
		for i := range nx {
			for j := range ny {
				for k := range nz {
					a := at(i, j, k)
					t := temp[a]
					flow := 0.0
					pass := func(inside bool, b int, h, face float64) {
						if inside {
							flow += o.k / h / h * (temp[b] - t)
						} else {
							flow += face / h * (ta - t)
						}
					}
					pass(i > 0, a-ny*nz, h[0], side[0])
					pass(i < nx-1, a+ny*nz, h[0], side[0])
					pass(j > 0, a-nz, h[1], side[1])
					pass(j < ny-1, a+nz, h[1], side[1])
					pass(k > 0, a-1, h[2], bottom)
					pass(k < nz-1, a+1, h[2], top)
					r := o.rate(x[a], t)
					r = math.Min(r, (1-x[a])/dt)
					next[a] = math.Min(o.boil, t+dt*(flow/(o.rho*o.c)+o.q/o.c*r))
					x[a] += dt * r
				}
			}
		}
		temp, next = next, temp
	}
	return core, mean
}

// rings marches an upright cylinder in rings and layers.
func (o other) rings(radius, length float64, nr, nz int, u [3]float64, around, t0, x0, dt, until, record float64) (core []float64) {
	hr, hz := radius/float64(nr), length/float64(nz)
	temp, x, next := make([]float64, nr*nz), make([]float64, nr*nz), make([]float64, nr*nz)
	for i := range temp {
		temp[i], x[i] = t0, x0
	}
	for now := 0.0; now <= until+1e-6; now += dt {
		if math.Mod(now+1e-6, record) < dt/2 {
			// Straight on to the axis from the first two rings, which are even in r.
			c := (temp[nz/2-1] + temp[nz/2]) / 2
			c2 := (temp[nz+nz/2-1] + temp[nz+nz/2]) / 2
			core = append(core, c-(c2-c)/8)
		}
		for i := range nr {
			in, out := float64(i)*hr, float64(i+1)*hr
			volume := (out*out - in*in) / 2
			for k := range nz {
				a := i*nz + k
				t := temp[a]
				flow := 0.0
				if i > 0 {
					flow += in * o.k / hr * (temp[a-nz] - t) / volume
				}
				if i < nr-1 {
					flow += out * o.k / hr * (temp[a+nz] - t) / volume
				} else {
					flow += out / (1/u[0] + hr/2/o.k) * (around - t) / volume
				}
				if k > 0 {
					flow += o.k / hz / hz * (temp[a-1] - t)
				} else {
					flow += 1 / (1/u[2] + hz/2/o.k) / hz * (around - t)
				}
				if k < nz-1 {
					flow += o.k / hz / hz * (temp[a+1] - t)
				} else {
					flow += 1 / (1/u[1] + hz/2/o.k) / hz * (around - t)
				}
				r := math.Min(o.rate(x[a], t), (1-x[a])/dt)
				next[a] = math.Min(o.boil, t+dt*(flow/(o.rho*o.c)+o.q/o.c*r))
				x[a] += dt * r
			}
		}
		temp, next = next, temp
	}
	return core
}

// A box that gels in part, moved from the room into a fridge and back. The
// error of the other solver, of second order too, is taken off by halving its
// cells of 6 mm: at 3 mm its mean is still 0.7 K off while the front passes.
func TestAgreesWithAnIndependentSolver(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Body.SizeM = [3]float64{0.084, 0.072, 0.06}
	p.Start, p.Rate.GelRampK = Start{TC: 56, X: 0.03}, 0.1
	p.Stages = []Stage{{TC: 22, USide: 3.5, UTop: 5, UBottom: 3.5}, {FromS: 2 * 3600, TC: 4, USide: 3.5, UTop: 5, UBottom: 3.5}, {FromS: 3 * 3600, TC: 22, USide: 3.5, UTop: 5, UBottom: 3.5}}
	around := func(t float64) float64 {
		if t >= 7200 && t < 10800 {
			return 4
		}
		return 22
	}
	wideCore, wideMean := otherOf(p).box(p.SizeM, [3]int{14, 12, 10}, [3]float64{3.5, 5, 3.5}, around, 56, 0.03, 12, 5*3600, 1200)
	core, mean := otherOf(p).box(p.SizeM, [3]int{28, 24, 20}, [3]float64{3.5, 5, 3.5}, around, 56, 0.03, 3, 5*3600, 1200)
	for i := range core {
		core[i] += (core[i] - wideCore[i]) / 3
		mean[i] += (mean[i] - wideMean[i]) / 3
	}
	s := Shown
	s.UntilS, s.Frames = 5*3600, 0
	r := solve(t, p, s)
	worst, worstMean := 0.0, 0.0
	for i := range core {
		worst = math.Max(worst, math.Abs(core[i]-at(r.TimeS, r.CoreC, float64(i)*1200)))
		worstMean = math.Max(worstMean, math.Abs(mean[i]-at(r.TimeS, r.MeanC, float64(i)*1200)))
	}
	t.Logf("peak %.1f °C; largest difference of the core %.2f K, of the mean %.2f K", r.PeakC, worst, worstMean)
	if r.PeakC < 75 || len(core) != 16 {
		t.Errorf("not the case that was meant: peak %.1f °C, %d times", r.PeakC, len(core))
	}
	if worst > 0.5 || worstMean > 0.5 {
		t.Errorf("the core differs by %.2f K, the mean by %.2f K", worst, worstMean)
	}
}

// A tube, upright, with a cold bottom.
func TestTubeAgreesWithAnIndependentSolver(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Body = Body{Shape: Cylinder, Axis: Upright, RadiusM: 0.034, LengthM: 0.24}
	p.Start.TC, p.Rate.GelRampK = 52, 0.1
	p.Stages = []Stage{{TC: 20, USide: 3, UTop: 3, UBottom: 12}}
	core := otherOf(p).rings(0.034, 0.24, 16, 80, [3]float64{3, 3, 12}, 20, 52, 0.03, 4, 6*3600, 1200)
	s := Shown
	s.UntilS = 6 * 3600
	r := solve(t, p, s)
	worst := 0.0
	for i, c := range core {
		worst = math.Max(worst, math.Abs(c-at(r.TimeS, r.CoreC, float64(i)*1200)))
	}
	t.Logf("peak %.1f °C; largest difference of the core %.2f K", r.PeakC, worst)
	if worst > 1 || len(core) != 19 { // 60 s on the steep flank
		t.Errorf("the core differs by %.2f K over %d times", worst, len(core))
	}
}
