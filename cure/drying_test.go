package cure

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func plainBar(water float64) Bar { return Bar{WaterFraction: water, DrySoapFraction: 1 - water} }

func unweighed(t *testing.T, water float64) *Drying {
	t.Helper()
	b := plainBar(water)
	d, err := Fit(b, b.Prior(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// C06, C08 and C10 of the drying literature against the prior of the rack, as
// nobody weighed: the middle of what it says.
func TestPriorAgainstMakersReports(t *testing.T) {
	t.Parallel()
	stable := func(water float64) float64 { return unweighed(t, water).Ready(Rules{WeeklyPct: 0.5}).Day.Middle }
	checks := []struct {
		name           string
		got, want, tol float64
	}{
		{"C06 water after 60 days from 20.1 % (K. Dunn, 2 March 2018)", 100 * unweighed(t, 0.201).Water(60).Middle, 8.9, 1.5},
		{"C07 loss by day 60 from 20.1 %", 100 * (1 - unweighed(t, 0.201).Kept(60).Middle), 12.3, 1.5},
		{"C08 gap of bars of 23.9 and 15.5 % after 30 days [points]", 100 * (unweighed(t, 0.239).Water(30).Middle - unweighed(t, 0.155).Water(30).Middle), 0, 1.5},
		{"C10 days to stable weight, 40 % lye (15.9 % water)", stable(0.159), 21, 7},
		{"C10 days to stable weight, 33 % lye (20.1 % water)", stable(0.201), 28, 7},
	}
	for _, c := range checks {
		t.Logf("%s: %.1f, want %.1f ± %.1f", c.name, c.got, c.want, c.tol)
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %.2f, want %.2f ± %.2f", c.name, c.got, c.want, c.tol)
		}
	}
}

// Shrinkage of the sides from the mass lost, worked by hand in the literature:
// 7.1, 12.3 and 16.4 % give 2.6, 4.6 and 6.2 %.
func TestShrunk(t *testing.T) {
	t.Parallel()
	for loss, want := range map[float64]float64{7.1: 2.6, 12.3: 4.6, 16.4: 6.2} {
		if got := 100 * Shrunk(loss/100); math.Abs(got-want) > 0.06 {
			t.Errorf("lost %g %%: sides %.2f %% shorter, want %.1f", loss, got, want)
		}
	}
}

// Whatever is weighed, the ranges are in order, finite and fall with time, and
// bars of twice the weight say the same of themselves.
func TestDryingLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := plainBar(rapid.Float64Range(0.05, 0.4).Draw(t, "water"))
		n := rapid.IntRange(0, 7).Draw(t, "weighings")
		var series, twice []Weighing
		for i := range n {
			w := Weighing{rapid.IntRange(0, 2).Draw(t, "bar"), float64(7 * i), rapid.Float64Range(80, 110).Draw(t, "g")}
			series = append(series, w)
			w.MassG *= 2
			twice = append(twice, w)
		}
		d, err := Fit(b, b.Prior(), series)
		if err != nil {
			t.Fatal(err)
		}
		d2, err := Fit(b, b.Prior(), twice)
		if err != nil {
			t.Fatal(err)
		}
		before := math.Inf(1)
		for _, day := range []float64{0, 1, 7, 42, 365} {
			k, k2 := d.Kept(day), d2.Kept(day)
			if !(k.Low <= k.Middle && k.Middle <= k.High) || math.IsNaN(k.Low+k.High) {
				t.Fatalf("day %g: %+v", day, k)
			}
			if k.Middle > before+1e-9 {
				t.Fatalf("day %g: %+v: water comes back", day, k)
			}
			before = k.Middle
			if math.Abs(k.Middle-k2.Middle) > 1e-6 {
				t.Fatalf("day %g: %g of a bar, %g of one twice as heavy", day, k.Middle, k2.Middle)
			}
		}
		if r := d.Ready(UsualRules).Day; !(r.Low >= 28 && r.Low <= r.Middle && r.Middle <= r.High) {
			t.Fatalf("ready %+v", r)
		}
	})
}

// More than one rule: the later one decides, and is the reason.
func TestLaterRuleDecides(t *testing.T) {
	t.Parallel()
	d := unweighed(t, 0.22)
	weekly, gone := d.Ready(Rules{WeeklyPct: 0.5}), d.Ready(Rules{GonePct: 95})
	both := d.Ready(Rules{WeeklyPct: 0.5, GonePct: 95, LeastWeeks: 1})
	later := weekly
	if gone.Day.Middle > weekly.Day.Middle {
		later = gone
	}
	if both.Reason != later.Reason || both.Day.Middle < later.Day.Middle {
		t.Errorf("both rules: %+v, the later alone: %+v", both, later)
	}
	if year := d.Ready(Rules{WeeklyPct: 0.5, LeastWeeks: 52}); year.Day.Low != 364 || year.Reason != "it has then stood 52 weeks, as you ask" {
		t.Errorf("a year: %+v", year)
	}
}

func TestBadSeries(t *testing.T) {
	t.Parallel()
	b := plainBar(0.2)
	for _, w := range []Weighing{{-1, 0, 100}, {6, 0, 100}, {0, -1, 100}, {0, math.NaN(), 100}, {0, 5, 0}, {0, 5, math.Inf(1)}} {
		if _, err := Fit(b, b.Prior(), []Weighing{w}); err == nil {
			t.Errorf("%+v was taken", w)
		}
	}
	dead := 200.0
	if _, err := Fit(Bar{WaterFraction: 0.2, DrySoapFraction: 0.8, RHPct: &dead}, b.Prior(), nil); err == nil {
		t.Error("200 % humidity was taken")
	}
}

// An unlearned habit changes nothing; reset is dropping it.
func TestNothingLearned(t *testing.T) {
	t.Parallel()
	p := plainBar(0.2).Prior()
	if got := p.With(Learn(nil)); got != p {
		t.Errorf("%+v became %+v", p, got)
	}
}

// By its definition the time constant is when 1 − 1/e of the loss has left: 12
// days for the usual bar, whatever the shape.
func TestShareOfTheFinalLoss(t *testing.T) {
	t.Parallel()
	d := unweighed(t, 0.22)
	if got := d.Ready(Rules{GonePct: 63.212}).Day.Middle; math.Abs(got-12) > 0.6 {
		t.Errorf("63.2 %% gone on day %.1f, want 12", got)
	}
	if late := d.Ready(Rules{GonePct: 95}).Day.Middle; late < 24 {
		t.Errorf("95 %% gone on day %.1f already", late)
	}
}
