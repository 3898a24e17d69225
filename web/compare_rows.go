package web

import (
	"fmt"
	"strings"

	"barwright/material"
	"barwright/plan"
)

// consequence is one answer of two plans side by side.
type consequence struct{ What, A, B string }

// consequences puts the answers of two plans side by side, in the order of the
// work.
func consequences(a, b answers) []consequence {
	var out []consequence
	add := func(what string, say func(p answers) string) {
		out = append(out, consequence{what, say(a), say(b)})
	}
	add("fats", func(p answers) string { return number(p.FatsG, 0) + "\u202fg" })
	add("superfat, as weighed", func(p answers) string {
		s := p.Superfat.AsWeighed
		return band(s.Typical, s.Low, s.High)
	})
	add("superfat, exact masses", func(p answers) string { return band(p.Superfat.Typical, p.Superfat.Low, p.Superfat.High) })
	add("worst case, as weighed", func(p answers) string { return number(p.Superfat.AsWeighed.Worst, 1) + "\u202f%" })
	for i := range max(len(a.Alkali), len(b.Alkali)) {
		add("alkali for 1\u202fkg of fats", func(p answers) string { return p.alkaliPerKg(i) })
	}
	add("water for 1\u202fkg of fats", func(p answers) string { return number(1000*p.WaterG/p.FatsG, 0) + "\u202fg" })
	add("lye can reach", func(p answers) string { return degrees(p.Lye.PeakC) })
	add("fats and lye land at", func(p answers) string { return degrees(p.Combine.LandingC) })
	add("falls out below", answers.cloud)
	add("minutes to trace", func(p answers) string { return p.minutes(func(w *plan.Window) plan.Range { return w.ToTrace }) })
	add("minutes until it is too thick to pour", func(p answers) string { return p.minutes(func(w *plan.Window) plan.Range { return w.ToUnpourable }) })
	add("batter", func(p answers) string {
		return fmt.Sprintf("%s\u202fg, %s\u202fml", number(p.Batter.MassG, 0), number(p.Batter.VolumeML, 0))
	})
	add("fills the mould to", answers.fill)
	for _, g := range chainGroups {
		add("fatty acids: "+strings.TrimSuffix(g.name, " and wax"), func(p answers) string { return number(p.groups(g.groups), 0) + "\u202f%" })
	}
	add("wax and other that no lye takes", func(p answers) string { return number(p.Makeup.UnsaponifiedPct, 1) + "\u202f%" })
	add("iodine value", func(p answers) string { return number(p.Makeup.IodineValue, 0) })
	add("oxidation exposure", func(p answers) string { return number(p.Makeup.Oxidation, 1) })
	add("water of the fresh bar", func(p answers) string { return number(p.Bar.Fresh.Water, 0) + "\u202f%" })
	add("water of the cured bar", func(p answers) string { return number(p.Bar.Cured.Water, 0) + "\u202f%" })
	add(fmt.Sprintf("loses in %d days", plan.CureDays), func(p answers) string {
		return fmt.Sprintf("%s\u202f%% (%s)", number(p.Bar.Loss.Typical, 0), span(p.Bar.Loss.Low, p.Bar.Loss.High, 0))
	})
	add("cost of the batch, by the shelf", answers.cost)
	add("cost for 1\u202fkg of fats", answers.costPerKg)
	return out
}

func (p answers) alkaliPerKg(i int) string {
	if i >= len(p.Alkali) {
		return "none"
	}
	return fmt.Sprintf("%s\u202fg %s", number(1000*p.Alkali[i].MassG/p.FatsG, 1), lowerFirst(p.Alkali[i].Name))
}

func (p answers) cloud() string {
	if p.Combine.CloudPoint == nil {
		return "nothing falls out"
	}
	return fmt.Sprintf("%s (%s), %s", degrees(&p.Combine.CloudPoint.Typical), span(p.Combine.CloudPoint.Low, p.Combine.CloudPoint.High, 0), lowerFirst(p.Combine.CloudOf))
}

func (p answers) minutes(which func(*plan.Window) plan.Range) string {
	if p.Window == nil {
		return notSaid
	}
	r := which(p.Window)
	return fmt.Sprintf("%s (%s to %s)", plan.Minutes(r.Typical), plan.Minutes(r.Low), plan.Minutes(r.High))
}

func (p answers) fill() string {
	if p.Mould == nil {
		return notSaid
	}
	return number(p.Mould.FillPct, 0) + "\u202f%"
}

func (p answers) groups(groups []material.Group) (v float64) {
	for _, g := range groups {
		v += p.Makeup.GroupsPct[g]
	}
	return v
}

// cost says how much of the batch is priced, because a lot without a price
// costs something too.
func (p answers) cost() string {
	switch {
	case p.Cost == 0:
		return notSaid
	case !p.Priced:
		return p.money(p.Cost) + ", of what is priced"
	}
	return p.money(p.Cost)
}

func (p answers) costPerKg() string {
	if !p.Priced || p.Cost == 0 {
		return notSaid
	}
	return p.money(1000 * p.Cost / p.FatsG)
}

func (p answers) money(v float64) string {
	return strings.TrimSpace(number(v, 2) + "\u202f" + p.currency)
}

// notSaid stands where the recipe or the shelf says too little.
const notSaid = "not said"

func band(typical, low, high float64) string {
	return fmt.Sprintf("%s\u202f%% (%s)", number(typical, 1), span(low, high, 1))
}

func span(low, high float64, decimals int) string {
	return number(low, decimals) + " to " + number(high, decimals)
}

func degrees(c *float64) string {
	if c == nil {
		return notSaid
	}
	return number(*c, 0) + "\u202f°C"
}
