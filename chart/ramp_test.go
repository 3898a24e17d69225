package chart

import (
	"math"
	"strconv"
	"testing"
)

// light returns red, green and blue light of "#rrggbb".
func light(t *testing.T, hex string) (rgb [3]float64) {
	t.Helper()
	for i := range rgb {
		v, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		s := float64(v) / 255
		if s <= 0.04045 {
			rgb[i] = s / 12.92
		} else {
			rgb[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return rgb
}

// oklab is the way back from light, written apart from the way there.
func oklab(rgb [3]float64) lab {
	l := math.Cbrt(0.4122214708*rgb[0] + 0.5363325363*rgb[1] + 0.0514459929*rgb[2])
	m := math.Cbrt(0.2119034982*rgb[0] + 0.6806995451*rgb[1] + 0.1073969566*rgb[2])
	s := math.Cbrt(0.0883024619*rgb[0] + 0.2817188376*rgb[1] + 0.6299787005*rgb[2])
	return lab{0.2104542553*l + 0.7936177850*m - 0.0040720468*s, 1.9779984951*l - 2.4285922050*m + 0.4505937099*s, 0.0259040371*l + 0.7827717662*m - 0.8086757660*s}
}

// How light looks to those without red or without green cones. Source: F.
// Viénot, H. Brettel and J. Mollon, Color Res. Appl. 24 (1999) 243, recalled.
var blind = map[string][3][3]float64{
	"every eye":    {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}},
	"deuteranopia": {{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}},
}

// The steps of the ramp look alike, within what 8 bits a colour can show, and
// get lighter one by one for every eye.
func TestRampIsEvenAndSafe(t *testing.T) {
	t.Parallel()
	for eye, matrix := range blind {
		var least, most, leastLighter = math.Inf(1), 0.0, math.Inf(1)
		var last lab
		for i := range rampSteps {
			hex, _ := Ramp(float64(i) / (rampSteps - 1))
			rgb, seen := light(t, hex), [3]float64{}
			for j, row := range matrix {
				seen[j] = max(0, row[0]*rgb[0]+row[1]*rgb[1]+row[2]*rgb[2])
			}
			now := oklab(seen)
			if i > 0 {
				d := distance(last, now)
				least, most = min(least, d), max(most, d)
				leastLighter = min(leastLighter, now.l-last.l)
			}
			last = now
		}
		t.Logf("%s: steps of %.4f to %.4f, each at least %.4f lighter", eye, least, most, leastLighter)
		if leastLighter <= 0.005 {
			t.Errorf("%s: a step that is not lighter: %.4f", eye, leastLighter)
		}
		if eye == "every eye" && most/least > 1.25 {
			t.Errorf("steps of %.4f to %.4f do not look alike", least, most)
		}
	}
}
