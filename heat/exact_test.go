package heat

import (
	"math"
	"testing"
)

// Slabs and cylinders of Biot number 0.1 to 50 against the full series. The
// scheme is exact in time, so what is left is the second-order error of space;
// it is largest at the surface of a body of Biot 50 soon after the start,
// which no batch comes near.
func TestCoolingAgainstTheSeries(t *testing.T) {
	t.Parallel()
	const halfM = 0.04
	worst := map[string]float64{}
	for _, row := range published(t, "transient_exact.csv") {
		biot, fourier, place := number(t, row["Bi"]), number(t, row["Fo"]), number(t, row["position_ratio"])
		if place == 0.5 {
			continue // between the places a forecast tells
		}
		p := inert()
		u := biot * p.ConductivityWMK / halfM
		p.Body = Body{Shape: Cylinder, Axis: Upright, RadiusM: halfM, LengthM: 0.1}
		p.Stages[0] = Stage{TC: 20, USide: u} // the ends pass nothing
		if row["geometry"] == "plane_wall" {
			p.Body = Body{Shape: Box, SizeM: [3]float64{0.1, 0.1, 2 * halfM}}
			p.Stages[0] = Stage{TC: 20, UTop: u, UBottom: u}
		}
		s := Shown
		s.Frames = 1
		s.UntilS = fourier * halfM * halfM * p.DensityKgM3 * p.HeatJKgK / p.ConductivityWMK
		r := solve(t, p, s)
		c := r.CoreC[len(r.CoreC)-1]
		if place == 1 {
			c = surface(r, p)
		}
		miss := math.Abs((c-20)/50 - number(t, row["theta_exact"]))
		kind := row["geometry"]
		if biot > 5 {
			kind += ", Biot over 5"
		}
		worst[kind] = math.Max(worst[kind], miss)
		if allowed := map[bool]float64{false: 0.0002, true: 0.001}[biot > 5]; miss > allowed {
			t.Errorf("%s Bi %g Fo %g at %g: off by %.6f, allowed %g", row["geometry"], biot, fourier, place, miss, allowed)
		}
	}
	t.Logf("largest differences of theta: %v", worst)
}

// surface is the last temperature of a face: the top of a slab, the curved
// face of a cylinder.
func surface(r *Run, p Physics) float64 {
	if p.Shape == Cylinder {
		return r.EdgeC[len(r.EdgeC)-1]
	}
	last := r.Frames[len(r.Frames)-1]
	return last.C[len(last.C)-1][0]
}

// A soap brick of 80 x 90 x 250 mm against the product of three exact series.
func TestBrickAgainstTheProductSolution(t *testing.T) {
	t.Parallel()
	worst := 0.0
	for _, row := range published(t, "brick.csv") {
		s := Shown
		s.UntilS = 3600 * number(t, row["t_h"])
		r := solve(t, inert(), s)
		got, want := r.CoreC[len(r.CoreC)-1], number(t, row["T_centre_C"])
		worst = math.Max(worst, math.Abs(got-want))
		near(t, row["t_h"]+" h", got, want, 0.01)
	}
	t.Logf("largest difference %.3f K", worst)
}

// A slab whose source decays is a reaction of first order without activation
// energy. Long steps leave half a step's heat at the surface.
func TestSlabWithADecayingSource(t *testing.T) {
	t.Parallel()
	p := inert()
	p.Body.SizeM = [3]float64{0.1, 0.1, 0.08}
	p.Stages[0] = Stage{TC: 20, UTop: 5, UBottom: 5}
	p.Start.TC, p.Rate.K1 = 20, 1.0/3600
	p.ReactionJKg = 39000 * 3600 / p.DensityKgM3
	worst := 0.0
	for _, row := range published(t, "slab_source.csv") {
		s := Shown
		s.UntilS, s.Frames = number(t, row["t_s"]), 1
		s.MostStepS = 150 // the surface is the splitting's weak place: 0.10 K in the steps of the run shown
		r := solve(t, p, s)
		for name, got := range map[string]float64{"dT_centre_series_K": r.CoreC[len(r.CoreC)-1], "dT_surface_series_K": surface(r, p)} {
			want := number(t, row[name])
			worst = math.Max(worst, math.Abs(got-20-want))
			near(t, row["t_s"]+" s "+name, got-20, want, 0.05)
		}
	}
	t.Logf("largest difference %.3f K", worst)
}

