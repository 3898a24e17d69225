package batch_test

import (
	"slices"
	"testing"
	"time"

	"barwright/batch"
	"barwright/calendar"
	"barwright/cure"
)

// plainForecast has round figures, so that days can be counted on a calendar.
var plainForecast = batch.Forecast{TurnOutH: cure.Range{Low: 12, Middle: 24, High: 48}, TooLateH: cure.Range{Low: 72, Middle: 90, High: 168},
	Ready: cure.Ready{Day: cure.Range{Low: 28, Middle: 35, High: 42}, Reason: "it then loses less than 0.5 % of its weight a week"}}

// daysOf are the first and the last day of what is due, by kind and number.
func daysOf(due []calendar.Entry) map[string][2]string {
	out := map[string][2]string{}
	for _, e := range due {
		out[string(e.Kind)+" "+string(rune('0'+e.N))] = [2]string{e.On.String(), e.Until.String()}
	}
	return out
}

func due(s *batch.State, weighed ...time.Time) []calendar.Entry {
	return s.Due("kotum", "b1", plainForecast, weighed, time.UTC)
}

// Counted by hand on a calendar of 2026 and 2027: poured on 25 November at nine
// or shortly after.
func TestDueBeforeTheCut(t *testing.T) {
	t.Parallel()
	start, p := started(t, "plain-tow"), newPhone("phone")
	p.upTo(t, start, "turn_out", nil)
	got := daysOf(due(with(t, start, p)))
	for what, want := range map[string][2]string{
		"turn out 0":    {"2026-11-25", "2026-11-27"},
		"cut 0":         {"2026-11-25", "2026-11-28"},
		"retest 0":      {"2026-11-27", "2026-11-27"},
		"ready 0":       {"2026-12-23", "2027-01-08"},
		"best before 0": {"2027-11-25", "2027-11-25"},
	} {
		if got[what] != want {
			t.Errorf("%s: %v, want %v", what, got[what], want)
		}
	}
	if len(got) != 5 {
		t.Errorf("%v", got)
	}
	if nothing := due(with(t, start)); nothing != nil {
		t.Errorf("before the pour: %v", nothing)
	}
}

func TestDueAfterTheCut(t *testing.T) {
	t.Parallel()
	start, p := madeSoap(t)
	s := with(t, start, p)
	cut := s.Cut.At
	if cut.Format(time.DateOnly) != "2026-11-26" {
		t.Fatalf("cut on %s", cut)
	}
	got := daysOf(due(s))
	for what, want := range map[string][2]string{
		"weigh 0": {"2026-11-26", "2026-11-26"}, "weigh 1": {"2026-11-29", "2026-11-29"}, "weigh 6": {"2027-01-07", "2027-01-07"},
		"retest 1": {"2026-12-24", "2026-12-24"}, "retest 2": {"2027-01-21", "2027-01-21"}, "ready 0": {"2026-12-24", "2027-01-07"}, "best before 0": {"2027-11-26", "2027-11-26"},
	} {
		if got[what] != want {
			t.Errorf("%s: %v, want %v", what, got[what], want)
		}
	}
	for _, what := range []string{"turn out 0", "cut 0"} {
		if _, still := got[what]; still {
			t.Errorf("%s is due after the cut", what)
		}
	}
	later := daysOf(due(s, cut.AddDate(0, 0, 8)))
	if _, still := later["weigh 2"]; still || later["weigh 3"][0] != "2026-12-10" {
		t.Errorf("weighed on day 8: %v", later)
	}
}

// What is done is no longer due; what is on hold has no ready day and no best
// before.
func TestDueAndDone(t *testing.T) {
	t.Parallel()
	start, p := madeSoap(t)
	p.do(threeDays, batch.Tested{Test: "drop", Found: "clear"})
	p.do(30*24*time.Hour, batch.Coded{Round: "r", Code: 417, Of: 1})
	p.do(time.Hour, batch.Scored{Round: "r", Code: 417, Tester: "A", Scores: map[string]int{"slip": 5}})
	got := daysOf(due(with(t, start, p)))
	for what, want := range map[string]bool{"retest 0": false, "retest 1": false, "retest 2": true, "ready 0": true} {
		if _, has := got[what]; has != want {
			t.Errorf("%s due: %v", what, has)
		}
	}
	p.do(time.Hour, batch.Held{Why: "spots"})
	held := due(with(t, start, p))
	if slices.ContainsFunc(held, func(e calendar.Entry) bool { return e.Kind == calendar.Ready || e.Kind == calendar.BestBefore }) {
		t.Errorf("on hold and promised: %v", held)
	}
	if _, has := daysOf(held)["retest 3"]; !has {
		t.Error("nothing says that what is on hold waits for a test")
	}
	p.do(time.Hour, batch.Stopped{Why: "binned"})
	if left := due(with(t, start, p)); left != nil {
		t.Errorf("given up: %v", left)
	}
}

// A calendar program gets the cautious end of a ready range under the same UID.
func TestInCalendars(t *testing.T) {
	t.Parallel()
	start, p := madeSoap(t)
	all := due(with(t, start, p))
	for i, e := range batch.InCalendars(all) {
		if e.UID("x") != all[i].UID("x") {
			t.Errorf("%s is called otherwise", e.Kind)
		}
		if e.Kind == calendar.Ready && (e.On.String() != "2027-01-07" || e.Until != e.On) {
			t.Errorf("ready %s to %s", e.On, e.Until)
		}
	}
}

// The forecast of a plan keeps its order, is cautious, and four weeks at least,
// as the usual rules say.
func TestExpect(t *testing.T) {
	t.Parallel()
	f, ok := batch.Expect(with(t, started(t, "plain-tow")).Sheet.Plan, batch.Known{Rules: cure.UsualRules})
	if !ok || !(f.TurnOutH.Low < f.TurnOutH.High && f.Ready.Day.Low >= 28 && f.Ready.Day.Low <= f.Ready.Day.High && f.Ready.Day.High < 200) {
		t.Fatalf("%+v %v", f, ok)
	}
	steps := f.Steps(3)
	if steps.ReadyToFair != 3 || float64(steps.PourToCut)*24 < f.TurnOutH.High || float64(steps.CutToReady) < f.Ready.Day.High {
		t.Errorf("%+v of %+v", steps, f)
	}
}
