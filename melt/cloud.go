package melt

import (
	"math"

	"barwright/quantity"
	"barwright/source"
)

const (
	gasJPerMolK       = 8.314462618 // molar gas constant, exact in the SI of 2019
	trioleinGPerMol   = 885.4       // stands for every liquid fat
	leastMassFraction = 0.001       // less than this clouds no fat that one could see
)

// How far above and below the curve clouds are seen, and how much warmer than
// the curve it takes to get clear again [K]. Makers see it somewhat above the
// curve; once frozen, wax needs 4 to 8 K more. Estimates: docs/model/melt.md.
const (
	cloudBelowK = 3
	cloudAboveK = 6
	clearAboveK = 6
)

// Solute is one thing dissolved in warm liquid fat that can freeze out of it.
type Solute struct {
	Name         string
	MassFraction float64 // of the fat phase [0..1]
	MolarMass    float64 // [g/mol]
	MeltC        float64 // melting point when pure [°C]
	HeatKJPerMol float64 // heat of fusion
	Source       string
	Grade        source.Grade
}

// CloudC returns the temperature [°C] below which the solute freezes out of
// liquid fat, by ideal solubility in triolein. It is meant for mass fractions
// of 0.005 to 1; thinner it is a mere continuation, and more than 1 is a
// rounded 1. A mass fraction that is not above 0 panics.
// Source: docs/model/melt.md eq. 3.
func (s Solute) CloudC() float64 {
	if !(s.MassFraction > 0) {
		panic("melt: cloud point of a solute that is not there")
	}
	w := min(s.MassFraction, 1)
	mol := w / s.MolarMass
	molFraction := mol / (mol + (1-w)/trioleinGPerMol)
	perK := 1/(s.MeltC-quantity.AbsoluteZeroC) - gasJPerMolK/(1000*s.HeatKJPerMol)*math.Log(molFraction)
	return 1/perK + quantity.AbsoluteZeroC
}

// Cloud is the cloud point of a fat phase: on cooling the first crystals come
// between LowC and HighC, most likely at TypicalC [°C]. Warmer than ClearC
// everything is dissolved again.
type Cloud struct {
	LowC, TypicalC, HighC, ClearC float64
	Of                            string // the solute that comes out first
	Source                        string
	Grade                         source.Grade
}

// CloudPoint returns the cloud point of a fat phase, that of the solute which
// freezes out first, each as if it were alone. It is false when no solute
// reaches 0.1 % of the fats.
func CloudPoint(solutes []Solute) (cloud Cloud, ok bool) {
	for _, s := range solutes {
		if s.MassFraction < leastMassFraction {
			continue
		}
		if c := s.CloudC(); !ok || c > cloud.TypicalC {
			cloud = Cloud{c - cloudBelowK, c, c + cloudAboveK, c + clearAboveK, s.Name, s.Source, s.Grade}
			ok = true
		}
	}
	return cloud, ok
}

// Verdict is what a landing temperature means for wax in the fats.
type Verdict int

// The verdicts, worst first.
const (
	WillFreeze Verdict = iota
	MayFreeze
	StaysClear
)

func (v Verdict) String() string { return [...]string{"will freeze", "may freeze", "stays clear"}[v] }

// Verdict judges a landing temperature [°C].
func (c Cloud) Verdict(landingC float64) Verdict {
	switch {
	case landingC < c.LowC:
		return WillFreeze
	case landingC < c.ClearC:
		return MayFreeze
	}
	return StaysClear
}
