package batch_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/finding"
)

// Acceptance story 1, by hand: Plain Tow, 350 g of fats, superfat 5 %. With the
// dosed values 197, 189 and 257 mg KOH/g:
// (192.5·197 + 87.5·189 + 70·257)/1000 = 72.450 g KOH; × 0.95 × 39.997/56.106 /
// 0.985 = 49.81 g. Weighed 49 g, which leaves a superfat one step higher at
// most: 0.985·39.997⁻¹ mol a gram of 1.2913 mol is 1.907 points.
func TestFirstBatch(t *testing.T) {
	t.Parallel()
	start := started(t, "plain-tow", "size.fats=350 g", "size.mould=", "size.bars=", "combine=")
	sh, err := batch.New(start)
	if err != nil {
		t.Fatal(err)
	}
	byHand := (192.5*197 + 87.5*189 + 70*257) / 1000 * 0.95 * 39.997 / 56.106 / 0.985
	if got := sh.Plan.Alkali[0]; math.Abs(got.MassG-byHand) > 0.01 || got.WeighG != 49 {
		t.Errorf("NaOH %.3f g, weighed %g; by hand %.3f", got.MassG, got.WeighG, byHand)
	}
	p := newPhone("a")
	st := with(t, start, p)
	if st.Current().ID != "ready" {
		t.Fatalf("begins with %s", st.Current().ID)
	}
	// It waits until all four, and every caution, are acknowledged.
	must := []string{"gloves", "goggles", "lye_into_water", "first_aid"}
	for _, item := range sh.Steps[0].Read {
		if !slices.Contains(must, item.ID) && !strings.HasPrefix(item.ID, "caution.") {
			t.Errorf("asks for %s", item.ID)
		}
	}
	for i, item := range sh.Steps[0].Read {
		if st := with(t, start, p); st.Current().ID != "ready" {
			t.Fatalf("goes on after %d of %d", i, len(sh.Steps[0].Read))
		}
		p.do(2*time.Second, batch.Acknowledged{What: []string{item.ID}})
	}
	if len(sh.Steps[0].Read) < 5 {
		t.Errorf("%d things to read: the caution of this plan is missing", len(sh.Steps[0].Read))
	}
	if st := with(t, start, p); st.Current().ID != "tare.jug" {
		t.Errorf("then %s", st.Current().ID)
	}
	p.upTo(t, start, "", nil)
	st = with(t, start, p)
	if st.Hold != nil || st.Quarantined != nil || st.Bars() != 11 || !st.MayLabel() || len(st.Uncounted) > 0 {
		t.Errorf("hold %v, quarantine %v, %d bars, uncounted %v", st.Hold, st.Quarantined, st.Bars(), st.Uncounted)
	}
	if got, want := st.Weighed.Superfat.Typical, sh.Plan.Superfat.AsWeighed.Typical; math.Abs(got-want) > 1e-9 {
		t.Errorf("superfat %.4f, planned as weighed %.4f", got, want)
	}
}

// A plan with a stop makes no sheet.
func TestStopMakesNoSheet(t *testing.T) {
	t.Parallel()
	start := started(t, "plain-tow", "superfat=0 %")
	_, err := batch.New(start)
	if stop, ok := err.(*batch.StopError); !ok || stop.Stops[0].ID != "lye_heavy" {
		t.Errorf("%v", err)
	}
}

