package batch_test

import (
	"math"
	"testing"
	"time"

	"barwright/batch"
	"barwright/heat"
)

// cooled is Plain Tow that is to rest in the fridge for 12 h, then in the room.
func cooled(t failer) batch.Start {
	return started(t, "plain-tow", "rest.0.place=fridge", "rest.0.temperature=4 °C", "rest.0.cover=none", "rest.0.for=12 h", "rest.1.place=room", "rest.1.temperature=20 °C")
}

// restWords are the rests of a batch as it was poured, and how long each but the
// last took [min].
func restWords(s *batch.State) (words string, minutes []float64) {
	rests := s.Poured().Rests
	for _, r := range rests[:max(0, len(rests)-1)] {
		minutes = append(minutes, r.ForS/60)
	}
	return heat.RestWords(rests), minutes
}

// A batch rests as it was stamped: moved when its end was stamped, elsewhere when
// that was stamped, and as planned where nothing was.
func TestPouredRests(t *testing.T) {
	t.Parallel()
	start := cooled(t)
	c := 12.5
	for name, x := range map[string]struct {
		then    func(p *phone)
		words   string
		minutes []float64
	}{
		"as planned":               {func(p *phone) {}, "fridge 4 °C, then room 20 °C", []float64{720}},
		"moved at 5 h":             {func(p *phone) { p.do(5*time.Hour, batch.Stamped{Step: "rest.0"}) }, "fridge 4 °C, then room 20 °C", []float64{300}},
		"forgotten, moved at 20 h": {func(p *phone) { p.do(20*time.Hour, batch.Stamped{Step: "rest.0"}) }, "fridge 4 °C, then room 20 °C", []float64{1200}},
		"never in the fridge":      {func(p *phone) { p.do(2*time.Minute, batch.Rested{Place: "room", Cover: "towel"}) }, "room 20 °C, towel", nil},
		"freezer after 40 min":     {func(p *phone) { p.do(40*time.Minute, batch.Rested{Place: "freezer"}) }, "fridge 4 °C, then freezer -18 °C", []float64{40}},
		"freezer, then moved as planned": {func(p *phone) {
			p.do(40*time.Minute, batch.Rested{Place: "freezer"})
			p.do(50*time.Minute, batch.Stamped{Step: "rest.0"})
		}, "fridge 4 °C, then freezer -18 °C, then room 20 °C", []float64{40, 50}},
		"said first, moved then": {func(p *phone) {
			p.do(30*time.Minute, batch.Rested{Place: "room", Cover: "towel"})
			p.do(time.Minute, batch.Stamped{Step: "rest.0"})
		}, "fridge 4 °C, then room 20 °C, towel", []float64{30}},
		"moved out, and back in at once": {func(p *phone) {
			p.do(5*time.Minute, batch.Stamped{Step: "rest.0"})
			p.do(3*time.Minute, batch.Rested{Place: "fridge"})
		}, "fridge 4 °C, then room 20 °C, then fridge 4 °C", []float64{5, 3}},
		"a room that was read": {func(p *phone) {
			p.do(time.Minute, batch.Reading{Of: "room", C: 12})
			p.do(time.Minute, batch.Rested{Place: "room", Cover: "lid and blanket"})
		}, "room 12 °C, blanket", nil},
		"uncovered, a fan on it": {func(p *phone) {
			p.do(time.Minute, batch.Rested{Place: "room", Cover: "lid and blanket"})
			p.do(59*time.Minute, batch.Stamped{Step: "uncovered"})
			p.do(30*time.Minute, batch.Stamped{Step: "fan"})
		}, "room 20 °C, blanket, then room 20 °C, then room 20 °C, fan", []float64{60, 30}},
		"too warm, uncovered": {func(p *phone) {
			p.do(time.Minute, batch.Rested{Place: "room", Cover: "towel"})
			e := p.do(29*time.Minute, batch.Triaged{Trouble: "heating", First: "rises", Second: "covered"})
			p.do(time.Minute, batch.Handled{Of: e.ID})
		}, "room 20 °C, towel, then room 20 °C, fan", []float64{31}},
		"said again": {func(p *phone) { p.do(40*time.Minute, batch.Rested{Place: "fridge"}) }, "fridge 4 °C", nil},
		"a box, another oven": {func(p *phone) {
			p.do(time.Minute, batch.Rested{Place: "oven", Cover: "box"})
			p.do(time.Hour, batch.Rested{Place: "oven", Cover: "film"})
		}, "oven 60 °C, corrugated card, then oven 60 °C, film", []float64{61}},
		"a cold room, and a fan on it": {func(p *phone) {
			p.do(time.Minute, batch.Rested{Place: "room", C: &c})
			p.do(30*time.Minute, batch.Rested{Place: "room", C: &c, Fan: true})
		}, "room 12 °C, then room 12 °C, fan", []float64{31}},
	} {
		p := newPhone("a")
		p.upTo(t, start, "rest.0", nil)
		since := p.now.Sub(with(t, start, p).Marks["pour"].At).Minutes()
		x.then(p)
		words, minutes := restWords(with(t, start, p))
		if words != x.words || len(minutes) != len(x.minutes) {
			t.Errorf("%s: %s %v, not %s %v", name, words, minutes, x.words, x.minutes)
			continue
		}
		for i, m := range minutes {
			if i == 0 && name != "as planned" {
				m -= since
			}
			if math.Abs(m-x.minutes[i]) > 0.1 {
				t.Errorf("%s: %s after %.1f min, not %.1f", name, words, m, x.minutes[i])
			}
		}
	}
}

