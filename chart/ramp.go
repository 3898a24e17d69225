package chart

import (
	"fmt"
	"math"
	"sync"
)

// rampSteps is how many colours the heat ramp has.
const rampSteps = 32

// Ramp returns the colour of a value between 0, coldest, and 1, hottest, as
// "#rrggbb", and its class ("heat-0" to "heat-31"). The colours lie on a path
// from dark slate blue over copper to pale straw, evenly by the distance in
// OKLab, and every one is lighter than the one before: so steps look even and
// a colour-blind reader, or a grey print, loses nothing.
// Source: B. Ottosson's OKLab (2020), recalled; tests measure it.
func Ramp(v float64) (colour, class string) {
	i := int(math.Round(min(1, max(0, v)) * (rampSteps - 1)))
	return ramp()[i], fmt.Sprintf("heat-%d", i)
}

// lab is a colour in OKLab.
type lab struct{ l, a, b float64 }

// along is the path of the ramp: lightness rises, the hue turns from blue
// through red to yellow, colour is fullest in the middle.
func along(s float64) lab {
	hue := (255 + 200*s) * math.Pi / 180
	chroma := 0.07 + 0.075*math.Sin(math.Pi*math.Pow(s, 0.9)) - 0.02*s
	return lab{0.33 + 0.60*s, chroma * math.Cos(hue), chroma * math.Sin(hue)}
}

// ramp walks the path in steps of equal distance.
var ramp = sync.OnceValue(func() []string {
	const fine = 4000
	length := make([]float64, fine+1)
	for i := 1; i <= fine; i++ {
		length[i] = length[i-1] + distance(along(float64(i-1)/fine), along(float64(i)/fine))
	}
	out := make([]string, rampSteps)
	at := 0
	for i := range out {
		for at < fine && length[at] < length[fine]*float64(i)/(rampSteps-1) {
			at++
		}
		out[i] = along(float64(at) / fine).hex()
	}
	return out
})

func distance(x, y lab) float64 { return math.Hypot(x.l-y.l, math.Hypot(x.a-y.a, x.b-y.b)) }

// linear returns the colour's red, green and blue light [0..1].
func (c lab) linear() (rgb [3]float64) {
	l := math.Pow(c.l+0.3963377774*c.a+0.2158037573*c.b, 3)
	m := math.Pow(c.l-0.1055613458*c.a-0.0638541728*c.b, 3)
	s := math.Pow(c.l-0.0894841775*c.a-1.2914855480*c.b, 3)
	return [3]float64{4.0767416621*l - 3.3077115913*m + 0.2309699292*s, -1.2684380046*l + 2.6097574011*m - 0.3413193965*s, -0.0041960863*l - 0.7034186147*m + 1.7076147010*s}
}

func (c lab) hex() string {
	rgb := c.linear()
	var b [3]uint8
	for i, v := range rgb {
		v = min(1, max(0, v))
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		b[i] = uint8(math.Round(255 * v))
	}
	return fmt.Sprintf("#%02x%02x%02x", b[0], b[1], b[2])
}
