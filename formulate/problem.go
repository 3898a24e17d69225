package formulate

import (
	"fmt"
	"math"
	"strings"

	"barwright/lye"
	"barwright/makeup"
	"barwright/material"
	"barwright/quantity"
	"barwright/recipe"
)

// What holds where a goal says nothing.
const (
	usualSuperfat = 5.0  // [%]
	usualStrength = 33.0 // [%]
	usualBatchG   = 1000.0
	usualDistance = 10.0 // [points]
	usualPoints   = 7
	leastMust     = 1.0 // of a fat that must be used, without steps and min [%]
)

// Most of everything; more is a mistake.
const (
	maxCandidates   = 200
	maxLimits       = 100
	maxAlternatives = 20
	maxPoints       = 50
)

// problem is a goal made sure of: every material found, every value read.
type problem struct {
	currency string // of all prices, "" when nobody said
	goal     Goal
	lib      *material.Library
	superfat float64 // [0..1]
	strength float64 // pure alkali / lye
	batchG   float64
	barG     float64
	koh      float64 // share of potassium hydroxide in the alkali, by mol
	fats     []*candidate
	limits   []limit
	targets  []target
	from     []portion
	wishes   []wish
	notes    []string
}

// candidate is a fat that may be used, with the figures its measures need.
type candidate struct {
	material.Material
	fat          Fat
	lots         []*lot
	groups       map[material.Group]float64
	iodine, cox  float64
	unsaponified float64
	index        int                   // its place among the candidates
	spreads      map[string][2]float64 // see spread
}

// lot is one lot of a candidate; a goal without lots has one without a name.
type lot struct {
	id     string
	perKg  float64 // NaN when nobody gave it
	own    bool
	free   bool    // our own without a price, counted as 0
	stockG float64 // +Inf when nobody said
}

// limit is one end of a limit.
type limit struct {
	*measure
	atLeast bool
	value   float64
}

type target struct {
	*measure
	value, weight float64
}

// newProblem returns the goal made sure of, or the first recipe.Fault in the
// order of the file.
func newProblem(goal Goal, lib *material.Library) (*problem, error) {
	g := &problem{goal: goal, lib: lib, superfat: usualSuperfat / 100, strength: usualStrength / 100, batchG: usualBatchG, currency: strings.ToUpper(goal.Currency)}
	for _, step := range []func() error{g.head, g.oneCurrency, g.candidates, g.without, g.readLimits, g.objective, g.curve, g.making} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	for i, c := range g.fats {
		c.index = i
	}
	g.listWishes()
	return g, nil
}

func fault(path, advice, format string, args ...any) error {
	return recipe.Fault{Path: path, Text: fmt.Sprintf(format, args...), Advice: advice}
}

// at gives an error the place it belongs to.
func at(path string, err error) error {
	if err == nil {
		return nil
	}
	advice := ""
	if h, ok := err.(interface{ Hint() string }); ok {
		advice = h.Hint()
	}
	return fault(path, advice, "%v", err)
}

func (g *problem) head() error {
	o := g.goal
	if o.Format != 1 {
		return fault("format", "write format = 1 on the first line", "the format is %d; this program reads format 1", o.Format)
	}
	if len([]rune(o.Name)) > 200 || strings.ContainsFunc(o.Name, func(r rune) bool { return r < ' ' }) {
		return fault("name", "a name is one line", "the name must be one line of at most 200 letters")
	}
	for _, s := range []struct {
		key       string
		share     *quantity.Share
		low, high float64
		to        *float64
	}{{"superfat", o.Superfat, 0, 30, &g.superfat}, {"lye_strength", o.LyeStrength, 5, 50, &g.strength}, {"robust", o.Robust, 1, 99.9, nil}, {"distance", o.Distance, 0.1, 100, nil}} {
		if s.share == nil {
			continue
		}
		if p := s.share.Percent; p < s.low || p > s.high {
			return fault(s.key, "is the decimal mark right?", "%s lies between %g and %g %%, not %s", s.key, s.low, s.high, s.share)
		}
		if s.to != nil {
			*s.to = s.share.Fraction()
		}
	}
	return g.counts()
}

func (g *problem) counts() error {
	o := g.goal
	if o.MaxFats != nil && *o.MaxFats < 1 {
		return fault("max_fats", "leave it out for any number", "a recipe has at least one fat, not %d", *o.MaxFats)
	}
	if s := o.Step; s != nil {
		if n := 100 / s.Percent; s.Percent < 0.1 || s.Percent > 50 || math.Abs(n-math.Round(n)) > 1e-9 {
			return fault("step", `steps of 1 %, 2 %, 2.5 %, 5 % or 0.5 % go into 100 %`, "100 %% is not a whole number of steps of %s, from 0.1 to 50 %%", s)
		}
	}
	if o.Alternatives < 0 || o.Alternatives > maxAlternatives {
		return fault("alternatives", "3 is usual", "alternatives lies between 0 and %d, not %d", maxAlternatives, o.Alternatives)
	}
	for _, m := range []struct {
		key  string
		mass *quantity.Mass
		to   *float64
	}{{"batch", o.Batch, &g.batchG}, {"bar", o.Bar, &g.barG}} {
		if m.mass == nil {
			continue
		}
		if *m.to = m.mass.G(); *m.to < 1 || *m.to > 1e6 {
			return fault(m.key, "is the unit right?", "%s is not a %s", m.mass, m.key)
		}
	}
	return nil
}

