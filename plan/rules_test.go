package plan

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/finding"
	"barwright/material"
)

// base is Plain Tow with everything a rule can look at.
const base = plainTow + `
[combine]
fats_temperature = "42 °C"
lye_temperature = "40 °C"
[mould]
shape = "cavity"
volume = "1340 ml"
wall = "softwood 12 mm"
`

// added returns base with an addition of a material.
func added(id, amount, when string, more ...string) string {
	return base + "\n[[additions]]\nmaterial = \"" + id + "\"\namount = \"" + amount + "\"\nwhen = \"" + when + "\"\n" + strings.Join(more, "\n") + "\n"
}

// trigger is a recipe that brings a finding, told at the severity the design
// gives it, its title holding the words that matter.
type trigger struct {
	id       string
	severity finding.Severity
	words    string // parted by |
	text     string
	changes  []string
}

var triggers = []trigger{
	{"lye_heavy", finding.Stop, "lye-heavy|superfat 0.5 %", base, []string{"superfat=0.5 %"}},
	{"lye_heavy", finding.Stop, "Lye-heavy|3.3 %|more alkali", heavyJug, nil},
	{"lye_heavy", finding.Stop, "lye-heavy|superfat 2.0 %|−", base, []string{"superfat=2 %"}}, // 2.5 % point below 0
	{"lye_margin", finding.Caution, "worst case|1.2 %", base, []string{"size.fats=350 g"}},
	{"lye_safe", finding.OK, "safe|at least", base, []string{"superfat=8 %"}},
	{"assay_odd", finding.Caution, "92 %|assay", base, []string{"alkali.0.purity=92 %"}},
	{"assay_odd", finding.Stop, "60 %|assay", base, []string{"alkali.0.purity=60 %"}},
	{"too_hot", finding.Caution, "fats at 110 °C", base, []string{"combine.fats_temperature=110 °C"}},
	{"too_hot", finding.Caution, "lye at 95 °C", base, []string{"combine.lye_temperature=95 °C"}},
	{"scent_in_lye", finding.Caution, "Lavender|lost", added("lavender_oil", "1 %", "lye"), nil},
	{"salt_in_lye", finding.Caution, "salt|dissolve", added("salt", "50 %", "lye"), nil},
	{"sugar_much", finding.Caution, "Sugars|7.7 %", added("honey", "10 %", "trace"), nil},
	{"powder_much", finding.Caution, "Powders|20 %", added("charcoal", "20 %", "trace"), nil},
	{"acid_dosed_low", finding.Note, "likely|5 %", base, []string{"fats.1.material=stearic_50"}},
	{"harsh", finding.Note, "Harsh|superfat 5.0 %", base, []string{"fats.0.material=babassu"}},
	{"salt_sets_fast", finding.Note, "hours", added("salt", "30 %", "trace"), nil},
	{"superfat_high", finding.Stop, "Most of the fat stays oil", heavyJug, []string{"alkali.0.amount=5 g", "water=20 g"}},
	{"lye_weak", finding.Caution, "water of the additions", added("goat_milk", "30 %", "trace"), nil},
	{"acid_strength_unknown", finding.Stop, "Vinegar|strength", added("vinegar", "2 %", "lye"), nil},
	{"acids_take_much", finding.Stop, "Acids|% of the alkali", added("citric_acid", "3 %", "lye"), nil},
	{"koh_label_hides_strength", finding.Caution, "Potassium|85 %|stronger", base, []string{"alkali.0.material=koh", "alkali.0.purity=85 %"}},
	{"koh_label_hides_strength", finding.Caution, "Potassium|without its assay", base, []string{"alkali.0.material=koh", "alkali.0.purity="}},
	{"purity_assumed", finding.Note, "100 % pure", base, []string{"alkali.0.purity="}},
	{"scale_too_coarse", finding.Caution, "coarse|1 g|3.3 points", base, []string{"size.fats=200 g"}},
	{"scale_overloaded", finding.Caution, "the fats weigh 5001 g|5000 g", base, []string{"size.fats=5001 g", "scale.fats_capacity=5 kg"}},
	{"scale_overloaded", finding.Caution, "the fats in their pot weigh 3200 g|3000 g", base, []string{"size.fats=2000 g", "combine.pot=steel 1.2 kg", "scale.fats_capacity=3 kg"}},
	{"scale_overloaded", finding.Caution, "the alkali weighs|50 g", base, []string{"scale.alkali_capacity=50 g"}},
	{"too_little_to_weigh", finding.Note, "Too little|1.4 g|citric", added("citric_acid", "1.4 g", "lye"), nil},
	{"superfat_high", finding.Caution, "Superfat of 12.0 %", base, []string{"superfat=12 %"}},
	{"found_recipe", finding.Note, "As written|superfat", heavyJug, nil},

	{"metal_corrodes", finding.Stop, "aluminium|lye jug", base, []string{"lye.vessel=aluminium 300 g"}},
	{"metal_corrodes", finding.Stop, "copper|pot", base, []string{"combine.pot=copper 2 kg"}},
	{"metal_corrodes", finding.Stop, "zinc|mould", base, []string{"mould.wall=zinc 1 mm"}},
	{"metal_corrodes", finding.Stop, "tin|lid", base, []string{"mould.lid=tin 1 mm"}},
	{"glass_vessel", finding.Caution, "Glass|shatter", base, []string{"lye.vessel=glass 500 g"}},
	{"lye_near_boiling", finding.Caution, "can reach|boils", base, []string{"lye_strength=30 %", "lye.water_temperature=30 °C"}},
	{"lye_near_boiling", finding.Stop, "can reach|boils", base, []string{"lye_strength=30 %", "lye.water_temperature=38 °C"}},
	{"lye_near_boiling", finding.Caution, "can reach 122 °C|boils at 130 °C", base, []string{"lye_strength=40 %", "lye.water_temperature=30 °C"}},
	{"lye_heat_unknown", finding.Caution, "potassium|30 °C", base, []string{"alkali.0.material=koh", "alkali.0.purity=90 %", "lye.water_temperature=30 °C"}},
	{"lye_heat_unknown", finding.Stop, "potassium|60 °C", base, []string{"alkali.0.material=koh", "alkali.0.purity=90 %", "lye.water_temperature=60 °C"}},
	{"lye_crystallises", finding.Caution, "45 %|crystallises", base, []string{"lye_strength=45 %", "combine.lye_temperature=3 °C"}},
	{"lye_foams", finding.Caution, "Honey|foam", added("honey", "1 %", "lye"), nil},
	{"lye_foams", finding.Caution, "milk|foam", added("milk", "8 %", "lye"), []string{"combine.lye_temperature=25 °C"}},
	{"lye_fizzes", finding.Stop, "Beer|boils up", added("beer", "3 %", "lye"), nil},

	{"will_freeze", finding.Caution, "Beeswax|will freeze|lands at", base, []string{"fats.1.material=beeswax", "fats.1.share=5 %", "fats.0.share=75 %", "combine.fats_temperature=30 °C"}},
	{"may_freeze", finding.Caution, "Beeswax|may freeze|lands at", base, []string{"fats.1.material=beeswax", "fats.1.share=3 %", "fats.0.share=77 %"}},
	{"stays_clear", finding.OK, "Beeswax|stays melted|clear above", base, []string{"fats.1.material=beeswax", "fats.1.share=3 %", "fats.0.share=77 %", "combine.fats_temperature=60 °C", "combine.lye_temperature=55 °C"}},
	{"seizing", finding.Caution, "seize|25 % free", base, []string{"fats.1.material=stearic_50"}},
	{"seizing", finding.Caution, "Clove leaf oil|solid", added("clove_leaf_oil", "1 %", "trace"), nil},
	{"ricing", finding.Caution, "Lavender|rice", added("lavender_oil", "1 %", "trace", `temperature = "18 °C"`), nil},
	{"quick", finding.Caution, "Little time|minutes", base, []string{"fats.1.material=beeswax", "fats.1.share=3 %", "fats.0.share=77 %", "combine.fats_temperature=60 °C", "combine.lye_temperature=55 °C"}},
	{"slow", finding.Note, "Slow|minutes", base, []string{"combine.stir=hand"}},
	{"fat_sets", finding.Note, "Beef tallow|melts", base, []string{"combine.fats_temperature=35 °C", "combine.lye_temperature=33 °C"}},

	{"wax_high", finding.Caution, "8.0 % wax", base, []string{"fats.1.material=beeswax", "fats.1.share=8 %", "fats.0.share=72 %"}},
	{"lye_weak", finding.Note, "28 %|weak|soft", base, []string{"lye_strength=28 %"}},
	{"lye_weak", finding.Caution, "25 %|weak|part", base, []string{"lye_strength=25 %"}},
	{"keeps_short", finding.Note, "rancid|exposure", base, []string{"fats.0.share=45 %", "fats.1.share=35 %"}},
	{"keeps_short", finding.Caution, "not keep long|linoleic", base, []string{"fats.1.material=sunflower", "fats.1.share=40 %", "fats.0.share=40 %"}},
	{"soft_bar", finding.Note, "Soft", base, []string{"fats.0.material=olive", "fats.0.share=98 %", "fats.1.share=1 %", "fats.2.share=1 %"}},
	{"wears_fast", finding.Note, "quickly|20 °C", base, []string{"fats.0.material=olive"}},
	{"fat_doubtful", finding.Note, "Shea|doubtful", base, []string{"fats.1.material=shea"}},

	{"mould_overflow", finding.Caution, "97.9 %|95 % meant", base, []string{"size.fats=922 g"}},
	{"mould_overflow", finding.Stop, "overflows|ml too much", base, []string{"size.fats=1000 g"}},
	{"fits_mould", finding.OK, "Fills the mould", base, nil},
	{"scent_over_limit", finding.Stop, "Lavender|limit|%", added("lavender_oil", "3 %", "trace", `limit = "0.7 % of bar"`), nil},
	{"scent_limit_unknown", finding.Note, "Lavender|limit", added("lavender_oil", "1 %", "trace"), nil},
	{"scent_heavy", finding.Caution, "7.0 %|part", added("lavender_oil", "7 %", "trace"), nil},
	{"not_said", finding.Note, "Not said", plainTow, nil},
}

