package cure

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What makers report, without a source: 12 to 48 hours, relief moulds two to
// seven days, high salt two to five hours.
func TestTurnOutOfPractice(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		of        Setting
		low, high float64
	}{{"usual", Setting{SoftPct: 35}, 12, 48}, {"relief", Setting{Relief: true, SoftPct: 35}, 48, 168}, {"salt", Setting{HighSalt: true}, 2, 5}} {
		r := TurningHours(c.of.TurnOut(), nil)
		if math.Abs(r.Low/c.low-1) > 0.12 || math.Abs(r.High/c.high-1) > 0.12 {
			t.Errorf("%s: %.1f to %.1f h, want %g to %g", c.name, r.Low, r.High, c.low, c.high)
		}
	}
	usual := TurningHours(Setting{SoftPct: 35}.TurnOut(), nil).Middle
	if h := TurningHours((Setting{SoftPct: 35, WaxPct: 2}).TurnOut(), nil).Middle; h >= usual {
		t.Errorf("wax: %.1f h, without %.1f", h, usual)
	}
	for _, s := range []Setting{{SoftPct: 35, HoneyPct: 2}, {SoftPct: 90}} {
		if h := TurningHours(s.TurnOut(), nil).Middle; h <= usual {
			t.Errorf("%+v: %.1f h, usual %.1f", s, h, usual)
		}
	}
}

// Simulated makers whose own hours are off practice: after eight stamps the
// range holds their true hours and is narrower.
func TestTurnOutLearns(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(12, 48))
	prior := Setting{SoftPct: 35}.TurnOut()
	before := TurningHours(prior, nil)
	const makers = 200
	inside, width, off0, off := 0, 0.0, 0.0, 0.0
	for range makers {
		own := prior.Mean + prior.SD*r.NormFloat64()
		var tried []Tried
		for range 8 {
			h := math.Exp(own + 0.4*r.NormFloat64())
			tried = append(tried, Tried{prior, h, math.Log(h) > own+0.2*r.NormFloat64()})
		}
		got, next := TurningHours(prior, tried), math.Exp(own+0.2*r.NormFloat64())
		if got.Low <= next && next <= got.High {
			inside++
		}
		width += math.Log(got.High/got.Low) / makers
		off0, off = off0+math.Abs(prior.Mean-own)/makers, off+math.Abs(math.Log(got.Middle)-own)/makers
	}
	wide := math.Log(before.High / before.Low)
	t.Logf("the next batch is inside the 90 %% range for %d of %d makers; range %.0f %% of practice's, middle off by %.0f %%, before %.0f %%", inside, makers, 100*width/wide, 100*off, 100*off0)
	if inside < makers*82/100 || width > wide || off > off0/2 {
		t.Errorf("inside %d of %d, width %.2f of %.2f, off %.2f of %.2f", inside, makers, width, wide, off, off0)
	}
}

// Thirteen batches that were clean at 22 h do not promise 6 h, which nobody
// tried; one that was clean at 7 h does.
func TestNobodyTriedEarlier(t *testing.T) {
	t.Parallel()
	prior := Setting{SoftPct: 90}.TurnOut() // soft fats: practice expects later than 22 h
	practice := TurningHours(prior, nil)
	var tried []Tried
	for range 13 {
		tried = append(tried, Tried{prior, 22, true})
	}
	usual := Setting{SoftPct: 35}.TurnOut()
	early := TurningHours(usual, nil).Low
	got := TurningHours(usual, tried)
	if got.Low < early-1e-9 || got.Middle < got.Low || got.High < got.Middle || got.High > 22 {
		t.Errorf("%+v, practice from %.1f h", got, early)
	}
	if r := TurningHours(prior, tried); r.High >= practice.High {
		t.Errorf("nothing was learned: %+v", r)
	}
	if r := TurningHours(usual, append(tried, Tried{prior, 7, true}, Tried{prior, 7, true})); r.Low > 7.01 {
		t.Errorf("clean at 7 h, and told from %.1f h", r.Low)
	}
}
