package makeup

import "slices"

// superfatPerPercent is how much one per cent of superfat adds to exposure;
// own_estimate.
const superfatPerPercent = 0.05

// Oxidation returns the oxidation exposure of a bar, a number without unit
// that ranks bars: Cox value × (1 + 0.05 superfat) × factor of the keepers.
// superfatPercent below 0 counts as 0. keepers are the words of a material
// file: "bht", "rosemary", "tocopherol", "edta", "citrate"; others count for
// nothing. Source: docs/model/makeup.md eq. 12.
func Oxidation(cox, superfatPercent float64, keepers []string) float64 {
	return cox * (1 + superfatPerPercent*max(0, superfatPercent)) * keeperFactor(keepers)
}

// keeperFactor puts numbers, which are estimates, to an order that was
// measured at 60 °C (dunn_2004_spots): BHT with either chelator best, rosemary
// with EDTA good, rosemary with citrate worse than rosemary alone, tocopherol
// poor with or without citrate. A mix with rosemary and citrate counts as
// nothing gained whatever else is in it but BHT, since no such mix was tried.
func keeperFactor(keepers []string) float64 {
	has := func(k string) bool { return slices.Contains(keepers, k) }
	switch {
	case has("bht") && (has("citrate") || has("edta")):
		return 0.2
	case has("rosemary") && has("citrate"):
		return 1
	case has("rosemary") && has("edta"):
		return 0.3
	case has("rosemary"):
		return 0.7
	}
	return 1
}
