package share

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/finding"
	"barwright/internal/near"
	"barwright/material"
	"barwright/mould"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
)

// Wish is what a reader's copy of a recipe should fit. What is not given stays
// as the recipe has it.
type Wish struct {
	Use    map[string]string // what to use instead: ids of materials, by the path of the line
	Mould  *mould.Mould
	Fill   bool // as big as fills the mould
	Fats   *quantity.Mass
	Bars   *quantity.Bars
	Scale  *quantity.Mass // its step
	Alkali *quantity.Mass // step of the scale for the alkali

	ScaleCarries, AlkaliCarries *quantity.Mass // at most; nil when that is not known
}

// Apply returns the recipe as wished: the same soap, at another size, in
// another mould, weighed on another scale. The error is what keeps the recipe
// from being planned, a recipe.Fault; the copy that came so far is returned
// with it.
func (w Wish) Apply(r recipe.Recipe, lib *material.Library) (recipe.Recipe, error) {
	for path, id := range w.Use {
		out, err := r.With(finding.Edit{Key: path, Value: id})
		if err != nil {
			return r, err
		}
		r = out
	}
	if w.Mould != nil {
		r.Mould = w.Mould
	}
	if w.Scale != nil || w.Alkali != nil {
		r.Scale = w.scale(r.Scale)
	}
	if faults := r.Check(lib); len(faults) > 0 {
		return r, faults[0]
	}
	if !w.Fill && w.Fats == nil && w.Bars == nil {
		return r, nil
	}
	p, err := plan.Make(r, lib)
	if err != nil {
		return r, err
	}
	f, err := w.times(p, r.Mould)
	if err != nil {
		return r, err
	}
	return sized(r, p.FatsG, f, w.Fill), nil
}

func (w Wish) scale(now *recipe.Scale) *recipe.Scale {
	var s recipe.Scale
	if now != nil {
		s = *now
	}
	if w.Scale != nil {
		s.Fats, s.FatsCapacity = w.Scale, w.ScaleCarries
	}
	if w.Alkali != nil {
		s.Alkali, s.AlkaliCapacity = w.Alkali, w.AlkaliCarries
	}
	return &s
}

// times is how many times as big as planned the batch should be. Everything in
// it grows alike, so volume and bars grow in a straight line.
func (w Wish) times(p *plan.Plan, m *mould.Mould) (float64, error) {
	switch {
	case w.Fats != nil:
		return w.Fats.G() / p.FatsG, nil
	case w.Bars != nil:
		return float64(w.Bars.Count) * w.Bars.Each.G() / (p.Batter.MassG * (1 - p.Bar.Loss.Typical/100)), nil
	case m == nil:
		return 0, recipe.Fault{Path: "mould", Text: "there is no mould to fill", Advice: "choose one"}
	}
	return m.FillPercent() / p.Mould.FillPct, nil
}

// sized returns the recipe f times as big, its fats to the whole gram, or to
// 0.1 g below 100 g; down where the mould is the limit.
func sized(r recipe.Recipe, fatsG, f float64, down bool) recipe.Recipe {
	step := 1.0
	if fatsG*f < 100 {
		step = 0.1
	}
	g := math.Round(fatsG*f/step) * step
	if down {
		g = math.Floor(fatsG*f/step) * step
	}
	g = math.Max(step, math.Round(g*10)/10)
	r = r.Times(g / fatsG)
	if r.Fats[0].Share != nil {
		fats := quantity.Grams(g)
		r.Size = &recipe.Size{Fats: &fats}
	}
	return r
}

// Missing is a material of a recipe that a library does not hold, and the one
// it most likely is, "" when none is near.
type Missing struct{ Path, ID, Nearest string }

// Misses lists the materials of a recipe that a library does not hold.
func Misses(r recipe.Recipe, lib *material.Library) []Missing {
	var out []Missing
	look := func(list string, i int, id string, fits func(material.Kind) bool) {
		if _, err := lib.Find(id); err != nil {
			out = append(out, Missing{fmt.Sprintf("%s.%d.material", list, i), id, nearest(id, lib, fits)})
		}
	}
	for i, f := range r.Fats {
		look("fats", i, f.Material, material.Kind.IsFat)
	}
	for i, a := range r.Additions {
		look("additions", i, a.Material, func(k material.Kind) bool { return !k.IsFat() && k != material.Alkali })
	}
	return out
}

// nearest returns the id that is a slip of the finger away, or shares most
// words with it.
func nearest(id string, lib *material.Library, fits func(material.Kind) bool) string {
	var ids []string
	for _, have := range lib.IDs() {
		if m, err := lib.Find(have); err == nil && fits(m.Kind) {
			ids = append(ids, have)
		}
	}
	if word := near.Word(id, ids); word != "" {
		return word
	}
	parts := func(s string) []string {
		return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == '_' || r == '-' || r == ' ' })
	}
	best, most := "", 0
	for _, have := range ids {
		n := 0
		for _, word := range parts(id) {
			if len(word) > 2 && word != "oil" && slices.Contains(parts(have), word) {
				n++
			}
		}
		if n > most {
			best, most = have, n
		}
	}
	return best
}
