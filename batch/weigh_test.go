package batch_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/finding"
)

// loaf is Plain Tow, 880 g: 125 g of NaOH of 98.5 %, 246.. g of water. Its
// capacity by hand: (484·197 + 220·189 + 176·257)/56106 = 3.24672 mol, a gram of
// the alkali is 0.985/39.997/3.24672 = 0.7585 points.
const loafPoint = 0.7585

func loaf(t failer) batch.Start { return started(t, "plain-tow", "size.fats=880 g", "mould=") }

// 24 g of lye too much, typed as the scale shows it: the batch is on hold at
// once, superfat 5 − 24·0.7585 = −13 %, nothing lets it through, and taking the
// surplus out again ends the hold.
func TestHeavyLyeIsRefused(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.alkali.0", nil)
	target := with(t, start, p).Current().Weigh
	p.do(time.Minute, weighed("weigh.alkali.0", target.G+24))
	st := with(t, start, p)
	want := st.Sheet.Plan.Superfat.AsWeighed.Typical - 24*loafPoint
	if st.Hold == nil || st.Current().ID != "weigh.alkali.0" || math.Abs(st.Weighed.Superfat.Typical-want) > 0.01 || st.Worst() != finding.Stop {
		t.Fatalf("hold %v at %s, superfat %.2f, by hand %.2f", st.Hold, st.Current().ID, st.Weighed.Superfat.Typical, want)
	}
	for _, c := range choices(st) {
		if strings.HasPrefix(c, "keep") || c == "more_lye" {
			t.Errorf("offers %s", c)
		}
	}
	p.do(time.Minute, batch.Chose{Choice: "keep.weigh.alkali.0"})
	if st := with(t, start, p); st.Hold == nil || len(st.Uncounted) != 1 {
		t.Error("what was not offered was taken")
	}
	p.do(time.Minute, weighed("weigh.alkali.0", target.G))
	if st := with(t, start, p); st.Hold != nil || st.Quarantined != nil || st.Current().ID != "mix" {
		t.Errorf("hold %v, at %s", st.Hold, st.Current().ID)
	}
}

// The alkali is never over its target, not by one step; under it, as far as a
// tenth of the band: 0.1·4.6/0.7585 is less than the step of 1 g, so 1 g.
func TestAlkaliIsOneSided(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	for over, fine := range map[float64]bool{1: false, 0: true, -1: true, -2: false, -30: false} {
		p := newPhone("a")
		p.upTo(t, start, "weigh.alkali.0", nil)
		target := with(t, start, p).Current().Weigh
		if target.HighG != target.G || target.LowG != target.G-1 {
			t.Fatalf("fine from %g to %g around %g", target.LowG, target.HighG, target.G)
		}
		p.do(time.Minute, weighed("weigh.alkali.0", target.G+over))
		if st := with(t, start, p); st.Step("weigh.alkali.0").Done != fine {
			t.Errorf("%+g g: done %v", over, !fine)
		}
	}
	// On a 0.1 g scale the tolerance follows the band: a tenth of its width.
	fine := started(t, "plain-tow", "size.fats=880 g", "mould=", "scale.alkali=0.1 g")
	sh, err := batch.New(fine)
	if err != nil {
		t.Fatal(err)
	}
	as := sh.Plan.Superfat.AsWeighed
	byHand := math.Floor((as.High-as.Low)*0.1/loafPoint*10) / 10
	target := sh.Steps[sh.Index("weigh.alkali.0")].Weigh
	if got := target.G - target.LowG; math.Abs(got-byHand) > 1e-6 || byHand < 0.3 {
		t.Errorf("%.2f g under is fine, by hand %.2f", got, byHand)
	}
}