// Every finding can be met, at its severity and in words that name the thing.
func TestEveryFindingIsTriggered(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	for _, c := range triggers {
		p := made(t, written(t, c.text, c.changes...))
		told := slices.ContainsFunc(withID(p, c.id), func(f finding.Finding) bool {
			checkTold(t, p, f)
			return f.Severity == c.severity && holdsAll(f.Plain().Title, strings.Split(c.words, "|"))
		})
		if !told {
			t.Errorf("%s (%s) with %q after %v: %+v", c.id, c.severity, c.words, c.changes, withID(p, c.id))
		}
		met[c.id] = met[c.id] || told
	}
	met["certificate_odd"] = true // TestCertificateInAnotherUnit
	met["lot_held"] = true        // TestHeldLot
	if len(rules) == 0 {
		t.Fatal("no rules")
	}
	for _, r := range rules {
		if !met[r.id] {
			t.Errorf("%s is never triggered", r.id)
		}
	}
}

// A lot that is held stops the plan that names it, among fats, additions and
// alkalis alike; the fix names what it is and leaves the lot to the shelf.
func TestHeldLot(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	for id, of := range map[string]string{"bad_tallow": "tallow_beef", "bad_oats": "oat_flour", "bad_lye": "naoh"} {
		m, err := lib.Find(of)
		if err != nil {
			t.Fatal(err)
		}
		m.ID, m.Of, m.Held = id, of, "it smells off"
		lib = lib.Plus(m)
	}
	for key, id := range map[string]string{"fats.0.material": "bad_tallow", "additions.0.material": "bad_oats", "alkali.0.material": "bad_lye"} {
		r := edited(t, written(t, added("oat_flour", "1 %", "trace")), []finding.Edit{{Key: key, Value: id}}, lib)
		p, err := Make(r, lib)
		if err != nil {
			t.Fatal(err)
		}
		told := withID(p, "lot_held")
		if len(told) != 1 || told[0].Severity != finding.Stop || !strings.Contains(told[0].Because, "smells off") {
			t.Fatalf("%s: %+v", id, told)
		}
		after, err := Make(edited(t, r, told[0].Edits, lib), lib)
		if err != nil || len(withID(after, "lot_held")) > 0 {
			t.Errorf("%s: its fix leaves %v (%v)", id, withID(after, "lot_held"), err)
		}
	}
}

