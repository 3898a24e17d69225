package recipe

import (
	"fmt"
	"strings"

	"barwright/material"
)

// Most lines of a list, a mass [g] and a stage of rest [s]; a batch with more
// is a mistake.
const (
	maxFats      = 60
	maxAdditions = 60
	maxAlkalis   = 10
	maxRests     = 40
	maxMassG     = 1e6
	maxRestS     = 60 * 24 * 3600
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
	checkLine(fs, "name", r.Name)
	checkNote(fs, "note", r.Note)
	if r.Method != "" && r.Method != "cold" && r.Method != "hot" {
		fs.add("method", "method is cold or hot", "%.40q is not a method", r.Method)
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
	checkMass(fs, "water", r.Water)
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
	if s := r.Size; s != nil {
		checkMass(fs, "size.fats", s.Fats)
		checkMass(fs, "size.batter", s.Batter)
		if b := s.Bars; b != nil && float64(b.Count)*b.Each.G() > maxMassG {
			fs.add("size.bars", "is the unit right?", "%s come to more than a tonne", b)
		}
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