// With a conductivity that leaves no gradient the body is a lump, and the
// forecast the ordinary differential equations solved outside.
func TestLumpAgainstIndependentIntegrators(t *testing.T) {
	t.Parallel()
	for _, row := range published(t, "lumped.csv") {
		p := inert()
		p.ConductivityWMK = 500
		p.Rate = Rate{K1: number(t, row["k1_ref40C"]), K2: number(t, row["k2_ref40C"]), M: number(t, row["m"]), N: number(t, row["n"]),
			EaJMol: number(t, row["Ea_J_mol"]), TRefC: 40, GelFactor: 1, GelC: 1000}
		p.ReactionJKg = number(t, row["dTad_K"]) * p.HeatJKgK
		p.Start.TC = number(t, row["T0_C"])
		area := 2 * (0.08*0.09 + 0.08*0.25 + 0.09*0.25) / p.VolumeM3()
		u := number(t, row["UA_over_mcp_per_s"]) * p.DensityKgM3 * p.HeatJKgK / area
		p.Stages[0] = Stage{TC: number(t, row["Tenv_C"]), USide: u, UTop: u, UBottom: u}
		s := Settings{Grid: Coarse, UntilS: 48 * 3600, MostStepS: 120, ToleranceK: 0.002}
		r := solve(t, p, s)
		near(t, row["case"]+" peak", r.PeakC, number(t, row["Tpeak_C"]), 0.05)
		for name, want := range map[string]float64{"X_1h": 1, "X_4h": 4, "X_12h": 12, "X_24h": 24, "X_48h": 48} {
			near(t, row["case"]+" "+name, at(r.TimeS, r.MeanX, 3600*want), number(t, row[name]), 0.002)
		}
	}
}

// At one temperature the law has a closed form for m = n = 1.
func TestIsothermalAgainstTheClosedForm(t *testing.T) {
	t.Parallel()
	for _, row := range published(t, "isothermal.csv") {
		p := inert()
		p.Rate = Rate{K1: number(t, row["k1_per_s"]), K2: number(t, row["k2_per_s"]), M: 1, N: 1, GelFactor: 1, GelC: 1000}
		s := Settings{Grid: Coarse, UntilS: 20000, MostStepS: 30, ToleranceK: 1}
		r := solve(t, p, s)
		for name, x := range map[string]float64{"t_X0.03_s": 0.03, "t_X0.10_s": 0.10, "t_X0.50_s": 0.50, "t_X0.90_s": 0.90, "t_X0.99_s": 0.99} {
			near(t, name, at(r.MeanX, r.TimeS, x), number(t, row[name]), 3)
		}
	}
}

// What smooth courses miss falls faster than the square of the step: by halving
// it, to far less than a quarter. The cases are chosen so that every kind of axis
// is met; the finest grid stands for one without end.
func TestOrderInSpace(t *testing.T) {
	t.Parallel()
	for name, b := range map[string]Body{
		"box":     {Shape: Box, SizeM: [3]float64{0.08, 0.09, 0.07}},
		"upright": {Shape: Cylinder, Axis: Upright, RadiusM: 0.035, LengthM: 0.1},
		"level":   {Shape: Cylinder, Axis: Level, RadiusM: 0.035, LengthM: 0.1},
	} {
		p := loaf()
		p.Body, p.Rate.GelFactor = b, 1
		p.Stages[0].USide, p.Stages[0].UTop, p.Stages[0].UBottom = 40, 30, 60
		var core, edge, mean []float64
		for _, g := range []Resolution{2, 4, 12} {
			r := solve(t, p, Settings{Grid: g, UntilS: 2 * 3600, MostStepS: 60, ToleranceK: 1})
			last := len(r.TimeS) - 1
			core, edge, mean = append(core, r.CoreC[last]), append(edge, r.EdgeC[last]), append(mean, r.MeanC[last])
		}
		for what, c := range map[string][]float64{"core": core, "edge": edge, "mean": mean} {
			off := [2]float64{math.Abs(c[0] - c[2]), math.Abs(c[1] - c[2])}
			t.Logf("%s, %s: off by %.4f and %.4f K, order %.1f", name, what, off[0], off[1], math.Log2(off[0]/off[1]))
			if off[1] > max(off[0]/4, 0.002) || off[1] > 0.05 {
				t.Errorf("%s, %s: off by %.4f and %.4f K", name, what, off[0], off[1])
			}
		}
	}
}

