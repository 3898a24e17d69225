package heat

import (
	"math"

	"barwright/source"
)

// The figures of the model. A range is read as the narrower the better its
// grade: see deviation. docs/model/heat.md says why each.
var (
	// Two sets of rates are known, and they disagree threefold: one meets a
	// titration at 50 °C, the other makers' loaves. These are their geometric
	// means. The span of the factor reaches both.
	RateFactor = estimate(0.32, 1, 3.16, "", "dunn_2018_cure", "Between the rates that meet the titration at 50 °C and those that meet makers' loaves.")
	K1         = estimate(1.39e-5, 2.0e-5, 2.88e-5, "1/s at 50 °C", "dunn_2018_cure", "Geometric mean of 0.05 and 0.104 per hour.")
	K2         = estimate(1.11e-4, 2.53e-4, 5.77e-4, "1/s at 50 °C", "dunn_2018_cure", "Geometric mean of 0.40 and 2.08 per hour.")
	Activation = estimate(55, 65, 75, "kJ/mol", "dunn_2018_cure", "55 meets loaves, 75 the titrations at 50, 60 and 70 °C.")
	Order      = estimate(0.6, 0.75, 1, "of what is left", "dunn_2018_cure", "0.6 ends in a straight line as titrated, 1 is the usual law.")
	GelFactor  = estimate(1.5, 3, 7, "", "own_estimate", "Soap is one phase above the gel line; a guess until batches are logged.")
	AtPour     = estimate(0.01, 0.03, 0.09, "converted", "own_estimate", "At thin trace.")

	ReactionHeat = source.Figure{Low: 48, Typical: 54, High: 60, Unit: "kJ/mol", AtC: 25, Source: "neutralisation_heat", Grade: source.Estimated,
		Note: "Per mole of alkali in dilute lye; what the strength of the lye adds comes on top. No calorimetry of a fat was found."}
	SugarHeat = source.Figure{Low: 0, Typical: 0.29, High: 0.58, Unit: "kJ/g", AtC: 25, Source: "hess_sugar", Grade: source.Memory,
		Note: "Beyond what the same alkali would have given with fat; 0.58 is full breakdown to lactate (1.24 in all). Read as anything between."}
	BoilingC = estimate(100, 102, 106, "°C", "own_estimate", "Batter keeps at 100 to 106 °C while water goes.")
	Latent   = source.Figure{Low: 2250, Typical: 2257, High: 2260, Unit: "kJ/kg", AtC: 100, Source: "handbooks_recalled", Grade: source.Memory}

	FatConductivity = source.Figure{Low: 0.161, Typical: 0.170, High: 0.179, Unit: "W/(m K)", AtC: 20, Source: "handbooks_recalled", Grade: source.Memory}
	LyeConductivity = source.Figure{Low: 0.55, Typical: 0.60, High: 0.65, Unit: "W/(m K)", AtC: 30, Source: "handbooks_recalled", Grade: source.Memory}

	GelSpread  = source.Figure{Low: -5, Typical: 0, High: 5, Unit: "K", Source: "dunn_2018_temperature", Grade: source.Estimated, Note: "Other fats than the one blend measured."}
	LossFactor = estimate(0.72, 1, 1.39, "", "own_estimate", "Draughts, the table under it, gaps in a cover.")
	HeldFactor = estimate(0.94, 1, 1.06, "", "own_estimate", "Heat capacity of the batter.")
	ThroughFac = estimate(0.92, 1, 1.08, "", "own_estimate", "Conductivity between the Maxwell bounds and beyond.")
	PourK      = estimate(-1.5, 0, 1.5, "K", "own_estimate", "A thermometer in the pot, and what pouring costs.")
	PlaceK     = estimate(-1.5, 0, 1.5, "K", "own_estimate", "A room through a night.")
)

func estimate(low, typical, high float64, unit, key, note string) source.Figure {
	if unit == "" {
		unit = "times"
	}
	return source.Figure{Low: low, Typical: typical, High: high, Unit: unit, Source: key, Grade: source.Estimated, Note: note}
}

// spans is how many standard deviations lie between a figure's typical value
// and its ends: a published range is read as holding 95 % of cases, an
// estimate 90 %, what is recalled or common practice 80 %.
func spans(g source.Grade) float64 {
	switch {
	case g <= source.Derived:
		return 1.96
	case g == source.Estimated:
		return 1.645
	}
	return 1.282
}

// deviation returns the standard deviation of a figure in its own unit.
func deviation(f source.Figure) float64 { return (f.High - f.Low) / 2 / spans(f.Grade) }

// logDeviation returns the standard deviation of the logarithm of a figure.
func logDeviation(f source.Figure) float64 { return math.Log(f.High/f.Low) / 2 / spans(f.Grade) }

// GelC returns the temperature above which soap with waterPct [% of the
// batter, 0 to 60] of water is one clear phase. Two points were measured, 71 °C
// at 20.1 % and 87 °C at 15.9 %, and the curve passes them.
// Source: docs/model/heat.md eq. 7.
func GelC(waterPct float64) float64 { return 60 + 27*math.Exp(-(waterPct-15.88)/4.71) }

// Water shares between which the gel line was measured [%]; beyond them its
// spread is taken half as wide again.
const gelMeasuredLow, gelMeasuredHigh = 15.0, 21.0

// conductivity returns that of batter [W/(m K)]: the middle of the two bounds
// of Maxwell, fat round lye and lye round fat. lyeVolume is the lye's share of
// the volume [0..1]. Source: docs/model/heat.md eq. 6.
func conductivity(lyeVolume float64) float64 {
	within := func(around, inside, share float64) float64 {
		d := inside - around
		return around * (inside + 2*around + 2*share*d) / (inside + 2*around - share*d)
	}
	fat, lye := FatConductivity.Typical, LyeConductivity.Typical
	return (within(fat, lye, lyeVolume) + within(lye, fat, 1-lyeVolume)) / 2
}
