package formulate

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/internal/near"
)

// measureAt returns the measure that a limit, target or curve names.
func (g *problem) measureAt(path, name, id string) (*measure, error) {
	if name != "share" {
		if id != "" {
			return nil, fault(path+".material", `with quantity = "share"`, "a material stands only beside a share")
		}
		m, advice := findMeasure(name)
		if m == nil {
			return nil, fault(path+".quantity", advice, "unknown quantity %.40q", name)
		}
		return m, g.measurable(path+".quantity", m)
	}
	if id == "" {
		return nil, fault(path+".quantity", `material = "coconut"`, "a share needs its material")
	}
	for _, c := range g.fats {
		if c.ID == id {
			return shareOf(id, lower(c.Name)), nil
		}
	}
	m, err := g.findFat(path+".material", id)
	if err != nil {
		return nil, err
	}
	if g.goal.Shelf {
		return shareOf(id, lower(m.Name)), nil
	}
	advice := "add it to the [[fats]]"
	if n := near.Word(id, g.ids()); n != "" {
		advice = fmt.Sprintf("did you mean %q? or %s", n, advice)
	}
	return nil, fault(path+".material", advice, "%s is not among the fats", m.Name)
}

func (g *problem) ids() (out []string) {
	for _, c := range g.fats {
		out = append(out, c.ID)
	}
	return out
}

// measurable looks for what a measure needs that the goal does not say.
func (g *problem) measurable(path string, m *measure) error {
	switch {
	case m.name == "cost_per_bar" && g.barG == 0:
		return fault(path, `bar = "110 g", as poured`, "the price of a bar needs its weight")
	case m.name == "change" && len(g.goal.Objective.From) == 0:
		return fault(path, "[[objective.from]] with material and share, for every fat of it", "change needs the recipe it is from")
	case strings.HasPrefix(m.name, "cost"):
		return g.priced()
	}
	return nil
}

// priced makes sure that every candidate has a price. What lies on the shelf
// without one is left out, and that is said.
func (g *problem) priced() error {
	for i := 0; i < len(g.fats); i++ {
		c := g.fats[i]
		unpriced := func(l *lot) bool { return math.IsNaN(l.perKg) }
		if !slices.ContainsFunc(c.lots, unpriced) {
			continue
		}
		if !g.goal.Shelf {
			return fault(fmt.Sprintf("fats.%d", i), `price = "5.10 / kg"`, "%s has no price", c.Name)
		}
		if c.fat.Must {
			at := slices.IndexFunc(g.goal.Fats, func(f Fat) bool { return f.Material == c.ID })
			return fault(fmt.Sprintf("fats.%d.price", at), `price = "5.10 / kg"`, "%s has no price, and it is asked for", c.Name)
		}
		c.lots = slices.DeleteFunc(c.lots, unpriced)
		g.notes = append(g.notes, c.Name+": what has no price was left out")
		if len(c.lots) == 0 {
			g.fats = slices.Delete(g.fats, i, i+1)
			i--
		}
	}
	return nil
}

func (g *problem) readLimits() error {
	if n := len(g.goal.Limits); n > maxLimits {
		return fault(fmt.Sprintf("limits.%d", maxLimits), "leave out what others imply", "%d limits are more than %d", n, maxLimits)
	}
	for i, l := range g.goal.Limits {
		path := fmt.Sprintf("limits.%d", i)
		m, err := g.measureAt(path, l.Quantity, l.Material)
		if err != nil {
			return err
		}
		if l.Min == nil && l.Max == nil {
			return fault(path, `max = "12 %" or min, or both`, "the limit has neither min nor max")
		}
		for _, end := range []struct {
			key   string
			value *Value
			min   bool
		}{{"min", l.Min, true}, {"max", l.Max, false}} {
			if end.value == nil {
				continue
			}
			v, err := m.read(*end.value)
			if err != nil {
				return at(path+"."+end.key, err)
			}
			if end.min && m.onlyMax {
				return fault(path+".min", "give it a max", "%s cannot be asked to be at least something", m.words)
			}
			g.limits = append(g.limits, limit{m, end.min, v})
		}
	}
	return nil
}