func (g *problem) candidates() error {
	if len(g.goal.Fats) == 0 && !g.goal.Shelf {
		return fault("fats", `[[fats]] with material = "coconut" for every fat at hand, or shelf = true`, "the goal has no fats")
	}
	if n := len(g.goal.Fats); n > maxCandidates {
		return fault(fmt.Sprintf("fats.%d", maxCandidates), "leave out what you would not use", "%d fats are more than %d", n, maxCandidates)
	}
	seen := map[string]bool{}
	for i, f := range g.goal.Fats {
		path := fmt.Sprintf("fats.%d", i)
		m, err := g.findFat(path+".material", f.Material)
		if err != nil {
			return err
		}
		if seen[f.Material] {
			return fault(path+".material", "give its lots as [[fats.lots]]", "%.40q is there twice", f.Material)
		}
		seen[f.Material] = true
		c := newCandidate(m)
		c.fat = f
		if err := c.check(path); err != nil {
			return err
		}
		g.fats = append(g.fats, c)
	}
	return nil
}

func (g *problem) findFat(path, id string) (material.Material, error) {
	m, err := g.lib.Find(id)
	if err != nil {
		return m, at(path, err)
	}
	if !m.Kind.IsFat() {
		return m, fault(path, "a goal speaks of fats; the rest comes with the recipe", "%s is not a fat", m.Name)
	}
	return m, nil
}

// newCandidate works out the figures of a material; it has no lots yet.
func newCandidate(m material.Material) *candidate {
	alone := makeup.Fats{{Material: m, MassG: 1}}
	return &candidate{Material: m, groups: alone.Groups(), iodine: makeup.IodineOf(m), cox: makeup.CoxOf(m), unsaponified: alone.UnsaponifiedPercent()}
}

func (c *candidate) check(path string) error {
	f := c.fat
	for _, s := range []struct {
		key   string
		share *quantity.Share
	}{{"min", f.Min}, {"max", f.Max}} {
		if s.share != nil && s.share.Percent > 100 {
			return fault(path+"."+s.key, "is the decimal mark right?", "a share of %s is more than the whole", s.share)
		}
	}
	if f.Min != nil && f.Max != nil && f.Min.Percent > f.Max.Percent {
		return fault(path+".min", "exchange the two, or correct one", "at least %s and at most %s", f.Min, f.Max)
	}
	if len(f.Lots) > 0 && (f.Price != nil || f.Stock != nil || f.Own) {
		return fault(path, "write price, stock and own below each [[fats.lots]]", "%s has lots, and a price or stock beside them", c.Name)
	}
	lots := f.Lots
	if len(lots) == 0 {
		lots = []Lot{{Price: f.Price, Stock: f.Stock, Own: f.Own}}
	}
	ids := map[string]bool{}
	for i, l := range lots {
		if len(f.Lots) > 0 && (l.ID == "" || ids[l.ID]) {
			return fault(fmt.Sprintf("%s.lots.%d", path, i), "the word on its container", "every lot needs an id of its own")
		}
		ids[l.ID] = true
		made, err := l.read()
		if err != nil {
			return at(path+".price", err)
		}
		c.lots = append(c.lots, made)
	}
	return nil
}

func (l Lot) read() (*lot, error) {
	out := &lot{id: l.ID, perKg: math.NaN(), own: l.Own, stockG: math.Inf(1)}
	if l.Stock != nil {
		out.stockG = l.Stock.G()
	}
	if l.Price != nil {
		perGram, ok := l.Price.PerGram()
		if !ok {
			return nil, &quantity.Error{Text: "a fat has a price by mass", Advice: `like "5.10 / kg"`}
		}
		out.perKg = short(1000 * perGram)
	} else if l.Own {
		out.free = true
		out.perKg = 0 // our own costs nothing when it has no price, as on the shelf
	}
	return out, nil
}

// without looks the fats up that must not be used.
func (g *problem) without() error {
	for i, id := range g.goal.Without {
		if _, err := g.findFat(fmt.Sprintf("without.%d", i), id); err != nil {
			return err
		}
	}
	return nil
}

// making checks what the goal says of the making by a recipe of its first fat.
func (g *problem) making() error {
	if len(g.goal.Alkali) == 0 {
		g.goal.Alkali = []recipe.Alkali{{Material: "naoh"}}
	}
	if len(g.fats) == 0 {
		return nil
	}
	probe := g.recipeOf("probe", blend{{g.fats[0], g.fats[0].lots[0], 100}})
	for _, f := range probe.Check(g.lib) {
		if !strings.HasPrefix(f.Path, "fats") {
			return f
		}
	}
	for _, a := range g.goal.Alkali {
		if m, err := g.lib.Find(a.Material); err == nil && (m.ID == "koh" || m.Of == "koh") {
			g.koh += 1
			if a.Share != nil {
				g.koh += a.Share.Fraction() - 1
			}
		}
	}
	return nil
}

// lyePerFat is the lye that a gram of a fat takes [g]. docs/model/formulate.md
// eq. 4.
func (g *problem) lyePerFat(c *candidate) float64 {
	perMol := (1-g.koh)*lye.MolarMassNaOH + g.koh*lye.MolarMassKOH
	return (1 - g.superfat) * lye.DosedSap(c.Material) / lye.MgKOHPerMol * perMol / g.strength
}

func lower(s string) string { return strings.ToLower(s[:min(1, len(s))]) + s[min(1, len(s)):] }
