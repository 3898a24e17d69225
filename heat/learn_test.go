package heat

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// simulated is a maker whose truth is known: her rate and loss, and what else
// nature drew for her.
type simulated struct {
	rate, loss float64 // times the model's
	nature     [draws]float64
	random     *rand.Rand
	t          testing.TB
}

// truth is one batch of hers: what was planned, and what really went on.
func (m simulated) truth(c Case) Physics {
	u := m.nature
	u[drawRate], u[drawLoss], u[drawHeat], u[drawPour], u[drawPlace] = 0.5, 0.5, 0.5, m.random.Float64(), m.random.Float64()
	c.Belief = Belief{}
	const spread = 0.03 // of every batch
	p := c.drawn(u)
	return p.moved([taught]float64{drawRate: math.Log(m.rate) + spread*m.random.NormFloat64(), drawLoss: math.Log(m.loss) + spread*m.random.NormFloat64(),
		drawHeat: spread * m.random.NormFloat64()})
}

var truthSettings = Settings{Grid: 5, UntilS: 24 * 3600, MostStepS: 300, ToleranceK: 0.1}

// log is what a probe shows of a truth: every 10 minutes for 12 hours, with
// 0.3 K of noise and in tenths.
func (m simulated) log(p Physics) (out []Reading) {
	r, err := Solve(p, truthSettings)
	if err != nil {
		m.t.Fatal(err)
	}
	for s := 300.0; s < 12*3600; s += 600 {
		out = append(out, Reading{s, math.Round(10*(at(r.TimeS, r.CoreC, s)+0.3*m.random.NormFloat64())) / 10})
	}
	return out
}

// pours are six batches as a maker might pour them, and the next one.
func pours(t testing.TB) (past []Case, next []Case) {
	t.Helper()
	room := func(cover string) Rest { return Rest{Place: "room", TC: 20, Cover: stuffOf(t, cover)} }
	for _, p := range []struct {
		tC   float64
		rest Rest
	}{{36, room("blanket 25 mm")}, {41, room("towel 8 mm")}, {44, room("none")}, {38, room("blanket 25 mm")}, {46, room("towel 8 mm")}, {42, room("blanket 25 mm")}} {
		past = append(past, plainCase(t, p.tC, p.rest))
	}
	return past, []Case{plainCase(t, 40, room("blanket 25 mm")), plainCase(t, 44, room("towel 8 mm"))}
}

// Four makers, each 30 % off in rate and in loss: after six logged batches the
// error of the peak has at least halved, and the 90 % bands hold between 80
// and 97 % of what really happened.
func TestSixCurvesHalveTheErrorOfThePeak(t *testing.T) {
	t.Parallel()
	past, next := pours(t)
	var before, after, widthBefore, widthAfter float64
	held, of := 0, 0
	for i, truth := range [][2]float64{{1.3, 0.7}, {1.3, 1.3}, {0.7, 0.7}, {0.7, 1.3}} {
		who := simulated{rate: truth[0], loss: truth[1], nature: hypercube(4, 5)[i], random: rand.New(rand.NewPCG(3, uint64(i))), t: t}
		var m Maker
		for _, c := range past {
			var err error
			if m, _, err = m.Learn("loaf", c, who.log(who.truth(c))); err != nil {
				t.Fatal(err)
			}
		}
		for _, c := range next {
			real := solve(t, who.truth(c), truthSettings)
			o := Options{Samples: 40, Seed: 9}
			prior, err := Tell(c, o)
			if err != nil {
				t.Fatal(err)
			}
			c.Belief = m.Belief("loaf")
			f, err := Tell(c, o)
			if err != nil {
				t.Fatal(err)
			}
			before += math.Abs(prior.Peak.CoreC - real.PeakC)
			after += math.Abs(f.Peak.CoreC - real.PeakC)
			widthBefore += prior.Peak.C.High - prior.Peak.C.Low
			widthAfter += f.Peak.C.High - f.Peak.C.Low
			t.Logf("rate %.1f loss %.1f: peak %.1f; told %.1f (%.1f to %.1f) before, %.1f (%.1f to %.1f) after six", truth[0], truth[1], real.PeakC,
				prior.Peak.CoreC, prior.Peak.C.Low, prior.Peak.C.High, f.Peak.CoreC, f.Peak.C.Low, f.Peak.C.High)
			for s := 1800.0; s <= 16*3600; s += 1800 {
				core := at(real.TimeS, real.CoreC, s)
				of++
				if at(f.Series.TimeS, f.Bands.CoreLowC, s) <= core && core <= at(f.Series.TimeS, f.Bands.CoreHighC, s) {
					held++
				}
			}
			if f.Learned.Words != "your last 6 batches" {
				t.Errorf("words: %q", f.Learned.Words)
			}
		}
	}
	share := float64(held) / float64(of)
	t.Logf("mean error of the peak %.1f K before, %.1f K after; band %.1f K, then %.1f K; the 90 %% band holds %.1f %% of %d", before/8, after/8, widthBefore/8, widthAfter/8, 100*share, of)
	if after > before/2 {
		t.Errorf("the error went from %.1f to %.1f K only", before/8, after/8)
	}
	if share < 0.80 || share > 0.97 {
		t.Errorf("the band holds %.1f %%", 100*share)
	}
	if widthAfter > widthBefore/2 {
		t.Errorf("the band went from %.1f to %.1f K only", widthBefore/8, widthAfter/8)
	}
}

