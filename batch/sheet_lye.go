package batch

import (
	"fmt"
	"slices"

	"barwright/recipe"
)

func (sh *Sheet) addLye() {
	p := sh.Plan
	sh.add(Step{ID: "tare.jug", Type: Tare, Part: theLye, Vessel: "jug", Do: "Empty jug on the scale"})
	water := Step{ID: "weigh.water", Type: Weigh, Part: theLye, Vessel: "jug", Do: "Water into the jug", Weigh: sh.target("water", 0)}
	if p.IceG > 0 {
		water.Warn = append(water.Warn, fmt.Sprintf("%.0f g of it as ice", p.IceG))
	}
	sh.add(water)
	for i, a := range p.Additions {
		if a.When == string(recipe.InLye) && !p.AdditionMaterial(i).Foams {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theLye, Vessel: "jug", Do: "Into the water, and dissolve it", Weigh: sh.target("additions", i)})
		}
	}
	for i, a := range p.Alkali {
		s := Step{ID: fmt.Sprintf("weigh.alkali.%d", i), Type: Weigh, Part: theLye, Vessel: "mix", Do: "Weigh it dry, in its own cup", Weigh: sh.target("alkali", i),
			Warn: []string{"Not a step more than this"}}
		if a.Stock {
			s.Do = "Stock lye, into its own cup"
		}
		sh.add(s)
	}
	sh.add(Step{ID: "mix", Type: Act, Part: theLye, Vessel: "jug", Do: "Lye into the water, little by little, stirring", Warn: sh.mixWarnings()})
	sh.add(Step{ID: "check.jug", Type: Check, Part: theLye, Vessel: "jug", Do: "Jug on the scale: is everything in it, and nothing more?"})
}

func (sh *Sheet) mixWarnings() []string {
	p := sh.Plan
	warn := []string{"Goggles on, window open, face away from the steam"}
	if p.Lye.PeakC != nil {
		warn = append(warn, fmt.Sprintf("It can reach %.0f °C", *p.Lye.PeakC))
	} else {
		warn = append(warn, "How hot it gets is not known: stop and wait when it steams")
	}
	for i, a := range p.Additions {
		m := p.AdditionMaterial(i)
		if a.When == string(recipe.InLye) && m.Foams && m.Water.Typical > 50 {
			warn = append(warn, fmt.Sprintf("%s goes in when the lye is cool: have it ice-cold", a.Name))
		}
	}
	return warn
}

// solidFromC is the melting point from which a fat counts as solid in the room
// [°C].
const solidFromC = 23

// addFats puts what is solid first, waxes and free acids into what is molten,
// and the oils last: they cool the pot.
func (sh *Sheet) addFats() {
	p := sh.Plan
	var hard, stiff, oils []int
	for i := range p.Fats {
		m := p.FatMaterial(i)
		switch {
		case m.Melting.Known() && m.Melting.Low > 45 || m.Crystal.Known() && m.Crystal.MeltC > 45:
			stiff = append(stiff, i)
		case m.Melting.Known() && m.Melting.Typical > solidFromC:
			hard = append(hard, i)
		default:
			oils = append(oils, i)
		}
	}
	if len(hard) == 0 && len(stiff) > 0 && len(oils) > 0 { // something must carry the wax
		hard, oils = oils[:1], oils[1:]
	}
	sh.add(Step{ID: "tare.pot", Type: Tare, Part: theFats, Vessel: "pot", Do: "Empty pot on the scale"})
	weigh := func(i int, warn ...string) {
		sh.add(Step{ID: fmt.Sprintf("weigh.fats.%d", i), Type: Weigh, Part: theFats, Vessel: "pot", Do: "Into the pot", Weigh: sh.target("fats", i), Warn: warn})
	}
	for _, i := range hard {
		weigh(i)
	}
	for _, i := range stiff {
		weigh(i, fmt.Sprintf("Melt it into the %s first. It must look clear before the other fats go in", lowerFirst(p.Fats[slices.Concat(hard, stiff)[0]].Name)))
	}
	if len(hard)+len(stiff) > 0 {
		warn := []string{}
		if c := p.Combine.ClearC; c != nil {
			warn = append(warn, fmt.Sprintf("Clear means above %.0f °C, without a cloud or a grain", *c))
		}
		sh.add(Step{ID: "melt", Type: Act, Part: theFats, Vessel: "pot", Do: "Melt until it is clear", Warn: warn})
	}
	for _, i := range oils {
		weigh(i)
	}
	for i, a := range p.Additions {
		if a.When == string(recipe.InFats) {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theFats, Vessel: "pot", Do: "Into the fats", Weigh: sh.target("additions", i)})
		}
	}
	sh.add(Step{ID: "check.pot", Type: Check, Part: theFats, Vessel: "pot", Do: "Pot on the scale: is every fat in it?"})
}
