package quantity

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// base parses a quantity of a kind and returns it in the base unit.
func base(t *testing.T, kind, text string) float64 {
	t.Helper()
	var v float64
	var err error
	switch kind {
	case "mass":
		var q Mass
		q, err = ParseMass(text)
		v = q.G()
	case "volume":
		var q Volume
		q, err = ParseVolume(text)
		v = q.ML()
	case "length":
		var q Length
		q, err = ParseLength(text)
		v = q.MM()
	case "temperature":
		var q Temperature
		q, err = ParseTemperature(text)
		v = q.C()
	case "time":
		var q Duration
		q, err = ParseDuration(text)
		v = q.Seconds()
	default:
		t.Fatalf("no kind %q", kind)
	}
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The tables print rounded figures: a conversion may miss by half a unit of
// the last digit printed, and by the rounding of float64.
func TestPublishedUnits(t *testing.T) {
	t.Parallel()
	f, err := os.Open(filepath.Join("testdata", "published", "units.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, row := range rows[1:] {
		want, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		half := 0.0
		if _, decimals, ok := strings.Cut(row[2], "."); ok && !strings.Contains(row[3], "exact") {
			half = 0.5 * math.Pow10(-len(decimals))
		}
		if got := base(t, row[0], row[1]); math.Abs(got-want) > half+1e-12*math.Abs(want) {
			t.Errorf("%s is %.10g, %s has %s", row[1], got, row[3], row[2])
		}
		if number, unit, ok := strings.Cut(row[1], " "); ok && number != "" {
			seen[unit] = true
		}
	}
	for _, units := range [][]unit{massUnits, volumeUnits, lengthUnits} {
		for _, u := range units {
			if !seen[u.name] && u.size != 1 {
				t.Errorf("no published size of %s", u.name)
			}
		}
	}
}

func TestTypedOut(t *testing.T) {
	t.Parallel()
	if got := (Share{5}).Fraction(); got != 0.05 {
		t.Errorf("5 %% is %g", got)
	}
	if got := Grams(880).String(); got != "880 g" {
		t.Errorf("880 g prints %q", got)
	}
	if got := Celsius(-4.5).String(); got != "-4.5 °C" {
		t.Errorf("-4.5 °C prints %q", got)
	}
	sides, err := ParseSides("10 x 4 in")
	if err != nil || sides.Count() != 2 || sides.MM(0) != 254 || math.Abs(sides.MM(1)-101.6) > 1e-12 || sides.MM(2) != 0 {
		t.Errorf("10 x 4 in: %v, %v", sides, err)
	}
}
