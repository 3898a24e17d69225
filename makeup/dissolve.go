package makeup

import (
	"math"

	"barwright/source"
)

// krafft is the Krafft temperature of the sodium soap of one acid: where about
// one per cent of it comes to dissolve in water.
type krafft struct {
	acid string
	source.Figure
}

// kraffts lists the acids that enter the dissolving share. The figures of the
// source are known to a few kelvin at best; the rest continue them.
var kraffts = []krafft{
	{"c4_0", estimated(-60, -40, -10, "below any washing water: its exact place does not matter")},
	{"c6_0", estimated(-50, -30, -5, "below any washing water: its exact place does not matter")},
	{"c8_0", estimated(-30, -15, 0, "20 K a pair of carbons, as from C12 to C10")},
	{"c10_0", estimated(-5, 5, 10, "by analogy, no measured value found")},
	{"c12_0", recalled(20, 25, 27)},
	{"c14_0", recalled(40, 45, 47)},
	{"c16_0", recalled(56, 60, 62)},
	{"c16_1", estimated(-5, 5, 15, "as far below oleate as palmitate is below stearate, and some more")},
	{"c17_0", estimated(60, 65, 68, "halfway between palmitate and stearate")},
	{"c18_0", recalled(67, 70, 72)},
	{"c18_1", recalled(15, 20, 25)},
	{"c18_1oh", estimated(-10, 0, 10, "freely soluble in cold water; no measured value found")},
	{"c18_2", estimated(-10, 0, 10, "by analogy, no measured value found")},
	{"c18_3", estimated(-20, -10, 5, "below linoleate; no measured value found")},
	{"c20_0", estimated(74, 78, 84, "the steps 20, 15 and 10 K from C12 to C18 go on shrinking")},
	{"c20_1", estimated(24, 32, 40, "oleate plus the step from stearate to arachidate, and some more")},
	{"c22_0", estimated(78, 84, 92, "the steps go on shrinking")},
	{"c22_1", estimated(32, 40, 50, "oleate plus two steps")},
	{"c24_0", estimated(82, 89, 100, "the steps go on shrinking")},
}

func recalled(low, typical, high float64) source.Figure {
	return source.Figure{Low: low, Typical: typical, High: high, Unit: "°C", Source: "klein_2008",
		Locator: "Krafft temperatures of sodium soaps, about 1 %", Grade: source.Memory}
}

func estimated(low, typical, high float64, why string) source.Figure {
	return source.Figure{Low: low, Typical: typical, High: high, Unit: "°C", Source: "own_estimate", Grade: source.Estimated, Note: why}
}

// dissolutionHeat is the heat that sets how fast solubility falls below the
// Krafft temperature.
var dissolutionHeat = source.Figure{Low: 30, Typical: 45, High: 60, Unit: "kJ/mol", Source: "own_estimate", Grade: source.Estimated,
	Note: "of the order of melting a soap's chains"}

// potassiumShift is how far below its sodium soap a potassium soap dissolves:
// 35 to 48 K for myristate and 25 to 30 K for stearate in mcbain_sierichs_1948.
var potassiumShift = source.Figure{Low: 25, Typical: 30, High: 45, Unit: "K", Source: "own_estimate", Grade: source.Estimated,
	Note: "one shift for every soap, by the potassium share of the alkali"}

const gasConstant = 8.314462618 // [J/(mol K)], exact to these digits (SI 2019)

// Dissolving returns the share of the bar's soap that can go into solution in
// water of tC [°C] at equilibrium, 0 to 100 %. kohMolShare [0..1] is the
// potassium share of the alkali by moles; outside it is held at the nearer
// end. It is an estimate for ranking: a bar in the hand has seconds, not days.
// Acids lumped as other stay out; 0 when no other acid is there. Source:
// docs/model/makeup.md eq. 7.
func (f Fats) Dissolving(tC, kohMolShare float64) float64 {
	return f.dissolving(tC, kohMolShare, dissolutionHeat.Typical)
}

func (f Fats) dissolving(tC, kohMolShare, heatKJPerMol float64) float64 {
	shiftK := potassiumShift.Typical * min(1, max(0, kohMolShare))
	z, x, total := make([]float64, len(kraffts)), make([]float64, len(kraffts)), 0.0
	acids := f.acids()
	for i, k := range kraffts {
		z[i] = acids[k.acid]
		x[i] = idealLimit(tC, k.Typical-shiftK, heatKJPerMol)
		total += z[i]
	}
	if total == 0 {
		return 0
	}
	for i := range z {
		z[i] /= total
	}
	return 100 * largestRoot(z, x)
}

// idealLimit returns the most of one soap that the dissolved phase can hold as
// a share of that phase, 1 from its Krafft temperature up.
func idealLimit(tC, krafftC, heatKJPerMol float64) float64 {
	const zeroC = 273.15
	return min(1, math.Exp(-1000*heatKJPerMol/gasConstant*(1/(tC+zeroC)-1/(krafftC+zeroC))))
}

// largestRoot solves L = Σ min(z, L x) from L = 1 downward. The right side is
// a concave broken line, so each step solves the piece it stands on exactly
// and the last piece is met after at most one step an acid.
func largestRoot(z, x []float64) float64 {
	l := 1.0
	for range len(z) + 1 {
		whole, slope := 0.0, 0.0
		for i := range z {
			if z[i] <= x[i]*l {
				whole += z[i]
			} else {
				slope += x[i]
			}
		}
		if whole == 0 {
			return 0
		}
		l = whole / (1 - slope)
	}
	return min(l, 1)
}