// A maker starts over by forgetting; another mould keeps her rate and heat but
// not the mould's own loss.
func TestForgettingAndOtherMoulds(t *testing.T) {
	t.Parallel()
	past, next := pours(t)
	who := simulated{rate: 1.3, loss: 0.7, nature: [draws]float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5}, random: rand.New(rand.NewPCG(1, 1)), t: t}
	var m Maker
	for _, c := range past[:3] {
		var err error
		if m, _, err = m.Learn("loaf", c, who.log(who.truth(c))); err != nil {
			t.Fatal(err)
		}
	}
	same, other, fresh := m.Belief("loaf"), m.Belief("tube"), Maker{}.Belief("loaf")
	if fresh != (Belief{}) || same.Batches != 3 {
		t.Errorf("fresh %+v, learned %+v", fresh, same)
	}
	if same.Mean[drawRate] != other.Mean[drawRate] || !(other.Cov[drawLoss][drawLoss] > same.Cov[drawLoss][drawLoss]) {
		t.Errorf("the same mould %+v, another %+v", same, other)
	}
	near(t, "rate", math.Exp(same.Mean[drawRate]), 1.3, 0.25)
	near(t, "loss", math.Exp(same.Mean[drawLoss]), 0.7, 0.12)
	a, err := Tell(next[0], Options{Samples: 16})
	if err != nil {
		t.Fatal(err)
	}
	back := next[0]
	back.Belief = fresh
	b, err := Tell(back, Options{Samples: 16})
	if err != nil || a.Peak != b.Peak || a.Gel != b.Gel {
		t.Errorf("after a reset the forecast is not the first one: %v, %v, %v", a.Peak, b.Peak, err)
	}
}

// A fallen-out probe for part of the curve hardly moves what is learned.
func TestOddReadingsHardlyMatter(t *testing.T) {
	t.Parallel()
	past, _ := pours(t)
	middle := [draws]float64{}
	for i := range middle {
		middle[i] = 0.5
	}
	who := simulated{rate: 1.3, loss: 0.8, nature: middle, random: rand.New(rand.NewPCG(4, 4)), t: t}
	curve := who.log(who.truth(past[0]))
	good, _, err := Maker{}.Learn("loaf", past[0], curve)
	if err != nil {
		t.Fatal(err)
	}
	spoilt := slices.Clone(curve)
	for i := range 8 {
		spoilt[40+i].C = 20.5
	}
	bad, fit, err := Maker{}.Learn("loaf", past[0], spoilt)
	if err != nil {
		t.Fatal(err)
	}
	a, b := good.Belief("loaf"), bad.Belief("loaf")
	t.Logf("without %.3f, with %.3f, left %.1f K", a.Mean, b.Mean, fit.MissK)
	for i := range 2 {
		near(t, "learned", b.Mean[i], a.Mean[i], 0.12)
	}
}

func TestTooLittleTeachesNothing(t *testing.T) {
	t.Parallel()
	past, _ := pours(t)
	for name, curve := range map[string][]Reading{
		"none":      nil,
		"one":       {{600, 40}},
		"an hour":   {{0, 40}, {600, 40}, {1200, 41}, {1800, 41}, {2400, 41}, {3600, 42}},
		"no number": {{math.NaN(), 40}, {3600, math.NaN()}, {7200, math.Inf(1)}},
	} {
		if m, _, err := (Maker{}).Learn("loaf", past[0], curve); !errors.Is(err, ErrCurve) || m.Batches() != 0 {
			t.Errorf("%s: %v, %d batches", name, err, m.Batches())
		}
	}
}
