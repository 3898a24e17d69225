package lye

import (
	"errors"
	"fmt"
)

// Why a solution gives no answer.
var (
	ErrOutOfRange = errors.New("outside the tables of lye")
	ErrNoData     = errors.New("not known for lye with potassium hydroxide")
)

// The strengths the tables answer for [mass fraction of pure alkali].
const (
	MinStrength = 0.05
	MaxStrength = 0.50
)

// Solution is sodium or potassium hydroxide, or both, in water. Its methods
// answer from MinStrength to MaxStrength and return ErrOutOfRange elsewhere.
type Solution struct {
	Strength float64 // pure alkali / lye, by mass
	KOHShare float64 // share of the pure alkali's mass that is KOH [0..1]
}

// Density returns the density [g/ml] at tC [0..100 °C]. What is potassium
// hydroxide has the density of 20 °C at every temperature, since no other is
// tabled: at 50 °C that is about 1 % too much. A mixture's volume is the sum
// of its parts' volumes, each at the mixture's strength.
// Source: tables naoh_density and koh_density.
func (s Solution) Density(tC float64) (gPerML float64, err error) {
	if err := s.check(tC, 0, 100); err != nil {
		return 0, err
	}
	mlPerG := (1 - s.KOHShare) / naohDensity().at(s.Strength, tC)
	if s.KOHShare > 0 {
		mlPerG += s.KOHShare / kohDensity().at(s.Strength, tC)
	}
	return 1 / mlPerG, nil
}

// HeatCapacity returns the specific heat capacity [J/(g K)], within 4 %, at
// tC [0..120 °C]; below 20 and above 100 °C it is that of the nearer end. A
// mixture's is the mean by mass.
// Source: tables naoh_heat_capacity and koh_heat_capacity.
func (s Solution) HeatCapacity(tC float64) (jPerGK float64, err error) {
	if err := s.check(tC, 0, 120); err != nil {
		return 0, err
	}
	na := naohHeatCapacity().at(s.Strength, tC)
	if s.KOHShare == 0 {
		return na, nil
	}
	return (1-s.KOHShare)*na + s.KOHShare*kohHeatCapacity().at(s.Strength, tC), nil
}

// BoilingC returns the boiling point at sea level [°C]; ErrNoData with any
// potassium hydroxide. Source: table naoh_boiling.
func (s Solution) BoilingC() (float64, error) {
	if err := s.checkSodium(); err != nil {
		return 0, err
	}
	return naohBoiling().column(0, s.Strength), nil
}

// LiquidusC returns the temperature at which the first solid appears on slow
// cooling [°C]; lye often stays clear for a while below it. ErrNoData with any
// potassium hydroxide. Source: table naoh_liquidus.
func (s Solution) LiquidusC() (float64, error) {
	if err := s.checkSodium(); err != nil {
		return 0, err
	}
	return naohLiquidus().Predict(100 * s.Strength), nil
}

// ExcessHeatKJPerMol returns how much more heat a mole of alkali has in it at
// this strength than in endless water [kJ/mol, 25 °C]. It comes on top of the
// heat of saponification when the lye is used up. Strengths outside the tables
// answer as the nearest inside. Potassium hydroxide answers as sodium
// hydroxide of the same strength: its own is not tabled, and recalled values
// are of the same size (16 kJ/mol at 51 %).
// Source: docs/model/fresh-lye.md eq. 2.
func (s Solution) ExcessHeatKJPerMol() float64 {
	x := min(max(s.Strength, MinStrength), MaxStrength)
	return max(0, heatOfSolutionKJPerMol(x)-InfiniteDilution.Typical)
}

// heatOfSolutionKJPerMol returns the heat of dissolving solid sodium hydroxide
// in water to strength x at 25 °C [kJ/mol, negative].
func heatOfSolutionKJPerMol(x float64) float64 {
	h := naohEnthalpy()
	perGram := (h.at(x, 25)-(1-x)*h.at(0, 25))/x - SolidEnthalpy.Typical
	return perGram * MolarMassNaOH / 1000
}

func (s Solution) checkSodium() error {
	if s.KOHShare > 0 {
		return ErrNoData
	}
	return s.check(0, 0, 0)
}

func (s Solution) check(tC, lowC, highC float64) error {
	if !(s.KOHShare >= 0 && s.KOHShare <= 1) {
		return fmt.Errorf("%w: %.4g %% of the alkali as KOH; it is between 0 and 100 %%", ErrOutOfRange, 100*s.KOHShare)
	}
	if err := checkStrength(s.Strength); err != nil {
		return err
	}
	if !(tC >= lowC && tC <= highC) {
		return fmt.Errorf("%w: %.4g °C; they hold %g to %g °C", ErrOutOfRange, tC, lowC, highC)
	}
	return nil
}

func checkStrength(x float64) error {
	if !(x >= MinStrength && x <= MaxStrength) {
		return fmt.Errorf("%w: %.4g %% lye; they hold %g to %g %%", ErrOutOfRange, 100*x, 100*MinStrength, 100*MaxStrength)
	}
	return nil
}