// A certificate in the unit of the other alkali, or converted twice, is a
// stop whose fix plans without it; a certificate just outside is believed.
func TestCertificateInAnotherUnit(t *testing.T) {
	t.Parallel()
	for value, odd := range map[string]bool{"141": true, "277": true, "197.6": false, "205": false} {
		lot := "id = \"lot_7\"\nname = \"Lot 7\"\nof = \"tallow_beef\"\n[sap]\nlow = " + value + "\ntypical = " + value + "\nhigh = " + value +
			"\nunit = \"mg KOH/g\"\nsource = \"certificate\"\ngrade = \"measured\"\n"
		lib, err := material.Builtin().With(fstest.MapFS{"lot.toml": {Data: []byte(lot)}}, "lots")
		if err != nil {
			t.Fatal(err)
		}
		r := edited(t, written(t, base), []finding.Edit{{Key: "fats.0.material", Value: "lot_7"}}, lib)
		p, err := Make(r, lib)
		if err != nil {
			t.Fatal(err)
		}
		found := withID(p, "certificate_odd")
		if (len(found) == 1) != odd {
			t.Errorf("%s mg KOH/g: %+v", value, found)
		}
		if odd && len(found) == 1 && (found[0].Severity != finding.Stop || len(found[0].Edits) != 1 || found[0].Edits[0].Value != "tallow_beef") {
			t.Errorf("%s mg KOH/g: %+v", value, found[0])
		}
	}
}

