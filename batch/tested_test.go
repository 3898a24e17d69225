package batch_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/judging"
)

// madeSoap is a batch that was weighed as planned, poured and cut.
func madeSoap(t *testing.T) (batch.Start, *phone) {
	t.Helper()
	start, p := started(t, "plain-tow"), newPhone("phone")
	p.upTo(t, start, "", nil)
	return start, p
}

const threeDays = 72 * time.Hour

// The rule of design: no tongue test of quarantined, unweighed, pocketed or
// under-48-hour soap, however the result comes in.
func TestRefusedTongueTests(t *testing.T) {
	t.Parallel()
	nothing := batch.Tested{Test: "tongue", Found: "nothing"}
	for name, c := range map[string]struct {
		spoil func(p *phone)
		wait  time.Duration
		want  string
	}{
		"sound":   {func(*phone) {}, threeDays, ""},
		"young":   {func(*phone) {}, time.Hour, "younger than 48 hours"},
		"on hold": {func(p *phone) { p.do(time.Minute, batch.Held{Why: "spots"}) }, threeDays, "quarantined"},
		"quarantined": {func(p *phone) {
			p.do(time.Minute, batch.Held{Why: "spots"})
			p.do(time.Minute, batch.WentOn{Why: "to see"})
		}, threeDays, "quarantined"},
		"given up": {func(p *phone) { p.do(time.Minute, batch.Stopped{Why: "spilt"}) }, threeDays, "quarantined"},
		"pocketed": {func(p *phone) {
			p.do(time.Minute, batch.Triaged{Trouble: "separation", First: "mould", Second: "set"})
		}, threeDays, "pockets"},
		"pink before": {func(p *phone) { p.do(time.Minute, batch.Tested{Test: "drop", Found: "pink"}) }, threeDays, "found free alkali"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			start, p := madeSoap(t)
			c.spoil(p)
			before := len(with(t, start, p).Tests)
			e := p.do(c.wait, nothing)
			s := with(t, start, p)
			refused := slices.ContainsFunc(s.Uncounted, func(u batch.Uncounted) bool { return u.ID == e.ID && strings.Contains(u.Why, c.want) })
			if c.want == "" && (refused || len(s.Tests) != 1) || c.want != "" && (!refused || len(s.Tests) != before) {
				t.Errorf("tests %+v, left out %+v", s.Tests, s.Uncounted)
			}
		})
	}
}

// A batch of which a fat was never stamped has no mass balance, and no tongue
// test.
func TestUnweighedHasNoBalance(t *testing.T) {
	t.Parallel()
	start, p := madeSoap(t)
	p.events = slices.DeleteFunc(p.events, func(e batch.Event) bool {
		w, ok := e.Do.(batch.Weighed)
		return ok && w.Step == "weigh.fats.0"
	})
	b := with(t, start, p).Judging(p.now.Add(threeDays))
	if b.SuperfatLowPct != nil || b.NotForSkin() == "" {
		t.Errorf("%+v is fit for a tongue", b)
	}
	if none := with(t, start).Judging(nine); none.SuperfatLowPct != nil || none.NotForSkin() == "" {
		t.Errorf("nothing was made yet: %+v", none)
	}
}

// Free alkali in old soap holds it until a laboratory's release; in young soap,
// where lye is still being used up, until a clear drop test.
func TestFreeAlkaliHolds(t *testing.T) {
	t.Parallel()
	pink, clear := batch.Tested{Test: "drop", Found: "pink", Where: "core"}, batch.Tested{Test: "drop", Found: "clear"}
	start, p := madeSoap(t)
	p.do(time.Hour, pink)
	if s := with(t, start, p); s.Hold != nil || !s.Judging(p.now.Add(threeDays)).Alkali {
		t.Errorf("young and pink: hold %v", s.Hold)
	}
	p.do(threeDays, clear)
	if s := with(t, start, p); s.Judging(p.now).NotForSkin() != "" {
		t.Errorf("clear at three days: %s", s.Judging(p.now).NotForSkin())
	}
	p.do(time.Hour, pink)
	p.do(time.Hour, clear)
	s := with(t, start, p)
	if s.Hold == nil || s.MayLabel() || s.Bars() != 0 || !strings.Contains(s.Hold.Why, "turns pink, core") {
		t.Fatalf("old and pink: hold %+v", s.Hold)
	}
	if s.Judging(p.now).NotForSkin() == "" {
		t.Error("a clear drop beside a pink one lets a tongue in")
	}
	p.do(time.Hour, batch.Released{Laboratory: "a lab", Reference: "17", Result: "0.01 %"})
	if s := with(t, start, p); !s.MayLabel() || s.Judging(p.now).NotForSkin() != "" {
		t.Errorf("released: %s", s.Judging(p.now).NotForSkin())
	}
}

// A card counts under the code that the batch has, once a tester.
func TestCards(t *testing.T) {
	t.Parallel()
	start, p := madeSoap(t)
	p.do(time.Hour, batch.Coded{Round: "early", Code: 301, Of: 1}) // under 48 hours
	p.do(threeDays, batch.Coded{Round: "r1", Code: 417, Of: 2})
	card := func(tester string, code, slip int) {
		p.do(time.Minute, batch.Scored{Round: "r1", Code: code, Tester: tester, Scores: map[string]int{"slip": slip}})
	}
	card("A", 417, 5)
	card("B", 417, 7)
	card("B", 418, 1)
	card(" a ", 417, 6)
	s := with(t, start, p)
	if len(s.Codes) != 1 || len(s.Uncounted) != 2 {
		t.Errorf("codes %+v, left out %+v", s.Codes, s.Uncounted)
	}
	if said, ok := judging.Summary(s.CardsOf("r1"), "slip"); !ok || said.N != 2 || said.Mean != 6.5 {
		t.Errorf("%+v, want 6 and 7", said)
	}
	p.do(time.Minute, batch.Held{Why: "spots"})
	card("C", 417, 9)
	if got := len(with(t, start, p).Cards); got != 2 {
		t.Errorf("%d cards: soap on hold was judged", got)
	}
}
