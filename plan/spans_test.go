package plan

import (
	"math"
	"testing"

	"barwright/material"
	"barwright/source"
)

// The span of a blend lies within its fats' own ranges, and is narrower than if
// they all erred together.
func TestSpansOfFats(t *testing.T) {
	t.Parallel()
	for name, r := range tenRecipes(t) {
		p := made(t, r)
		sap, grade, ok := p.SapSpan()
		mean, low, high := 0.0, 0.0, 0.0
		worst := source.Measured
		for i, f := range p.charge.fats {
			s := p.Fats[i].SharePct / 100
			mean, low, high = mean+s*f.Sap.Typical, low+s*f.Sap.Low, high+s*f.Sap.High
			worst = source.Worst(worst, f.Sap.Grade)
		}
		if !ok || !near(sap.Typical, mean, 1e-9) || sap.Low < low-1e-9 || sap.High > high+1e-9 || sap.Low > mean || sap.High < mean || grade != worst {
			t.Errorf("%s: %+v %v, the fats' own %.1f to %.1f about %.1f", name, sap, grade, low, high, mean)
		}
		if len(p.Fats) > 1 && (sap.Low <= low || sap.High >= high) {
			t.Errorf("%s: %+v is as wide as if all fats erred together, %.1f to %.1f", name, sap, low, high)
		}
	}
}

// Half and half of two fats as wide as one another is narrower by the root of
// two: the rule for the sum of independent doubts (JCGM 100:2008, 5.1.2).
func TestSpansAddAsSquares(t *testing.T) {
	t.Parallel()
	half := func(mid float64) fat {
		return fat{Material: material.Material{Iodine: source.Figure{Low: mid - 10, Typical: mid, High: mid + 10, Unit: "g I2/100 g", Grade: source.Standard}}}
	}
	p := &Plan{Fats: []FatLine{{SharePct: 50}, {SharePct: 50}}, charge: charge{fats: []fat{half(40), half(60)}}}
	p.Makeup.IodineValue = 50
	iodine, _, ok := p.IodineSpan()
	if want := 10 / math.Sqrt2; !ok || !near(iodine.High-50, want, 1e-9) || !near(50-iodine.Low, want, 1e-9) {
		t.Errorf("%+v, want ±%.3f", iodine, want)
	}
	if _, _, ok := p.SapSpan(); ok {
		t.Error("a fat without a range has one")
	}
}

// What leaves the bar is water and nothing else: the dry part of the bar is the
// same at both ends of the loss, and the middle is the bar that is told.
func TestSpansOfTheCuredBar(t *testing.T) {
	t.Parallel()
	for name, r := range tenRecipes(t) {
		p := made(t, r)
		w, f := p.CuredWater(), p.CuredFreeFat()
		if !near(w.Typical, p.Bar.Cured.Water, 1e-6) || w.Low > w.Typical || w.High < w.Typical {
			t.Errorf("%s: water %+v, the bar %.3f", name, w, p.Bar.Cured.Water)
		}
		for loss, water := range map[float64]float64{p.Bar.Loss.Low: w.High, p.Bar.Loss.High: w.Low} {
			if dry := (100 - loss) * (100 - water) / 100; water > 0 && !near(dry, 100-p.Bar.Fresh.Water, 1e-6) {
				t.Errorf("%s: %.3f dry after a loss of %.1f, %.3f before", name, dry, loss, 100-p.Bar.Fresh.Water)
			}
		}
		if f.Typical != p.Bar.Cured.FreeFat || f.Low > f.Typical || f.High < f.Typical || f.Low < 0 {
			t.Errorf("%s: free fat %+v", name, f)
		}
	}
}

// A bar with more superfat holds the free fat that the span says: the plan made
// again at the end of the band.
func TestFreeFatFollowsTheSuperfat(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, plainTow))
	f := p.CuredFreeFat()
	more := made(t, written(t, plainTow, "superfat="+exactly(*p.Superfat.Set+p.Superfat.High-p.Superfat.Typical)+" %"))
	if !near(more.Bar.Cured.FreeFat, f.High, 0.15) { // its glycerol, soap and water change a little, too
		t.Errorf("%.2f at the end of the band, told %.2f", more.Bar.Cured.FreeFat, f.High)
	}
}

// Total fatty matter is the acids of the soap with the free fat and the
// unsaponifiables (ISO 685). By IUPAC atomic weights sodium laurate weighs
// 222/200 of its acid, stearate 306/284: 1.07 to 1.11.
func TestFattyMatterOfTheBar(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, plainTow))
	c := p.Bar.Cured
	if low, high := c.Soap/1.11+c.FreeFat+c.Unsaponified, c.Soap/1.07+c.FreeFat+c.Unsaponified; p.Bar.FattyMatter < low || p.Bar.FattyMatter > high {
		t.Errorf("%.1f, by hand %.1f to %.1f", p.Bar.FattyMatter, low, high)
	}
}
