package window

import (
	"math"

	"barwright/source"
)

// The batter that the offsets speak of, a mixed blend under a blender.
const (
	usualLandingC    = 38
	usualLye         = 0.33
	usualLauric      = 0.25
	usualUnsaturated = 0.50

	fastestLye   = 0.325 // middle of the 30 to 35 % where makers find it fastest
	lyeStep      = 0.075 // from there to 40 % or 25 %
	waxSaturates = 0.02  // share of wax that gives 63 % of its whole effect
)

// belief is a coefficient as believed: mean and standard deviation.
type belief struct{ mean, sd float64 }

// term is one addend of ln minutes: z of the conditions times a coefficient,
// one for the time to trace and one for the span from there to unpourable.
type term struct {
	name        string
	z           func(Conditions) float64
	trace, span belief
	source      string
	grade       source.Grade
	why         string
}

// terms is the whole prior; docs/model/window.md eq. 1. The first is the
// maker's own offset. No series of times against conditions was ever
// published, so the spans lean on the times to trace: all of them are
// estimates, and a grade here speaks of the trace alone.
var terms = []term{
	{"maker", func(Conditions) float64 { return 1 },
		belief{math.Log(5), 0.75}, belief{math.Log(12), 0.70}, "makers_practice", source.Practice,
		"blender and mixed oils at 30 to 45 °C: about 5 minutes, 1 to 20 among makers; then a quarter of an hour"},
	{"heat [kJ/mol]", heat,
		belief{87, 8}, belief{75, 12}, "dunn_2018_cure", source.Estimated,
		"factor 2.5 to 3.5 per 10 K; 95 (64 to 124) from titrations at 50 and 70 °C, less for the stirring that does not quicken"},
	{"lauric", func(c Conditions) float64 { return c.Lauric - usualLauric },
		belief{-0.6, 0.6}, belief{-0.8, 0.6}, "makers_practice", source.Practice,
		"lauric fats trace fast; yet coconut under a paddle took hours (Thomssen 1922), so not by much"},
	{"unsaturated", func(c Conditions) float64 { return c.Unsaturated - usualUnsaturated },
		belief{1.5, 0.8}, belief{1.0, 0.7}, "makers_practice", source.Practice,
		"olive and high-oleic blends are slow, about twice the time; saturated fats fast"},
	{"ricinoleic", func(c Conditions) float64 { return c.Ricinoleic },
		belief{-1.5, 1.0}, belief{-1.0, 1.0}, "makers_practice", source.Practice,
		"castor is fast at a high share; a few per cent do nothing one sees"},
	{"free acid", func(c Conditions) float64 { return c.FreeAcid },
		belief{-9, 1.5}, belief{-7, 2}, "simmons_appleton_1908", source.Estimated,
		"acids react at once: the source says so without times; 10 % halve it or more, 28 % leave tens of seconds (practice)"},
	{"wax", func(c Conditions) float64 { return 1 - math.Exp(-c.HardWax/waxSaturates) },
		belief{-1.4, 0.5}, belief{-1.2, 0.5}, "makers_practice", source.Practice,
		"with a few per cent of wax under about 2 minutes; more wax does not go on shortening it in proportion"},
	{"below clear", func(c Conditions) float64 { return on(c.BelowClear) },
		belief{-1.0, 0.6}, belief{-1.0, 0.6}, "makers_practice", source.Practice,
		"wax that freezes thickens without reaction: a false trace"},
	{"lye, tilt", func(c Conditions) float64 { return (c.LyeStrength - fastestLye) / lyeStep },
		belief{0, 0.4}, belief{0, 0.3}, "makers_practice", source.Estimated,
		"one school says less water is faster, a comparison side by side says slower: sign unknown"},
	{"lye, off the best", func(c Conditions) float64 { z := (c.LyeStrength - fastestLye) / lyeStep; return z * z },
		belief{0.4, 0.3}, belief{0.2, 0.3}, "makers_practice", source.Practice,
		"fastest near 30 to 35 %, slower thickening reported above about 40 %"},
	{"hurrying scent", func(c Conditions) float64 { return on(c.Hurrying) },
		belief{-0.7, 0.5}, belief{-1.0, 0.5}, "makers_practice", source.Practice,
		"clove, cinnamon and many florals shorten it; no kinetics published"},
	{"honey", func(c Conditions) float64 { return on(c.Honey) },
		belief{-0.3, 0.25}, belief{-0.3, 0.25}, "makers_practice", source.Practice,
		"sugars heat the batter"},
	{"paddle", func(c Conditions) float64 { return on(c.Paddle) },
		belief{math.Log(30), 0.4}, belief{1.0, 0.6}, "thomssen_1922", source.Practice,
		"2 to 3 hours under a paddle (published) against 5 minutes under a blender (practice): the droplets have 10 to 100 times the area"},
}

// Noise within one maker [ln min] that nothing above explains: the eye that
// calls trace, the bursts of a blender. own_estimate.
const (
	traceNoise = 0.35
	spanNoise  = 0.40
)

// offsetsAgree is the correlation of a maker's two offsets: who calls trace
// early pours sooner too. own_estimate.
const offsetsAgree = 0.5

// heat returns (1/T − 1/T of the usual landing)/R [mol/kJ], so that its
// coefficient is an activation energy.
func heat(c Conditions) float64 {
	const zeroC, gasConstantKJ = 273.15, 8.314462618e-3
	return (1/(c.LandingC+zeroC) - 1/(usualLandingC+zeroC)) / gasConstantKJ
}

func on(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
