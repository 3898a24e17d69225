package web

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"barwright/quantity"
	"barwright/recipe"
	"barwright/stock"
)

// scalePick is the choice of a scale.
type scalePick struct {
	Of, Label, Now string
	Others         []stock.Scale
}

// ScalePicks are the choices of scales, of those in the workshop.
func (p *planPage) ScalePicks() []scalePick {
	picks := []scalePick{{Of: "fats", Label: "Weighed on"}, {Of: "alkali", Label: "Alkali on"}}
	for i, pick := range picks {
		step := cmp.Or(p.Field("scale."+pick.Of), "1 g")
		picks[i].Now = "steps of " + step
		var now []stock.Scale
		if mass, err := quantity.ParseMass(step); err == nil {
			now = scalesLike(p.Scales, mass.G(), p.carries(pick.Of))
		}
		if len(now) > 0 {
			picks[i].Now = scaleNames(now) + ", " + step
		}
		picks[i].Others = slices.DeleteFunc(slices.Clone(p.Scales), func(s stock.Scale) bool {
			return slices.ContainsFunc(now, func(n stock.Scale) bool { return n.ID == s.ID })
		})
	}
	return picks
}

// carries is what the recipe says that a scale carries, nil when it does not.
func (p *planPage) carries(of string) *quantity.Mass {
	m, err := quantity.ParseMass(p.Field("scale." + of + "_capacity"))
	if err != nil {
		return nil
	}
	return &m
}

func scaleNames(scales []stock.Scale) string {
	var names []string
	for _, s := range scales {
		names = append(names, s.Name)
	}
	return strings.Join(names, " or ")
}

// scalesLike are the scales of the workshop that show such steps and carry so
// much: one, or several that are alike. A recipe that does not say how much may
// mean any of those steps: then it is the one that there is, if there is but one.
func scalesLike(scales []stock.Scale, stepG float64, carries *quantity.Mass) (like []stock.Scale) {
	for _, s := range scales {
		if sameG(s.Step.G(), stepG) && (carries == nil || s.Capacity != nil && sameG(s.Capacity.G(), carries.G())) {
			like = append(like, s)
		}
	}
	if len(like) > 1 && carries == nil {
		return nil
	}
	return like
}

// sameG reports masses that are the same but for the unit they are written in.
func sameG(a, b float64) bool { return math.Abs(a-b) <= 1e-6*b }

// onScales gives a recipe what its scales carry, from the workshop, where it
// says only their steps.
func onScales(r *recipe.Recipe, scales []stock.Scale) {
	var s recipe.Scale
	if r.Scale != nil {
		s = *r.Scale
	}
	carries := func(stepG float64, said *quantity.Mass) *quantity.Mass {
		if said != nil {
			return said
		}
		for _, like := range scalesLike(scales, stepG, nil) {
			return like.Capacity
		}
		return nil
	}
	s.FatsCapacity, s.AlkaliCapacity = carries(r.FatStepG(), s.FatsCapacity), carries(r.AlkaliStepG(), s.AlkaliCapacity)
	r.Scale = &s
}
