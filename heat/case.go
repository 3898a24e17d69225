package heat

import (
	"fmt"
	"math"

	"barwright/mould"
	"barwright/source"
)

// Batter is what is poured, all cavities together.
type Batter struct {
	MassG          float64
	VolumeML       float64
	HeatJPerGK     float64 // specific heat capacity
	LyeVolume      float64 // the lye's share of the volume [0..1]
	AlkaliMol      float64 // that fats will use up after the pour
	ExcessKJPerMol float64 // what its strength adds to the heat of reaction
	WaterPct       float64 // of the batter
	SugarG         float64 // of honey and sugars
	TC             float64 // as poured
	Grade          source.Grade
}

// Case is a batch about to rest: the likely physics, how far it may be off,
// and what it was made from, so that other rests can be tried.
type Case struct {
	Physics
	Batter Batter
	Mould  mould.Mould
	Rests  []Rest
	Belief Belief  // what this maker's batches have taught; the zero value: nothing
	sugarJ float64 // the most that sugar may add [J/kg]
	gelSD  float64
}

// NewCase joins batter, mould and rests. There is at least one rest.
func NewCase(b Batter, m mould.Mould, rests []Rest) (Case, error) {
	if len(rests) == 0 || !(b.MassG > 0) || !(b.VolumeML > 0) {
		return Case{}, fmt.Errorf("%w: it needs a batter and a place to rest", ErrCase)
	}
	c := Case{Batter: b, Mould: m, Rests: rests}
	c.sugarJ = SugarHeat.High * 1e6 * b.SugarG / b.MassG
	c.gelSD = deviation(GelSpread)
	sugared := b.WaterPct + 100*b.SugarG/b.MassG // sugar thins the gel as water does: an estimate
	if sugared < gelMeasuredLow || sugared > gelMeasuredHigh {
		c.gelSD *= 1.5
	}
	c.Physics = Physics{
		Body:            bodyOf(m, b.VolumeML),
		ConductivityWMK: conductivity(b.LyeVolume),
		DensityKgM3:     1000 * b.MassG / b.VolumeML,
		HeatJKgK:        1000 * b.HeatJPerGK,
		ReactionJKg:     1e6*b.AlkaliMol*(ReactionHeat.Typical+b.ExcessKJPerMol)/b.MassG + c.sugarJ*SugarHeat.Typical/SugarHeat.High,
		Rate: Rate{K1: K1.Typical, K2: K2.Typical, M: 1, N: Order.Typical, EaJMol: 1000 * Activation.Typical, TRefC: 50,
			GelFactor: GelFactor.Typical, GelC: GelC(sugared), GelRampK: 1},
		Start:   Start{TC: b.TC, X: AtPour.Typical},
		Stages:  stages(rests, m),
		Boiling: Boiling{TC: BoilingC.Typical, LatentJKg: 1000 * Latent.Typical},
		Wall:    wallOf(m, rests[0]),
	}
	return c, c.Physics.Check()
}

// With returns the case poured at tC and resting another way.
func (c Case) With(tC float64, rests []Rest) (Case, error) {
	b := c.Batter
	b.TC = tC
	out, err := NewCase(b, c.Mould, rests)
	out.Belief = c.Belief
	return out, err
}

// UntilS returns how far ahead to look [s]: the stages, and 24 h at least.
func (c Case) UntilS() float64 {
	until := 0.0
	for _, r := range c.Rests {
		until += r.ForS
	}
	return math.Max(24*3600, until)
}

// flatness is the height of a cavity of which only the volume is known, over
// its width: a round bar. An estimate.
const flatness = 0.4

// bodyOf returns the batter of one cavity, level in it: no higher than the
// mould, whatever is poured.
func bodyOf(m mould.Mould, volumeML float64) Body {
	each := volumeML * 1e-6 / float64(m.Cavities())
	side := func(i int) float64 { return m.Inside.MM(i) / 1000 }
	const least = 2e-3
	switch m.Shape {
	case mould.Box:
		x, y := side(0), side(1)
		return Body{Shape: Box, SizeM: [3]float64{x, y, math.Max(least, math.Min(side(2), each/(x*y)))}}
	case mould.Cylinder:
		b := Body{Shape: Cylinder, Axis: Upright, RadiusM: side(0) / 2}
		if m.Axis == Level {
			b.Axis = Level
		}
		b.LengthM = math.Max(least, math.Min(side(1), each/(math.Pi*b.RadiusM*b.RadiusM)))
		return b
	}
	width := math.Cbrt(each * 4 / (math.Pi * flatness))
	return Body{Shape: Cylinder, Axis: Upright, RadiusM: width / 2, LengthM: flatness * width}
}

// Grade is that of the weakest figure a forecast rests on: the rates are
// estimates until this maker's own curves have replaced them.
func (c Case) Grade() source.Grade {
	worst := source.Worst(source.Estimated, c.Batter.Grade)
	if c.Batter.SugarG > 0 {
		worst = source.Worst(worst, SugarHeat.Grade)
	}
	for _, r := range c.Rests {
		worst = source.Worst(worst, r.coefficient().Grade)
		if l, ok := layerOf(r.Cover); ok {
			worst = source.Worst(worst, l.grade)
		}
	}
	for _, s := range []string{stuffName(c.Mould.Wall), stuffName(c.Mould.Lid)} {
		if m, ok := stuffs[s]; ok {
			worst = source.Worst(worst, m.grade)
		}
	}
	return worst
}
