package cure

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A simulated maker's bar. The fit knows Fick's law for a brick, Page's, and
// two-term laws of other shares and paces than the demo's; "crust" is none of them.
type truth struct {
	firstG, loss float64
	gone         func(day float64) float64
	bar          Bar
}

func (t truth) massG(day float64) float64 {
	return t.firstG * (1 - t.loss*t.gone(day) - 0.003*day/365)
}

var generators = []string{"two terms", "Fick", "Page"}

// grow draws a bar: 19 to 26 % water, 20 to 30 mm thick, the water at rest 6
// to 11 % as published, its pace over the range of diffusivities published for
// makers' bars (1.5 to 8e-11 m²/s).
func grow(r *rand.Rand, generator string) truth {
	water := 0.19 + 0.07*r.Float64()
	rh, tC := 45+20*r.Float64(), 17+7*r.Float64()
	sides := [3]float64{20 + 10*r.Float64(), 50 + 15*r.Float64(), 75 + 15*r.Float64()}
	b := Bar{WaterFraction: water, DrySoapFraction: 1 - water, SidesMM: &sides, RHPct: &rh, TC: &tC}
	t := truth{firstG: 85 + 30*r.Float64(), bar: b}
	rest := dryBasis((8 + 0.1*(rh-52) + 1.4*r.NormFloat64()) / 100)
	t.loss = max(0.02, water-(1-water)*rest)
	pace := math.Exp(0.45 * r.NormFloat64())
	switch generator {
	case "two terms": // the law of the demo's rack, its pace drawn
		t.gone = func(d float64) float64 {
			return 0.35*-math.Expm1(-d*pace/4) + 0.65*-math.Expm1(-d*pace/24)
		}
	case "Fick":
		t.gone = func(d float64) float64 { return Fick(sides, 4e-11*pace*math.Pow(1.025, tC-20), d) }
	case "Page":
		n := 0.7 + 0.3*r.Float64()
		tau := 15 * b.slowness() / pace
		t.gone = func(d float64) float64 { return -math.Expm1(-math.Pow(d/tau, n)) }
	case "crust":
		t.gone = crusted(10 * b.slowness() / pace)
	}
	return t
}

// crusted is a bar whose surface closes as it dries: the rate falls with the share
// gone beyond what is left to go.
func crusted(tau float64) func(day float64) float64 {
	const step = 0.25
	table := []float64{0}
	for gone := 0.0; len(table) < 4*400; table = append(table, gone) {
		gone += step / tau * (1 - gone) * math.Exp(-1.2*gone)
	}
	return func(day float64) float64 {
		at := day / step
		i := min(int(at), len(table)-2)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
}

// weigh weighs bars on days with 0.15 % of scatter, on a scale of 0.1 g.
func (t truth) weigh(r *rand.Rand, bars int, days ...float64) (out []Weighing) {
	for b := range bars {
		heavier := 1 + 0.03*r.NormFloat64()
		if bars == 1 {
			heavier = 1
		}
		for _, d := range days {
			out = append(out, Weighing{b, d, math.Round(10*heavier*t.massG(d)*(1+0.0015*r.NormFloat64())) / 10})
		}
	}
	return out
}

// fit fits what was weighed, from the bar's own prior unless a habit is known.
func (t truth) fit(tb testing.TB, h Habit, series []Weighing) *Drying {
	tb.Helper()
	d, err := Fit(t.bar, t.bar.Prior().With(h), series)
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

// The days on which the simulated bars are weighed in their first two weeks.
var firstDays = [][]float64{{0, 7, 14}, {0, 3, 7, 10, 14}, {0, 2, 4, 6, 8, 10, 12, 14}}

// Simulated racks: day 42 said from the first two weeks, 500 series of each
// generator. The truth is the simulation's own mass without any scatter. 1.5 g is
// met by the share given, not by all: TestDay42KnowingTheLaw shows how much of that
// is in the weighings themselves.
func TestDay42FromTwoWeeks(t *testing.T) {
	t.Parallel()
	const each, nearG = 500, 1.5
	for g, c := range []struct {
		generator string
		most      float64 // of truths held by a 90 % range: crust, which the fit does not know, dries more evenly than it fears
	}{{"two terms", 0.95}, {"Fick", 0.95}, {"Page", 0.95}, {"crust", 0.98}} {
		t.Run(c.generator, func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(42, uint64(g)))
			near, in, squares, worst := 0, 0, 0.0, 0.0
			for i := range each {
				tr := grow(r, c.generator)
				m, want := tr.fit(t, Habit{}, tr.weigh(r, 1, firstDays[i%3]...)).MassG(0, 42), tr.massG(42)
				off := math.Abs(m.Middle - want)
				squares, worst = squares+off*off, max(worst, off)
				if off <= nearG {
					near++
				}
				if m.Low <= want && want <= m.High {
					in++
				}
			}
			share := float64(in) / each
			t.Logf("%s: %.1f %% within %.1f g, root mean square %.2f g, worst %.2f g; 90 %% range holds %.1f %%", c.generator, 100*float64(near)/each, nearG, math.Sqrt(squares/each), worst, 100*share)
			if near < each*97/100 {
				t.Errorf("only %d of %d within %.1f g", near, each, nearG)
			}
			if share < 0.85 || share > c.most {
				t.Errorf("a 90 %% range holds the truth in %.1f %%", 100*share)
			}
		})
	}
}

