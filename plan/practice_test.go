package plan

import (
	"strings"
	"testing"

	"barwright/recipe"
)

// Common practice, no source: what makers say, told back by the plan. Each
// stands for a habit and not for a measurement; the tolerance is what a spoon
// or a kitchen thermometer can tell.

// A US tablespoon of honey is about 21 g: honey is heavier than the 15 ml that
// the spoon holds.
func TestPracticeSpoonOfHoney(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, added("honey", "1 tbsp us", "trace")))
	if g := p.Additions[0].MassG; !near(g, 21, 0.5) {
		t.Errorf("a tablespoon of honey is %.2f g, makers say 21", g)
	}
}

// Three US tablespoons of scent are about 40 g, and two and a half are the
// reduced dose of a scent that is strong.
func TestPracticeSpoonsOfScent(t *testing.T) {
	t.Parallel()
	full := made(t, written(t, added("essential_oil", "3 tbsp us", "trace"))).Additions[0].MassG
	reduced := made(t, written(t, added("essential_oil", "2 1/2 tbsp us", "trace"))).Additions[0].MassG
	if !near(full, 40, 1) || !near(reduced, 40*2.5/3, 1) {
		t.Errorf("3 tbsp are %.1f g and 2 1/2 are %.1f g, makers say 40 g, and less", full, reduced)
	}
}

// A wax and honey recipe is worked with fats and lye both at about 110 °F,
// 43 °C, and lands there; with no more than 1 % of wax it stays clear.
func TestPracticeWaxAndHoneyAt110F(t *testing.T) {
	t.Parallel()
	p := made(t, waxy(t, 1, "combine.fats_temperature=110 °F", "combine.lye_temperature=110 °F"))
	if c := *p.Combine.LandingC; !near(c, 43.3, 1) {
		t.Errorf("lands at %.1f °C, want about 43", c)
	}
	if len(withID(p, "stays_clear")) != 1 {
		t.Errorf("1 %% of wax: %v", p.Findings)
	}
}

// With several per cent of wax in the fats it is seen to come out before that.
func TestPracticeMuchWaxShowsBefore43C(t *testing.T) {
	t.Parallel()
	for _, percent := range []int{3, 4, 5} {
		p := made(t, waxy(t, percent, "combine.fats_temperature=110 °F", "combine.lye_temperature=110 °F"))
		if cloud := p.Combine.CloudPoint; cloud.High < 43.3 {
			t.Errorf("%d %% wax shows below %.1f °C at the most", percent, cloud.High)
		}
		if len(withID(p, "may_freeze")) != 1 {
			t.Errorf("%d %% wax at 43 °C may freeze, but: %v", percent, p.Findings)
		}
	}
}

// Wax makes trace very quick: with a few per cent under about two minutes, and
// more quickly the more there is.
func TestPracticeWaxIsQuick(t *testing.T) {
	t.Parallel()
	hot := []string{"combine.fats_temperature=60 °C", "combine.lye_temperature=55 °C"}
	before := made(t, waxy(t, 0, hot...)).Window.ToTrace.Typical
	for _, percent := range []int{1, 2, 3, 5} {
		now := made(t, waxy(t, percent, hot...)).Window.ToTrace.Typical
		if now >= before || (percent >= 3 && now > 2) {
			t.Errorf("%d %% wax traces after %.2f minutes, one step less wax after %.2f", percent, now, before)
		}
		before = now
	}
}

// waxy is Plain Tow with honey and some per cent of its tallow as beeswax.
func waxy(t failer, percent int, changes ...string) recipe.Recipe {
	t.Helper()
	text := added("honey", "1 %", "trace")
	if percent > 0 {
		text += "[[fats]]\nmaterial = \"beeswax\"\nshare = \"" + exactly(float64(percent)) + " %\"\n"
		text = strings.Replace(text, `"55 %"`, `"`+exactly(float64(55-percent))+` %"`, 1)
	}
	return written(t, text, changes...)
}
