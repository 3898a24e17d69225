package recipe

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"barwright/material"
)

// shareTolerance is how far shares may miss 100 % [points]; the last digits
// are for the sum's own rounding.
const shareTolerance = 0.05 + 1e-9

func (r Recipe) checkAlkali(fs *faults, lib *material.Library) {
	if len(r.Alkali) == 0 {
		fs.add("alkali", `[[alkali]] with material = "naoh"`, "the recipe has no alkali")
	}
	if len(r.Alkali) > maxAlkalis {
		fs.add(fmt.Sprintf("alkali.%d", maxAlkalis), "add up what is the same", "%d alkalis are more than %d", len(r.Alkali), maxAlkalis)
		return
	}
	sum, seen := 0.0, map[string]bool{}
	for i, a := range r.Alkali {
		path := fmt.Sprintf("alkali.%d", i)
		if m, err := lib.Find(a.Material); err != nil {
			fs.addErr(path+".material", err)
		} else if m.Kind != material.Alkali {
			fs.add(path+".material", `use "naoh" or "koh"`, "%s is not an alkali", m.Name)
		}
		if seen[a.Material] {
			fs.add(path+".material", "add the two lines up", "%.40q is there twice", a.Material)
		}
		seen[a.Material] = true
		a.check(fs, path)
		if a.Share != nil {
			sum += a.Share.Percent
		} else if len(r.Alkali) > 1 && !r.IsFound() {
			fs.add(path, `share = "95 %", mol % of the alkali`, "with several alkalis each needs its share")
		}
	}
	if len(r.Alkali) > 0 && r.Alkali[0].Share != nil && !r.IsFound() && math.Abs(sum-100) > shareTolerance {
		fs.add("alkali.0.share", "shares are mol % of the alkali", "the alkali's shares come to %s %%, not 100 %%", points(sum))
	}
}

func (a Alkali) check(fs *faults, path string) {
	checkPart(fs, path+".share", a.Share, 100, "an alkali's share")
	checkMass(fs, path+".amount", a.Amount)
	checkShare(fs, path+".purity", a.Purity, 50, 100, "the assay")
	if a.StockStrength != nil {
		checkShare(fs, path+".stock_strength", a.StockStrength, 5, 55, "the strength of a stock lye")
		if a.Purity != nil || a.PurityRange != nil {
			fs.add(path+".purity", "stock_strength says how much pure alkali the solution holds", "purity and stock_strength at once")
		}
	}
	if p := a.PurityRange; p != nil {
		if p.Low.Percent < 50 || p.High.Percent > 100 {
			fs.add(path+".purity_range", `like "98 % to 99.5 %"`, "the assay lies between 50 and 100 %%, not %s", p)
		}
		if a.Purity != nil && (a.Purity.Percent < p.Low.Percent || a.Purity.Percent > p.High.Percent) {
			fs.add(path+".purity_range", "correct one of the two, or take one away", "the assay %s lies outside its own range %s", a.Purity, p)
		}
	}
}

func (r Recipe) checkFats(fs *faults, lib *material.Library) {
	if len(r.Fats) == 0 {
		fs.add("fats", `[[fats]] with material = "olive" and share = "100 %"`, "the recipe has no fats")
		return
	}
	if len(r.Fats) > maxFats {
		fs.add(fmt.Sprintf("fats.%d", maxFats), "add up what is the same", "%d fats are more than %d", len(r.Fats), maxFats)
		return
	}
	byAmount, sum, seen := r.Fats[0].Amount != nil, 0.0, map[string]bool{}
	for i, f := range r.Fats {
		path := fmt.Sprintf("fats.%d", i)
		checkFatMaterial(fs, path, f.Material, lib)
		if seen[f.Material] {
			fs.add(path+".material", "add the two lines up", "%.40q is there twice", f.Material)
		}
		seen[f.Material] = true
		switch {
		case f.Share == nil && f.Amount == nil:
			fs.add(path, `share = "55 %"`, "%.40q has neither share nor amount", f.Material)
		case f.Share != nil && f.Amount != nil, byAmount != (f.Amount != nil):
			fs.add(path, "give all fats as shares, or all as amounts", "%.40q mixes shares and amounts", f.Material)
		case f.Amount != nil:
			checkMass(fs, path+".amount", f.Amount)
		default:
			sum += f.Share.Percent
			checkPart(fs, path+".share", f.Share, 100.05, "a fat's share")
		}
	}
	if !byAmount && math.Abs(sum-100) > shareTolerance {
		fs.add("fats.0.share", shareAdvice(sum), "the shares of the fats come to %s %%, not 100 %%", points(sum))
	}
}