// What no fit can do better: the exact posterior of Page's generator, knowing its
// law and how its bars are drawn, from the same weighings. Some bars are then still
// off by more than 1.5 g: a scale of 0.1 g and 0.15 % of scatter do not say enough.
func TestDay42KnowingTheLaw(t *testing.T) {
	t.Parallel()
	const each, nearG = 500, 1.5
	r := rand.New(rand.NewPCG(42, 2))
	near, worst := 0, 0.0
	for i := range each {
		tr := grow(r, "Page")
		off := math.Abs(tr.knownPage(tr.weigh(r, 1, firstDays[i%3]...), 42) - tr.massG(42))
		worst = max(worst, off)
		if off <= nearG {
			near++
		}
	}
	t.Logf("knowing the law: %.1f %% within %.1f g, worst %.2f g", 100*float64(near)/each, nearG, worst)
	if near < each*98/100 || near == each {
		t.Errorf("knowing the law %d of %d are within %.1f g", near, each, nearG)
	}
}

// knownPage is the mean of the mass on a day, by the generator's own law and draws.
func (t truth) knownPage(series []Weighing, day float64) float64 {
	const scatter = 0.0015
	var total, sum float64
	for _, zPace := range spread(-3, 3, 31) {
		tau := 15 * t.bar.slowness() / math.Exp(0.45*zPace)
		for _, n := range spread(0.7, 1, 5) {
			gone := func(d float64) float64 { return -math.Expm1(-math.Pow(d/tau, n)) }
			for _, zRest := range spread(-3, 3, 31) {
				w := t.bar.WaterFraction
				loss := max(0.02, w-(1-w)*dryBasis((8+0.1*(*t.bar.RHPct-52)+1.4*zRest)/100))
				kept := func(d float64) float64 { return 1 - loss*gone(d) - 0.003*d/365 }
				var mean, squares float64
				for i, x := range series {
					ln := math.Log(x.MassG / kept(x.Day))
					step := (ln - mean) / float64(i+1)
					squares += step * (ln - mean) * float64(i)
					mean += step
				}
				weight := math.Exp(-0.5 * (zPace*zPace + zRest*zRest + squares/(scatter*scatter)))
				total, sum = total+weight, sum+weight*math.Exp(mean)*kept(day)
			}
		}
	}
	return sum / total
}

// What the leave-one-out residual says of a weighing as a slip is what summing anew
// without it says.
func TestAsSlipIsTheSumAnew(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 11))
	for range 20 {
		tr := grow(r, "Fick")
		f := &fitter{prior: tr.bar.Prior(), dims: 3}
		for _, w := range tr.weigh(r, 2, 0, 3, 7, 14, 28, 60) {
			f.look = append(f.look, relative{w.Bar, w.Day, w.MassG / tr.firstG, 1})
		}
		f.look[4].y += 0.2 * r.NormFloat64()
		l := law{lnTau: f.prior.LnTau.Mean, shape: 0.8}
		for _, x := range f.look {
			f.goneAt = append(f.goneAt, l.gone(x.day))
		}
		whole := f.fold(piece{law: l, state: f.begin(), slipped: -1}, 0.0015)
		for out := range f.look {
			anew := f.fold(piece{law: l, state: f.begin(), slipped: out}, 0.0015)
			if got := whole.weight + f.asSlip(&whole, out, 0.0015); math.Abs(got-anew.weight) > leastDoubt/10 {
				t.Errorf("weighing %d: %g, summed anew %g", out, got, anew.weight)
			}
		}
	}
}

// readyDay is when the truth meets the usual rule on weekly loss.
func (t truth) readyDay() float64 {
	for d := 0.0; ; d += 0.1 {
		if now := t.massG(d); now-t.massG(d+7) <= 0.005*now {
			return d
		}
	}
}

func TestReadyRangeHoldsTruth(t *testing.T) {
	t.Parallel()
	const n = 500
	r := rand.New(rand.NewPCG(7, 7))
	in := 0
	for i := range n {
		tr := grow(r, generators[i%3])
		ready := tr.fit(t, Habit{}, tr.weigh(r, 1, 0, 3, 7, 10, 14)).Ready(Rules{WeeklyPct: 0.5}).Day
		if want := tr.readyDay(); ready.Low <= want && want <= ready.High {
			in++
		}
	}
	t.Logf("the ready range holds %.1f %% of %d", 100*float64(in)/n, n)
	if in < n*85/100 || in > n*97/100 {
		t.Errorf("a 90 %% range of the ready day holds the truth in %d of %d", in, n)
	}
}