// Acceptance story 4, exact: the window is 130 s (100 to 180) from "marks
// stay"; honey, scent and pour need 25 + 20 + 60 = 105 s. At 10 s 120 s are
// left: 15 to spare, so act now, scent by second 50 (130 − 60 − 20), pour by
// second 70. At 30 s only 100 are left: the scent no longer fits, and 100 − 85 =
// 15 s are spare. At 50 s neither honey nor scent fits: pour.
func TestGlovesOneMinute(t *testing.T) {
	t.Parallel()
	start := glovesStart(t)
	p := newPhone("a")
	p.upTo(t, start, "trace", nil)
	p.do(2*time.Minute, batch.Stamped{Step: "trace"})
	stamped := p.now
	st := with(t, start, p)
	if w := st.At(stamped).Window; w == nil || w.Low != stamped.Add(100*time.Second) || w.Typical != stamped.Add(130*time.Second) || w.High != stamped.Add(180*time.Second) {
		t.Fatalf("window %+v", w)
	}
	for _, c := range []struct {
		afterS, left, low, high, need int
		drop                          []string
		urgency                       batch.Urgency
	}{
		{0, 130, 100, 180, 105, nil, batch.ActNow},
		{10, 120, 90, 170, 105, nil, batch.ActNow},
		{25, 105, 75, 155, 105, nil, batch.ActNow},
		{26, 104, 74, 154, 85, []string{"add.additions.1"}, batch.ActNow},
		{45, 85, 55, 135, 85, []string{"add.additions.1"}, batch.ActNow},
		{46, 84, 54, 134, 60, []string{"add.additions.0", "add.additions.1"}, batch.ActNow},
		{140, -10, -40, 40, 60, []string{"add.additions.0", "add.additions.1"}, batch.ActNow},
	} {
		now := stamped.Add(time.Duration(c.afterS) * time.Second)
		w := st.At(now).Window
		sec := func(s int) time.Duration { return time.Duration(s) * time.Second }
		if w.Left != sec(c.left) || w.LeftLow != sec(c.low) || w.LeftHigh != sec(c.high) || w.Need != sec(c.need) || !slices.Equal(w.Drop, c.drop) || w.Urgency != c.urgency {
			t.Errorf("after %d s: left %v (%v to %v), need %v, drop %v, %s; %s", c.afterS, w.Left, w.LeftLow, w.LeftHigh, w.Need, w.Drop, w.Urgency, w.Say)
		}
	}
	w := st.At(stamped.Add(10 * time.Second)).Window
	for i, by := range []int{25, 50, 70} { // 130 − 105, 130 − 80, 130 − 60
		if want := stamped.Add(time.Duration(by) * time.Second); w.Tasks[i].By != want {
			t.Errorf("%s by %v, want %v", w.Tasks[i].Step, w.Tasks[i].By, want)
		}
	}
	for _, want := range []string{"Honey in, by hand now", "Pour by " + stamped.Add(70*time.Second).Format("15:04:05"), "2:00 left (1:30 to 2:50)"} {
		if !strings.Contains(w.Say, want) {
			t.Errorf("%q lacks %q", w.Say, want)
		}
	}
	// Honey done at 28 s: 102 s are left, scent and pour need 80.
	p.do(28*time.Second, batch.Stamped{Step: "add.additions.0"})
	if w := with(t, start, p).At(p.now).Window; w.Left != 102*time.Second || w.Need != 80*time.Second || len(w.Drop) > 0 {
		t.Errorf("after the honey: %+v", w)
	}
	p.do(55*time.Second, batch.Stamped{Step: "pour"})
	if m := with(t, start, p).At(p.now); m.Window != nil {
		t.Errorf("a window after the pour: %s", m.Window.Say)
	}
}

func glovesStart(t failer) batch.Start {
	start := started(t, "dark-heather", "additions.0.when=trace", "lye_strength=31 %")
	start.Recipe = strings.Replace(start.Recipe, "[lye]", "[lye]", 1) + "\n[[additions]]\nmaterial = 'lavender_oil'\namount = '2 %'\nwhen = 'trace'\nstir = 'hand'\n"
	start.AfterTrace = &batch.Seconds{Low: 100, Typical: 130, High: 180}
	return start
}

// Story 2 at the bench: Wax Rind with the fats at 52 and the lye at 30 °C
// lands at about 43 °C, in doubt of its cloud point, and says so before the two
// meet; at 58 and 50 °C it says nothing.
func TestWaxFallingOut(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		fats, lye, lands float64
		warned           bool
	}{{52, 30, 43, true}, {58, 50, 55, false}} {
		start := started(t, "wax-rind")
		p := newPhone("a")
		p.upTo(t, start, "temperatures", nil)
		p.do(time.Minute, batch.Reading{Of: "fats", C: c.fats})
		p.do(time.Second, batch.Reading{Of: "lye", C: c.lye})
		m := with(t, start, p).At(p.now)
		has := slices.Contains(ids(m.Findings), "may_freeze") || slices.Contains(ids(m.Findings), "will_freeze")
		if m.LandsC == nil || math.Abs(*m.LandsC-c.lands) > 1.5 || has != c.warned || (m.Urgency != batch.AtEase) != c.warned {
			t.Errorf("%g and %g °C: lands %v, findings %v, %q", c.fats, c.lye, *m.LandsC, ids(m.Findings), m.Urgency)
		}
	}
}

// The alarm comes as the fats cool toward their cloud point, before they are
// there, and gets louder below it.
func TestFatsCoolingAlarm(t *testing.T) {
	t.Parallel()
	start := started(t, "wax-rind")
	p := newPhone("a")
	p.upTo(t, start, "temperatures", nil)
	p.do(time.Minute, batch.Reading{Of: "fats", C: 56})
	p.do(10*time.Minute, batch.Reading{Of: "fats", C: 52})
	st := with(t, start, p)
	clear := *st.Sheet.Plan.Combine.ClearC
	var seen []batch.Urgency
	for at := p.now; at.Before(p.now.Add(2 * time.Hour)); at = at.Add(time.Minute) {
		m := st.At(at)
		if i := slices.Index(ids(m.Findings), "fats_cooling"); i >= 0 != (m.Fats.C < clear+2) || i >= 0 && m.Findings[i].Severity != finding.Caution {
			t.Fatalf("at %.1f °C, clear above %.1f: %v", m.Fats.C, clear, ids(m.Findings))
		}
		if n := len(seen); n == 0 || seen[n-1] != m.Urgency {
			seen = append(seen, m.Urgency)
		}
		if (m.Fats.C < clear) != (m.Urgency == batch.ActNow) {
			t.Fatalf("%q at %.1f °C", m.Urgency, m.Fats.C)
		}
	}
	if !slices.Equal(seen, []batch.Urgency{batch.AtEase, batch.Soon, batch.ActNow}) {
		t.Errorf("%q", seen)
	}
}
