package plan

import (
	"regexp"
	"strings"
	"testing"

	"barwright/finding"
)

func TestMinutes(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]string{0: "under 1", 0.74: "under 1", 0.75: "0.8", 1.7: "1.7", 2.94: "2.9", 2.96: "3", 3.4: "3", 3.6: "4", 180: "180", 1234: "1\u202f234"} {
		if got := Minutes(v); got != want {
			t.Errorf("%g min is %q, want %q", v, got, want)
		}
	}
	if InMinutes(0.2) != "under 1 minute" || InMinutes(4.1) != "4 minutes" || aboutMinutes(0.2) != "under 1 minute" || aboutMinutes(4.1) != "about 4 minutes" {
		t.Error(InMinutes(0.2), InMinutes(4.1), aboutMinutes(0.2), aboutMinutes(4.1))
	}
}

// No more digits than are known, and enough to be on the right side.
func TestDigits(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ got, want string }{
		{superfatAgainst(-107.77, 0), "−108"}, {superfatAgainst(0.5, 1), "0.5"}, {superfatAgainst(0.996, 1), "0.996"}, {superfatAgainst(-0.02, 0), "−0.02"},
		{against(1.004, 1, 0), "1.004"}, {against(12.3456, 1, 0), "12"}, {against(1.26, 1, 1), "1.3"},
		{points(-107.77), "-108"}, {points(3.26), "3.3"}, {points(-0.01), "0.0"},
		{oneIn(1.0 / 819), "800"}, {oneIn(1.0 / 345), "300"}, {oneIn(0.00100001), "900"}, {oneIn(0.01), "100"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

var (
	hyphenMinus = regexp.MustCompile(`(^|[\s(])-\d`)
	manyDigits  = regexp.MustCompile(`\d\.\d{3,}`)
	looseUnit   = regexp.MustCompile(`\d (%|°C|g|ml|minutes?)\b`)
)

// What every finding that can be met says is typeset, and in the words that
// the pages use.
func TestFindingsAreTypeset(t *testing.T) {
	t.Parallel()
	for _, c := range triggers {
		for _, f := range made(t, written(t, c.text, c.changes...)).Findings {
			for _, s := range []string{f.Title, f.Because, f.Fix} {
				switch {
				case hyphenMinus.MatchString(s):
					t.Errorf("%s: a hyphen for a minus: %q", f.ID, s)
				case looseUnit.MatchString(s + " "):
					t.Errorf("%s: a number that can part from its unit: %q", f.ID, s)
				case manyDigits.MatchString(s) && f.ID != "acid_strength_unknown":
					t.Errorf("%s: more digits than are known: %q", f.ID, s)
				case strings.Contains(s, "not pour") || strings.Contains(strings.ToLower(s), "purity"):
					t.Errorf("%s: another word for it: %q", f.ID, s)
				}
			}
		}
	}
}

// An ounce scale is spoken of in ounces, and so is what it is to show.
func TestOuncesStayOunces(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, base, "size.fats=12 oz", "scale.alkali=0.1 oz", "scale.fats=1 oz"))
	f := withID(p, "scale_too_coarse")
	if len(f) != 1 || !strings.Contains(f[0].Plain().Title, "one step of 0.1 oz is") {
		t.Errorf("%+v", f)
	}
	p = made(t, written(t, added("citric_acid", "1 g", "lye"), "scale.fats=1 oz"))
	f = withID(p, "too_little_to_weigh")
	if len(f) != 1 || !strings.Contains(f[0].Plain().Title, "becomes 1 oz on this scale") || !strings.Contains(f[0].Plain().Because, "Its step is 1 oz") {
		t.Errorf("%+v", f)
	}
	p = made(t, written(t, heavyJug, "scale.alkali=1 oz"))
	f = withID(p, "lye_heavy")
	if len(f) != 1 || len(f[0].Edits) == 0 || !strings.HasSuffix(f[0].Edits[0].Value, " oz") {
		t.Errorf("%+v", f)
	}
}

// What will be weighed comes first, then why it is still told.
func TestMarginSaysWhatCounts(t *testing.T) {
	t.Parallel()
	f := withID(made(t, written(t, base, "size.fats=350 g")), "lye_margin")
	if len(f) != 1 || f[0].Severity != finding.Caution {
		t.Fatalf("%+v", f)
	}
	plain := f[0].Plain()
	if plain.Title != "Safe as it will be weighed: even the worst case keeps 1.2 % superfat" {
		t.Error(plain.Title)
	}
	for _, words := range []string{"What the scale will show is what counts", "no need to be afraid", "\u22120.6 %"} {
		if !strings.Contains(plain.Because, words) {
			t.Errorf("no %q in %q", words, plain.Because)
		}
	}
}

// Where the minutes jump because wax may freeze, the finding says so.
func TestWindowJumpIsNamed(t *testing.T) {
	t.Parallel()
	colder := []string{"fats.1.material=beeswax", "fats.1.share=3 %", "fats.0.share=77 %"}
	hot := append(colder[:3:3], "combine.fats_temperature=60 °C", "combine.lye_temperature=55 °C")
	near := append(colder[:3:3], "combine.fats_temperature=48 °C", "combine.lye_temperature=46 °C")
	below := made(t, written(t, base, colder...))
	if *below.Combine.LandingC >= *below.Combine.ClearC {
		t.Fatalf("lands at %.1f, clear above %.1f", *below.Combine.LandingC, *below.Combine.ClearC)
	}
	for _, id := range []string{"quick", "may_freeze"} {
		f := withID(below, id)
		if len(f) != 1 || !strings.Contains(f[0].Plain().Because, "°C there would be about ") {
			t.Errorf("%s: %+v", id, f)
		}
	}
	if f := withID(made(t, written(t, base, near...)), "stays_clear"); len(f) != 1 || !strings.Contains(f[0].Because, "above that line; below it, what freezes would leave") {
		t.Errorf("%+v", f)
	}
	if f := withID(made(t, written(t, base, hot...)), "stays_clear"); len(f) != 1 || strings.Contains(f[0].Because, "above that line") {
		t.Errorf("%+v", f)
	}
}
