package batch_test

import (
	"math"
	"testing"
	"time"

	"barwright/batch"
	"barwright/cure"
)

// onRack is a plain batch cut into eleven bars, three of them marked, of the
// invented two-term law of the demo: 110 g, a tenth of it lost.
func onRack(t *testing.T, device string, pace float64, days ...float64) *batch.State {
	t.Helper()
	p := newPhone(device)
	p.do(time.Second, batch.Began{})
	p.do(time.Hour, batch.CameOut{Of: "turn_out", How: "clean", Hours: g(20)})
	p.do(time.Hour, batch.Cut{Bars: 11, Each: []float64{110, 109, 111}})
	cut := p.now
	p.do(time.Second, batch.Racked{Place: "top of the rack", RHPct: g(60), C: g(20)})
	for _, d := range days {
		kept := 1 - 0.1*(1-0.35*math.Exp(-d*pace/4)-0.65*math.Exp(-d*pace/24)) - 0.003*d/365
		at := cut.Add(time.Duration(d * 24 * float64(time.Hour)))
		for i, first := range []float64{110, 109, 111} {
			p.do(time.Second, batch.BarWeighed{Bar: i + 1, G: math.Round(10*first*kept) / 10, At: &at})
		}
	}
	s, err := batch.Replay(started(t, "plain-tow"), p.events)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestRackReplays(t *testing.T) {
	t.Parallel()
	s := onRack(t, "phone", 1, 7, 14, 28)
	if len(s.Uncounted) != 0 || len(s.Rack.Weighings) != 9 || len(s.Series()) != 12 || len(s.Marked()) != 3 || s.Rack.Places[0].Place != "top of the rack" {
		t.Fatalf("%+v, left out %v", s.Rack, s.Uncounted)
	}
	if w := s.Series()[3]; w.Bar != 1 || math.Abs(s.Days(w)-7) > 0.01 {
		t.Errorf("the first weighing after the cut: %+v on day %g", w, s.Days(w))
	}
	if s.Rack.RulesOr(cure.UsualRules) != cure.UsualRules || s.Rack.Came[0].AfterH != 20 {
		t.Errorf("rules %+v, turned out %+v", s.Rack.Rules, s.Rack.Came)
	}
	b := s.Bar()
	if *b.RHPct != 60 || b.WaterFraction < 0.15 || b.WaterFraction > 0.25 || b.DrySoapFraction < 0.7 {
		t.Errorf("a bar of %+v", b)
	}
}

// A weight that was misread is put right by an event of its own, and what stood
// there is kept.
func TestBarWeightsAreCorrected(t *testing.T) {
	t.Parallel()
	p := newPhone("phone")
	p.do(time.Second, batch.BarWeighed{Bar: 1, G: 99})
	p.do(time.Hour, batch.Cut{Bars: 11})
	wrong := p.do(time.Hour, batch.BarWeighed{Bar: 1, G: 58.4}).ID
	p.do(time.Minute, batch.Corrected{Of: wrong, G: g(85.4), Why: "digits swapped"})
	s, err := batch.Replay(started(t, "plain-tow"), p.events)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Uncounted) != 1 || len(s.Rack.Weighings) != 1 {
		t.Fatalf("before the cut there are no bars: %v %v", s.Uncounted, s.Rack.Weighings)
	}
	if w := s.Rack.Weighings[0]; w.G != 85.4 || *w.WasG != 58.4 || s.Corrected[0].Was != "58.4 g" {
		t.Errorf("%+v, told as %+v", w, s.Corrected)
	}
}

// What finished series of like bars taught reaches the next batch's forecast
// before it is weighed, and not when they are left out. A maker whose bars dry
// at twice the demo's pace is ready earlier than any maker's prior says.
func TestRackTeachesTheNext(t *testing.T) {
	t.Parallel()
	quick := onRack(t, "phone", 2, 3, 7, 14, 21, 28, 42, 60, 90)
	l := batch.LearnRack([]*batch.State{quick, quick, quick})
	next := onRack(t, "tablet", 2)
	if n := l.Habit(next.Like()).Series; n != 3 {
		t.Fatalf("%d series taught", n)
	}
	ready := func(h cure.Habit) cure.Range {
		d, err := next.Dry(h)
		if err != nil {
			t.Fatal(err)
		}
		return d.Ready(cure.Rules{WeeklyPct: 0.5}).Day
	}
	before, after := ready(cure.Habit{}), ready(l.Habit(next.Like()))
	if !(after.High-after.Low < 0.7*(before.High-before.Low)) {
		t.Errorf("ready %.0f to %.0f, then %.0f to %.0f", before.Low, before.High, after.Low, after.High)
	}
	quick.Rack.LeftOut = true
	if n := batch.LearnRack([]*batch.State{quick}).Habit(next.Like()).Series; n != 0 {
		t.Error("a batch that is left out taught")
	}
	out, _ := l.Hours(next.Setting())
	practice, _ := batch.RackLessons{}.Hours(next.Setting())
	if !(out.High < practice.High) {
		t.Errorf("clean after 20 h three times: %.0f to %.0f h, by practice %.0f to %.0f", out.Low, out.High, practice.Low, practice.High)
	}
}
