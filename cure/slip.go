package cure

import (
	"slices"
	"strconv"
	"strings"
)

// gramsPerOunce is exact, by the international pound.
const gramsPerOunce = 28.349523125

// Slips returns what was perhaps meant by a typed weight [g] that is not what
// was expected: neighbouring digits swapped, the point one or two places off,
// ounces for grams. Only what lies in the expected range is offered, the
// nearest to its middle first; none when the weight itself does.
func Slips(typedG float64, expected Range) (meant []float64) {
	in := func(g float64) bool { return expected.Low <= g && g <= expected.High }
	if in(typedG) {
		return nil
	}
	for _, g := range append(swaps(typedG), typedG*10, typedG/10, typedG*100, typedG/100, typedG*gramsPerOunce) {
		if in(g) && !slices.Contains(meant, g) {
			meant = append(meant, g)
		}
	}
	slices.SortFunc(meant, func(a, b float64) int {
		return int((max(a, expected.Middle) - min(a, expected.Middle) - max(b, expected.Middle) + min(b, expected.Middle)) * 1e6)
	})
	return meant
}

// swaps are a number with two neighbouring digits swapped, the point staying
// where it is.
func swaps(g float64) (out []float64) {
	text := strconv.FormatFloat(g, 'f', -1, 64)
	point := strings.IndexByte(text, '.')
	digits := []byte(strings.Replace(text, ".", "", 1))
	for i := 1; i < len(digits); i++ {
		d := slices.Clone(digits)
		d[i-1], d[i] = d[i], d[i-1]
		swapped := string(d)
		if point >= 0 {
			swapped = swapped[:point] + "." + swapped[point:]
		}
		if v, err := strconv.ParseFloat(swapped, 64); err == nil {
			out = append(out, v)
		}
	}
	return out
}

// Plausible widens what is expected of a weighing to what nobody need be asked
// about: a weighing's scatter, and four times its doubt.
func (d *Drying) Plausible(bar int, day float64) Range {
	r := d.weighed(bar, day)
	return Range{r.Middle - 4*(r.Middle-r.Low), r.Middle, r.Middle + 4*(r.High-r.Middle)}
}
