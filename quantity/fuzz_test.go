package quantity

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// untidy says what keeps an error from being shown to people.
func untidy(err error) string {
	e, ok := err.(*Error)
	switch {
	case !ok:
		return fmt.Sprintf("%T is not an *Error", err)
	case !utf8.ValidString(e.Text) || strings.ContainsFunc(e.Text+e.Advice, unicode.IsControl):
		return fmt.Sprintf("%q is not one line of text", e.Text)
	case len(e.Text) > 600 || e.Text == "":
		return fmt.Sprintf("the error has %d letters", len(e.Text))
	case e.Advice == "":
		return fmt.Sprintf("%q has no hint", e.Text)
	}
	return ""
}

// fuzz checks the laws of every parser: no panic; an error that can be shown;
// what was read prints as something that reads back the same; and values that
// can be calculated with.
func fuzz[T fmt.Stringer](f *testing.F, parse func(string) (T, error), values func(T) []float64, seeds ...string) {
	for _, s := range append(seeds, "", "5", "NaN", "--5 g", "1,040 g", "1/0 %", "9999999/0 g", "5 5 %", "\xff\xfe", "-", "½", " ", "x", "0x1p4 g") {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := parse(text)
		if err != nil {
			if problem := untidy(err); problem != "" {
				t.Fatalf("%q: %s", text, problem)
			}
			return
		}
		again, err := parse(q.String())
		if err != nil || !reflect.DeepEqual(q, again) {
			t.Fatalf("%q reads as %q, that as %q, %v", text, q, again, err)
		}
		for _, v := range values(q) {
			if math.IsNaN(v) || math.Abs(v) > 1e10 || v != 0 && math.Abs(v) < 1e-10 {
				t.Fatalf("%q has the value %g", text, v)
			}
		}
	})
}

// positive fails the fuzz laws for zero and below.
func positive(v float64) []float64 {
	if v <= 0 {
		return []float64{math.NaN()}
	}
	return []float64{v}
}

func FuzzParseMass(f *testing.F) {
	fuzz(f, ParseMass, func(m Mass) []float64 { return positive(m.G()) }, "880 g", "0,5 kg", "2 1/2 oz", "1 lb", "-3 g")
}

func FuzzParseVolume(f *testing.F) {
	fuzz(f, ParseVolume, func(v Volume) []float64 { return positive(v.ML()) }, "15 ml", "1 tbsp us", "1 cup", "2 fl. oz. uk")
}

func FuzzParseTemperature(f *testing.F) {
	fuzz(f, ParseTemperature, func(q Temperature) []float64 { return positive(q.C() + 50.0001) }, "40 °C", "110 °F", "\u221240 °F", "40")
}

func FuzzParseShare(f *testing.F) {
	fuzz(f, ParseShare, func(s Share) []float64 { return positive(s.Percent + MinValue) }, "5 %", "98,5 %", "5 per cent", "5 %%")
}

func FuzzParseShareRange(f *testing.F) {
	fuzz(f, ParseShareRange, func(r ShareRange) []float64 { return positive(r.High.Percent - r.Low.Percent + MinValue) }, "98 % to 99.5 %", "98 to 99 %", "99 % to 98 %")
}

func FuzzParseLength(f *testing.F) {
	fuzz(f, ParseLength, func(l Length) []float64 { return positive(l.MM()) }, "12 mm", `3 "`, "0 cm")
}

func FuzzParseSides(f *testing.F) {
	fuzz(f, ParseSides, func(s Sides) []float64 {
		out := []float64{float64(s.Count() - 1)}
		for i := range s.Count() {
			out = append(out, positive(s.MM(i))...)
		}
		return out
	}, "250 x 90 x 65 mm", "68 mm x 253 mm", "3 1/2×10 in", "1 x", "xx")
}

func FuzzParseDuration(f *testing.F) {
	fuzz(f, ParseDuration, func(d Duration) []float64 { return positive(d.Seconds() / 86400) }, "24 h", "90 min", "0 s")
}

func FuzzParseAmount(f *testing.F) {
	fuzz(f, ParseAmount, func(a Amount) []float64 {
		switch {
		case a.Share != nil && a.Mass == nil && a.Volume == nil:
			return positive(a.Share.Percent + MinValue)
		case a.Mass != nil && a.Share == nil && a.Volume == nil:
			return positive(a.Mass.G())
		case a.Volume != nil && a.Share == nil && a.Mass == nil:
			return positive(a.Volume.ML())
		}
		return []float64{math.NaN()}
	}, "1.5 %", "20 g", "1 tbsp us", "1 tsp", "2 spoons")
}

func FuzzParseBars(f *testing.F) {
	fuzz(f, ParseBars, func(b Bars) []float64 { return append(positive(float64(b.Count)), positive(b.Each.G())...) }, "11 x 100 g", "1×2 oz", "0 x 1 g")
}

func FuzzParseStuff(f *testing.F) {
	fuzz(f, ParseStuff, func(s Stuff) []float64 {
		out := positive(float64(len(s.Name)))
		if s.Mass != nil {
			out = append(out, positive(s.Mass.G())...)
		}
		if s.Thickness != nil {
			out = append(out, positive(s.Thickness.MM())...)
		}
		return out
	}, "none", "softwood 12 mm", "steel 1.2 kg", "none 1 kg", "corrugated card -4 mm")
}

func FuzzParseBarLimit(f *testing.F) {
	fuzz(f, ParseBarLimit, func(l BarLimit) []float64 { return []float64{l.Share.Fraction()} }, "0.7 % of bar", "101 % of bar", "0.7 %", "of bar")
}

func FuzzParsePrice(f *testing.F) {
	fuzz(f, ParsePrice, func(p Price) []float64 { return positive(p.Amount + MinValue) }, "5.10 / kg", "€4,20 per kg", "3.20 for 500 g", "0.08 each", "3 / l", "$4 / kg", "4,20")
}

// Every fuzz target here has seeds in the repository.
func TestSeeds(t *testing.T) {
	t.Parallel()
	code, err := os.ReadFile("fuzz_test.go")
	if err != nil {
		t.Fatal(err)
	}
	targets := 0
	for line := range strings.Lines(string(code)) {
		rest, ok := strings.CutPrefix(line, "func Fuzz")
		if !ok {
			continue
		}
		targets++
		name, _, _ := strings.Cut(rest, "(")
		seeds, err := os.ReadDir(filepath.Join("testdata", "fuzz", "Fuzz"+name))
		if err != nil || len(seeds) == 0 {
			t.Errorf("no seeds of Fuzz%s: %v", name, err)
		}
	}
	if targets != 13 {
		t.Errorf("%d fuzz targets, want 13", targets)
	}
}
