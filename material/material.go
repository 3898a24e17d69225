// Package material holds what goes into the pot: fats, waxes, free fatty
// acids, alkalis, liquids and additions, one readable file each, every figure
// with its range, source and grade.
//
// Start with Builtin and Library.Find. A maker's own materials and a lot's
// own certificate are files of the same form (Library.With). What it does not
// hold: prices and stock.
package material

import (
	"cmp"
	"fmt"
	"maps"

	"barwright/quantity"
	"barwright/source"
)

// Kind sorts materials by how the alkali meets them.
type Kind string

// The kinds of material.
const (
	Triglyceride Kind = "triglyceride" // a fat or oil
	Wax          Kind = "wax"          // a wax or wax ester: acids at once, esters hardly
	FreeAcid     Kind = "free_acid"    // a fatty acid, reacts on contact
	Alkali       Kind = "alkali"
	Liquid       Kind = "liquid" // water, milk, beer, tea
	Sugar        Kind = "sugar"  // honey, sugars
	KitchenAcid  Kind = "acid"   // citric, lactic, vinegar: declared, dosed for
	Salt         Kind = "salt"
	Powder       Kind = "powder" // clay, oat, coffee, charcoal
	Scent        Kind = "scent"
	Keeper       Kind = "keeper" // antioxidants and chelators
)

// Kinds lists every kind.
var Kinds = []Kind{Triglyceride, Wax, FreeAcid, Alkali, Liquid, Sugar, KitchenAcid, Salt, Powder, Scent, Keeper}

// IsFat reports whether the kind belongs in the weigh list of fats.
func (k Kind) IsFat() bool { return k == Triglyceride || k == Wax || k == FreeAcid }

// Material is one thing that goes into the pot.
type Material struct {
	ID   string `toml:"id"`
	Name string `toml:"name"`
	INCI string `toml:"inci"`
	From string `toml:"from"` // plant and part, or how it is made
	Kind Kind   `toml:"kind"`
	Of   string `toml:"of"`   // the material this is a lot of, whose figures it takes where it gives none
	Note string `toml:"note"` // anything a maker should know

	Sap            source.Figure `toml:"sap"`            // saponification value [mg KOH/g]
	Iodine         source.Figure `toml:"iodine"`         // [g I2/100 g]
	Unsaponifiable source.Figure `toml:"unsaponifiable"` // [g/kg]
	AcidValue      source.Figure `toml:"acid_value"`     // [mg KOH/g]
	Density        source.Figure `toml:"density"`        // true density [g/ml] at AtC
	BulkDensity    source.Figure `toml:"bulk_density"`   // of the powder in a spoon [g/ml]
	Melting        source.Figure `toml:"melting"`        // [°C]
	Water          source.Figure `toml:"water"`          // share by mass [%]
	Sugars         source.Figure `toml:"sugars"`         // reducing and other sugars by mass [%]
	TakesNaOH      source.Figure `toml:"takes_naoh"`     // [g NaOH/g], of the pure substance for acids
	MolarMass      source.Figure `toml:"molar_mass"`     // [g/mol]

	Profile Profile `toml:"profile"`
	Crystal Crystal `toml:"crystal"`

	InSolution   bool    `toml:"in_solution"`   // sold at many strengths: a recipe must give it
	UsualPercent float64 `toml:"usual_percent"` // the strength most bottles have [%], for advice only
	Foams        bool    `toml:"foams"`         // over hot lye
	Fizzes       bool    `toml:"fizzes"`        // holds gas or alcohol until it is driven off
	Hurries      bool    `toml:"hurries"`       // a scent known to thicken the batter
	Rices        bool    `toml:"rices"`         // a scent known to make grains
	Antioxidant  string  `toml:"antioxidant"`   // "bht", "rosemary", "tocopherol", "edta", "citrate"

	// What the paper of a lot says, for recipes that name it and say nothing.
	Limit  *quantity.BarLimit `toml:"limit"`  // of a scent
	Purity *quantity.Share    `toml:"purity"` // assay of an alkali

	Held string `toml:"-"` // of a lot: why it must not be used
}

// Profile is the typical fatty-acid profile [% of fatty acids as listed].
type Profile struct {
	Source  string             `toml:"source"`
	Locator string             `toml:"locator"`
	Grade   source.Grade       `toml:"grade"`
	Note    string             `toml:"note"`
	Acids   map[string]float64 `toml:"acids"` // by acid id; "other" is the rest the source lumps together
}

// Percent returns the share of one acid [% of fatty acids].
func (p Profile) Percent(id string) float64 { return p.Acids[id] }

// Known reports whether there is a profile.
func (p Profile) Known() bool { return len(p.Acids) > 0 }