// The jug tells what nobody noticed: 24 g more in it than alkali and water. Two
// grams or half a per cent are the scale's.
func TestJugCheck(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "check.jug", nil)
	st := with(t, start, p)
	inJug := st.Weights.WaterG + st.Weights.Alkali[0]
	if want := st.Sheet.Plan.JugG(); st.NetG("jug") != inJug || inJug != want {
		t.Fatalf("%g g in the jug, by the plan %g", st.NetG("jug"), want)
	}
	try := func(off float64) *batch.State {
		q := *p
		q.events = slices.Clone(p.events)
		q.do(time.Minute, batch.Gross{Vessel: "jug", G: tareJugG + inJug + off})
		return with(t, start, &q)
	}
	for _, off := range []float64{-2, 0, 2} {
		if st := try(off); !st.Step("check.jug").Done || st.Hold != nil {
			t.Errorf("%+g g: %v", off, ids(st.Findings))
		}
	}
	st = try(24)
	if st.Hold == nil || st.Step("check.jug").Done || !slices.Contains(choices(st), "lye_again") || !slices.Contains(ids(st.Findings), "jug_off") {
		t.Errorf("24 g heavy: hold %v, %v, %v", st.Hold, ids(st.Findings), choices(st))
	}
	if math.Abs(st.Judged.Superfat.Typical-(st.Weighed.Superfat.Typical-24*loafPoint)) > 0.01 {
		t.Errorf("judged %.2f, weighed %.2f", st.Judged.Superfat.Typical, st.Weighed.Superfat.Typical)
	}
	// Less than it should be is no danger, but no "done" either.
	if st = try(-24); st.Hold != nil || st.Step("check.jug").Done || !slices.Contains(choices(st), "keep.check.jug") {
		t.Errorf("24 g light: hold %v, %v", st.Hold, choices(st))
	}
	// Made again, it is all right, and the shelf has lost both.
	p.do(time.Minute, batch.Gross{Vessel: "jug", G: tareJugG + inJug + 24})
	p.do(time.Minute, batch.Chose{Choice: "lye_again"})
	if st = with(t, start, p); st.Current().ID != "weigh.water" || st.Hold != nil {
		t.Fatalf("at %s, hold %v", st.Current().ID, st.Hold)
	}
	p.upTo(t, start, "tare.pot", nil)
	if st = with(t, start, p); st.Hold != nil || st.NetG("jug") != inJug {
		t.Errorf("made again: %g g in the jug, hold %v", st.NetG("jug"), st.Hold)
	}
}

// A fat stamped as done and left on the table: the pot lacks just its weight,
// and the sentence names it.
func TestForgottenFat(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "check.pot", nil)
	p.do(time.Minute, batch.Gross{Vessel: "pot", G: tarePotG + 880 - 176})
	st := with(t, start, p)
	i := slices.Index(ids(st.Findings), "pot_off")
	if st.Hold == nil || i < 0 || !strings.Contains(st.Findings[i].Because, "coconut") || slices.Contains(choices(st), "keep.check.pot") {
		t.Fatalf("hold %v, %v, %v", st.Hold, st.Findings, choices(st))
	}
	// Without the coconut: 1 − 0.95·3.24672/2.44055 mol, by hand −26 %.
	byHand := 100 * (1 - st.Weights.Alkali[0]*0.985/39.997/((484*197+220*189)/56106.0))
	if math.Abs(st.Judged.Superfat.Typical-byHand) > 0.5 { // a gram of it is left to reckon with
		t.Errorf("judged %.2f, by hand %.2f", st.Judged.Superfat.Typical, byHand)
	}
	p.do(time.Minute, batch.Gross{Vessel: "pot", G: tarePotG + 880})
	if st := with(t, start, p); st.Hold != nil || st.Current().ID == "check.pot" {
		t.Errorf("with it in: hold %v", st.Hold)
	}
	// Running gross weights: what the scale shows says the same net.
	if st := with(t, start, p); st.NetG("pot") != 880 {
		t.Errorf("%g g in the pot", st.NetG("pot"))
	}
}

// 484 g of tallow read as 17.1 ounces, and 125 g of lye as 4.4.
func TestGramsForOunces(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	for _, step := range []string{"weigh.fats.0", "weigh.alkali.0"} {
		p := newPhone("a")
		p.upTo(t, start, step, nil)
		target := with(t, start, p).Current().Weigh.G
		p.do(time.Minute, weighed(step, math.Round(target/28.349523*10)/10))
		st := with(t, start, p)
		if !slices.Contains(ids(st.Findings), "units_slip") || st.Current().ID != step || slices.Contains(choices(st), "keep."+step) || slices.Contains(choices(st), "more_lye") {
			t.Errorf("%s: %v, %v", step, ids(st.Findings), choices(st))
		}
		if i := slices.Index(ids(st.Findings), "units_slip"); i >= 0 && !strings.Contains(st.Findings[i].Title, "ounces") {
			t.Errorf("%q", st.Findings[i].Title)
		}
	}
}

// Lye that is 24 g too much is told by its figure: what was weighed, and what it
// should have been.
func TestHeavyLyeIsNamed(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.alkali.0", nil)
	target := with(t, start, p).Current().Weigh.G
	p.do(time.Minute, weighed("weigh.alkali.0", target+24))
	st := with(t, start, p)
	i := slices.Index(ids(st.Findings), "lye_heavy")
	if i < 0 || !strings.Contains(st.Findings[i].Because, fmt.Sprintf("%g g of sodium hydroxide instead of %g g", target+24, target)) {
		t.Errorf("%v: %v", ids(st.Findings), st.Findings)
	}
}

