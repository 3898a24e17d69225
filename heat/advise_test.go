package heat

import (
	"slices"
	"strings"
	"testing"
)

// A maker whose rates are known closely, so that advice can be sure.
func surely(t *testing.T, c Case) Case {
	t.Helper()
	c.Belief = Belief{Batches: 9}
	sd := priorDeviations()
	for i, sd := range sd[:taught] {
		c.Belief.Cov[i][i] = sd * sd / 100
	}
	return c
}

// What is advised keeps its word: tried by itself over another draw, it has
// the chance that was told, within what so few runs can tell.
func TestAdviceKeepsItsWord(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]Case{
		"between":      plainCase(t, 44, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "towel 8 mm")}),
		"hot, wrapped": plainCase(t, 48, Rest{Place: "room", TC: 24, Cover: stuffOf(t, "blanket 25 mm")}),
	} {
		c = surely(t, c)
		a, err := Advise(c, UsualLimits, Options{Seed: 3})
		if err != nil || len(a.Suggestions) != 2 {
			t.Fatal(err, a)
		}
		for _, s := range a.Suggestions {
			t.Logf("%s: %s: %s (%+v)", name, s.Goal, s.Words, s.Chance)
			next, err := c.With(s.StartC, s.Rests)
			if err != nil {
				t.Fatal(err)
			}
			again := newDealer(Options{Seed: 77}).chance(next, sureRuns)
			near(t, name+", "+string(s.Goal), again.Of(s.Goal), s.Chance.Of(s.Goal), 0.15)
			if s.Reached != (s.Chance.Of(s.Goal) >= 0.80 && (s.Goal == NoGel || s.Chance.Overheat <= 0.20)) { // the least that is asked of advice
				t.Errorf("%s: reached %v with %+v", name, s.Reached, s.Chance)
			}
			if !s.Reached && s.Chance.Of(s.Goal) >= Enough && s.Goal == NoGel {
				t.Errorf("%s: says it is not reached: %+v", name, s.Chance)
			}
		}
	}
}

// The least effort comes first: a wood loaf in a warm blanket is uncovered
// before anything is chilled, and a cold bare one is wrapped before it is
// poured hotter.
func TestTheCheapestChangeIsAdvised(t *testing.T) {
	t.Parallel()
	c := surely(t, plainCase(t, 40, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "blanket 25 mm")}))
	a, err := Advise(c, UsualLimits, Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if s := a.Suggestions[0]; !s.Reached || s.Words != "leave it uncovered" {
		t.Errorf("for no gel: %+v", s)
	}
	c = surely(t, plainCase(t, 44, Rest{Place: "room", TC: 20}))
	if a, err = Advise(c, UsualLimits, Options{Seed: 1}); err != nil {
		t.Fatal(err)
	}
	if s := a.Suggestions[1]; !s.Reached || !strings.HasPrefix(s.Words, "wrap it in") {
		t.Errorf("for full gel: %+v", s)
	}
	if s := a.Suggestions[0]; !s.Reached || !s.Planned {
		t.Errorf("for no gel: %+v", s)
	}
}