func shareAdvice(sum float64) string {
	if sum < 100 {
		return points(100-sum) + " % is missing"
	}
	return points(sum-100) + " % too much"
}

// points prints per cent so that a miss of the tolerance shows.
func points(percent float64) string {
	return strconv.FormatFloat(math.Round(percent*1e4)/1e4, 'f', -1, 64)
}

func checkFatMaterial(fs *faults, path, id string, lib *material.Library) {
	m, err := lib.Find(id)
	switch {
	case err != nil:
		fs.addErr(path+".material", err)
	case m.Kind == material.Alkali:
		fs.add(path+".material", "alkali goes under [[alkali]]", "%s is an alkali, not a fat", m.Name)
	case !m.Kind.IsFat():
		fs.add(path+".material", "it goes under [[additions]]", "%s is not a fat", m.Name)
	}
}

func (r Recipe) checkAdditions(fs *faults, lib *material.Library) {
	if len(r.Additions) > maxAdditions {
		fs.add(fmt.Sprintf("additions.%d", maxAdditions), "add up what is the same", "%d additions are more than %d", len(r.Additions), maxAdditions)
		return
	}
	for i, a := range r.Additions {
		a.check(fs, fmt.Sprintf("additions.%d", i), lib)
	}
}

func (a Addition) check(fs *faults, path string, lib *material.Library) {
	m, err := lib.Find(a.Material)
	if err != nil {
		fs.addErr(path+".material", err)
		return
	}
	switch {
	case m.Kind == material.Alkali:
		fs.add(path+".material", "alkali goes under [[alkali]]", "%s is an alkali, not an addition", m.Name)
	case m.Kind.IsFat():
		fs.add(path+".material", "it takes lye, so it goes under [[fats]] whenever it is stirred in", "%s is a fat, not an addition", m.Name)
	}
	a.checkAmount(fs, path, m)
	if !slices.Contains([]When{InLye, InFats, AtTrace}, a.When) {
		fs.add(path+".when", `when = "lye", "fats" or "trace"`, "%.40q is not a time to add it", a.When)
	}
	if a.Strength != nil && !m.InSolution {
		fs.add(path+".strength", "take strength away", "%s is not sold in solution, so it has no strength", m.Name)
	}
	checkShare(fs, path+".strength", a.Strength, 0.1, 100, "strength")
	if (a.Limit != nil || a.Stir != "") && m.Kind != material.Scent {
		fs.add(path, "limit and stir belong to scents", "%s is not a scent", m.Name)
	}
	checkStir(fs, path+".stir", a.Stir)
	checkTemperature(fs, path+".temperature", a.Temperature, -30, 120)
	if a.Flat && !m.Fizzes {
		fs.add(path+".flat", "take flat away", "%s holds neither gas nor alcohol", m.Name)
	}
}

func (a Addition) checkAmount(fs *faults, path string, m material.Material) {
	switch {
	case a.Amount.Share == nil && a.Amount.Mass == nil && a.Amount.Volume == nil:
		fs.add(path, `amount = "1.5 %" of the fats, or a mass, or a volume`, "%s has no amount", m.Name)
	case a.Amount.Volume != nil:
		if _, ok := m.SpoonDensity(); !ok {
			fs.add(path+".amount", "give its mass", "%s by volume: nobody here knows what a spoon of it weighs", m.Name)
		}
		if a.Amount.Volume.ML() > maxMassG {
			fs.add(path+".amount", "is the unit right?", "%s is more than a tonne", a.Amount.Volume)
		}
	}
	checkPart(fs, path+".amount", a.Amount.Share, 200, "an addition's share of the fats")
	checkMass(fs, path+".amount", a.Amount.Mass)
}
