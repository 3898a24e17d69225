package recipe

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/internal/near"
	"barwright/material"
	"barwright/mould"
	"barwright/quantity"
)

// Most lines of a list; a batch with more is a mistake.
const (
	maxFats      = 60
	maxAdditions = 60
)

// Check returns everything that makes the recipe unusable, in the order of
// the file; nothing when it can be planned. lib knows the materials.
func (r Recipe) Check(lib *material.Library) []Fault {
	var fs faults
	r.checkHead(&fs)
	r.checkSize(&fs)
	r.checkAlkali(&fs, lib)
	r.checkFats(&fs, lib)
	r.checkAdditions(&fs, lib)
	r.checkLye(&fs)
	r.checkCombine(&fs)
	r.checkMould(&fs)
	r.checkRest(&fs)
	r.checkScale(&fs)
	return fs
}

func (r Recipe) checkHead(fs *faults) {
	if r.Format != 1 {
		fs.add("format", "write format = 1 on the first line", "the format is %d; this program reads format 1", r.Format)
	}
	if strings.TrimSpace(r.Name) == "" {
		fs.add("name", `name = "Plain Tow"`, "the recipe has no name")
	}
	if len(r.Name) > 200 || strings.ContainsFunc(r.Name, func(c rune) bool { return c < ' ' || c == 0x7f }) {
		fs.add("name", "", "the name must be one line of at most 200 letters")
	}
	if r.IsFound() {
		r.checkFound(fs)
		return
	}
	if r.Superfat == nil {
		fs.add("superfat", `superfat = "5 %"; or, to have a recipe judged, give the alkali's amount and the water`, "the recipe has no superfat")
	}
	if r.LyeStrength == nil {
		fs.add("lye_strength", `lye_strength = "33 %"`, "the recipe has no lye strength")
	}
	checkShare(fs, "superfat", r.Superfat, 0, 30, "superfat")
	if s := r.LyeStrength; s != nil && s.Percent > 50 {
		fs.add("lye_strength", "33 % is usual; over 50 % does not stay dissolved at room temperature",
			"lye of %s: the most that can be planned is 50 %%", s)
	}
	if s := r.LyeStrength; s != nil && s.Percent < 5 {
		fs.add("lye_strength", "33 % is usual", "lye of %s: the least that can be planned is 5 %%", s)
	}
}

func (r Recipe) checkFound(fs *faults) {
	const advice = "give the amount of every alkali and the water, and neither superfat nor lye_strength; or take the amounts away"
	for i, a := range r.Alkali {
		if a.Amount == nil {
			fs.add(fmt.Sprintf("alkali.%d", i), advice, "this recipe has some of its lye by mass, but not this alkali's amount")
		}
		if a.Share != nil {
			fs.add(fmt.Sprintf("alkali.%d.share", i), advice, "an alkali has an amount or a share, not both")
		}
	}
	if r.Water == nil {
		fs.add("alkali.0.amount", advice, "the alkali has an amount, but there is no water")
	}
	if r.Superfat != nil {
		fs.add("superfat", advice, "superfat is the answer when the alkali's amount is given")
	}
	if r.LyeStrength != nil {
		fs.add("lye_strength", advice, "lye strength follows from the amounts of alkali and water")
	}
}

func (r Recipe) checkSize(fs *faults) {
	byAmount := len(r.Fats) > 0 && r.Fats[0].Amount != nil
	switch n := r.sizes(); {
	case byAmount && n > 0:
		fs.add("size", "take [size] away, or give the fats as shares", "the fats have amounts, so the size is given twice")
	case !byAmount && n == 0:
		fs.add("size", `[size] with one of fats = "880 g", batter = "1.3 kg", mould = true, bars = "11 x 100 g"`, "the recipe has no size")
	case n > 1:
		fs.add("size", "keep one of fats, batter, mould and bars", "%d sizes at once", n)
	}
	if r.Size != nil && r.Size.Mould && r.Mould == nil {
		fs.add("size.mould", `add [mould] with shape and inside`, "the mould sets the size, but there is no [mould]")
	}
	if r.IsFound() && r.sizes() > 0 && (r.Size.Fats == nil) {
		fs.add("size", `fats = "880 g", or amounts for all fats`, "a recipe with its lye by mass must give its fats by mass too")
	}
}

func (r Recipe) sizes() int {
	if r.Size == nil {
		return 0
	}
	n := 0
	for _, is := range []bool{r.Size.Fats != nil, r.Size.Batter != nil, r.Size.Mould, r.Size.Bars != nil} {
		if is {
			n++
		}
	}
	return n
}