// Without knowing the maker, nothing is sure of full gel from a cold pour: it
// says so, and what it names leans to full gel.
func TestNothingReachesItAndThatIsSaid(t *testing.T) {
	t.Parallel()
	a, err := Advise(plainCase(t, 34, Rest{Place: "room", TC: 20}), Limits{30, 40}, Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if s := a.Suggestions[1]; s.Reached || s.StartC > 40 || s.Chance.Of(FullGel) >= Enough {
		t.Errorf("%+v", s)
	}
}

// Honey and an oven: the chance of overheating is told, and is greater than
// without the oven.
func TestHoneyAndAnOven(t *testing.T) {
	t.Parallel()
	b := plainBatter(880, 42)
	b.SugarG = 20
	c, err := NewCase(b, boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), []Rest{{Place: "room", TC: 20}})
	if err != nil {
		t.Fatal(err)
	}
	a, err := Advise(c, Limits{41, 43}, Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	if a.Oven == nil || !(a.Oven.Chance.Overheat > a.Now.Overheat+0.1) {
		t.Errorf("oven %+v, now %+v", a.Oven, a.Now)
	}
	// Common practice, no source: what would be put in an oven is chilled instead.
	cooled := false
	for _, s := range a.Suggestions {
		for _, r := range s.Rests {
			if r.Place == "oven" {
				t.Errorf("%q for a batch that an oven overheats with %.2f", s.Words, a.Oven.Chance.Overheat)
			}
		}
		cooled = cooled || s.Goal == NoGel && s.Reached
	}
	if !(a.Oven.Chance.Overheat > mayOverheat) || !cooled {
		t.Errorf("oven %+v, suggestions %+v", a.Oven.Chance, a.Suggestions)
	}
	plain, err := Advise(plainCase(t, 42, Rest{Place: "room", TC: 20}), Limits{41, 43}, Options{Seed: 1})
	if err != nil || plain.Oven != nil {
		t.Errorf("without sugar: %+v, %v", plain.Oven, err)
	}
}

// Along every row of the map a hotter pour never gels less, and down a column
// a warmer rest never gels less, within one run.
func TestCoverMap(t *testing.T) {
	t.Parallel()
	for name, rests := range map[string][]Rest{
		"as a row": {{Place: "room", TC: 20, Cover: stuffOf(t, "towel 8 mm")}},
		"between":  {{Place: "room", TC: 20, Cover: stuffOf(t, "felt 5 mm")}},
	} {
		c := plainCase(t, 41, rests...)
		m, err := Map(c, Limits{35, 46}, Options{Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		planned := 0
		const one = 1.0/quickRuns + 1e-9
		for j, row := range m.Rows {
			if row.Planned {
				planned++
			}
			for i, cell := range row.Cells {
				if i > 0 && cell.Chance.None > row.Cells[i-1].Chance.None+one {
					t.Errorf("%s, %s: hotter at %g °C, yet more often no gel", name, row.Words, m.StartsC[i])
				}
				if j > 0 && j < len(m.Rows)-1 && cell.Chance.None > m.Rows[j-1].Cells[i].Chance.None+2*one {
					t.Errorf("%s, %s: warmer than %s, yet more often no gel at %g °C", name, row.Words, m.Rows[j-1].Words, m.StartsC[i])
				}
			}
		}
		if planned != 1 || m.StartsC[m.PlannedColumn()] != c.Start.TC {
			t.Errorf("%s: %d rows are the plan, column %g", name, planned, m.StartsC[m.PlannedColumn()])
		}
		if want := map[string]int{"as a row": 12, "between": 13}[name]; len(m.Rows) != want || len(m.StartsC) < 24 {
			t.Errorf("%s: %d rows, want %d; %d columns", name, len(m.Rows), want, len(m.StartsC))
		}
	}
}

// From a plan outside the limits the other pours are stepped into them.
func TestPoursLieInTheLimits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		planC, stepK float64
		most         int
		l            Limits
		want         []float64
	}{
		{70, -4, 6, Limits{26, 60}, []float64{58, 54, 50, 46, 42, 38}},
		{48, 4, 4, Limits{55, 60}, []float64{56, 60}},
		{40, -4, 6, Limits{26, 60}, []float64{36, 32, 28}},
		{40, 4, 4, Limits{26, 60}, []float64{44, 48, 52, 56}},
		{24, -4, 3, Limits{26, 60}, nil},
	} {
		if got := plainCase(t, c.planC, Rest{Place: "room", TC: 20}).pours(c.stepK, c.most, c.l); !slices.Equal(got, c.want) {
			t.Errorf("from %g by %g within %+v: %g, want %g", c.planC, c.stepK, c.l, got, c.want)
		}
	}
}

// No change is named that is worse than the plan itself, and none toward full
// gel that overheats more where all of them overheat.
func TestNoChangeIsWorseThanThePlan(t *testing.T) {
	t.Parallel()
	for _, tC := range []float64{41, 46, 50, 66} {
		a, err := Advise(plainCase(t, tC, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "towel 8 mm")}), UsualLimits, Options{Seed: 5})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range a.Suggestions {
			if a.Now.betterThan(s.Chance, s.Goal) {
				t.Errorf("%g °C, %s: %s has %+v, the plan %+v", tC, s.Goal, s.Words, s.Chance, a.Now)
			}
			if s.Goal == FullGel && s.Chance.Overheat > max(a.Now.Overheat, mayOverheat+0.1) {
				t.Errorf("%g °C: %s overheats with %.2f, the plan with %.2f", tC, s.Words, s.Chance.Overheat, a.Now.Overheat)
			}
		}
	}
}

// The map leaves out runs between two that meet the same fate. Every run made,
// its chances are the same.
func TestCoverMapLeavesNothingOut(t *testing.T) {
	t.Parallel()
	c := plainCase(t, 41.4, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "towel 8 mm")})
	startsC, point := starts(c.Start.TC), newDealer(Options{Seed: 2}).points[glanceRuns]
	for _, w := range c.mapWays() {
		if w.Words != "uncovered" && w.Words != "oven 1 h" && w.Words != "fridge 3 h" {
			continue
		}
		for k, p := range point {
			fates, err := c.along(startsC, w, p)
			if err != nil {
				t.Fatal(err)
			}
			for i := range startsC {
				one, err := c.along(startsC[i:i+1], w, p)
				if err != nil {
					t.Fatal(err)
				}
				if fates[i] != one[0] {
					t.Errorf("%s, draw %d, %g °C: %+v, by itself %+v", w.Words, k, startsC[i], fates[i], one[0])
				}
			}
		}
	}
}

// A plan of 24 h in the fridge is not the row of 6 h: it is a row of its own.
func TestCoverMapFramesThePlanItself(t *testing.T) {
	t.Parallel()
	c := plainCase(t, 41, Rest{Place: "fridge", TC: 4, ForS: 24 * 3600}, Rest{Place: "room", TC: 20})
	var words []string
	for _, w := range c.mapWays() {
		if w.Effort == 0 {
			words = append(words, w.Words)
		}
	}
	if len(words) != 1 || !strings.HasPrefix(words[0], "as planned") {
		t.Errorf("the plan is %q", words)
	}
}

// A change that gels fully and burns is told as too hot, not as one that falls
// short of 80 %.
func TestTooHot(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		goal      Outcome
		full, hot float64
		want      bool
	}{{FullGel, 0.98, 0.5, true}, {FullGel, 0.98, 0.2, false}, {FullGel, 0.79, 0.5, false}, {NoGel, 0, 0.5, false}} {
		if got := (Suggestion{Goal: c.goal, Chance: Chance{Full: c.full, Overheat: c.hot}}).TooHot(); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}
