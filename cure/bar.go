package cure

import (
	"fmt"
	"math"

	"barwright/quantity"
	"barwright/source"
)

// Bar is what is known of a bar before it is weighed. What is nil is not known
// and widens nothing silently: the usual figure stands in, with its full doubt.
type Bar struct {
	WaterFraction   float64     // at the pour [0..1)
	DrySoapFraction float64     // soap, glycerol and free fat [0..1]
	SidesMM         *[3]float64 // thickness, width, length at the cut
	RHPct           *float64    // of the rack's air
	TC              *float64    // of the rack's air [°C]
}

// Belief is a normal distribution of one figure.
type Belief struct{ Mean, SD float64 }

// Prior is what is believed of a bar's drying: equation 5 of docs/model/cure.md.
type Prior struct {
	Loss  Belief // what leaves for good, share of the mass at the cut
	LnTau Belief // logarithm of the time constant [d]
	Shape Belief // exponent of time: 1 is Lewis, below it is diffusion
}

// The usual bar, for which the time constant below holds.
var usualMM = [3]float64{25, 55, 80}

const (
	usualRHPct = 52.0
	usualTC    = 20.0
)

// Figures of the prior.
var (
	// tau is the time constant of the usual bar. A brick of 25 by 55 by 80 mm
	// loses 63 % of its loose water in 7.5 days by Fick with 4e-11 m²/s (3.7 to
	// 20 days with 8 to 1.5e-11); the one bar measured for 60 days takes 22;
	// makers' reports of stable weight lie between.
	tau = source.Figure{Low: 5, Typical: 12, High: 29, Unit: "d", Source: "own_estimate",
		Locator: "between Fick's brick and dunn_2018_cure", Grade: source.Estimated}
	shape = source.Figure{Low: 0.6, Typical: 0.8, High: 1, Unit: "1", Source: "own_estimate",
		Locator: "exponents of drying laws under diffusion", Grade: source.Estimated}
	perRH = source.Figure{Low: 0.05, Typical: 0.1, High: 0.15, Unit: "point per % of humidity", Source: "own_estimate",
		Locator: "water at rest between 40 and 70 % humidity", Grade: source.Estimated}
	perK = source.Figure{Low: 0.02, Typical: 0.025, High: 0.03, Unit: "1/K", Source: "handbooks_recalled",
		Locator: "diffusion of water against temperature", Grade: source.Memory}
	creep = source.Figure{Low: 0.001, Typical: 0.003, High: 0.005, Unit: "of the mass a year", Source: "makers_practice",
		Locator: "what bars go on losing after the first months", Grade: source.Practice}
)

// lossSD is the doubt of what leaves beside that of the water at rest: water
// lost in the mould, and air the hygrometer does not see.
const lossSD = 0.008

// z90 is half the width of a 90 % interval in standard deviations.
const z90 = 1.6448536269514722

func sd(f source.Figure) float64 { return (f.High - f.Low) / (2 * z90) }

// Check returns what is wrong with the bar.
func (b Bar) Check() error {
	const rounding = 1e-9
	if !(b.WaterFraction >= 0 && b.WaterFraction < 1 && b.DrySoapFraction >= 0 && b.WaterFraction+b.DrySoapFraction <= 1+rounding) {
		return wrong("shares of one bar are between 0 and 1, and 1 together at most", "water %.3g and soap %.3g", b.WaterFraction, b.DrySoapFraction)
	}
	if b.SidesMM != nil {
		for _, s := range b.SidesMM {
			if !(s >= 2 && s <= 500) {
				return wrong("give thickness, width and length in mm", "a side of %.4g mm", s)
			}
		}
	}
	if b.RHPct != nil && !(*b.RHPct >= 5 && *b.RHPct <= 95) {
		return wrong("5 to 95 %: is the hygrometer alive?", "humidity %.4g %%", *b.RHPct)
	}
	if b.TC != nil && !(*b.TC >= -5 && *b.TC <= 50) {
		return wrong("-5 to 50 °C", "a rack at %.4g °C", *b.TC)
	}
	return nil
}

func wrong(advice, format string, args ...any) error {
	return &quantity.Error{Text: fmt.Sprintf(format, args...), Advice: advice}
}

// Prior returns what is believed of the bar's drying before it is weighed. A
// bar that fails its Check panics.
func (b Bar) Prior() Prior {
	if err := b.Check(); err != nil {
		panic("cure: " + err.Error())
	}
	restPct, restSD := b.rest()
	at := func(pct float64) float64 {
		return max(0, b.WaterFraction-b.DrySoapFraction*dryBasis(pct/100))
	}
	spread := (at(restPct-restSD) - at(restPct+restSD)) / 2
	return Prior{
		Loss:  Belief{at(restPct), math.Hypot(max(spread, 0), lossSD)},
		LnTau: Belief{math.Log(tau.Typical * b.slowness()), math.Log(tau.High/tau.Low) / (2 * z90)},
		Shape: Belief{shape.Typical, sd(shape)},
	}
}

// rest is the water at rest in the rack's air [% of the bar].
func (b Bar) rest() (pct, spread float64) {
	pct, spread = equilibrium.Typical, sd(equilibrium)
	if b.RHPct != nil {
		away := *b.RHPct - usualRHPct
		pct += perRH.Typical * away
		spread = math.Hypot(spread, sd(perRH)*away)
	}
	return max(pct, 1), spread
}

// slowness is how many times as long as the usual bar this one takes: diffusion
// through three pairs of faces at the rack's temperature.
func (b Bar) slowness() float64 {
	slow := 1.0
	if b.SidesMM != nil {
		slow = ways(usualMM) / ways(*b.SidesMM)
	}
	if b.TC != nil {
		slow /= math.Pow(1+perK.Typical, *b.TC-usualTC)
	}
	return slow
}

func ways(sidesMM [3]float64) (sum float64) {
	for _, s := range sidesMM {
		sum += 1 / (s * s)
	}
	return sum
}
