package plan

import (
	"fmt"
	"math"
	"strings"

	"barwright/finding"
)

// The edits that fixes are made of.

func edit(key, format string, args ...any) finding.Edit {
	return finding.Edit{Key: key, Value: fmt.Sprintf(format, args...)}
}

// downTo prints a mass as a scale shows it, down to its step.
func downTo(g float64, s Steps) string { return s.Show(floorTo(g, s.StepG)) }

// resize returns the edits that make the batch f times as big, f <= 1 rounded
// down, f > 1 up to the next ten grams.
func (p *Plan) resize(f float64) []finding.Edit {
	if p.recipe.Fats[0].Amount == nil && !p.recipe.IsFound() {
		g := math.Floor(p.FatsG * f)
		if f > 1 {
			g = math.Ceil(p.FatsG*f/10) * 10
		}
		return []finding.Edit{edit("size.fats", "%s g", shortNumber(g)), edit("size.batter", ""), edit("size.mould", ""), edit("size.bars", "")}
	}
	var out []finding.Edit
	mass := func(key string, g float64) {
		if g *= f; g > 1 {
			g = floorTo(g, 0.01)
		}
		out = append(out, edit(key, "%s g", shortNumber(g)))
	}
	if p.recipe.Size != nil {
		mass("size.fats", p.FatsG)
	}
	for i, line := range p.recipe.Fats {
		if line.Amount != nil {
			mass(fmt.Sprintf("fats.%d.amount", i), line.Amount.G())
		}
	}
	for i, line := range p.recipe.Additions {
		if line.Amount.Mass != nil {
			mass(fmt.Sprintf("additions.%d.amount", i), line.Amount.Mass.G())
		}
	}
	if p.recipe.IsFound() {
		for i, line := range p.recipe.Alkali {
			mass(fmt.Sprintf("alkali.%d.amount", i), line.Amount.G())
		}
		mass("water", p.recipe.Water.G())
	}
	return out
}

// setSuperfat returns the edits that bring the typical superfat to percent:
// the wish itself, or less or more of the alkali of a found recipe.
func (p *Plan) setSuperfat(percent float64) (text string, edits []finding.Edit) {
	if !p.recipe.IsFound() {
		return fmt.Sprintf("Set the superfat to %s %%", shortNumber(percent)), []finding.Edit{edit("superfat", "%s %%", shortNumber(percent))}
	}
	now := p.charge.alkaliMol()
	f := 1 + (p.superfat().Typical-percent)/100*p.charge.dosedMol()/now
	var words []string
	for i, a := range p.charge.alkalis {
		g := downTo(math.Max(0, a.massG*f), p.steps("alkali"))
		edits = append(edits, edit(fmt.Sprintf("alkali.%d.amount", i), "%s", g))
		words = append(words, fmt.Sprintf("%s instead of %s of %s", g, p.recipe.Alkali[i].Amount, lowerName(a.Name)))
	}
	return "Weigh " + strings.Join(words, " and "), edits
}

// setFatShare returns the edits that bring one fat to a share of the fats
// [0..1], the others keeping their proportions; nil when it is the only fat.
func (p *Plan) setFatShare(i int, share float64) []finding.Edit {
	fats := p.charge.fats
	was := fats[i].massG / p.FatsG
	if was >= 1 {
		return nil
	}
	var out []finding.Edit
	left := 100.0
	for k, f := range fats {
		now := f.massG / p.FatsG
		if k == i {
			now = share
		} else {
			now *= (1 - share) / (1 - was)
		}
		if p.recipe.Fats[k].Amount != nil {
			out = append(out, edit(fmt.Sprintf("fats.%d.amount", k), "%s g", shortNumber(math.Round(now*p.FatsG*100)/100)))
			continue
		}
		percent := math.Round(now*1e4) / 100
		if k == len(fats)-1 {
			percent = math.Round(left*100) / 100
		}
		left -= percent
		out = append(out, edit(fmt.Sprintf("fats.%d.share", k), "%s %%", shortNumber(percent)))
	}
	return out
}

// setAddition returns the edit that makes an addition f times as much, f < 1,
// as a mass rounded down to the step of the scale or, below that, to 0.01 g.
func (p *Plan) setAddition(i int, massG float64) finding.Edit {
	s := p.steps("fats")
	if massG < s.StepG {
		s = Steps{0.01, "g"}
	}
	return edit(fmt.Sprintf("additions.%d.amount", i), "%s", downTo(massG, s))
}

// warmTo returns the edits that have fats and lye both at least at tC.
func (p *Plan) warmTo(tC float64) (text string, edits []finding.Edit) {
	fatsC, lyeC := tC, tC
	if m := p.recipe.Combine; m != nil {
		fatsC, lyeC = math.Max(fatsC, m.FatsTemperature.C()), math.Max(lyeC, m.LyeTemperature.C())
	}
	return fmt.Sprintf("Combine with the fats at %.0f °C and the lye at %.0f °C", fatsC, lyeC),
		[]finding.Edit{edit("combine.fats_temperature", "%s °C", shortNumber(fatsC)), edit("combine.lye_temperature", "%s °C", shortNumber(lyeC))}
}

// lowerName puts a material's name inside a sentence.
func lowerName(name string) string {
	if name == "" {
		return name
	}
	return strings.ToLower(name[:1]) + name[1:]
}