func TestNoFalseCatch(t *testing.T) {
	t.Parallel()
	const n = 500
	r := rand.New(rand.NewPCG(5, 5))
	caught := 0
	for i := range n {
		tr := grow(r, generators[i%3])
		if d := tr.fit(t, Habit{}, tr.weigh(r, 1, 0, 3, 7, 14, 21, 28, 42, 60, 90, 180)); len(d.Mistyped) > 0 {
			caught++
		}
	}
	t.Logf("%d of %d clean series had a weighing named", caught, n)
	if caught > n*2/100 {
		t.Errorf("%d of %d clean series had a weighing named as mistyped", caught, n)
	}
}

// Slips of every kind: figures swapped, a wrong figure, the point moved, another
// bar's weight.
func TestSlipsAreCaught(t *testing.T) {
	t.Parallel()
	const n = 200
	r := rand.New(rand.NewPCG(9, 9))
	caught, wrongly, off := 0, 0, 0.0
	for i := range n {
		tr := grow(r, generators[i%3])
		series := tr.weigh(r, 1, 0, 3, 7, 14, 21, 28, 42)
		at := 1 + r.IntN(5)
		series[at].MassG += []float64{-30, 20, 9, -9, 5}[i%5]
		d := tr.fit(t, Habit{}, series)
		off = max(off, math.Abs(d.MassG(0, 60).Middle-tr.massG(60)))
		switch {
		case len(d.Mistyped) == 1 && d.Mistyped[0].Index == at:
			caught++
		case len(d.Mistyped) > 0:
			wrongly++
		}
		if len(d.Series) != len(series) {
			t.Fatal("a weighing was deleted")
		}
	}
	t.Logf("%d of %d slips named, %d times another weighing; day 60 off by %.2f g at most", caught, n, wrongly, off)
	if caught < n*95/100 || wrongly > n/100 {
		t.Errorf("%d of %d slips named, %d times another weighing", caught, n, wrongly)
	}
	if off > 1.5 {
		t.Errorf("a slip moved day 60 by %.2f g", off)
	}
}

// B06 of the demo: olive and castor, 93.0 g, 630 g fats, 83 g NaOH, 145 g water,
// 63 % humidity, day 28 typed as 58.4.
func TestMistypedDemoWeighing(t *testing.T) {
	t.Parallel()
	water := 145.0 / (630 + 83 + 145)
	rh, tC := 63.0, 17.0
	b := Bar{WaterFraction: water, DrySoapFraction: 1 - water, RHPct: &rh, TC: &tC}
	loss := 0.62 * water * (1 - 0.006*(rh-60))
	tr := truth{firstG: 93, loss: loss, bar: b, gone: func(d float64) float64 {
		return 0.35*-math.Expm1(-d/4) + 0.65*-math.Expm1(-d/24)
	}}
	r := rand.New(rand.NewPCG(6, 28))
	series := tr.weigh(r, 1, 0, 7, 14, 28, 42, 60)
	series[3].MassG = 58.4
	d := tr.fit(t, Habit{}, series)
	if len(d.Mistyped) != 1 || d.Mistyped[0].Index != 3 {
		t.Fatalf("named: %+v, want the weighing of day 28 alone", d.Mistyped)
	}
	m := d.Mistyped[0]
	if want := tr.massG(28); m.ExpectedG.Low > want || m.ExpectedG.High < want {
		t.Errorf("should have been %v g, was %.1f", m.ExpectedG, want)
	}
	if got, want := d.MassG(0, 180).Middle, tr.massG(180); math.Abs(got-want) > 1.0 {
		t.Errorf("day 180 by %.1f g, want %.1f: it was not outvoted", got, want)
	}
}

// A maker whose bars dry otherwise than the prior: after six finished batches
// the ready day said at the cut, with no weighing yet, is off by less than half.
func TestReadyErrorHalvesAfterSix(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 3))
	before, after := 0.0, 0.0
	const makers = 30
	for range makers {
		base := grow(r, "two terms")
		pace, share := math.Exp(0.45*r.NormFloat64()), 1+0.08*r.NormFloat64()
		batch := func() truth {
			b := base
			p := pace * math.Exp(0.08*r.NormFloat64())
			b.loss *= share * (1 + 0.02*r.NormFloat64())
			b.gone = func(d float64) float64 { return 0.35*-math.Expm1(-d*p/4) + 0.65*-math.Expm1(-d*p/24) }
			return b
		}
		var found []Finished
		for range 6 {
			b := batch()
			f, done := b.fit(t, Habit{}, b.weigh(r, 1, 0, 7, 14, 21, 28, 42, 60, 90, 120)).Finished("like")
			if !done {
				continue
			}
			found = append(found, f)
		}
		next := batch()
		off := func(h Habit) float64 {
			return math.Abs(next.fit(t, h, nil).Ready(Rules{WeeklyPct: 0.5}).Day.Middle - next.readyDay())
		}
		before, after = before+off(Habit{})/makers, after+off(Learn(found))/makers
	}
	t.Logf("ready day off by %.1f d before, %.1f d after six like batches", before, after)
	if after > before/2 {
		t.Errorf("ready day off by %.1f d before and %.1f d after six like batches: not halved", before, after)
	}
}