// Net and gross are two ways to say the same weight.
func TestGrossWeights(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.fats.0", nil)
	reads, ok := with(t, start, p).ReadsG(with(t, start, p).Current())
	if !ok || reads != tarePotG+484 {
		t.Fatalf("the pot is to read %g", reads)
	}
	p.do(time.Minute, batch.Weighed{Step: "weigh.fats.0", GrossG: g(reads + 1)})
	st := with(t, start, p)
	if got := *st.Step("weigh.fats.0").G; got != 485 {
		t.Errorf("%g g", got)
	}
	p.do(time.Minute, batch.Weighed{Step: "weigh.fats.1", GrossG: g(reads - 5)})
	if st := with(t, start, p); st.Step("weigh.fats.1").G != nil || len(st.Uncounted) != 1 {
		t.Errorf("less than before counted: %v", st.Uncounted)
	}
}

// Before combining, fats that came out heavy may get more lye: weighed,
// dissolved in water of its own, the jug checked once more. The superfat comes
// back to what was planned.
func TestMoreLye(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.fats.0", nil)
	p.do(time.Minute, weighed("weigh.fats.0", 544)) // 60 g too much: 60·197/56106 mol need 8.1 g of lye at 95 %
	st := with(t, start, p)
	if !slices.Contains(choices(st), "more_lye") || !slices.Contains(choices(st), "keep.weigh.fats.0") || st.Hold != nil {
		t.Fatalf("offers %v", choices(st))
	}
	p.do(time.Minute, batch.Chose{Choice: "more_lye"})
	st = with(t, start, p)
	more := st.Step("more.1.alkali.0")
	byHand := 60 * 197 / 56106.0 * 0.95 * 39.997 / 0.985
	if more == nil || math.Abs(more.Weigh.G-byHand) > 1 || more.Weigh.HighG != more.Weigh.G {
		t.Fatalf("%+v, by hand %.2f", more, byHand)
	}
	p.upTo(t, start, "combine", nil)
	st = with(t, start, p)
	for _, id := range []string{"more.1.water", "more.1.alkali.0", "more.1.mix", "more.1.jug", "temperatures"} {
		if !st.Step(id).Done {
			t.Errorf("%s was not done", id)
		}
	}
	if got := st.Weighed.Superfat.Typical; got < 5 || got > 5+2*loafPoint {
		t.Errorf("superfat %.2f", got)
	}
	if got := st.Weighed.StrengthPct; math.Abs(got-33) > 0.5 {
		t.Errorf("lye of %.2f %%", got)
	}
	if got, want := st.NetG("jug"), st.Weights.WaterG+st.Weights.Alkali[0]; got != want {
		t.Errorf("%g g in the jug, %g went in", got, want)
	}
	p.do(time.Minute, batch.Stamped{Step: "combine"})
	p.do(time.Minute, batch.Chose{Choice: "more_lye"})
	if st := with(t, start, p); len(st.Uncounted) != 1 {
		t.Error("more lye after combining")
	}
}

// After combining there is only more fat: how much, by hand, for 10 g of alkali
// too much found by a correction.
func TestOnlyMoreFatAfterCombining(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "trace", nil)
	of := with(t, start, p).Step("weigh.alkali.0")
	p.do(time.Minute, batch.Corrected{Of: of.Event, G: g(*of.G + 10), Why: "the cup was on the slip: 10 more"})
	st := with(t, start, p)
	if st.Hold == nil || !slices.Contains(choices(st), "more_fat") || slices.Contains(choices(st), "more_lye") || slices.Contains(choices(st), "lye_again") {
		t.Fatalf("hold %v, offers %v", st.Hold, choices(st))
	}
	// s = (3.24672 + d x − B)/(3.24672 + d x) = 0.05 with d = 197/56106.
	b := (*of.G + 10) * 0.985 / 39.997
	byHand := (b/0.95 - 3.24672) / (197 / 56106.0)
	p.do(time.Second, batch.Chose{Choice: "more_fat"})
	more := with(t, start, p).Step("more.1.fats.0")
	if more == nil || math.Abs(more.Weigh.G-math.Ceil(byHand)) > 0.5 {
		t.Fatalf("%+v, by hand %.2f", more, byHand)
	}
	p.do(time.Minute, weighed("more.1.fats.0", more.Weigh.G))
	if st := with(t, start, p); st.Hold != nil || st.Quarantined != nil || st.Weighed.Superfat.Typical < 5 {
		t.Errorf("hold %v, quarantine %v, superfat %.2f", st.Hold, st.Quarantined, st.Weighed.Superfat.Typical)
	}
}

// More fat than planned: more lye is offered before combining and no longer
// after it; then there is only the superfat as it is.
func TestNoMoreLyeAfterCombining(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.fats.1", nil)
	p.do(time.Minute, weighed("weigh.fats.1", 280))
	if got := choices(with(t, start, p)); !slices.Contains(got, "more_lye") {
		t.Errorf("before combining it offers %v", got)
	}
	p.do(time.Minute, batch.Stamped{Step: "combine"})
	if got := choices(with(t, start, p)); slices.Contains(got, "more_lye") || !slices.Contains(got, "keep.weigh.fats.1") {
		t.Errorf("after combining it offers %v", got)
	}
}

