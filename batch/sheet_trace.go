package batch

import (
	"fmt"
	"slices"

	"barwright/recipe"
)

// atTrace lists the additions at trace in the order they go in: what must be
// spread first, what hurries last.
func (sh *Sheet) atTrace() (order []int) {
	rank := func(i int) int {
		m := sh.Plan.AdditionMaterial(i)
		switch {
		case m.Kind == "scent" && m.Hurries:
			return 3
		case m.Kind == "scent":
			return 2
		case m.Kind == "sugar":
			return 1
		}
		return 0
	}
	for i, a := range sh.Plan.Additions {
		if a.When == string(recipe.AtTrace) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return rank(a) - rank(b) })
	return order
}

func (sh *Sheet) addCups() {
	for _, i := range sh.atTrace() {
		s := Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: cups, Vessel: "cup", Do: "Ready in its own cup", Weigh: sh.target("additions", i)}
		if m := sh.Plan.AdditionMaterial(i); m.Kind == "scent" && (m.Hurries || m.Rices) {
			s.Warn = []string{"It hurries the batter: mould, film and cover must stand ready before lye and fats meet"}
		}
		sh.add(s)
	}
}

// addCooled is what goes into the lye once it is cool: honey, sugar, milk.
func (sh *Sheet) addCooled() {
	for i, a := range sh.Plan.Additions {
		if a.When == string(recipe.InLye) && sh.Plan.AdditionMaterial(i).Foams {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theLye, Vessel: "jug", Do: "Cold, a little at a time, into lye below 35 °C", Weigh: sh.target("additions", i),
				Warn: []string{"It foams and heats the lye again: a jug of twice the volume, and wait afterwards"}})
		}
	}
}

func (sh *Sheet) addTogether() {
	p, r := sh.Plan, sh.Recipe
	temps := Step{ID: "temperatures", Type: Act, Part: together, Do: "Read both temperatures"}
	if m := r.Combine; m != nil {
		temps.Do = fmt.Sprintf("Fats at %s, lye at %s: read both", m.FatsTemperature, m.LyeTemperature)
	}
	combine := Step{ID: "combine", Type: Act, Part: together, Do: "Lye into the fats in a thin stream"}
	if p.FreeAcidShare() > 0.10 {
		combine.Warn = append(combine.Warn, "The free acids turn to soap on contact: it sets at once and is cooked soft again")
	}
	if p.HardWaxShare() > 0 {
		combine.Warn = append(combine.Warn, "Thickening by cooling is the wax, not a trace: warm it, do not blend it")
	}
	sh.add(temps)
	sh.add(combine)
	sh.add(Step{ID: "trace", Type: Act, Part: together, Do: "Blend in short bursts. Marks stay?"})
	if r.Hot() {
		sh.add(Step{ID: "cook", Type: Act, Part: together, Do: "Cook it, lid on, until it is one clear paste"})
	}
	for _, i := range sh.atTrace() {
		sh.add(sh.addition(i))
	}
	sh.add(Step{ID: "pour", Type: Act, Part: theMould, Do: "Pour", NeedS: needPour})
	sh.add(Step{ID: "finish", Type: Act, Part: theMould, Do: "Smooth the top; film touching the surface keeps ash away"})
}

func (sh *Sheet) addition(i int) Step {
	m, line := sh.Plan.AdditionMaterial(i), sh.Recipe.Additions[i]
	s := Step{ID: fmt.Sprintf("add.additions.%d", i), Type: Act, Part: together, NeedS: needOther}
	how := "by hand"
	if line.Stir == recipe.Blender {
		how = "with the blender"
	}
	s.Do = fmt.Sprintf("%s in, %s", m.Name, how)
	switch m.Kind {
	case "sugar":
		s.NeedS = needSugar
	case "scent":
		s.NeedS, s.Scent = needScent, true
		if m.Rices || m.Hurries {
			s.Warn = []string{"By hand only, blender out; pour at once"}
		}
	case "powder":
		s.NeedS = needPowder
	case "salt":
		s.NeedS = needSalt
	}
	return s
}

func (sh *Sheet) addRest() {
	for i, r := range sh.Recipe.Rest {
		s := Step{ID: fmt.Sprintf("rest.%d", i), Type: Act, Part: theRest, Do: "Rest: " + restWords(r)}
		if i == 0 {
			s.Warn = []string{"The batter stays corrosive: gloves for everything that touches it"}
		}
		sh.add(s)
	}
	if len(sh.Recipe.Rest) == 0 {
		sh.add(Step{ID: "rest.0", Type: Act, Part: theRest, Do: "Rest"})
	}
	sh.add(Step{ID: "turn_out", Type: Act, Part: theRest, Do: "Turn out, gloves on"})
	sh.add(Step{ID: "cut", Type: Act, Part: theRest, Do: "Cut, gloves on", Warn: []string{"Gloves until 48 hours after this"}})
}

func restWords(r recipe.Rest) string {
	text := r.Place
	if r.Temperature != nil {
		text += " at " + r.Temperature.String()
	}
	if r.Cover != nil && r.Cover.Name != "none" {
		text += ", under " + r.Cover.String()
	}
	if r.Fan {
		text += ", with a fan"
	}
	if r.For != nil {
		text += ", for " + r.For.String()
	}
	return text
}
