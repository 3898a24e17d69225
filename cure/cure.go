// Package cure says how a bar dries on the rack: how much water it has lost by
// any day, when it counts as dry, and what net weight stays true.
//
// Before there is a bar to weigh, start with Moisture and LossAt, which a plan
// needs. On the rack start with Bar.Prior and Fit, which learns from the
// weighings of marked bars, outvotes a mistyped one and knows its doubt; Learn
// sharpens the prior of like bars. It does not say whether a soap is done: that
// is what testers find. Its model notes are docs/model/cure.md and
// docs/model/netweight.md.
package cure

import (
	"math"

	"barwright/source"
)

// equilibrium is the water a bar with its glycerol keeps in a room of about
// 45 to 60 % relative humidity, by mass of the bar. Fitted to one bar and
// consistent with glycerol's own water and soap hydrates.
var equilibrium = source.Figure{Low: 6, Typical: 8, High: 11, Unit: "%", Source: "own_estimate",
	Locator: "fitted to dunn_2018_cure", Grade: source.Estimated}

// rate is the Lewis constant. Typical takes a bar from 20.1 to 8.9 % water in
// 60 days with the typical equilibrium; the low end fits the same bar with a
// drier equilibrium, the high end the times at which makers' bars stop losing.
var rate = source.Figure{Low: 0.025, Typical: fitRate(0.201, 0.089, 60), High: 0.14, Unit: "1/d", Source: "dunn_2018_cure",
	Locator: "moisture at the start and after 60 days", Grade: source.Estimated}

// fitRate returns the rate [1/d] that takes a bar from one water share to
// another in days, with the typical equilibrium.
func fitRate(from, to, days float64) float64 {
	xe := dryBasis(equilibrium.Typical / 100)
	return math.Log((dryBasis(from)-xe)/(dryBasis(to)-xe)) / days
}

// dryBasis turns water per bar into water per dry matter.
func dryBasis(waterFraction float64) float64 { return waterFraction / (1 - waterFraction) }

// Moisture returns the typical water share [0..1] of a bar after days on the
// rack, from waterFraction [0..1) at the pour; everything dry in it counts as
// soap. A bar poured drier than its equilibrium stays as it is. Days below 0
// count as 0; a water share outside [0, 1) panics. Source: docs/model/cure.md
// eq. 2.
func Moisture(waterFraction, days float64) float64 {
	lost := LossAt(waterFraction, 1-waterFraction, days).Typical
	return (waterFraction - lost) / (1 - lost)
}

// MassLost returns the mass a bar has lost [0..1 of its first mass] when its
// water share has gone from one value to another [0..1) by drying alone.
// Source: docs/model/cure.md eq. 4.
func MassLost(fromWaterFraction, toWaterFraction float64) float64 {
	return 1 - (1-fromWaterFraction)/(1-toWaterFraction)
}

// Loss is a share of the first mass [0..1]: 5 % point, typical, 95 % point.
type Loss struct{ Low, Typical, High float64 }

// LossAt returns the share of its mass a bar has lost after days on the rack.
// waterFraction [0..1) is the water share at the pour; drySoapFraction [0..1]
// is the share of soap, glycerol and free fat, which alone hold the water that
// stays: salt and clay hold none. Never below nothing nor above the water
// there. Days below 0 count as 0. Shares outside their ranges, or more than 1
// together, panic. Source: docs/model/cure.md eq. 1 and 3.
func LossAt(waterFraction, drySoapFraction, days float64) Loss {
	const rounding = 1e-9
	if !(waterFraction >= 0 && waterFraction < 1 && drySoapFraction >= 0 && waterFraction+drySoapFraction <= 1+rounding) || math.IsNaN(days) {
		panic("cure: water and soap are shares of one bar")
	}
	days = max(0, days)
	lost := func(equilibriumPercent, ratePerDay float64) float64 {
		free := waterFraction - drySoapFraction*dryBasis(equilibriumPercent/100)
		return max(0, free) * -math.Expm1(-ratePerDay*days)
	}
	typical := lost(equilibrium.Typical, rate.Typical)
	// A dry room and a quick bar are independent, so their deviations add in
	// quadrature.
	below := math.Hypot(typical-lost(equilibrium.High, rate.Typical), typical-lost(equilibrium.Typical, rate.Low))
	above := math.Hypot(typical-lost(equilibrium.Low, rate.Typical), typical-lost(equilibrium.Typical, rate.High))
	return Loss{Low: max(0, typical-below), Typical: typical, High: min(waterFraction, typical+above)}
}
