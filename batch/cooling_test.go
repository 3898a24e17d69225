package batch_test

import (
	"math"
	"testing"
	"time"

	"barwright/batch"
)

// Newton's law solved by hand: 90 °C in a room of 20, k = 1/1800 s. Two
// readings of the analytic curve give the rate back, and the arrival at 38 °C:
// t = 1800 ln(70/18) = 2444.6 s from the start. The range covers what a
// thermometer of half a degree either way would say.
func TestRefitAgainstAnalytic(t *testing.T) {
	t.Parallel()
	const room, first, k = 20.0, 90.0, 1.0 / 1800
	curve := func(s float64) float64 { return room + (first-room)*math.Exp(-k*s) }
	at := func(s float64) time.Time { return nine.Add(time.Duration(s * float64(time.Second))) }
	for _, pair := range [][2]float64{{60, 360}, {300, 900}, {600, 1500}} {
		law := batch.CoolingOf(376, 1.33, 3.5, curve(pair[0]), room, at(pair[0])).Refit(at(pair[0]), curve(pair[0]), at(pair[1]), curve(pair[1]))
		if !law.Fitted || math.Abs(law.PerS/k-1) > 1e-9 {
			t.Errorf("rate %g, true %g", law.PerS, k)
		}
		arrives, early, late, ok := law.Reaches(38)
		want := 1800 * math.Log(70.0/18)
		if got := arrives.Sub(nine).Seconds(); !ok || math.Abs(got-want) > 1e-3 {
			t.Errorf("at 38 °C after %.1f s, by hand %.1f", got, want)
		}
		off := batch.CoolingOf(376, 1.33, 3.5, 0, room, nine).Refit(at(pair[0]), curve(pair[0])+0.5, at(pair[1]), curve(pair[1])-0.5)
		if off.PerS <= law.PerS || math.Abs(off.PerS-law.High) > 1e-12 || !early.Before(arrives) || !late.After(arrives) {
			t.Errorf("range %v to %v around %v; rate %g, at the most %g", early, late, arrives, off.PerS, law.High)
		}
		for s := pair[1]; s < 5000; s += 700 {
			c, low, high := law.AtC(at(s))
			if math.Abs(c-curve(s)) > 1e-6 || low > c || high < c {
				t.Errorf("%.3f °C (%.2f to %.2f), by hand %.3f", c, low, high, curve(s))
			}
		}
	}
}

// Readings that say nothing leave the rate as it was; what never cools so far
// is said not to.
func TestRefitSaysNothing(t *testing.T) {
	t.Parallel()
	prior := batch.CoolingOf(376, 1.33, 3.5, 60, 20, nine)
	for _, pair := range [][2]float64{{60, 59}, {60, 61}, {22, 21}} {
		law := prior.Refit(nine, pair[0], nine.Add(5*time.Minute), pair[1])
		if law.Fitted || law.PerS != prior.PerS || law.FromC != pair[1] {
			t.Errorf("%v: %+v", pair, law)
		}
	}
	if _, _, _, ok := prior.Reaches(20); ok {
		t.Error("it cools to the room, and below")
	}
	if at, _, _, ok := prior.Reaches(65); !ok || !at.Equal(nine) {
		t.Error("what is cool enough is not there")
	}
	// 376 g of lye in a jug: common practice has it from 95 to 40 °C in half an
	// hour to two hours (no source).
	jug := batch.CoolingOf(376, 1.33, 3.5, 95, 20, nine)
	if at, _, _, _ := jug.Reaches(40); at.Sub(nine) < 30*time.Minute || at.Sub(nine) > 2*time.Hour {
		t.Errorf("from 95 to 40 °C in %v", at.Sub(nine))
	}
}

// Lye and fats arrive together: the slower starts at once, the other so much
// later that both are there at the same instant; at the bench the two readings
// of the day replace the guess.
func TestArriveTogether(t *testing.T) {
	t.Parallel()
	start := started(t, "wax-rind")
	sh, err := batch.New(start)
	if err != nil {
		t.Fatal(err)
	}
	m, ok := sh.Schedule(nine, 20)
	if !ok || m.LyeWait < 0 || m.FatsWait < 0 || m.LyeWait > 0 && m.FatsWait > 0 {
		t.Fatalf("%+v", m)
	}
	if l, f := m.LyeAt.Add(m.LyeWait), m.FatsAt.Add(m.FatsWait); !l.Equal(f) || !l.Equal(m.At) || !m.At.After(nine) {
		t.Errorf("lye at %v, fats at %v, together %v", l, f, m.At)
	}
	p := newPhone("a")
	p.do(0, batch.Reading{Of: "lye", C: 90})
	p.do(0, batch.Reading{Of: "fats", C: 70})
	p.do(10*time.Minute, batch.Reading{Of: "lye", C: 75})
	p.do(0, batch.Reading{Of: "fats", C: 66})
	now := with(t, start, p).At(p.now)
	if now.Meeting == nil || !now.Lye.Fitted || !now.Fats.Fitted {
		t.Fatalf("%+v", now)
	}
	// By hand: lye 70 → 55 over the room in 600 s, to 30 over it (50 °C):
	// 600 ln(55/30)/ln(70/55) = 1508 s more. Fats 50 → 46, to 38 (58 °C):
	// 600 ln(46/38)/ln(50/46) = 1375 s more.
	lye := 600 * math.Log(55.0/30) / math.Log(70.0/55)
	fats := 600 * math.Log(46.0/38) / math.Log(50.0/46)
	if got := now.Meeting.LyeAt.Sub(p.now).Seconds(); math.Abs(got-lye) > 1 {
		t.Errorf("lye in %.0f s, by hand %.0f", got, lye)
	}
	if got := now.Meeting.FatsWait.Seconds(); math.Abs(got-(lye-fats)) > 1 || now.Meeting.LyeWait != 0 {
		t.Errorf("fats wait %.0f s, by hand %.0f", got, lye-fats)
	}
	if got := with(t, start, p).Expected("lye", p.now.Add(10*time.Minute)); got != math.Round(20+55*55/70.0) {
		t.Errorf("the stepper starts from %g", got)
	}
}
