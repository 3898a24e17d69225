package makeup

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"barwright/material"
	"pgregory.net/rapid"
)

// fatByID returns a built-in material.
func fatByID(t interface{ Fatal(...any) }, id string) material.Material {
	m, err := material.Builtin().Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// blend makes a blend of 100 g from ids and percentages.
func blend(t interface{ Fatal(...any) }, shares map[string]float64) Fats {
	var f Fats
	for id, percent := range shares {
		f = append(f, Fat{fatByID(t, id), percent})
	}
	return f
}

// published reads a table, one map a row. An empty table fails the test.
func published(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, cell := range row {
			cells[rows[0][i]] = cell
		}
		out = append(out, cells)
	}
	return out
}

func number(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return v
}

func near(t *testing.T, name string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.4f, want %g ± %g", name, got, want, tol)
	}
}

// fatIDs lists every built-in fat, wax and free acid.
func fatIDs(t interface{ Fatal(...any) }) []string {
	var ids []string
	for _, id := range material.Builtin().IDs() {
		if fatByID(t, id).Kind.IsFat() {
			ids = append(ids, id)
		}
	}
	return ids
}

// anyBlend draws one to five built-in fats with masses.
func anyBlend(t *rapid.T, name string) Fats {
	ids := fatIDs(t)
	return rapid.Custom(func(t *rapid.T) Fats {
		var f Fats
		for range rapid.IntRange(1, 5).Draw(t, "fats") {
			f = append(f, Fat{fatByID(t, rapid.SampledFrom(ids).Draw(t, "fat")), rapid.Float64Range(0.1, 5000).Draw(t, "grams")})
		}
		return f
	}).Draw(t, name)
}

// scaled returns the blend at another mass.
func (f Fats) scaled(by float64) Fats {
	out := append(Fats{}, f...)
	for i := range out {
		out[i].MassG *= by
	}
	return out
}

// Every value of a blend of two blends is the mean of theirs by mass, so a
// goal file may treat it as linear in the shares.
func TestBlendsAreLinear(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyBlend(t, "a"), anyBlend(t, "b")
		share := a.MassG() / (a.MassG() + b.MassG())
		both := append(append(Fats{}, a...), b...)
		values := map[string]func(Fats) float64{
			"unsaponified": Fats.UnsaponifiedPercent, "iodine": Fats.IodineValue, "Cox": Fats.Cox, "sap": Fats.SapTypical,
		}
		for _, g := range material.Groups {
			values[string(g)] = func(f Fats) float64 { return f.Groups()[g] }
		}
		for name, of := range values {
			got, want := of(both), share*of(a)+(1-share)*of(b)
			if math.Abs(got-want) > 1e-9*(1+want) {
				t.Fatalf("%s: %g, want %g", name, got, want)
			}
			if bigger := of(both.scaled(3)); math.Abs(bigger-got) > 1e-9*(1+got) {
				t.Fatalf("%s: %g at three times the size, %g before", name, bigger, got)
			}
		}
	})
}

// Groups and unsaponified wax come to what the profiles come to: 97 to 101.5
// per cent of the acid part, and the rest of the wax.
func TestGroupsCloseAsTheProfilesDo(t *testing.T) {
	t.Parallel()
	for _, id := range fatIDs(t) {
		m := fatByID(t, id)
		profile := 0.0
		for _, v := range m.Profile.Acids {
			profile += v
		}
		f := Fats{{m, 250}}
		sum := f.UnsaponifiedPercent()
		for _, v := range f.Groups() {
			sum += v
		}
		wax := f.UnsaponifiedPercent()
		near(t, id, sum, wax+profile*(1-wax/100), 1e-9)
		if (m.Kind == material.Wax) != (wax > 0) {
			t.Errorf("%s: %.1f %% unsaponified", id, wax)
		}
	}
}

// Beeswax by hand: 46 % of it is acids, of which 52 % palmitic and 12 % C24.
func TestGroupsOfWaxByHand(t *testing.T) {
	t.Parallel()
	f := blend(t, map[string]float64{"beeswax": 100})
	near(t, "unsaponified", f.UnsaponifiedPercent(), 54, 1e-9)
	near(t, "C16 and C18", f.Groups()[material.C16C18], 0.46*(52+2), 1e-9)
	near(t, "C20 to C24", f.Groups()[material.C20C24], 0.46*(1+1+12), 1e-9)
	near(t, "other", f.Groups()[material.OtherFat], 0.46*23.5, 1e-9)
}

func TestNothingHasNoMakeUp(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]Fats{"no fats": {}, "no mass": {{fatByID(t, "olive"), 0}}, "less than no mass": {{fatByID(t, "olive"), -1}}, "no number": {{fatByID(t, "olive"), math.NaN()}}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			f.IodineValue()
		}()
	}
}