// Nobody stamps the end of a rest on paper.
func TestPouredOnPaper(t *testing.T) {
	t.Parallel()
	start := cooled(t)
	start.Recorded = true
	p := newPhone("a")
	p.upTo(t, start, "", nil)
	if words, minutes := restWords(with(t, start, p)); words != "fridge 4 °C, then room 20 °C" || len(minutes) != 1 || minutes[0] != 720 {
		t.Errorf("%s %v", words, minutes)
	}
}

// It is as warm as the batter was read before or just after the pour, else as lye
// and fats met; and its core is what was read in the mould.
func TestPouredTemperature(t *testing.T) {
	t.Parallel()
	start := cooled(t)
	p := newPhone("a")
	p.upTo(t, start, "combine", nil)
	p.do(time.Second, batch.Reading{Of: "fats", C: 55})
	p.do(time.Second, batch.Reading{Of: "lye", C: 50})
	if as := with(t, start, p).Poured(); as.TC != nil || as.Rests != nil {
		t.Errorf("before the pour: %+v", as)
	}
	p.upTo(t, start, "rest.0", nil)
	met := with(t, start, p)
	if got, want := *met.Poured().TC, met.LandsAt(met.Marks["combine"].At); got != want {
		t.Errorf("%.2f °C, it landed at %.2f", got, want)
	}
	if planned, landed := *met.Sheet.Plan.Combine.LandingC, *met.Poured().TC; math.Round(planned) == math.Round(landed) || met.Expected("batter", p.now) != math.Round(landed) {
		t.Errorf("the stepper begins at %.0f °C; it landed at %.1f, planned %.1f", met.Expected("batter", p.now), landed, planned)
	}
	p.do(time.Minute, batch.Reading{Of: "batter", C: 47.6})
	if got := with(t, start, p).Expected("core", p.now); got != 48 {
		t.Errorf("the core's stepper begins at %.0f °C, the batter was read at 47.6", got)
	}
	p.do(time.Hour, batch.Reading{Of: "batter", C: 55})
	p.do(0, batch.Reading{Of: "core", C: 56})
	s := with(t, start, p)
	if got := *s.Poured().TC; got != 47.6 {
		t.Errorf("%.2f °C, read was 47.6", got)
	}
	if core := s.Core(); len(core) != 1 || core[0].C != 56 || core[0].TimeS < 3600 || core[0].TimeS > 4000 {
		t.Errorf("core %v", core)
	}
}