func (r Recipe) checkAlkali(fs *faults, lib *material.Library) {
	if len(r.Alkali) == 0 {
		fs.add("alkali", `[[alkali]] with material = "naoh"`, "the recipe has no alkali")
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
			fs.add(path+".material", "", "%q is there twice", a.Material)
		}
		seen[a.Material] = true
		a.check(fs, path)
		if a.Share != nil {
			sum += a.Share.Percent
		} else if len(r.Alkali) > 1 && !r.IsFound() {
			fs.add(path, `share = "95 %", mol % of the alkali`, "with several alkalis each needs its share")
		}
	}
	if len(r.Alkali) > 0 && r.Alkali[0].Share != nil && !r.IsFound() && math.Abs(sum-100) > 0.05 {
		fs.add("alkali.0.share", "shares are mol % of the alkali", "the alkali's shares come to %.4g %%, not 100 %%", sum)
	}
}

func (a Alkali) check(fs *faults, path string) {
	checkShare(fs, path+".share", a.Share, 0, 100, "an alkali's share")
	checkShare(fs, path+".purity", a.Purity, 50, 100, "purity")
	if a.StockStrength != nil {
		checkShare(fs, path+".stock_strength", a.StockStrength, 5, 55, "the strength of a stock lye")
		if a.Purity != nil || a.PurityRange != nil {
			fs.add(path+".purity", "stock_strength says how much pure alkali the solution holds", "purity and stock_strength at once")
		}
	}
	if p := a.PurityRange; p != nil {
		if p.Low.Percent < 50 || p.High.Percent > 100 {
			fs.add(path+".purity_range", "", "purity lies between 50 and 100 %%, not %s", p)
		}
		if a.Purity != nil && (a.Purity.Percent < p.Low.Percent || a.Purity.Percent > p.High.Percent) {
			fs.add(path+".purity_range", "", "the purity %s lies outside its own range %s", a.Purity, p)
		}
	}
}

func (r Recipe) checkFats(fs *faults, lib *material.Library) {
	if len(r.Fats) == 0 {
		fs.add("fats", `[[fats]] with material = "olive" and share = "100 %"`, "the recipe has no fats")
		return
	}
	if len(r.Fats) > maxFats {
		fs.add("fats", "", "%d fats are more than %d", len(r.Fats), maxFats)
		return
	}
	byAmount, sum, seen := r.Fats[0].Amount != nil, 0.0, map[string]bool{}
	for i, f := range r.Fats {
		path := fmt.Sprintf("fats.%d", i)
		checkFatMaterial(fs, path, f.Material, lib)
		if seen[f.Material] {
			fs.add(path+".material", "add the two lines up", "%q is there twice", f.Material)
		}
		seen[f.Material] = true
		switch {
		case f.Share == nil && f.Amount == nil:
			fs.add(path, `share = "55 %"`, "%s has neither share nor amount", f.Material)
		case f.Share != nil && f.Amount != nil, byAmount != (f.Amount != nil):
			fs.add(path, "give all fats as shares, or all as amounts", "%s mixes shares and amounts", f.Material)
		case f.Share != nil:
			sum += f.Share.Percent
			checkShare(fs, path+".share", f.Share, 1e-9, 100.05, "a fat's share")
		}
	}
	if !byAmount && math.Abs(sum-100) > 0.05+1e-9 {
		fs.add("fats.0.share", shareAdvice(sum), "the shares of the fats come to %.5g %%, not 100 %%", sum)
	}
}

func shareAdvice(sum float64) string {
	if sum < 100 {
		return fmt.Sprintf("%.4g %% is missing", 100-sum)
	}
	return fmt.Sprintf("%.4g %% too much", sum-100)
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
		fs.add("additions", "", "%d additions are more than %d", len(r.Additions), maxAdditions)
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
		fs.add(path+".when", `when = "lye", "fats" or "trace"`, "%q is not a time to add it", a.When)
	}
	if a.Strength != nil && !m.InSolution {
		fs.add(path+".strength", "", "%s is not sold in solution, so it has no strength", m.Name)
	}
	checkShare(fs, path+".strength", a.Strength, 0.1, 100, "strength")
	if (a.Limit != nil || a.Stir != "") && m.Kind != material.Scent {
		fs.add(path, "limit and stir belong to scents", "%s is not a scent", m.Name)
	}
	checkStir(fs, path+".stir", a.Stir)
	if a.Flat && !m.Fizzes {
		fs.add(path+".flat", "", "%s holds neither gas nor alcohol", m.Name)
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
	case a.Amount.Share != nil:
		checkShare(fs, path+".amount", a.Amount.Share, 0, 200, "an addition's share of the fats")
	}
}

