// Package recipe is what the maker wrote: the fats, the alkali, the additions
// and how she means to make them, read from and written to TOML.
//
// Start with Parse, Recipe.Print and Recipe.With, which applies edits. What it
// does not do: any chemistry; a recipe that reads well may still be a bad
// idea, and package plan says so.
package recipe

import (
	"barwright/mould"
	"barwright/quantity"
)

// Recipe is one recipe as written. Pointers are nil where she wrote nothing.
type Recipe struct {
	Format      int             `toml:"format"`
	Name        string          `toml:"name"`
	Note        string          `toml:"note,omitempty"`
	Method      string          `toml:"method,omitempty"` // cold, when not given, or hot: cooked after it traced
	Superfat    *quantity.Share `toml:"superfat,omitempty"`
	LyeStrength *quantity.Share `toml:"lye_strength,omitempty"`
	Water       *quantity.Mass  `toml:"water,omitempty"` // only with the alkali in grams
	Size        *Size           `toml:"size,omitempty"`
	Alkali      []Alkali        `toml:"alkali"`
	Fats        []Fat           `toml:"fats"`
	Additions   []Addition      `toml:"additions,omitempty"`
	Lye         *Lye            `toml:"lye,omitempty"`
	Combine     *Combine        `toml:"combine,omitempty"`
	Mould       *mould.Mould    `toml:"mould,omitempty"`
	Rest        []Rest          `toml:"rest,omitempty"`
	Scale       *Scale          `toml:"scale,omitempty"`
}

// Size says how big the batch is; exactly one field is set.
type Size struct {
	Fats   *quantity.Mass `toml:"fats,omitempty"`
	Batter *quantity.Mass `toml:"batter,omitempty"`
	Mould  bool           `toml:"mould,omitempty"`
	Bars   *quantity.Bars `toml:"bars,omitempty"` // of a cured weight
}

// Alkali is one alkali of the lye.
type Alkali struct {
	Material      string               `toml:"material"`
	Share         *quantity.Share      `toml:"share,omitempty"` // mol % of the alkali
	Amount        *quantity.Mass       `toml:"amount,omitempty"`
	Purity        *quantity.Share      `toml:"purity,omitempty"`
	PurityRange   *quantity.ShareRange `toml:"purity_range,omitempty"`
	StockStrength *quantity.Share      `toml:"stock_strength,omitempty"`
}

// Fat is one line of the weigh list.
type Fat struct {
	Material string          `toml:"material"`
	Share    *quantity.Share `toml:"share,omitempty"`
	Amount   *quantity.Mass  `toml:"amount,omitempty"`
}

// Addition is anything else that goes in.
type Addition struct {
	Material    string                `toml:"material"`
	Amount      quantity.Amount       `toml:"amount"`
	When        When                  `toml:"when"`
	Strength    *quantity.Share       `toml:"strength,omitempty"` // of an acid in solution
	Limit       *quantity.BarLimit    `toml:"limit,omitempty"`    // of a scent, from its own document
	Stir        string                `toml:"stir,omitempty"`     // a scent: hand or blender
	Temperature *quantity.Temperature `toml:"temperature,omitempty"`
	Flat        bool                  `toml:"flat,omitempty"` // gas and alcohol were driven off
}

// When is where an addition goes in.
type When string

// The times of an addition.
const (
	InLye   When = "lye"
	InFats  When = "fats"
	AtTrace When = "trace"
)

// Lye is how the lye is made.
type Lye struct {
	WaterTemperature *quantity.Temperature `toml:"water_temperature,omitempty"`
	Ice              *quantity.Share       `toml:"ice,omitempty"`
	Vessel           *quantity.Stuff       `toml:"vessel,omitempty"`
}

// Combine is how fats and lye meet.
type Combine struct {
	FatsTemperature quantity.Temperature `toml:"fats_temperature"`
	LyeTemperature  quantity.Temperature `toml:"lye_temperature"`
	Pot             *quantity.Stuff      `toml:"pot,omitempty"`
	Stir            string               `toml:"stir,omitempty"` // blender or hand
}

// Ways to stir.
const (
	Hand    = "hand"
	Blender = "blender"
)

// Rest is one stage after the pour.
type Rest struct {
	Place       string                `toml:"place"`
	Temperature *quantity.Temperature `toml:"temperature,omitempty"`
	Cover       *quantity.Stuff       `toml:"cover,omitempty"`
	Fan         bool                  `toml:"fan,omitempty"`
	RH          *quantity.Share       `toml:"rh,omitempty"`
	For         *quantity.Duration    `toml:"for,omitempty"`
}

// Places a batch can rest.
var Places = []string{"room", "fridge", "freezer", "oven"}

// Scale is what the scales can show.
type Scale struct {
	Fats          *quantity.Mass `toml:"fats,omitempty"`
	Alkali        *quantity.Mass `toml:"alkali,omitempty"`
	Repeatability *quantity.Mass `toml:"repeatability,omitempty"` // one standard deviation

	// The most each of them carries, the pot with it.
	FatsCapacity   *quantity.Mass `toml:"fats_capacity,omitempty"`
	AlkaliCapacity *quantity.Mass `toml:"alkali_capacity,omitempty"`
}

// DefaultStepG is the step of a scale when the recipe gives none [g].
const DefaultStepG = 1

// IsFound reports whether the recipe was found somewhere, with its lye in
// grams, so that superfat is the answer and not the wish.
func (r Recipe) IsFound() bool {
	for _, a := range r.Alkali {
		if a.Amount != nil {
			return true
		}
	}
	return r.Water != nil
}

// Hot reports a batch that is to be cooked.
func (r Recipe) Hot() bool { return r.Method == "hot" }

// FatStepG and AlkaliStepG return the scale's steps [g].
func (r Recipe) FatStepG() float64 {
	if r.Scale == nil || r.Scale.Fats == nil {
		return DefaultStepG
	}
	return r.Scale.Fats.G()
}

// AlkaliStepG returns the step of the scale for the alkali [g].
func (r Recipe) AlkaliStepG() float64 {
	if r.Scale == nil || r.Scale.Alkali == nil {
		return DefaultStepG
	}
	return r.Scale.Alkali.G()
}

// NoiseG returns the repeatability of the scales, one standard deviation [g].
func (r Recipe) NoiseG() float64 {
	if r.Scale == nil || r.Scale.Repeatability == nil {
		return 0
	}
	return r.Scale.Repeatability.G()
}
