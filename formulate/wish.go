package formulate

import "fmt"

// wishKind says what a wish is about.
type wishKind int

const (
	wishMost wishKind = iota // of a fat
	wishLeast
	wishMust
	wishNever
	wishStock // of a lot
	wishCount // number of fats
	wishStep
	wishLimit
)

// wish is one thing that was asked for and could be given up.
type wish struct {
	kind    wishKind
	fat     int // index of the candidate
	lot     int
	limit   int     // index of the limit
	value   float64 // as asked [its unit; g of stock; points of share]
	path    string  // of its key in the file
	written string  // as the maker wrote it
}

// listWishes lists every wish in the order of the file: head, fats, limits.
func (g *problem) listWishes() {
	if n := g.goal.MaxFats; n != nil {
		g.add(wish{kind: wishCount, value: float64(*n), path: "max_fats", written: fmt.Sprintf("max_fats = %d", *n)})
	}
	if s := g.goal.Step; s != nil {
		g.add(wish{kind: wishStep, value: s.Percent, path: "step", written: fmt.Sprintf("step = %q", s)})
	}
	for k, id := range g.goal.Without {
		for i, c := range g.fats {
			if c.ID == id {
				g.add(wish{kind: wishNever, fat: i, path: fmt.Sprintf("without.%d", k), written: "without " + id})
			}
		}
	}
	for i, c := range g.fats {
		g.listFat(i, c)
	}
	k := 0
	for i, l := range g.goal.Limits {
		for _, end := range []struct {
			key   string
			value *Value
		}{{"min", l.Min}, {"max", l.Max}} {
			if end.value != nil {
				g.add(wish{kind: wishLimit, limit: k, value: g.limits[k].value, path: fmt.Sprintf("limits.%d.%s", i, end.key),
					written: fmt.Sprintf("%s %s = %q", l.named(), end.key, end.value.Text)})
				k++
			}
		}
	}
}

func (l Limit) named() string {
	if l.Material != "" {
		return l.Quantity + " of " + l.Material
	}
	return l.Quantity
}

func (g *problem) add(w wish) { g.wishes = append(g.wishes, w) }

func (g *problem) listFat(i int, c *candidate) {
	path := g.pathOf(c.ID)
	of := func(k wishKind, key, value string, v float64) {
		written := fmt.Sprintf("%s %s = %s", c.ID, key, value)
		g.add(wish{kind: k, fat: i, value: v, path: path + "." + key, written: written})
	}
	if m := c.fat.Min; m != nil && m.Percent > 0 {
		of(wishLeast, "min", fmt.Sprintf("%q", m), m.Percent)
	}
	if m := c.fat.Max; m != nil && m.Percent < 100 {
		of(wishMost, "max", fmt.Sprintf("%q", m), m.Percent)
	}
	if c.fat.Must {
		of(wishMust, "must", "true", 0)
	}
	if c.fat.Never {
		of(wishNever, "never", "true", 0)
	}
	for k, l := range c.lots {
		if l.stockG < g.batchG {
			g.add(wish{kind: wishStock, fat: i, lot: k, value: l.stockG, path: path + ".stock", written: fmt.Sprintf("%s stock = \"%s g\"", l.label(c), trim(l.stockG, 3))})
		}
	}
}

// pathOf is where in the file a fat stands; what came from the shelf stands
// nowhere.
func (g *problem) pathOf(id string) string {
	for i, f := range g.goal.Fats {
		if f.Material == id {
			return fmt.Sprintf("fats.%d", i)
		}
	}
	return ""
}

func (l *lot) label(c *candidate) string {
	if l.id != "" {
		return l.id
	}
	return c.ID
}

// little is how far a wish is moved to see what it costs, in its unit; 0 when
// it cannot be moved a little.
func (g *problem) little(w wish) float64 {
	switch w.kind {
	case wishMost, wishNever, wishCount:
		return 1
	case wishLeast:
		return min(1, w.value)
	case wishStock:
		return g.batchG / 100
	case wishLimit:
		return g.limits[w.limit].little
	}
	return 0
}
