package material

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"barwright/source"
)

// published reads a table of testdata/published; its first lines name where
// the numbers are printed. A missing or empty table fails.
func published(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(records) < 2 {
		t.Fatalf("%s has no rows", name)
	}
	var rows []map[string]string
	for _, rec := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = rec[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func float(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// figure returns the figure a file writes under key.
func figure(t *testing.T, m Material, key string) source.Figure {
	t.Helper()
	for _, f := range m.figures() {
		if f.key == key {
			return *f.Figure
		}
	}
	t.Fatalf("no figure %q", key)
	return source.Figure{}
}

// The ranges are those of the Codex standards, digit for digit, and no row
// that was only recalled claims to have been read.
func TestCodexRanges(t *testing.T) {
	t.Parallel()
	for _, row := range published(t, "codex.csv") {
		m := builtin(t, row["id"])
		for _, c := range []struct {
			column string
			got    float64
		}{
			{"sap_low", m.Sap.Low}, {"sap_high", m.Sap.High},
			{"iodine_low", m.Iodine.Low}, {"iodine_high", m.Iodine.High},
			{"unsaponifiable_max", m.Unsaponifiable.High},
		} {
			if row[c.column] != "" && c.got != float(t, row[c.column]) {
				t.Errorf("%s: %s is %g, %s has %s", m.ID, c.column, c.got, row["standard"], row[c.column])
			}
		}
		checkGrade(t, m.ID+" sap", m.Sap.Grade, row["how"])
	}
}

func checkGrade(t *testing.T, what string, got source.Grade, how string) {
	t.Helper()
	want := source.Standard
	if how == "recalled" {
		want = source.Memory
	}
	if got != want && got != source.Doubtful {
		t.Errorf("%s is graded %v, but was %s: want %v", what, got, how, want)
	}
}

func TestPharmacopoeiaLimits(t *testing.T) {
	t.Parallel()
	for _, row := range published(t, "pharmacopoeia.csv") {
		m := builtin(t, row["id"])
		f := figure(t, m, row["figure"])
		if f.Low != float(t, row["low"]) || f.High != float(t, row["high"]) {
			t.Errorf("%s: %s is %g to %g, %s has %s to %s", m.ID, row["figure"], f.Low, f.High, row["monograph"], row["low"], row["high"])
		}
		checkGrade(t, m.ID+" "+row["figure"], f.Grade, row["how"])
	}
}

// Typical profiles lie inside the ranges of authentic oils.
func TestProfilesAgainstCodex(t *testing.T) {
	t.Parallel()
	for _, row := range published(t, "codex_acids.csv") {
		m := builtin(t, row["id"])
		got, low, high := m.Profile.Percent(row["acid"]), float(t, row["low"]), float(t, row["high"])
		// 0.05 %: below it the table writes "not detected", and it rounds there.
		if got < low-0.05 || got > high+0.05 {
			t.Errorf("%s: %s is %g %%, CXS 210 has %g to %g", m.ID, row["acid"], got, low, high)
		}
	}
}

// Of a fat the saponification value follows from its acids (AOCS Cd 3a-94,
// aocs_cd_3a_94), less its unsaponifiable part: it must fall in the published
// range. Two ranges are too narrow for their own fat; either gap fails here
// once it is mended.
func TestProfileAgreesWithSap(t *testing.T) {
	t.Parallel()
	gaps := []string{"mango_butter", "tallow_mutton"}
	for _, m := range allBuiltin(t) {
		if m.Kind != Triglyceride && m.Kind != FreeAcid {
			continue
		}
		moles, grams := 0.0, 0.0
		for _, a := range Acids {
			grams += m.Profile.Percent(a.ID)
			moles += m.Profile.Percent(a.ID) / a.M()
		}
		meanM := grams / moles
		sap := 56105.6 / meanM
		if m.Kind == Triglyceride {
			sap = 168316.8 / (3*meanM + 38.048)
		}
		sap *= 1 - m.UnsaponifiableFraction()
		inside := sap >= m.Sap.Low && sap <= m.Sap.High
		if gap := slices.Contains(gaps, m.ID); inside == gap {
			t.Errorf("%s: its acids come to %.1f, published %g to %g; known gap: %v", m.ID, sap, m.Sap.Low, m.Sap.High, gap)
		}
	}
}

// Of a fat the iodine value follows from its acids by the factors of AOCS
// Cd 1c-85 (aocs_cd_1c_85), ricinoleic acid by the same rule.
func TestProfileAgreesWithIodine(t *testing.T) {
	t.Parallel()
	factors := map[string]float64{"c16_1": 0.950, "c18_1": 0.860, "c18_2": 1.732, "c18_3": 2.616, "c20_1": 0.785, "c22_1": 0.723, "c18_1oh": 0.8157}
	for _, m := range allBuiltin(t) {
		if m.Kind != Triglyceride {
			continue
		}
		iodine := 0.0
		for id, f := range factors {
			iodine += f * m.Profile.Percent(id)
		}
		if iodine < m.Iodine.Low || iodine > m.Iodine.High {
			t.Errorf("%s: its acids come to %.1f, published %g to %g", m.ID, iodine, m.Iodine.Low, m.Iodine.High)
		}
	}
}

func TestAcidMasses(t *testing.T) {
	t.Parallel()
	rows := published(t, "acids.csv")
	if len(rows) != len(Acids) {
		t.Errorf("%d acids in the table, %d in the program", len(rows), len(Acids))
	}
	for _, row := range rows {
		i := AcidIndex(row["acid"])
		if i < 0 || Acids[i].Name != row["name"] {
			t.Errorf("%s %s is not in the list", row["acid"], row["name"])
			continue
		}
		// 0.001: the table is rounded there.
		if want := float(t, row["molar_mass"]); math.Abs(Acids[i].M()-want) > 0.001 {
			t.Errorf("%s: %.4f g/mol, want %.3f", row["acid"], Acids[i].M(), want)
		}
	}
}

// The density of honey is that of the published table at honey's own water.
func TestHoneyDensity(t *testing.T) {
	t.Parallel()
	rows := published(t, "honey_density.csv")
	at := func(water float64) float64 {
		for i := range rows[1:] {
			w0, w1 := float(t, rows[i]["water"]), float(t, rows[i+1]["water"])
			if d0, d1 := float(t, rows[i]["density"]), float(t, rows[i+1]["density"]); water >= w0 && water <= w1 {
				return d0 + (d1-d0)*(water-w0)/(w1-w0)
			}
		}
		t.Fatalf("no density at %g %% water", water)
		return 0
	}
	honey := builtin(t, "honey")
	for _, c := range []struct{ name, got, want float64 }{
		{honey.Water.Typical, honey.Density.Typical, at(honey.Water.Typical)},
		{honey.Water.Low, honey.Density.High, at(honey.Water.Low)},
	} {
		if math.Abs(c.got-c.want) > 0.0005 { // the file rounds to 0.001
			t.Errorf("honey with %g %% water: %g g/ml, table %.4f", c.name, c.got, c.want)
		}
	}
}

// formula counts atoms of C, H, O, Na and K.
type formula struct{ c, h, o, na, k float64 }

// M uses the IUPAC abridged standard atomic weights of 2021.
func (f formula) M() float64 {
	return 12.011*f.c + 1.008*f.h + 15.999*f.o + 22.990*f.na + 39.098*f.k
}

var sodiumHydroxide = formula{h: 1, o: 1, na: 1}

// What a kitchen acid takes follows from its formula and from the protons it
// gives up in soap (pH 9.5 to 10.5).
func TestKitchenAcids(t *testing.T) {
	t.Parallel()
	acids := map[string]struct {
		formula
		protons float64
	}{
		"citric_acid":             {formula{c: 6, h: 8, o: 7}, 3},
		"citric_acid_monohydrate": {formula{c: 6, h: 10, o: 8}, 3},
		"lactic_acid":             {formula{c: 3, h: 6, o: 3}, 1},
		"vinegar":                 {formula{c: 2, h: 4, o: 2}, 1},
		"gluconic_acid":           {formula{c: 6, h: 12, o: 7}, 1},
		"tartaric_acid":           {formula{c: 4, h: 6, o: 6}, 2},
		"malic_acid":              {formula{c: 4, h: 6, o: 5}, 2},
		"ascorbic_acid":           {formula{c: 6, h: 8, o: 6}, 1},
		"salicylic_acid":          {formula{c: 7, h: 6, o: 3}, 1},
		"cream_of_tartar":         {formula{c: 4, h: 5, o: 6, k: 1}, 1},
		"baking_soda":             {formula{c: 1, h: 1, o: 3, na: 1}, 1},
	}
	for _, m := range allBuiltin(t) {
		want, listed := acids[m.ID]
		if m.Kind != KitchenAcid {
			continue
		}
		if !listed {
			t.Errorf("%s is an acid without a formula here", m.ID)
			continue
		}
		delete(acids, m.ID)
		f := m.TakesNaOH
		// Half a unit of the fourth digit.
		if takes := want.protons * sodiumHydroxide.M() / want.M(); math.Abs(f.Typical-takes) > 0.00005 {
			t.Errorf("%s takes %g g NaOH per g, by formula %.5f", m.ID, f.Typical, takes)
		}
		if f.Low != f.Typical || f.High != f.Typical || f.Grade != source.Derived {
			t.Errorf("%s: stoichiometry has no spread and is derived", m.ID)
		}
		if math.Abs(m.MolarMass.Typical-want.M()) > 0.0005 {
			t.Errorf("%s: %g g/mol, by formula %.4f", m.ID, m.MolarMass.Typical, want.M())
		}
	}
	for id := range acids {
		t.Errorf("no material %s", id)
	}
}

func TestAlkaliMasses(t *testing.T) {
	t.Parallel()
	for id, f := range map[string]formula{"naoh": sodiumHydroxide, "koh": {h: 1, o: 1, k: 1}} {
		if got := builtin(t, id).MolarMass.Typical; math.Abs(got-f.M()) > 0.0005 {
			t.Errorf("%s: %g g/mol, by formula %.4f", id, got, f.M())
		}
	}
}

// Eugenol, C10H12O2, takes sodium hydroxide mole for mole: clove bud oil holds
// 80 % (72 to 90). Nothing is ever dosed for a scent, a drink or milk, so low
// is zero.
func TestTakersThatAreNotDosed(t *testing.T) {
	t.Parallel()
	perGram := sodiumHydroxide.M() / formula{c: 10, h: 12, o: 2}.M()
	clove := builtin(t, "clove_bud_oil").TakesNaOH
	if math.Abs(clove.Typical-0.80*perGram) > 0.0005 || math.Abs(clove.High-0.90*perGram) > 0.0005 {
		t.Errorf("clove bud oil takes %g to %g g NaOH per g, its eugenol %.4f to %.4f", clove.Typical, clove.High, 0.80*perGram, 0.90*perGram)
	}
	for _, m := range allBuiltin(t) {
		if m.TakesNaOH.Known() && m.Kind != KitchenAcid && m.TakesNaOH.Low != 0 {
			t.Errorf("%s takes at least %g g NaOH per g, but is not a declared acid", m.ID, m.TakesNaOH.Low)
		}
	}
}