// Crystal is what ideal solubility needs to say when the material falls out
// of warm fat.
type Crystal struct {
	MolarMass float64      `toml:"molar_mass"`      // [g/mol]
	MeltC     float64      `toml:"melt_c"`          // [°C]
	HeatJ     float64      `toml:"heat_kj_per_mol"` // enthalpy of fusion [kJ/mol]
	Source    string       `toml:"source"`
	Locator   string       `toml:"locator"`
	Grade     source.Grade `toml:"grade"`
	Note      string       `toml:"note"`
}

// Known reports whether the crystal data are there.
func (c Crystal) Known() bool { return c.HeatJ > 0 }

// figures returns every figure with its key, in the order of the file.
func (m *Material) figures() []namedFigure {
	return []namedFigure{
		{"sap", &m.Sap}, {"iodine", &m.Iodine}, {"unsaponifiable", &m.Unsaponifiable}, {"acid_value", &m.AcidValue},
		{"density", &m.Density}, {"bulk_density", &m.BulkDensity}, {"melting", &m.Melting}, {"water", &m.Water},
		{"sugars", &m.Sugars}, {"takes_naoh", &m.TakesNaOH}, {"molar_mass", &m.MolarMass},
	}
}

type namedFigure struct {
	key string
	*source.Figure
}

// UnsaponifiableFraction returns the typical unsaponifiable part [0..1].
func (m Material) UnsaponifiableFraction() float64 { return m.Unsaponifiable.Typical / 1000 }

// SpoonDensity returns the density that turns a spoon into a mass [g/ml], and
// whether it is known: the bulk density of powders, else the true density.
func (m Material) SpoonDensity() (float64, bool) {
	if m.BulkDensity.Known() {
		return m.BulkDensity.Typical, true
	}
	return m.Density.Typical, m.Density.Known()
}

// over returns the lot m with what it does not give taken from its material
// base. What base does in the pot (foams, hurries …) the lot does too.
func (m Material) over(base Material) Material {
	out := base
	out.ID, out.Of = m.ID, m.Of
	out.Name, out.INCI, out.From, out.Note = cmp.Or(m.Name, base.Name), cmp.Or(m.INCI, base.INCI), cmp.Or(m.From, base.From), cmp.Or(m.Note, base.Note)
	out.UsualPercent, out.Antioxidant = cmp.Or(m.UsualPercent, base.UsualPercent), cmp.Or(m.Antioxidant, base.Antioxidant)
	out.InSolution, out.Foams, out.Fizzes = m.InSolution || base.InSolution, m.Foams || base.Foams, m.Fizzes || base.Fizzes
	out.Hurries, out.Rices = m.Hurries || base.Hurries, m.Rices || base.Rices
	out.Limit, out.Purity = cmp.Or(m.Limit, base.Limit), cmp.Or(m.Purity, base.Purity)
	mine, theirs := m.figures(), out.figures()
	for i, f := range mine {
		if f.Known() {
			*theirs[i].Figure = *f.Figure
		}
	}
	if m.Water.Known() && !m.Sugars.Known() && base.Sugars.Known() {
		out.Sugars = diluted(base.Sugars, base.Water.Typical, m.Water)
	}
	if m.Profile.Known() {
		out.Profile = m.Profile
	}
	out.Profile.Acids = maps.Clone(out.Profile.Acids)
	if m.Crystal.Known() {
		out.Crystal = m.Crystal
	}
	return out
}

// diluted returns the sugars of a lot of honey whose water alone was measured:
// the dry part keeps its make-up.
func diluted(sugars source.Figure, baseWater float64, lotWater source.Figure) source.Figure {
	f := (100 - lotWater.Typical) / (100 - baseWater)
	sugars.Low, sugars.Typical, sugars.High = sugars.Low*f, sugars.Typical*f, min(100, sugars.High*f)
	sugars.Grade = source.Worst(sugars.Grade, source.Derived)
	return sugars
}

// NamedFigure is a figure with its name for people.
type NamedFigure struct {
	Name string
	source.Figure
}

// Figures returns the figures that are there, in the order of the file.
func (m Material) Figures() []NamedFigure {
	var out []NamedFigure
	for _, f := range m.figures() {
		if f.Known() {
			out = append(out, NamedFigure{figureNames[f.key], *f.Figure})
		}
	}
	return out
}

var figureNames = map[string]string{"sap": "saponification value", "iodine": "iodine value", "unsaponifiable": "unsaponifiable matter",
	"acid_value": "acid value", "density": "density", "bulk_density": "density in a spoon", "melting": "melts", "water": "water", "sugars": "sugars",
	"takes_naoh": "takes sodium hydroxide", "molar_mass": "molar mass"}

// Over returns the lot m with the figures of its material base filled in
// where it gives none, or what is wrong with it and the key it is wrong at.
func (m Material) Over(base Material) (out Material, key string, err error) {
	if base.Of != "" && base.Of != base.ID {
		return Material{}, "of", fmt.Errorf("%.40q is a lot itself: name %.40q", base.ID, base.Of)
	}
	out = m.over(base)
	if key, err := out.check(); err != nil {
		return Material{}, key, err
	}
	return out, "", nil
}
