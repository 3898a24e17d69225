package recipe

import (
	"math"
	"slices"

	"barwright/quantity"
)

// Times returns the recipe made f times as big, f > 0: everything it gives by
// mass or volume grows alike, in its own units, and the wished size with it. r
// stays as it is. Sizes that follow from a mould stay.
func (r Recipe) Times(f float64) Recipe {
	r.Water = timesMass(r.Water, f)
	if r.Size != nil {
		s := *r.Size
		s.Fats, s.Batter = timesMass(s.Fats, f), timesMass(s.Batter, f)
		r.Size = &s
	}
	r.Alkali, r.Fats, r.Additions = slices.Clone(r.Alkali), slices.Clone(r.Fats), slices.Clone(r.Additions)
	for i := range r.Alkali {
		r.Alkali[i].Amount = timesMass(r.Alkali[i].Amount, f)
	}
	for i := range r.Fats {
		r.Fats[i].Amount = timesMass(r.Fats[i].Amount, f)
	}
	for i := range r.Additions {
		a := &r.Additions[i].Amount
		a.Mass = timesMass(a.Mass, f)
		if a.Volume != nil {
			v := *a.Volume
			v.Value = shorten(v.Value * f)
			a.Volume = &v
		}
	}
	return r
}

func timesMass(m *quantity.Mass, f float64) *quantity.Mass {
	if m == nil {
		return nil
	}
	out := *m
	out.Value = shorten(out.Value * f)
	return &out
}

// shorten keeps six figures: far more than any scale shows, and no tail of
// digits in the file.
func shorten(v float64) float64 {
	p := math.Pow(10, 5-math.Floor(math.Log10(v)))
	return math.Round(v*p) / p
}
