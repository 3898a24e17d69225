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
	return p.moved([moves]float64{drawRate: math.Log(m.rate) + spread*m.random.NormFloat64(), drawLoss: math.Log(m.loss) + spread*m.random.NormFloat64(),
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

// taught is what her logs of some batches teach.
func (m simulated) taught(past []Case) Maker {
	var logs []Log
	for _, c := range past {
		logs = append(logs, Log{"loaf", c, m.log(m.truth(c))})
	}
	out, _, err := Learn(logs, Options{})
	if err != nil {
		m.t.Fatal(err)
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
	return past, []Case{plainCase(t, 40, room("blanket 25 mm")), plainCase(t, 44, room("towel 8 mm")), plainCase(t, 37, room("towel 8 mm")), plainCase(t, 45, room("blanket 25 mm"))}
}

// score is how forecasts met what then happened.
type score struct {
	batches             int
	before, after       float64 // error of the peak, summed [K]
	wideBefore, wideNow float64 // width of the peak's band, summed [K]
	held, of            int     // readings inside the 90 % band
}

// judge forecasts a batch after learning, looks what happened, and compares
// with the forecast before.
func (s *score) judge(who simulated, m Maker, c Case, prior *Forecast) {
	real := solve(who.t, who.truth(c), truthSettings)
	now := tellWith(who.t, c, m.Belief("loaf"))
	s.batches++
	s.before += math.Abs(prior.Peak.CoreC - real.PeakC)
	s.after += math.Abs(now.Peak.CoreC - real.PeakC)
	s.wideBefore += prior.Peak.C.High - prior.Peak.C.Low
	s.wideNow += now.Peak.C.High - now.Peak.C.Low
	who.t.Logf("rate %.1f loss %.1f: peak %.1f; told %.1f (%.1f to %.1f) before, %.1f (%.1f to %.1f) after six", who.rate, who.loss, real.PeakC,
		prior.Peak.CoreC, prior.Peak.C.Low, prior.Peak.C.High, now.Peak.CoreC, now.Peak.C.Low, now.Peak.C.High)
	for t := 1800.0; t <= 16*3600; t += 1800 {
		core := at(real.TimeS, real.CoreC, t)
		s.of++
		if at(now.Series.TimeS, now.Bands.CoreLowC, t) <= core && core <= at(now.Series.TimeS, now.Bands.CoreHighC, t) {
			s.held++
		}
	}
	if now.Learned.Words != "your last 6 batches" {
		who.t.Errorf("words: %q", now.Learned.Words)
	}
}

func tellWith(t testing.TB, c Case, b Belief) *Forecast {
	t.Helper()
	c.Belief = b
	f, err := Tell(c, Options{Samples: 40, Seed: 9})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Four makers, each 30 % off in rate and in loss: after six logged batches the
// error of the peak has at least halved, and the 90 % bands hold between 80
// and 97 % of what really happened in the four batches after them.
func TestSixCurvesHalveTheErrorOfThePeak(t *testing.T) {
	t.Parallel()
	past, next := pours(t)
	var s score
	var prior []*Forecast
	for _, c := range next {
		prior = append(prior, tellWith(t, c, Belief{}))
	}
	for i, truth := range [][2]float64{{1.3, 0.7}, {1.3, 1.3}, {0.7, 0.7}, {0.7, 1.3}} {
		who := simulated{rate: truth[0], loss: truth[1], nature: hypercube(4, 5)[i], random: rand.New(rand.NewPCG(3, uint64(i))), t: t}
		m := who.taught(past)
		for j, c := range next {
			s.judge(who, m, c, prior[j])
		}
	}
	n, share := float64(s.batches), float64(s.held)/float64(s.of)
	t.Logf("mean error of the peak %.1f K before, %.1f K after; band %.1f K, then %.1f K; the 90 %% band holds %.1f %% of %d",
		s.before/n, s.after/n, s.wideBefore/n, s.wideNow/n, 100*share, s.of)
	if s.after > s.before/2 {
		t.Errorf("the error went from %.1f to %.1f K only", s.before/n, s.after/n)
	}
	if share < 0.80 || share > 0.97 {
		t.Errorf("the band holds %.1f %%", 100*share)
	}
	if s.wideNow > s.wideBefore/2 {
		t.Errorf("the band went from %.1f to %.1f K only", s.wideBefore/n, s.wideNow/n)
	}
}

// A maker starts over by forgetting; another mould keeps her rate and heat but
// not the mould's own loss.
func TestForgettingAndOtherMoulds(t *testing.T) {
	t.Parallel()
	past, next := pours(t)
	who := simulated{rate: 1.3, loss: 0.7, nature: [draws]float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5}, random: rand.New(rand.NewPCG(1, 1)), t: t}
	m := who.taught(past[:3])
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
	good, _, err := Learn([]Log{{"loaf", past[0], curve}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	spoilt := slices.Clone(curve)
	for i := range 8 {
		spoilt[40+i].C = 20.5
	}
	bad, fit, err := Learn([]Log{{"loaf", past[0], spoilt}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := good.Belief("loaf"), bad.Belief("loaf")
	t.Logf("without %.3f, with %.3f, left %.1f K", a.Mean, b.Mean, fit[0].MissK)
	for i := range 2 {
		near(t, "learned", b.Mean[i], a.Mean[i], 0.12)
	}
}

// A curve of another's batch among her own is found, and hardly moves what the
// others teach; none of her own is taken for odd.
func TestAnOddBatchTeachesLittle(t *testing.T) {
	t.Parallel()
	past, _ := pours(t)
	middle := [draws]float64{}
	for i := range middle {
		middle[i] = 0.5
	}
	who := simulated{rate: 1.4, loss: 0.8, nature: middle, random: rand.New(rand.NewPCG(7, 7)), t: t}
	stranger := simulated{rate: 0.35, loss: 0.8, nature: middle, random: rand.New(rand.NewPCG(8, 8)), t: t}
	var logs []Log
	for _, c := range past[:5] {
		logs = append(logs, Log{"loaf", c, who.log(who.truth(c))})
	}
	hers, fits, err := Learn(logs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range fits {
		if f.Unlike() {
			t.Errorf("her batch %d is taken for odd: %.1f", i, f.Odd)
		}
	}
	mixed, fits, err := Learn(append(logs, Log{"loaf", past[5], stranger.log(stranger.truth(past[5]))}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := hers.Belief("loaf"), mixed.Belief("loaf")
	t.Logf("rate %.3f, with the stranger's %.3f, who is odd by %.1f", math.Exp(a.Mean[drawRate]), math.Exp(b.Mean[drawRate]), fits[5].Odd)
	if !fits[5].Unlike() {
		t.Errorf("the stranger's batch is odd by %.1f only", fits[5].Odd)
	}
	near(t, "rate", b.Mean[drawRate], a.Mean[drawRate], 0.1) // bound as one, it moved by a fifth of 1.39 = ln 4, 0.28 and more
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
		if m, _, err := Learn([]Log{{"loaf", past[0], curve}}, Options{}); !errors.Is(err, ErrCurve) || m.Batches() != 0 {
			t.Errorf("%s: %v, %d batches", name, err, m.Batches())
		}
	}
}

// Learning is left off when nobody waits for it, and its result does not hang
// on the number of cores.
func TestLearningStopsAndAgrees(t *testing.T) {
	t.Parallel()
	past, _ := pours(t)
	hers := simulated{rate: 0.7, loss: 1.3, random: rand.New(rand.NewPCG(1, 2)), t: t}
	for i := range hers.nature {
		hers.nature[i] = 0.5
	}
	var logs []Log
	for _, c := range past[:3] {
		logs = append(logs, Log{"loaf", c, hers.log(hers.truth(c))})
	}
	one, _, err := Learn(logs, Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	three, _, err := Learn(logs, Options{Workers: 3})
	if err != nil || one.Belief("loaf") != three.Belief("loaf") {
		t.Errorf("three cores learn otherwise than one: %v", err)
	}
	closed := make(chan struct{})
	close(closed)
	if m, _, err := Learn(logs, Options{Done: closed}); !errors.Is(err, ErrStopped) || m.Batches() != 0 {
		t.Errorf("it goes on though nobody waits: %v", err)
	}
}
