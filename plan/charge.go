package plan

import (
	"fmt"
	"math"

	"barwright/lye"
	"barwright/material"
	"barwright/recipe"
)

// charge is a recipe turned into masses.
type charge struct {
	recipe    recipe.Recipe
	fats      []fat
	alkalis   []alkali
	additions []addition
	waterG    float64 // plain water to add [g]
}

type fat struct {
	material.Material
	massG  float64
	dose   float64 // mol alkali per g that is dosed for
	sapLaw lye.Law // mol alkali per g that it really binds
}

type alkali struct {
	material.Material
	molShare float64 // of the alkali's mol
	pure     float64 // pure alkali per mass as bought
	pureLaw  lye.Law // the same, as it may really be
	stock    bool    // kept as a solution
	massG    float64 // as bought
}

// molarMass is that of the pure alkali [g/mol]: of nature, never of a file.
func (a alkali) molarMass() float64 {
	if a.base() == "koh" {
		return lye.MolarMassKOH
	}
	return lye.MolarMassNaOH
}

func (a alkali) pureG() float64 { return a.massG * a.pure }
func (a alkali) mol() float64   { return a.pureG() / a.molarMass() }

// base is the alkali a lot is of.
func (a alkali) base() string {
	if a.Of != "" {
		return a.Of
	}
	return a.ID
}

type addition struct {
	material.Material
	line     recipe.Addition
	massG    float64
	water    float64 // water by mass [0..1]
	takes    lye.Law // g NaOH per g
	declared bool    // an acid that is dosed for
	unknown  bool    // an acid of unknown strength
}

// scent is what skin bears a limit of: all lots of one oil are one scent, but
// the materials that stand for any have lots that are scents of their own.
func (a addition) scent() string {
	if a.Of == "" || a.Of == "fragrance_oil" || a.Of == "essential_oil" {
		return a.ID
	}
	return a.Of
}

// inLye reports whether its water counts toward the lye.
func (a addition) inLye() bool { return a.line.When == recipe.InLye }

// resolve looks every material up and fixes what does not depend on the size
// of the batch; the masses of fats given by share are per gram of fats.
func resolve(r recipe.Recipe, lib *material.Library) (charge, error) {
	c := charge{recipe: r}
	for _, f := range r.Fats {
		m, err := lib.Find(f.Material)
		if err != nil {
			return c, err
		}
		massG := 0.0
		if f.Amount != nil {
			massG = f.Amount.G()
		} else {
			massG = f.Share.Fraction()
		}
		c.fats = append(c.fats, fat{m, massG, lye.DosedSap(m) / lye.MgKOHPerMol, lye.SapLaw(m).Scaled(1 / lye.MgKOHPerMol)})
	}
	for _, a := range r.Alkali {
		m, err := lib.Find(a.Material)
		if err != nil {
			return c, err
		}
		c.alkalis = append(c.alkalis, newAlkali(m, a))
	}
	for _, a := range r.Additions {
		m, err := lib.Find(a.Material)
		if err != nil {
			return c, err
		}
		c.additions = append(c.additions, newAddition(m, a))
	}
	return c, nil
}

// Spread of an alkali's assay that its label leaves [points]: Common practice
// for fresh pellets; a potassium hydroxide labelled below 90 % may be that
// strong by its lower limit only (pharmacopoeia: at least 85 %).
const (
	assaySpread     = 0.007
	hiddenKOHSpread = 0.06
	hiddenKOHLabel  = 0.90
)

func newAlkali(m material.Material, line recipe.Alkali) alkali {
	a := alkali{Material: m, molShare: 1, pure: 1}
	if line.Share != nil {
		a.molShare = line.Share.Fraction()
	}
	above := assaySpread
	if line.Purity != nil {
		a.pure = line.Purity.Fraction()
	}
	if a.base() == "koh" && a.pure < hiddenKOHLabel {
		above = hiddenKOHSpread
	}
	low, high := a.pure-assaySpread, math.Min(1, a.pure+above)
	switch {
	case line.StockStrength != nil:
		a.pure, a.stock = line.StockStrength.Fraction(), true
		low, high = a.pure*(1-assaySpread), a.pure*(1+assaySpread)
	case line.PurityRange != nil:
		low, high = line.PurityRange.Low.Fraction(), line.PurityRange.High.Fraction()
		if line.Purity == nil {
			a.pure = (low + high) / 2
		}
	}
	a.pureLaw = lye.NewLaw(low, a.pure, high).Capped(1)
	return a
}

func newAddition(m material.Material, line recipe.Addition) addition {
	a := addition{Material: m, line: line, water: m.Water.Typical / 100}
	strength := 1.0
	if m.InSolution {
		a.unknown = line.Strength == nil
		if !a.unknown {
			strength = line.Strength.Fraction()
		}
		a.water = 1 - strength
	}
	a.takes, a.declared = lye.TakesLaw(m, strength, m.Sugars.Typical/100)
	if a.unknown {
		// Nothing can be dosed for it, and it may take anything up to pure acid.
		a.takes, a.declared, a.water = lye.NewLaw(0, 0, m.TakesNaOH.High), false, 0
	}
	return a
}

