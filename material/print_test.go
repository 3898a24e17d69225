package material_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"barwright/material"
)

// Every built-in material prints as a file that reads back as the same
// material; so does a lot, with the figures it took from its material.
func TestPrintReadsBack(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	lot, err := material.Parse("lot", []byte("id = 'hno_a'\nof = 'honey'\nname = 'Honey, lot HNO-A'\n[water]\nlow = 0\ntypical = 17.8\nhigh = 18\nunit = '%'\nsource = 'certificate'\ngrade = 'measured'\n"), lib)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, id := range append(lib.IDs(), lot.ID) {
		m, err := lib.Plus(lot).Find(id)
		if err != nil {
			t.Fatal(err)
		}
		base := lib
		if m.Of == "" {
			base = nil
		}
		back, err := material.Parse(id, m.Print(), base)
		if err != nil {
			t.Errorf("%s: %v in\n%s", id, err, m.Print())
			continue
		}
		if d := cmp.Diff(m, back); d != "" {
			t.Errorf("%s: %s", id, d)
		}
		n++
	}
	if n < 100 {
		t.Errorf("%d materials", n)
	}
}
