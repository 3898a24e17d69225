package plan

import (
	"math"

	"barwright/material"
	"barwright/source"
)

// How far figures of a batch may be from those of typical fats.

// SapSpan returns the saponification value of the fats [mg KOH/g], for a wax
// that of full saponification.
func (p *Plan) SapSpan() (Range, source.Grade, bool) {
	return p.span(p.Makeup.SapTypical, func(m material.Material) source.Figure { return m.Sap })
}

// IodineSpan returns the iodine value of the fats [g I2/100 g].
func (p *Plan) IodineSpan() (Range, source.Grade, bool) {
	return p.span(p.Makeup.IodineValue, func(m material.Material) source.Figure { return m.Iodine })
}

// span returns how far a value of the blend may be from the one computed of it,
// by the ranges of its fats, with the grade of the weakest; false when a fat has
// none. Each fat is somewhere in its own range, whatever the others are: their
// doubts add up as the squares do (JCGM 100:2008, 5.1.2).
func (p *Plan) span(mean float64, of func(material.Material) source.Figure) (Range, source.Grade, bool) {
	low, high, grade := 0.0, 0.0, source.Measured
	for i, f := range p.charge.fats {
		v := of(f.Material)
		if !v.Known() {
			return Range{}, source.Unknown, false
		}
		share := p.Fats[i].SharePct / 100
		low, high = math.Hypot(low, share*(v.Typical-v.Low)), math.Hypot(high, share*(v.High-v.Typical))
		grade = source.Worst(grade, v.Grade)
	}
	return Range{mean - low, mean, mean + high}, grade, true
}

// CuredWater returns the water of the cured bar [per cent of the bar], by the
// range of what it loses.
func (p *Plan) CuredWater() Range {
	left := func(loss float64) float64 {
		return max(0, 100*(p.Bar.Fresh.Water-loss)/(100-loss))
	}
	return Range{left(p.Bar.Loss.High), left(p.Bar.Loss.Typical), left(p.Bar.Loss.Low)}
}

// CuredFreeFat returns the fat that stays unbound in the cured bar [per cent of
// the bar], by the band of the superfat.
func (p *Plan) CuredFreeFat() Range {
	perPoint := p.FatsG / p.Batter.MassG / (1 - p.Bar.Loss.Typical/100)
	at := func(superfat float64) float64 {
		return max(0, p.Bar.Cured.FreeFat+(superfat-p.Superfat.Typical)*perPoint)
	}
	return Range{at(p.Superfat.Low), p.Bar.Cured.FreeFat, at(p.Superfat.High)}
}

// FreshBar returns what dries: the shares of water, and of soap, glycerol and
// free fat [0..1], in the batter of what was weighed.
func (p *Plan) FreshBar(w Weights) (water, drySoap float64) {
	c := p.charge.with(w)
	return c.batterWaterG() / c.batterG(), c.soapShare()
}