// scaled returns the charge for a mass of fats [g]. Fats given by share grow
// with it, and so do the alkali, the water and the additions given by share.
func (c charge) scaled(fatsG float64) charge {
	out := c
	out.fats = append([]fat(nil), c.fats...)
	if c.recipe.Fats[0].Share != nil {
		for i := range out.fats {
			out.fats[i].massG = c.fats[i].massG * fatsG / c.fatsG()
		}
	}
	out.additions = append([]addition(nil), c.additions...)
	for i, a := range out.additions {
		out.additions[i].massG = a.mass(out.fatsG())
	}
	out.alkalis = append([]alkali(nil), c.alkalis...)
	if c.recipe.IsFound() {
		out.takeFoundLye()
	} else {
		out.dose()
	}
	return out
}

func (a addition) mass(fatsG float64) float64 {
	switch amount := a.line.Amount; {
	case amount.Share != nil:
		return amount.Share.Fraction() * fatsG
	case amount.Mass != nil:
		return amount.Mass.G()
	default:
		d, _ := a.SpoonDensity()
		return amount.Volume.ML() * d
	}
}

// dose sets alkali and water by superfat and lye strength.
func (c *charge) dose() {
	for i, mol := range c.demand() {
		a := &c.alkalis[i]
		a.massG = mol * a.molarMass() / a.pure
	}
	c.waterG = c.pureG()/c.recipe.LyeStrength.Fraction() - c.alkaliG() - c.lyeWaterG()
}

// demand returns the mol of each alkali that the fats at the set superfat and
// the declared acids need.
func (c charge) demand() []float64 {
	mol := (1-c.recipe.Superfat.Fraction())*c.dosedMol() + c.acidMol()
	out := make([]float64, len(c.alkalis))
	for i, a := range c.alkalis {
		out[i] = mol * a.molShare
	}
	return out
}

// takeFoundLye sets alkali and water as the found recipe gives them.
func (c *charge) takeFoundLye() {
	for i := range c.alkalis {
		c.alkalis[i].massG = c.recipe.Alkali[i].Amount.G()
	}
	c.waterG = c.recipe.Water.G()
}

func (c charge) fatsG() (g float64) {
	for _, f := range c.fats {
		g += f.massG
	}
	return g
}

// dosedMol is what the fats bind at the values they are dosed by [mol].
func (c charge) dosedMol() (mol float64) {
	for _, f := range c.fats {
		mol += f.massG * f.dose
	}
	return mol
}

// acidMol is what the declared acids take [mol].
func (c charge) acidMol() (mol float64) {
	for _, a := range c.additions {
		if a.declared {
			mol += a.massG * a.takes.Mode / lye.MolarMassNaOH
		}
	}
	return mol
}

func (c charge) alkaliG() (g float64) {
	for _, a := range c.alkalis {
		g += a.massG
	}
	return g
}

func (c charge) alkaliMol() (mol float64) {
	for _, a := range c.alkalis {
		mol += a.mol()
	}
	return mol
}

func (c charge) pureG() (g float64) {
	for _, a := range c.alkalis {
		g += a.pureG()
	}
	return g
}

// kohShare returns the share of potassium hydroxide in the pure alkali, by
// mass and by mol.
func (c charge) kohShare() (byMass, byMol float64) {
	for _, a := range c.alkalis {
		if a.base() == "koh" {
			byMass += a.pureG() / c.pureG()
			byMol += a.mol() / c.alkaliMol()
		}
	}
	return byMass, byMol
}

// lyeWaterG is the water that additions bring into the lye [g].
func (c charge) lyeWaterG() (g float64) {
	for _, a := range c.additions {
		if a.inLye() {
			g += a.massG * a.water
		}
	}
	return g
}

// lyeG is the mass of the lye: alkali as bought, water, and the water of what
// goes into it [g].
func (c charge) lyeG() float64 { return c.alkaliG() + c.waterG + c.lyeWaterG() }

func (c charge) strength() float64 { return c.pureG() / c.lyeG() }

// additionsG is the mass of all additions, their water included [g].
func (c charge) additionsG() (g float64) {
	for _, a := range c.additions {
		g += a.massG
	}
	return g
}

func (c charge) batterG() float64 { return c.fatsG() + c.alkaliG() + c.waterG + c.additionsG() }

// batterWaterG is all water charged: the lye less its pure alkali, and the
// water of every addition [g].
func (c charge) batterWaterG() float64 {
	g := c.lyeG() - c.pureG()
	for _, a := range c.additions {
		if !a.inLye() {
			g += a.massG * a.water
		}
	}
	return g
}

// checkLye returns what makes the lye impossible.
func (c charge) checkLye() error {
	if c.waterG < -1e-9 {
		return recipe.Fault{Path: "lye_strength", Text: fmt.Sprintf("no room for the water: lye of %.4g %% has %.1f g of water, but the additions and the stock lye bring %.1f g",
			100*c.strength(), c.lyeG()-c.pureG(), c.lyeG()-c.pureG()-c.waterG),
			Advice: `put some of it in at trace (when = "trace"), take less of it, or plan a weaker lye`}
	}
	if c.strength() > 0.50+1e-9 {
		return recipe.Fault{Path: "water", Text: fmt.Sprintf("the lye would be %.1f %% alkali; the most that can be planned is 50 %%", 100*c.strength()),
			Advice: fmt.Sprintf("take at least %.0f g of water", math.Ceil(c.waterG+c.pureG()/0.5-c.lyeG()))}
	}
	if c.strength() < 0.05 {
		return recipe.Fault{Path: "water", Text: fmt.Sprintf("the lye would be %.1f %% alkali; the least that can be planned is 5 %%", 100*c.strength()),
			Advice: "check alkali and water: were they swapped?"}
	}
	return nil
}
