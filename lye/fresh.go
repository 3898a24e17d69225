package lye

import (
	"fmt"

	"barwright/source"
)

// The figures of the heat balance beside the tables.
var (
	SolidEnthalpy = source.Figure{Low: 1052, Typical: 1092, High: 1096, Unit: "kJ/kg", AtC: 25,
		Source: "nbs_1982", Locator: "NaOH, crystal and aqueous", Grade: source.Memory,
		Note: "Enthalpy of solid NaOH on the scale of the enthalpy table. 1052 is the older heat of solution and gives peaks 2 to 6 K lower."}
	SolidHeatCapacity = source.Figure{Low: 1.45, Typical: 1.49, High: 1.53, Unit: "kJ/(kg K)", AtC: 25,
		Source: "nbs_1982", Locator: "NaOH, crystal", Grade: source.Memory}
	IceMelting = source.Figure{Low: 333.4, Typical: 333.6, High: 333.7, Unit: "kJ/kg", AtC: 0,
		Source: "handbooks_recalled", Grade: source.Memory}
	InfiniteDilution = source.Figure{Low: -44.51, Typical: -44.505, High: -42.89, Unit: "kJ/mol", AtC: 25,
		Source: "nbs_1982", Locator: "NaOH, crystal and aqueous", Grade: source.Memory,
		Note: "Heat of solution of NaOH in endless water; -42.89 is the older circular."}
)

// Ways in which fresh lye leaves the tables; both are ErrOutOfRange too.
var (
	ErrTooHot  = fmt.Errorf("%w: the fresh lye would pass 150 °C, where lye of any strength boils", ErrOutOfRange)
	ErrIceLeft = fmt.Errorf("%w: the fresh lye would stay below 0 °C and ice could be left in it", ErrOutOfRange)
)

// Fresh is sodium hydroxide lye as it is being made, from solid and water or
// from stronger stock let down with water.
type Fresh struct {
	Strength      float64 // of the lye made, MinStrength to MaxStrength
	SolidC        float64 // temperature of the solid, or of the stock [°C]
	WaterC        float64 // temperature of the liquid water and of the vessel [0..100 °C]
	IceFraction   float64 // share of the added water that is ice at 0 °C [0..1]
	VesselJPerGK  float64 // heat capacity of the vessel per gram of lye [J/(g K)]; 0 gives the upper bound
	StockStrength float64 // above Strength: made from stock of this strength; 0: from the solid
}

// PeakC returns the highest temperature [°C] the lye can reach when no heat is
// lost and none boils off; a jug reads lower. Solid and stock lie between -40
// and 120 °C (stock: 0 and 120). ErrTooHot and ErrIceLeft say that the answer
// lies above 120 or below 0 °C, ErrOutOfRange alone that an input lies outside.
// Source: docs/model/fresh-lye.md eq. 1.
func (f Fresh) PeakC() (float64, error) {
	if err := f.check(); err != nil {
		return 0, err
	}
	return f.settle(f.alkaliJPerG() + f.waterJPerG())
}

func (f Fresh) check() error {
	if err := checkStrength(f.Strength); err != nil {
		return err
	}
	switch {
	case !(f.WaterC >= 0 && f.WaterC <= 100):
		return fmt.Errorf("%w: water at %.4g °C; it is between 0 and 100 °C", ErrOutOfRange, f.WaterC)
	case !(f.IceFraction >= 0 && f.IceFraction <= 1):
		return fmt.Errorf("%w: %.4g %% of the water as ice; it is between 0 and 100 %%", ErrOutOfRange, 100*f.IceFraction)
	case !(f.VesselJPerGK >= 0):
		return fmt.Errorf("%w: a vessel of %.4g J/(g K)", ErrOutOfRange, f.VesselJPerGK)
	case f.StockStrength != 0:
		return f.checkStock()
	case !(f.SolidC >= -40 && f.SolidC <= 120):
		return fmt.Errorf("%w: solid alkali at %.4g °C; it is between -40 and 120 °C", ErrOutOfRange, f.SolidC)
	}
	return nil
}

func (f Fresh) checkStock() error {
	if err := checkStrength(f.StockStrength); err != nil {
		return err
	}
	switch {
	case f.StockStrength < f.Strength:
		return fmt.Errorf("%w: stock of %.4g %% cannot be let down to %.4g %%", ErrOutOfRange, 100*f.StockStrength, 100*f.Strength)
	case !(f.SolidC >= 0 && f.SolidC <= 120):
		return fmt.Errorf("%w: stock at %.4g °C; it is between 0 and 120 °C", ErrOutOfRange, f.SolidC)
	}
	return nil
}

// stockShare is the mass of stock in a gram of lye, 0 when made from solid.
func (f Fresh) stockShare() float64 {
	if f.StockStrength == 0 {
		return 0
	}
	return f.Strength / f.StockStrength
}

// alkaliJPerG is the enthalpy that solid or stock brings to a gram of lye.
func (f Fresh) alkaliJPerG() float64 {
	if f.StockStrength != 0 {
		return f.stockShare() * naohEnthalpy().at(f.StockStrength, f.SolidC)
	}
	return f.Strength * (SolidEnthalpy.Typical + SolidHeatCapacity.Typical*(f.SolidC-SolidEnthalpy.AtC))
}

// waterJPerG is the enthalpy that added water and ice bring to a gram of lye.
func (f Fresh) waterJPerG() float64 {
	share := 1 - f.Strength
	if f.StockStrength != 0 {
		share = 1 - f.stockShare()
	}
	return share * ((1-f.IceFraction)*naohEnthalpy().at(0, f.WaterC) - f.IceFraction*IceMelting.Typical)
}

// settle returns the temperature at which lye and vessel together hold jPerG,
// the vessel counted from the water's temperature.
func (f Fresh) settle(jPerG float64) (float64, error) {
	grid := naohEnthalpy()
	held := func(i int) float64 {
		return grid.column(i, f.Strength) + f.VesselJPerGK*(grid.tC[i]-f.WaterC)
	}
	below := held(0)
	if jPerG < below {
		return 0, ErrIceLeft
	}
	for i := 1; i < len(grid.tC); i++ {
		above := held(i)
		if jPerG <= above {
			return grid.tC[i-1] + (grid.tC[i]-grid.tC[i-1])*(jPerG-below)/(above-below), nil
		}
		below = above
	}
	// Beyond the table the lye takes heat as in its last ten degrees: its heat
	// capacity changes by less than one per cent there.
	last := len(grid.tC) - 1
	perK := (held(last) - held(last-1)) / (grid.tC[last] - grid.tC[last-1])
	if t := grid.tC[last] + (jPerG-held(last))/perK; t <= ExtendedC {
		return t, nil
	}
	return 0, ErrTooHot
}

// ExtendedC is how far beyond the enthalpy table a peak is told [°C].
const ExtendedC = 150.0
