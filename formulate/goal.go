package formulate

import (
	"barwright/internal/tomldoc"
	"barwright/quantity"
	"barwright/recipe"
)

// Goal is what a maker wishes for, as written. Pointers are nil where she
// wrote nothing.
type Goal struct {
	Format       int             `toml:"format"`
	Name         string          `toml:"name,omitempty"`
	Superfat     *quantity.Share `toml:"superfat,omitempty"`     // 5 % when not given
	LyeStrength  *quantity.Share `toml:"lye_strength,omitempty"` // 33 % when not given
	Batch        *quantity.Mass  `toml:"batch,omitempty"`        // mass of fats, 1 kg when not given
	Bar          *quantity.Mass  `toml:"bar,omitempty"`          // of a bar as poured, for cost_per_bar
	MaxFats      *int            `toml:"max_fats,omitempty"`
	Step         *quantity.Share `toml:"step,omitempty"` // shares are whole numbers of it
	Alternatives int             `toml:"alternatives,omitempty"`
	Distance     *quantity.Share `toml:"distance,omitempty"` // between them, 10 % when not given
	Robust       *quantity.Share `toml:"robust,omitempty"`   // of nature's draws in which every limit still holds
	Shelf        bool            `toml:"shelf,omitempty"`    // all fats in stock are candidates
	Without      []string        `toml:"without,omitempty"`
	Fats         []Fat           `toml:"fats,omitempty"`
	Limits       []Limit         `toml:"limits,omitempty"`
	Objective    Objective       `toml:"objective"`
	Curve        *Curve          `toml:"curve,omitempty"`

	// For the recipes that come out.
	Alkali  []recipe.Alkali `toml:"alkali,omitempty"` // sodium hydroxide when not given
	Combine *recipe.Combine `toml:"combine,omitempty"`
	Scale   *recipe.Scale   `toml:"scale,omitempty"`

	Currency string `toml:"-"` // of the workshop, where it is known

	doc *tomldoc.Doc // where everything stood; nil for a goal made in code
}

// Fat is a candidate.
type Fat struct {
	Material string          `toml:"material"`
	Min      *quantity.Share `toml:"min,omitempty"` // when used at all
	Max      *quantity.Share `toml:"max,omitempty"`
	Must     bool            `toml:"must,omitempty"`
	Never    bool            `toml:"never,omitempty"`
	Lots     []Lot           `toml:"lots,omitempty"` // or, for one lot, the keys below
	Price    *quantity.Price `toml:"price,omitempty"`
	Stock    *quantity.Mass  `toml:"stock,omitempty"` // what there is of it
	Own      bool            `toml:"own,omitempty"`   // of our own making
}

// Lot is one lot of a candidate.
type Lot struct {
	ID    string          `toml:"id"`
	Price *quantity.Price `toml:"price,omitempty"`
	Stock *quantity.Mass  `toml:"stock,omitempty"`
	Own   bool            `toml:"own,omitempty"`
}

// Limit asks for a quantity of the blend to lie between two values.
type Limit struct {
	Quantity string `toml:"quantity"`
	Material string `toml:"material,omitempty"` // of the quantity share
	Min      *Value `toml:"min,omitempty"`
	Max      *Value `toml:"max,omitempty"`
}

// Objective is what is made as small as possible.
type Objective struct {
	Minimise string   `toml:"minimise"`
	Targets  []Target `toml:"targets,omitempty"` // of distance
	From     []Part   `toml:"from,omitempty"`    // the recipe that change and behaviour start from
}

// What can be minimised.
const (
	Cost      = "cost"      // per kg of fats
	Distance  = "distance"  // Σ weight × |value − target|
	Change    = "change"    // half the sum of |share differences| from a recipe, in points
	Behaviour = "behaviour" // how differently from a recipe it behaves, see likeness
)

var objectives = []string{Cost, Distance, Change, Behaviour}

// Target is a value to come near to.
type Target struct {
	Quantity string   `toml:"quantity"`
	Material string   `toml:"material,omitempty"`
	Value    *Value   `toml:"value"`
	Weight   *float64 `toml:"weight,omitempty"` // per unit of the quantity, 1 when not given
}

// Part is one fat of an existing recipe.
type Part struct {
	Material string          `toml:"material"`
	Share    *quantity.Share `toml:"share"`
}

// Curve asks what the objective comes to as one limit is moved.
type Curve struct {
	Quantity string `toml:"quantity"`
	Material string `toml:"material,omitempty"`
	Min      bool   `toml:"min,omitempty"` // the limit is a least; a most when not given
	From     *Value `toml:"from"`
	To       *Value `toml:"to"`
	Points   int    `toml:"points,omitempty"` // 7 when not given
}

// Value is a value as written, "12 %" or "70"; what it means its quantity
// says.
type Value struct{ Text string }

// MarshalText returns it as written.
func (v Value) MarshalText() ([]byte, error) { return []byte(v.Text), nil }

// UnmarshalText keeps it as written.
func (v *Value) UnmarshalText(b []byte) error { v.Text = string(b); return nil }