// Halving the step of time quarters the error of the splitting.
func TestSecondOrderInTime(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Start.TC = 48
	p.Wall = &Wall{SideJM2K: 9600, SideInside: 0.046, BottomJM2K: 9600, BottomInside: 0.046, StartC: 20}
	var core []float64
	for _, dt := range []float64{240, 120, 60} {
		v := newSolver(p, Settings{Grid: Coarse})
		v.enter(0)
		for range int(4800 / dt) {
			v.advance(dt, v.reactAll)
		}
		core = append(core, v.f.body[v.f.core()])
	}
	order := math.Log2((core[1] - core[0]) / (core[2] - core[1]))
	t.Logf("order %.2f, error of the longest step about %.3f K", order, (core[1]-core[0])*4/3)
	near(t, "order", order, 2, 0.2)
}

// A manufactured solution of the whole equation, with a source that makes
// T = T_s + A (1 - e^(-t/τ)) cos(a x) cos(b y) (1 + c cos(d z)) its answer on
// a box; faces obey k a tan(a L) = U and so on.
func TestManufacturedSolution(t *testing.T) {
	t.Parallel()
	p := inert()
	p.Body.SizeM = [3]float64{0.08, 0.06, 0.07}
	const a, b, d, amplitude, tau = 18.0, 25.0, 20.0, 40.0, 1500.0
	k := p.ConductivityWMK
	ux, uy := k*a*math.Tan(a*0.04), k*b*math.Tan(b*0.03)
	uz := k * d * math.Tan(d*0.035)
	diffusivity := k / (p.DensityKgM3 * p.HeatJKgK)
	var errors []float64
	for _, g := range []Resolution{2, 3, 4} {
		v := newSolver(p, Settings{Grid: g})
		v.around = 20
		faces := [][2]face{{{}, {out: ux}}, {{}, {out: uy}}, {{out: uz}, {out: uz}}}
		for i, axis := range v.f.axes {
			for e := range faces[i] {
				faces[i][e].out /= p.DensityKgM3 * p.HeatJKgK
			}
			v.lines = append(v.lines, newLine(axis, diffusivity, faces[i]))
		}
		shape := make([]float64, 0, len(v.x))
		for _, x := range v.f.axes[0].at {
			for _, y := range v.f.axes[1].at {
				for _, z := range v.f.axes[2].at {
					shape = append(shape, math.Cos(a*x)*math.Cos(b*y)*math.Cos(d*(z-0.035)))
				}
			}
		}
		now := 0.0
		clear(v.f.body)
		// ∂T/∂t - α∇²T of the wanted answer, over [now, now + dt].
		source := func(dt float64) float64 {
			rises := math.Exp(-now/tau) - math.Exp(-(now+dt)/tau)
			held := diffusivity * (a*a + b*b + d*d) * (dt - tau*rises)
			for i, s := range shape {
				v.f.body[i] += amplitude * s * (rises + held)
			}
			now += dt
			return 0
		}
		for range 600 {
			v.advance(6, source)
		}
		worst := 0.0
		for i, s := range shape {
			worst = math.Max(worst, math.Abs(v.f.body[i]-amplitude*s*(1-math.Exp(-3600/tau))))
		}
		errors = append(errors, worst)
	}
	order := math.Log(errors[0]/errors[1]) / math.Log(1.5)
	t.Logf("largest errors %.5f K, order %.1f", errors, order)
	if order < 2 || errors[2] > 0.005 {
		t.Errorf("errors %.5f K", errors)
	}
}
