package cure

import "math"

// form is a drying law without a parameter of its own shape: the share gone by a
// time, in units of the time by which 63 % has gone.
type form struct {
	whole float64 // 63 % in the law's own unit of time
	raw   func(t float64) float64
	shape float64 // Page's exponent that comes nearest
}

func (f *form) gone(x float64) float64 { return f.raw(x * f.whole) }

// timeOf is when a share [0..1) has gone.
func (f *form) timeOf(share float64) float64 { return root(f.raw, share) / f.whole }

// newForm measures a law that rises from 0 to 1.
func newForm(raw func(t float64) float64) *form {
	f := form{whole: root(raw, -math.Expm1(-1)), raw: raw}
	const early, late = 0.25, 0.75
	hazard := func(share float64) float64 { return math.Log(-math.Log1p(-share)) }
	f.shape = (hazard(late) - hazard(early)) / math.Log(f.timeOf(late)/f.timeOf(early))
	return &f
}

// root is where a rising function meets a share, to a millionth.
func root(rising func(float64) float64, share float64) float64 {
	low, high := 0.0, 1.0
	for rising(high) < share && high < 1e12 {
		low, high = high, 2*high
	}
	for high-low > 1e-6*high {
		if mid := (low + high) / 2; rising(mid) < share {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// brick is Fick's law for a bar: diffusion alone, through all its faces.
func brick(sidesMM [3]float64) *form {
	thin := min(sidesMM[0], sidesMM[1], sidesMM[2]) / 2000
	return newForm(func(t float64) float64 { return 1 - bricked(sidesMM, thin*thin, t) })
}

// The two-term law, a skin that dries soon and a core that dries slowly, with
// shares of the skin and how many times as slow the core is that span what foods
// and soaps show. Common in drying at large; the figures are own estimates.
var twoTerms = []*form{twoTerm(0.25, 4), twoTerm(0.25, 9), twoTerm(0.45, 4), twoTerm(0.45, 9)}

func twoTerm(skin, slower float64) *form {
	return newForm(func(t float64) float64 { return skin*-math.Expm1(-t) + (1-skin)*-math.Expm1(-t/slower) })
}

// How much is believed of each form before any bar is weighed: of Page's with
// all its exponents, of Fick's, and of each two-term law.
var formBelief = struct{ page, fick, twoTerm float64 }{0.4, 0.2, 0.1}
