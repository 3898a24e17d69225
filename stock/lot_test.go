package stock_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/quantity"
	"barwright/source"
	"barwright/stock"
)

func share(text string) *quantity.Share    { return must(quantity.ParseShare(text)) }
func limit(text string) *quantity.BarLimit { return must(quantity.ParseBarLimit(text)) }

func figure(low, typical, high float64, unit string) *source.Figure {
	return &source.Figure{Low: low, Typical: typical, High: high, Unit: unit, Source: "certificate", Grade: source.Measured}
}

func builtin(t *testing.T, id string) material.Material {
	t.Helper()
	m, err := material.Builtin().Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func with(l stock.Lot, change func(*stock.Lot)) stock.Lot { change(&l); return l }

// good are lots as they should be.
var good = map[string]stock.Lot{
	"tallow_beef": {ID: "tlw_7", Name: "TLW-7", Of: "tallow_beef", Price: price("4.20 / kg"), OnHand: mass("14.2 kg"), Packed: day("2026-08-01"), Received: day("2026-09-01"), BestBefore: day("2027-06-30"),
		From: "the butcher", Note: "two\nlines\tand a tab", Held: "spots", Sap: figure(196.5, 197.6, 198.7, "mg KOH/g"), AcidValue: figure(1, 1, 1, "mg KOH/g")},
	"honey":          {ID: "hno", Of: "honey", Own: true, From: "Alder", Water: figure(17.6, 17.8, 18, "%"), Density: figure(1.41, 1.42, 1.43, "g/ml")},
	"clove_leaf_oil": {ID: "eoc_1", Of: "clove_leaf_oil", Limit: limit("0.7 % of bar"), Hurries: true, Rices: true},
	"naoh":           {ID: "sh_3", Of: "naoh", Purity: share("98.5 %")},
	"beeswax":        {ID: "wax", Of: "beeswax", AcidValue: figure(18, 19, 20, "mg KOH/g")},
}

func TestLotCheck(t *testing.T) {
	t.Parallel()
	for of, l := range good {
		if key, err := l.Check(builtin(t, of)); err != nil {
			t.Errorf("%s: %s: %v", of, key, err)
		}
	}
	tallow, honey, clove, lye := good["tallow_beef"], good["honey"], good["clove_leaf_oil"], good["naoh"]
	long := strings.Repeat("x", 201)
	for _, c := range []struct {
		lot             stock.Lot
		key, want, hint string
	}{
		{with(tallow, func(l *stock.Lot) { l.ID = "TLW 7" }), "id", `"TLW 7" is not an id`, "small letters, digits and _, at most 100 of them"},
		{with(tallow, func(l *stock.Lot) { l.ID = strings.Repeat("a", 101) }), "id", `"` + strings.Repeat("a", 60) + `" is not an id`, "small letters, digits and _, at most 100 of them"},
		{with(tallow, func(l *stock.Lot) { l.Name = "  " }), "name", "it has no name", ""},
		{with(tallow, func(l *stock.Lot) { l.Name = long }), "name", "it must be one line of at most 200 letters", "what there is to tell goes into the note"},
		{with(tallow, func(l *stock.Lot) { l.From = "a\nb" }), "from", "it must be one line of at most 200 letters", "what there is to tell goes into the note"},
		{with(tallow, func(l *stock.Lot) { l.Held = "a\x00b" }), "held", "it must be one line of at most 200 letters", "what there is to tell goes into the note"},
		{with(tallow, func(l *stock.Lot) { l.Note = "\xff" }), "note", "the note is too long, or has letters that cannot be printed", "a page or two of plain text"},
		{with(tallow, func(l *stock.Lot) { l.Note = strings.Repeat("y", 20001) }), "note", "the note is too long, or has letters that cannot be printed", "a page or two of plain text"},
		{with(tallow, func(l *stock.Lot) { l.Price = price("4 each") }), "price", "a lot has a price by mass", `like "5.10 / kg"`},
		{with(tallow, func(l *stock.Lot) { l.Price = price("4 / l") }), "price", "a lot has a price by mass, and a litre is not a unit of mass", `a litre of it weighs some 898 g, so that is "4.45 / kg"`},
		{with(tallow, func(l *stock.Lot) { l.Received = day("0206-09-01") }), "received", "0206-09-01 is no day of a label", "is the year right?"},
		{with(tallow, func(l *stock.Lot) { l.BestBefore = day("2206-09-01") }), "best_before", "2206-09-01 is no day of a label", "is the year right?"},
		{with(tallow, func(l *stock.Lot) { l.Received = day("2026-07-31") }), "received", "it would have come in on 2026-07-31, before it was packed on 2026-08-01", ""},
		{with(tallow, func(l *stock.Lot) { l.BestBefore = day("2026-07-31") }), "best_before", "it would be past its best on 2026-07-31, before it was packed on 2026-08-01", ""},
		{with(tallow, func(l *stock.Lot) { l.Limit = limit("1 % of bar") }), "limit", "only a scent has a limit in the bar", "Beef tallow is none: leave it empty"},
		{with(tallow, func(l *stock.Lot) { l.Hurries = true }), "hurries", "only of a scent is it noted that it thickens the batter", "Beef tallow is none: leave it empty"},
		{with(tallow, func(l *stock.Lot) { l.Rices = true }), "rices", "only of a scent is it noted that it makes grains", "Beef tallow is none: leave it empty"},
		{with(tallow, func(l *stock.Lot) { l.Purity = share("98 %") }), "purity", "only an alkali has an assay", "Beef tallow is none: leave it empty"},
		{with(tallow, func(l *stock.Lot) { l.Water = figure(1, 1, 1, "%") }), "water.typical", "only honey, milk and other additions have a share of water", "Beef tallow is none: leave it empty"},
		{with(honey, func(l *stock.Lot) { l.Sap = figure(1, 1, 1, "mg KOH/g") }), "sap.typical", "only a fat, a wax or a fatty acid has a saponification value", "Honey is none: leave it empty"},
		{with(clove, func(l *stock.Lot) { l.AcidValue = figure(1, 1, 1, "mg KOH/g") }), "acid_value.typical", "only a fat, a wax or a fatty acid has an acid value", "Clove leaf oil is none: leave it empty"},
		{with(lye, func(l *stock.Lot) { l.Purity = share("40 %") }), "purity", "must be 50 to 100 %", ""},
		{with(tallow, func(l *stock.Lot) { l.Sap = figure(198, 197.6, 199, "mg KOH/g") }), "sap.low", "at least 198 is more than the likely 197.6", ""},
		{with(tallow, func(l *stock.Lot) { l.Sap = figure(196, 197.6, 197, "mg KOH/g") }), "sap.high", "at most 197 is less than the likely 197.6", ""},
		{with(tallow, func(l *stock.Lot) { l.Sap = figure(0, 0, 0, "mg KOH/g") }), "sap.typical", "must be 1 to 660 mg KOH/g", ""},
		{with(tallow, func(l *stock.Lot) { l.Sap = figure(190, 197, 198, "g/kg") }), "sap.typical", "must be 1 to 660 mg KOH/g", ""},
		{with(tallow, func(l *stock.Lot) { l.Sap = figure(197, 197, 197, "") }), "sap.typical", "no unit", ""},
		{with(honey, func(l *stock.Lot) { l.Water = figure(17, 17, 170, "%") }), "water.typical", "must be 0 to 100 %", ""},
		{with(honey, func(l *stock.Lot) { l.Density = figure(1420, 1420, 1420, "g/ml") }), "density.typical", "must be 0.2 to 6 g/ml", ""},
	} {
		key, err := c.lot.Check(builtin(t, c.lot.Of))
		hint := ""
		var h interface{ Hint() string }
		if errors.As(err, &h) {
			hint = h.Hint()
		}
		if err == nil || key != c.key || err.Error() != c.want || hint != c.hint {
			t.Errorf("got %s: %v (%s), want %s: %s (%s)", key, err, hint, c.key, c.want, c.hint)
		}
	}
}

// A lot is its material with its own figures, history and papers.
func TestLotMaterial(t *testing.T) {
	t.Parallel()
	m, err := good["tallow_beef"].Material(material.Builtin())
	if err != nil || m.ID != "tlw_7" || m.Of != "tallow_beef" || m.Name != "Beef tallow, lot TLW-7" || m.Sap.Typical != 197.6 || m.Iodine != builtin(t, "tallow_beef").Iodine {
		t.Errorf("%+v, %v", m, err)
	}
	m, err = good["clove_leaf_oil"].Material(material.Builtin())
	if err != nil || !m.Rices || !m.Hurries || m.Limit == nil || m.Limit.Share.Percent != 0.7 {
		t.Errorf("%+v, %v", m, err)
	}
	m, err = good["naoh"].Material(material.Builtin())
	if err != nil || m.Kind != material.Alkali || m.Purity == nil || m.Purity.Percent != 98.5 {
		t.Errorf("%+v, %v", m, err)
	}
	lot := builtin(t, "koh")
	lot.ID, lot.Of = "flakes", "koh"
	if _, err := (stock.Lot{ID: "x", Of: "flakes"}).Material(material.Builtin().Plus(lot)); err == nil {
		t.Error("a lot of a lot: nobody would know which alkali it is")
	}
	if _, err := (stock.Lot{ID: "x", Of: "moon_dust"}).Material(material.Builtin()); err == nil {
		t.Error("a lot of nothing known")
	}
}

// What is written is read back the same, by the strict reader too.
func TestLotsReadBack(t *testing.T) {
	t.Parallel()
	for of, l := range good {
		body, err := toml.Marshal(l)
		if err != nil {
			t.Fatal(err)
		}
		var back stock.Lot
		if _, err := tomldoc.Decode("lot", body, &back); err != nil {
			t.Fatalf("%s: %v in\n%s", of, err, body)
		}
		again, err := toml.Marshal(back)
		if err != nil || string(again) != string(body) {
			t.Errorf("%s came back as\n%s\nand was\n%s", of, again, body)
		}
	}
}