func holdsAll(text string, words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(text, w) })
}

// The base of the triggers is a plan that can be started, so that each of them
// is due to its change.
func TestBaseIsQuiet(t *testing.T) {
	t.Parallel()
	for _, f := range made(t, written(t, base)).Findings {
		if f.Severity <= finding.Caution && f.ID != "lye_margin" {
			t.Errorf("%s: %s", f.ID, f.Title)
		}
	}
}

// The ids that the contract names are there, so that other programs find them.
func TestContractIDs(t *testing.T) {
	t.Parallel()
	ids := map[string]bool{}
	for _, r := range rules {
		ids[r.id] = true
	}
	for _, id := range strings.Fields(`lye_heavy lye_margin acids_take_much lye_near_boiling lye_crystallises lye_foams scale_too_coarse
		will_freeze may_freeze mould_overflow scent_over_limit seizing ricing superfat_high`) {
		if !ids[id] {
			t.Errorf("%s is not among the rules", id)
		}
	}
}

// The limits stand where the design puts them: each pair lies just on either
// side of one.
func TestLimitsStandWhereTheyShould(t *testing.T) {
	t.Parallel()
	wax := func(share, rest string) []string {
		return []string{"fats.1.material=beeswax", "fats.1.share=" + share, "fats.0.share=" + rest}
	}
	for _, c := range []struct {
		id, text   string
		just, over []string
	}{
		{"superfat_high", base, []string{"superfat=9 %"}, []string{"superfat=9.1 %"}},
		{"wax_high", base, wax("5 %", "75 %"), wax("5.1 %", "74.9 %")},
		{"lye_weak", base, []string{"lye_strength=29 %"}, []string{"lye_strength=28.9 %"}},
		{"seizing", base, []string{"fats.1.material=stearic_50", "fats.1.share=10 %", "fats.0.share=70 %"}, []string{"fats.1.material=stearic_50", "fats.1.share=10.1 %", "fats.0.share=69.9 %"}},
		{"scent_heavy", added("lavender_oil", "6 %", "trace"), nil, []string{"additions.0.amount=6.1 %"}},
		{"ricing", added("lavender_oil", "1 %", "trace", `temperature = "36 °C"`), []string{"combine.fats_temperature=46 °C", "combine.lye_temperature=45 °C"}, []string{"combine.fats_temperature=47 °C", "combine.lye_temperature=47 °C"}},
		{"lye_foams", added("honey", "1 %", "lye"), []string{"combine.lye_temperature=35 °C"}, []string{"combine.lye_temperature=35.1 °C"}},
		// 100 × 1 g × 0.985 / 39.997 / (m × 207 / 56105.3) = 2 points at m = 333.7 g
		{"scale_too_coarse", base, []string{"size.fats=334 g"}, []string{"size.fats=333 g"}},
		// what is weighed, each fat to the gram, is what counts
		{"scale_overloaded", base, []string{"size.fats=5000 g", "scale.fats_capacity=5 kg"}, []string{"size.fats=5001 g", "scale.fats_capacity=5 kg"}},
		// 0.6246 × 2.49 % is a ninth of the 14.02 % of sodium hydroxide for the fats
		{"acids_take_much", added("citric_acid", "2.4 %", "lye"), nil, []string{"additions.0.amount=2.6 %"}},
	} {
		if f := withID(made(t, written(t, c.text, c.just...)), c.id); len(f) > 0 {
			t.Errorf("%s after %v: %s", c.id, c.just, f[0].Title)
		}
		if f := withID(made(t, written(t, c.text, c.over...)), c.id); len(f) == 0 {
			t.Errorf("%s: nothing after %v", c.id, c.over)
		}
	}
}
