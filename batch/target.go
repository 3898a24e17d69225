package batch

import (
	"fmt"
	"math"
)

// target makes the target of one weighing with its tolerance.
func (sh *Sheet) target(list string, i int) *Target {
	p := sh.Plan
	t := &Target{List: list, Index: i, Scale: p.Scale.Fats}
	step := "weigh." + list
	switch list {
	case "water":
		t.Name, t.Material, t.G = "Water", "water", p.WaterWeighG
	case "alkali":
		t.Name, t.Material, t.G, t.Scale = p.Alkali[i].Name, p.Alkali[i].Material, p.Alkali[i].WeighG, p.Scale.Alkali
	case "fats":
		t.Name, t.Material, t.G = p.Fats[i].Name, p.Fats[i].Material, p.Fats[i].WeighG
	case "additions":
		t.Name, t.Material, t.G = p.Additions[i].Name, p.Additions[i].Material, p.Additions[i].WeighG
	}
	if list != "water" {
		step = fmt.Sprintf("%s.%d", step, i)
	}
	t.Lot = sh.Start.Lots[step]
	if m := t.Material; t.Lot == "" && sh.isLot(list, i) {
		t.Lot = m
	}
	sh.tolerate(t)
	return t
}

// isLot reports a line whose material is a lot itself.
func (sh *Sheet) isLot(list string, i int) bool {
	switch list {
	case "fats":
		return sh.Plan.FatMaterial(i).Of != ""
	case "additions":
		return sh.Plan.AdditionMaterial(i).Of != ""
	case "alkali":
		return sh.Plan.AlkaliMaterial(i).Of != ""
	}
	return false
}

// bandShare is how much of the superfat's band one kind of weighing may use up:
// so little that the doubt that is there anyway hides it.
const bandShare = 0.1

// otherShare is how far an addition may be off. Common practice, no source.
const otherShare = 0.02

// tolerate sets what is fine around a target. Alkali is never over it; how far
// it may be under, and the fats to either side, follows the width of the band.
func (sh *Sheet) tolerate(t *Target) {
	as := sh.Plan.Superfat.AsWeighed
	points := bandShare * (as.High - as.Low)
	step := t.Scale.StepG
	down := func(g float64) float64 { return math.Max(step, math.Floor(g/step+1e-9)*step) }
	t.HighG = t.G
	switch t.List {
	case "alkali":
		t.LowG = t.G - down(points/sh.Plan.PointsPerGram()[t.Index])
	case "fats":
		off := down(points / 100 * t.G)
		t.LowG, t.HighG = t.G-off, t.G+off
	case "water":
		off := checkTolerance(t.G)
		t.LowG, t.HighG = t.G-off, t.G+off
	case "additions":
		off := down(otherShare * t.G)
		t.LowG = t.G - off
		if sh.Recipe.Additions[t.Index].Limit == nil && sh.Plan.AdditionMaterial(t.Index).Limit == nil {
			t.HighG = t.G + off
		}
	}
	t.LowG = math.Max(0, t.LowG)
}

// checkTolerance is how far water, and a whole vessel, may be off [g]: 2 g or
// 0.5 %, the larger.
func checkTolerance(g float64) float64 { return math.Max(2, 0.005*g) }
