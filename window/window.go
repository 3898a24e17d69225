// Package window says how many minutes a batter leaves: from combining to
// trace, and to where it no longer pours. Always a low, a typical and a high
// one, from what is known of any maker until this maker's own batches say
// more.
//
// Start with Prior, Model.Forecast and Model.Learn. It does not forecast the
// temperature of the batter (package heat) nor where wax falls out (package
// melt): both come in as conditions. Its model note is docs/model/window.md.
package window

import "math"

// Conditions are what the batter is and how it is stirred. Fractions are by
// mass of the fats. Outside the ranges given a value is held at the nearer
// end, and the forecast says so.
type Conditions struct {
	LandingC    float64 `json:"landing_c"`    // temperature of the batter as combined, 15 to 75 °C
	LyeStrength float64 `json:"lye_strength"` // pure alkali / lye, 0.20 to 0.50

	Lauric      float64 `json:"lauric"`      // caprylic to myristic acid (C8 to C14), 0 to 1
	Unsaturated float64 `json:"unsaturated"` // oleic, linoleic and like acids without ricinoleic, 0 to 1
	Ricinoleic  float64 `json:"ricinoleic"`  // 0 to 1
	FreeAcid    float64 `json:"free_acid"`   // acids that are free when they meet the lye, without those of waxes, 0 to 1
	HardWax     float64 `json:"hard_wax"`    // waxes that are solid in the room, 0 to 1

	BelowClear bool `json:"below_clear"` // lands below the temperature at which its waxes and acids are clear again
	Hurrying   bool `json:"hurrying"`    // a scent in it is known to thicken batter
	Honey      bool `json:"honey"`       // honey or sugar in it
	Paddle     bool `json:"paddle"`      // stirred by hand instead of with a blender
}

// held returns the conditions inside the ranges the model speaks for, and
// whether one lay outside.
func (c Conditions) held() (Conditions, bool) {
	in := c
	in.LandingC = min(75, max(15, c.LandingC))
	in.LyeStrength = min(0.50, max(0.20, c.LyeStrength))
	for _, share := range []*float64{&in.Lauric, &in.Unsaturated, &in.Ricinoleic, &in.FreeAcid, &in.HardWax} {
		*share = min(1, max(0, *share))
	}
	return in, in != c
}

// known reports whether every number is one.
func (c Conditions) known() bool {
	return !math.IsNaN(c.LandingC + c.LyeStrength + c.Lauric + c.Unsaturated + c.Ricinoleic + c.FreeAcid + c.HardWax)
}

// Minutes is a time [min] as its 5 % point, median and 95 % point.
type Minutes struct{ Low, Typical, High float64 }

// Forecast is the window of one batch, both times counted from combining.
type Forecast struct {
	ToTrace      Minutes
	ToUnpourable Minutes
	Held         bool // a condition lay outside its range and was held at the end
}

// Observation is one batch of this maker, times from combining [min]. A time
// that was not stamped is 0.
type Observation struct {
	Conditions
	ToTraceMin      float64 `json:"to_trace_min"`
	ToUnpourableMin float64 `json:"to_unpourable_min"`
}

// longestTraceMin is beyond any batter that traced: the clock was left on.
const longestTraceMin = 24 * 60

// usable reports what of an observation can be learned from: its trace when it
// is a time of this world under conditions in range, and its end when that
// comes after the trace.
func (o Observation) usable() (trace, span bool) {
	if !o.known() {
		return false, false
	}
	_, outside := o.held()
	trace = !outside && o.ToTraceMin > 0 && o.ToTraceMin <= longestTraceMin
	span = trace && o.ToUnpourableMin > o.ToTraceMin && o.ToUnpourableMin <= 2*longestTraceMin
	return trace, span
}