// A correction that a check on the scale contradicts is not built upon: the jug
// weighed what the first figure says.
func TestCorrectionAgainstTheJug(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "combine", nil)
	of := with(t, start, p).Step("weigh.alkali.0")
	p.do(time.Minute, batch.Corrected{Of: of.Event, G: g(*of.G - 10), Why: "the cup was not empty"})
	st := with(t, start, p)
	if !slices.Contains(ids(st.Findings), "jug_off") || slices.Contains(choices(st), "more_lye") || st.Step("check.jug").Done {
		t.Errorf("%v, offers %v", ids(st.Findings), choices(st))
	}
}

// After combining nobody can look again: a correction that makes it safer does
// not end a hold.
func TestNoCorrectionTalksAHoldAway(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "trace", nil)
	of := with(t, start, p).Step("weigh.alkali.0")
	p.do(time.Minute, batch.Corrected{Of: of.Event, G: g(*of.G + 24), Why: "misread"})
	p.do(time.Minute, batch.Corrected{Of: of.Event, G: g(*of.G), Why: "no, it was right"})
	st := with(t, start, p)
	if st.Hold == nil || *st.Step("weigh.alkali.0").G != *of.G {
		t.Errorf("hold %v", st.Hold)
	}
}

// Going on from a hold leaves the batch in quarantine: no bars, no label, until
// a release in writing; nothing else ends it.
func TestQuarantine(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	for name, goOn := range map[string]func(p *phone){
		"said so":      func(p *phone) { p.do(time.Minute, batch.WentOn{Why: "to see what it does"}) },
		"just went on": func(p *phone) {},
		"a lighter jug": func(p *phone) {
			p.do(time.Minute, batch.WentOn{Why: "x"})
			p.do(time.Minute, batch.Gross{Vessel: "jug", G: tareJugG + 373})
		},
		"held and so on": func(p *phone) { p.do(time.Minute, batch.Held{Why: "by hand too"}) },
	} {
		p := newPhone("a")
		p.upTo(t, start, "check.jug", nil)
		p.do(time.Minute, batch.Gross{Vessel: "jug", G: tareJugG + 373 + 24})
		goOn(p)
		for _, step := range []string{"combine", "trace", "pour", "finish", "rest.0", "turn_out"} {
			p.do(time.Minute, batch.Stamped{Step: step})
		}
		p.do(20*time.Hour, batch.Cut{Bars: 11})
		st := with(t, start, p)
		if st.Quarantined == nil || st.Bars() != 0 || st.MayLabel() {
			t.Errorf("%s: quarantine %v, %d bars", name, st.Quarantined, st.Bars())
		}
		p.do(time.Minute, batch.Undone{Of: p.events[len(p.events)-4].ID})
		if st := with(t, start, p); st.Quarantined == nil {
			t.Errorf("%s: undone away", name)
		}
		p.do(time.Hour, batch.Released{Laboratory: "County laboratory", Reference: "26-113", Result: "free alkali under 0.05 %"})
		if st := with(t, start, p); st.Released == nil || st.Bars() != 11 || !st.MayLabel() || st.Quarantined == nil {
			t.Errorf("%s: released %v, %d bars", name, st.Released, st.Bars())
		}
	}
}

// A fat that nobody weighed before lye and fats met: on hold, no label, until
// its figure is typed in; going on alone does not turn missing figures into a
// quarantine, a figure that is too little does.
func TestNotWeighed(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "weigh.fats.1", nil)
	for _, step := range []string{"combine", "trace", "pour", "finish", "rest.0", "turn_out"} {
		p.do(time.Minute, batch.Stamped{Step: step})
	}
	p.do(20*time.Hour, batch.Cut{Bars: 11})
	st := with(t, start, p)
	if st.Hold == nil || st.Quarantined != nil || st.MayLabel() || !strings.Contains(st.Hold.Why, "rapeseed") || !slices.Contains(ids(st.Findings), "not_checked") {
		t.Fatalf("hold %v, quarantine %v, %v", st.Hold, st.Quarantined, ids(st.Findings))
	}
	typed := *p
	typed.events = slices.Clone(p.events)
	typed.do(time.Minute, weighed("weigh.fats.1", 220))
	if st := with(t, start, &typed); st.Hold != nil || st.Quarantined != nil || st.Bars() != 11 {
		t.Errorf("typed in: hold %v, quarantine %v", st.Hold, st.Quarantined)
	}
	p.do(time.Minute, weighed("weigh.fats.1", 0))
	if st := with(t, start, p); st.Hold == nil && st.Quarantined == nil || st.MayLabel() {
		t.Errorf("it was forgotten: hold %v, quarantine %v", st.Hold, st.Quarantined)
	}
}
