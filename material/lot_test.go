package material

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"barwright/source"
)

// A certificate replaces its block and nothing else.
func TestLot(t *testing.T) {
	t.Parallel()
	base := builtin(t, "tallow_beef")
	lot, err := Parse("lot", []byte(lotFile), Builtin())
	if err != nil {
		t.Fatal(err)
	}
	want := source.Figure{Low: 196.5, Typical: 197.6, High: 198.7, Unit: "mg KOH/g", Source: "certificate", Locator: "4711", Grade: source.Measured}
	if lot.Sap != want || !lot.Sap.IsMeasured() {
		t.Errorf("the lot takes %+v, its certificate says %+v", lot.Sap, want)
	}
	if lot.ID != "tallow_7" || lot.Of != "tallow_beef" || lot.Name != base.Name || lot.Kind != base.Kind || lot.INCI != base.INCI || lot.From != base.From {
		t.Errorf("the lot is %s of %s: %s, %s, %s, %s", lot.ID, lot.Of, lot.Name, lot.Kind, lot.INCI, lot.From)
	}
	mine, theirs := lot.figures(), base.figures()
	for i, f := range mine {
		if f.key != "sap" && *f.Figure != *theirs[i].Figure {
			t.Errorf("%s of the lot is %+v, of its material %+v", f.key, *f.Figure, *theirs[i].Figure)
		}
	}
	lot.Profile.Acids["c18_1"] = 0
	if base.Profile.Percent("c18_1") == 0 || builtin(t, "tallow_beef").Profile.Percent("c18_1") == 0 {
		t.Error("the lot shares its acids with its material")
	}
	own, err := Parse("lot", []byte("id = 'x'\nof = 'olive'\n[profile]\nsource = 'certificate'\ngrade = 'measured'\nacids = { c16_0 = 10, c18_1 = 80, c18_2 = 10 }\n"), Builtin())
	if err != nil || len(own.Profile.Acids) != 3 || own.Profile.Percent("c18_1") != 80 || own.Sap != builtin(t, "olive").Sap {
		t.Errorf("%v: the profile of the lot is %v", err, own.Profile)
	}
}

// What a material does in the pot its lots do, and a lot may do more.
func TestLotFlags(t *testing.T) {
	t.Parallel()
	parse := func(text string) Material {
		m, err := Parse("lot", []byte(text), Builtin())
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	if m := parse("id = 'x'\nof = 'beer'\n"); !m.Foams || !m.Fizzes || m.Hurries || m.Rices {
		t.Errorf("a lot of beer: foams %v, fizzes %v, hurries %v, rices %v", m.Foams, m.Fizzes, m.Hurries, m.Rices)
	}
	if m := parse("id = 'x'\nof = 'fragrance_oil'\nname = 'Green'\nfrom = 'maker'\nnote = 'quick'\nhurries = true\nrices = true\n"); !m.Hurries || !m.Rices || m.Foams || m.Name != "Green" || m.From != "maker" || m.Note != "quick" {
		t.Errorf("a lot of scent: %+v", m)
	}
	if m := parse("id = 'x'\nof = 'vinegar'\nusual_percent = 10\n"); !m.InSolution || m.UsualPercent != 10 {
		t.Errorf("a lot of vinegar: in solution %v, usually %g %%", m.InSolution, m.UsualPercent)
	}
	if m := parse("id = 'x'\nof = 'clove_leaf_oil'\nlimit = '0.7 % of bar'\n"); m.Limit == nil || m.Limit.Share.Percent != 0.7 || m.Purity != nil {
		t.Errorf("a lot of scent with its document: limit %v", m.Limit)
	}
	if m := parse("id = 'x'\nof = 'naoh'\npurity = '98.5 %'\n"); m.Purity == nil || m.Purity.Percent != 98.5 {
		t.Errorf("a lot of alkali with its assay: %v", m.Purity)
	}
	if m := parse("id = 'x'\nof = 'koh'\n"); m.Kind != Alkali || m.MolarMass != builtin(t, "koh").MolarMass {
		t.Errorf("a lot of potassium hydroxide: %+v", m)
	}
}

// A lot of honey whose water alone was measured: the dry part keeps its
// make-up, so the sugars are 76.6 (100 - w) / (100 - 17.2) per cent.
func TestHoneyLot(t *testing.T) {
	t.Parallel()
	for _, w := range []float64{13.4, 16, 17.2, 20, 23} {
		water := strings.NewReplacer("low = 15", "low = 12", "typical = 16", "typical = "+strconv.FormatFloat(w, 'f', -1, 64), "high = 17", "high = 25").Replace(waterBlock)
		m, err := Parse("lot", []byte("id = 'heather'\nof = 'honey'\n"+water), Builtin())
		if err != nil {
			t.Fatal(err)
		}
		want := 76.6 * (100 - w) / (100 - 17.2)
		if math.Abs(m.Sugars.Typical-want) > 1e-9 || m.Water.Typical != w { // rounding of float64
			t.Errorf("%g %% water: %g %% sugars, want %g", w, m.Sugars.Typical, want)
		}
		if m.Sugars.Grade < source.Derived || m.Sugars.Check() != nil || m.Sugars.High > 100 {
			t.Errorf("%g %% water: sugars %+v", w, m.Sugars)
		}
	}
	own := "id = 'x'\nof = 'honey'\n" + waterBlock + "[sugars]\nlow = 78\ntypical = 79\nhigh = 80\nunit = '%'\nsource = 'certificate'\ngrade = 'measured'\n"
	if m, err := Parse("lot", []byte(own), Builtin()); err != nil || m.Sugars.Typical != 79 {
		t.Errorf("sugars that were measured themselves: %+v, %v", m.Sugars, err)
	}
	if m, err := Parse("lot", []byte("id = 'x'\nof = 'honey'\n"), Builtin()); err != nil || m.Sugars != builtin(t, "honey").Sugars {
		t.Errorf("nothing measured: %+v, %v", m.Sugars, err)
	}
	if m, err := Parse("lot", []byte("id = 'x'\nof = 'milk'\n"+waterBlock), Builtin()); err != nil || m.Water.Typical != 16 {
		t.Errorf("milk with its own water: %+v, %v", m.Water, err)
	}
}
