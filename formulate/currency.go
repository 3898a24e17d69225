package formulate

import (
	"fmt"
	"strings"

	"barwright/quantity"
)

// oneCurrency makes sure that all prices of the goal are in one currency, the
// workshop's where it is known: nothing here knows a rate.
func (g *problem) oneCurrency() error {
	for i, f := range g.goal.Fats {
		path := fmt.Sprintf("fats.%d", i)
		if err := g.priceIn(path+".price", f.Price); err != nil {
			return err
		}
		for k, l := range f.Lots {
			if err := g.priceIn(fmt.Sprintf("%s.lots.%d.price", path, k), l.Price); err != nil {
				return err
			}
		}
	}
	for i, l := range g.goal.Limits {
		path := fmt.Sprintf("limits.%d", i)
		if err := g.valuesIn(l.Quantity, path+".min", l.Min, path+".max", l.Max); err != nil {
			return err
		}
	}
	for i, t := range g.goal.Objective.Targets {
		if err := g.valuesIn(t.Quantity, fmt.Sprintf("objective.targets.%d.value", i), t.Value, "", nil); err != nil {
			return err
		}
	}
	if c := g.goal.Curve; c != nil {
		return g.valuesIn(c.Quantity, "curve.from", c.From, "curve.to", c.To)
	}
	return nil
}

// valuesIn looks at two values of a quantity of money. What cannot be read is
// told where it is read.
func (g *problem) valuesIn(name, first string, a *Value, second string, b *Value) error {
	if !strings.HasPrefix(name, "cost") {
		return nil
	}
	if err := g.textIn(first, a); err != nil {
		return err
	}
	return g.textIn(second, b)
}

func (g *problem) textIn(path string, v *Value) error {
	if v == nil {
		return nil
	}
	p, err := quantity.ParsePrice(v.Text)
	if err != nil {
		return nil
	}
	return g.priceIn(path, &p)
}

// priceIn refuses a price in another currency than those before it.
func (g *problem) priceIn(path string, p *quantity.Price) error {
	switch {
	case p == nil || p.In == "" || p.In == g.currency:
		return nil
	case g.currency == "":
		g.currency = p.In
		return nil
	}
	return fault(path, "change it into "+g.currency, "prices are in %s here, and this one is in %s: no rate between them is known", g.currency, p.In)
}

// inMoney writes the currency into the prices of a sentence, where it is known.
func (g *problem) inMoney(text string) string {
	if g.currency == "" {
		return text
	}
	unit := " " + g.currency
	return strings.NewReplacer(" / kg", unit+" / kg", " each", unit+" each", " a kilo of fats", unit+" a kilo of fats").Replace(text)
}