func checkStir(fs *faults, path, stir string) {
	if stir != "" && stir != Hand && stir != Blender {
		fs.add(path, "stir is hand or blender", "%q is not a way to stir", stir)
	}
}

func (r Recipe) checkLye(fs *faults) {
	if r.Lye == nil {
		return
	}
	checkTemperature(fs, "lye.water_temperature", r.Lye.WaterTemperature, 0, 60)
	checkShare(fs, "lye.ice", r.Lye.Ice, 0, 100, "ice, a share of the water,")
	checkStuff(fs, "lye.vessel", r.Lye.Vessel, true)
}

func (r Recipe) checkCombine(fs *faults) {
	c := r.Combine
	if c == nil {
		return
	}
	if c.FatsTemperature.Unit == "" || c.LyeTemperature.Unit == "" {
		fs.add("combine", `fats_temperature = "40 °C" and lye_temperature = "38 °C"`, "[combine] needs both temperatures")
		return
	}
	checkTemperature(fs, "combine.fats_temperature", &c.FatsTemperature, 0, 120)
	checkTemperature(fs, "combine.lye_temperature", &c.LyeTemperature, 0, 120)
	checkStuff(fs, "combine.pot", c.Pot, true)
	checkStir(fs, "combine.stir", c.Stir)
}

func (r Recipe) checkMould(fs *faults) {
	if r.Mould == nil {
		return
	}
	if key, err := r.Mould.Check(); err != nil {
		fs.addErr("mould."+key, err)
	}
}

func (r Recipe) checkRest(fs *faults) {
	for i, s := range r.Rest {
		path := fmt.Sprintf("rest.%d", i)
		if !slices.Contains(Places, s.Place) {
			advice := "the places are " + strings.Join(Places, ", ")
			if n := near.Word(s.Place, Places); n != "" {
				advice = fmt.Sprintf("did you mean %q? %s", n, advice)
			}
			fs.add(path+".place", advice, "%q is not a place to rest", s.Place)
		}
		if s.For == nil && i < len(r.Rest)-1 {
			fs.add(path, `for = "24 h"; only the last stage goes on without end`, "this stage does not say how long")
		}
		if s.Temperature == nil {
			fs.add(path, `temperature = "20 °C"`, "this stage has no temperature")
		}
		checkTemperature(fs, path+".temperature", s.Temperature, -40, 120)
		checkShare(fs, path+".rh", s.RH, 0, 100, "relative humidity")
		checkStuff(fs, path+".cover", s.Cover, false)
	}
}

func (r Recipe) checkScale(fs *faults) {
	if r.Scale == nil {
		return
	}
	for _, s := range []struct {
		key  string
		step *quantity.Mass
	}{{"fats", r.Scale.Fats}, {"alkali", r.Scale.Alkali}, {"repeatability", r.Scale.Repeatability}} {
		if s.step != nil && (s.step.G() > 100 || s.step.G() < 0.0001) {
			fs.add("scale."+s.key, "the smallest difference it shows, like 1 g", "a scale of %s", s.step)
		}
	}
}

func checkShare(fs *faults, path string, s *quantity.Share, low, high float64, what string) {
	if s != nil && (s.Percent < low || s.Percent > high) {
		fs.add(path, "", "%s lies between %.3g and %.3g %%, not %s", what, low, high, s)
	}
}

func checkTemperature(fs *faults, path string, t *quantity.Temperature, lowC, highC float64) {
	if t != nil && (t.C() < lowC || t.C() > highC) {
		fs.add(path, "", "%s lies between %.0f and %.0f °C, not %s", lastWord(path), lowC, highC, t)
	}
}

// checkStuff checks a vessel, which has a mass, or a cover, which has a
// thickness.
func checkStuff(fs *faults, path string, s *quantity.Stuff, vessel bool) {
	if s == nil {
		return
	}
	fs.addErr(path, mould.CheckStuff(*s))
	if vessel && s.Name != "none" && s.Mass == nil {
		fs.add(path, `like "steel 1.2 kg"`, "%s needs its mass, for the heat it takes", s.Name)
	}
}

func lastWord(path string) string {
	return strings.ReplaceAll(path[strings.LastIndexByte(path, '.')+1:], "_", " ")
}
