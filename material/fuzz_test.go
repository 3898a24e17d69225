package material

import (
	"errors"
	"io/fs"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"barwright/internal/tomldoc"
)

// Whatever the bytes: no panic, and either one clear error or a material that
// can be calculated with.
func FuzzParse(f *testing.F) {
	if seeds, err := filepath.Glob("testdata/fuzz/FuzzParse/*"); err != nil || len(seeds) == 0 {
		f.Fatal("no seeds in the repository")
	}
	names, err := fs.Glob(builtinFiles, "data/*.toml")
	if err != nil || len(names) == 0 {
		f.Fatalf("%d built-in files, %v", len(names), err)
	}
	for i := 0; i < len(names); i += 10 {
		data, err := fs.ReadFile(builtinFiles, names[i])
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, text := range []string{fatFile, lotFile, fatFile + crystalBlock, "id = 'x'\nof = 'honey'\n" + waterBlock} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := Parse("f.toml", data, Builtin())
		if err != nil {
			var e *tomldoc.Error
			if !errors.As(err, &e) || e.Text == "" || e.Advice == "" || len([]rune(e.Text)) > 301 || strings.ContainsFunc(e.Text+e.Advice, unicode.IsControl) {
				t.Fatalf("%q: %#v", data, err)
			}
			return
		}
		if m.ID == "" || m.Name == "" || strings.ContainsFunc(m.ID+m.Name, unicode.IsControl) {
			t.Fatalf("%q: id %q, name %q", data, m.ID, m.Name)
		}
		for _, figure := range m.Figures() {
			for _, v := range []float64{figure.Low, figure.Typical, figure.High, figure.AtC} {
				if math.IsNaN(v) || math.Abs(v) > 3000 {
					t.Fatalf("%q: %s is %+v", data, figure.Name, figure.Figure)
				}
			}
			if err := figure.Check(); err != nil {
				t.Fatalf("%q: %s: %v", data, figure.Name, err)
			}
		}
		if m.Kind.IsFat() && (!m.Sap.Known() || !m.Density.Known() || !m.Profile.Known()) || m.Kind == Alkali && !m.MolarMass.Known() {
			t.Fatalf("%q: a %s without what every one needs", data, m.Kind)
		}
		if c := m.Crystal; c.Known() && (c.MolarMass < 100 || c.HeatJ > 1000) {
			t.Fatalf("%q: %+v", data, c)
		}
		moles := 0.0
		for _, a := range Acids {
			moles += m.Profile.Percent(a.ID) / a.M()
		}
		if m.Profile.Known() && !(moles > 0 && moles < 2) {
			t.Fatalf("%q: %g mol of acids in 100 g", data, moles)
		}
	})
}