func (g *problem) objective() error {
	o := g.goal.Objective
	if !slices.Contains(objectives, o.Minimise) {
		advice := "minimise = " + strings.Join(objectives, ", ")
		if n := near.Word(o.Minimise, objectives); n != "" {
			advice = fmt.Sprintf("did you mean %q? %s", n, advice)
		}
		if o.Minimise == "" {
			return fault("objective", `[objective] with minimise = "cost"`, "the goal does not say what to minimise")
		}
		return fault("objective.minimise", advice, "%.40q is nothing that can be minimised", o.Minimise)
	}
	if err := g.readFrom(); err != nil {
		return err
	}
	switch {
	case o.Minimise == Distance && len(o.Targets) == 0:
		return fault("objective.minimise", "[[objective.targets]] with quantity and value", "there is nothing to come near to")
	case (o.Minimise == Change || o.Minimise == Behaviour) && len(o.From) == 0:
		return fault("objective.minimise", "[[objective.from]] with material and share, for every fat of it", "%s needs the recipe it is from", o.Minimise)
	case o.Minimise == Cost:
		return g.priced()
	}
	return g.readTargets()
}

func (g *problem) readFrom() error {
	sum := 0.0
	for i, p := range g.goal.Objective.From {
		path := fmt.Sprintf("objective.from.%d", i)
		m, err := g.findFat(path+".material", p.Material)
		if err != nil {
			return err
		}
		if p.Share == nil || p.Share.Percent <= 0 {
			return fault(path, `share = "55 %"`, "%s has no share", m.Name)
		}
		sum += p.Share.Percent
		g.from = append(g.from, portion{newCandidate(m), &lot{}, p.Share.Percent})
	}
	if len(g.from) > 0 && math.Abs(sum-100) > 0.05 {
		return fault("objective.from.0.share", "the shares of a recipe come to 100 %", "the shares of the recipe come to %s %%", trim(sum, 4))
	}
	return nil
}

func (g *problem) readTargets() error {
	if g.goal.Objective.Minimise == Behaviour {
		g.targets = g.likeness()
	}
	for i, t := range g.goal.Objective.Targets {
		path := fmt.Sprintf("objective.targets.%d", i)
		m, err := g.measureAt(path, t.Quantity, t.Material)
		if err != nil {
			return err
		}
		if !m.linear() {
			return fault(path+".quantity", "set it a limit", "%s can be limited, but not aimed at", m.words)
		}
		if t.Value == nil {
			return fault(path, `value = "18 %"`, "the target has no value")
		}
		v, err := m.read(*t.Value)
		if err != nil {
			return at(path+".value", err)
		}
		w := 1.0
		if t.Weight != nil {
			w = *t.Weight
		}
		if w <= 0 || w > 1e6 {
			return fault(path+".weight", "weight = 1 is usual", "a weight of %g is not above 0", w)
		}
		g.targets = append(g.targets, target{m, v, w})
	}
	return nil
}

func (g *problem) curve() error {
	c := g.goal.Curve
	if c == nil {
		return nil
	}
	m, err := g.measureAt("curve", c.Quantity, c.Material)
	if err != nil {
		return err
	}
	if c.From == nil || c.To == nil {
		return fault("curve", `from = "8 %" and to = "20 %"`, "the curve does not say from where to where")
	}
	if c.Min && m.onlyMax {
		return fault("curve.min", "leave it out", "%s cannot be asked to be at least something", m.words)
	}
	if c.Points < 0 || c.Points == 1 || c.Points > maxPoints {
		return fault("curve.points", "7 is usual", "a curve has 2 to %d points, not %d", maxPoints, c.Points)
	}
	for _, end := range []struct {
		key   string
		value *Value
	}{{"from", c.From}, {"to", c.To}} {
		if _, err := m.read(*end.value); err != nil {
			return at("curve."+end.key, err)
		}
	}
	return nil
}
