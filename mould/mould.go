// Package mould answers how much batter a mould holds and what it is made of.
//
// Start with Mould.CapacityML. What it does not do: how fast a mould loses
// heat; package heat does.
package mould

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"barwright/internal/near"
	"barwright/quantity"
)

// Mould is the vessel a batch is poured into, one cavity described and a
// count of them.
type Mould struct {
	Name   string           `toml:"name,omitempty"`
	Shape  string           `toml:"shape"`            // box, cylinder or cavity
	Inside *quantity.Sides  `toml:"inside,omitempty"` // box: length x width x height; cylinder: diameter x length
	Axis   string           `toml:"axis,omitempty"`   // of a cylinder: upright or level
	Volume *quantity.Volume `toml:"volume,omitempty"` // of a cavity of any other shape, by filling it with water
	Count  int              `toml:"count,omitempty"`  // how many cavities, 1 when not given
	Holds  *quantity.Volume `toml:"holds,omitempty"`  // all cavities together, by a water fill: over what the sides say
	Wall   *quantity.Stuff  `toml:"wall,omitempty"`   // sides and bottom
	Lid    *quantity.Stuff  `toml:"lid,omitempty"`
	Fill   *quantity.Share  `toml:"fill,omitempty"` // target when the mould sets the size, else the limit
}

// Shapes of a mould.
const (
	Box      = "box"
	Cylinder = "cylinder"
	Cavity   = "cavity"
)

// DefaultFill is the share of a mould to fill when the recipe gives none [%]:
// a little room is left for texture on top.
const DefaultFill = 95

// Walls lists the stuffs a mould, lid, cover or pot can be made of.
var Walls = []string{"none", "softwood", "hardwood", "plywood", "card", "corrugated card", "polycarbonate", "hdpe", "polypropylene",
	"plastic", "silicone", "steel", "glass", "acrylic", "pvc", "aluminium", "zinc", "copper", "brass", "tin", "film", "towel", "blanket", "wool", "felt", "eps"}

// Corroding lists the metals that lye eats while hydrogen forms.
// Source: common safety sheets for sodium hydroxide (recalled, very sure).
var Corroding = []string{"aluminium", "zinc", "copper", "brass", "tin"}

// meant is what people call some of them.
var meant = map[string]string{"wood": "softwood", "pine": "softwood", "spruce": "softwood", "beech": "hardwood", "oak": "hardwood", "wooden": "softwood",
	"cardboard": "card", "carton": "card", "foam": "eps", "polystyrene": "eps", "cling film": "film", "acryl": "acrylic", "metal": "steel",
	"blankets": "blanket", "two blankets": "blanket 50 mm", "towels": "towel", "two towels": "towel 16 mm", "duvet": "blanket", "quilt": "blanket"}

// CheckStuff returns an error, with the nearest word, for a stuff that is not
// in Walls.
func CheckStuff(s quantity.Stuff) error {
	if slices.Contains(Walls, s.Name) {
		return nil
	}
	e := &quantity.Error{Text: fmt.Sprintf("%.40q is not a stuff known here", s.Name), Advice: "use one of: " + strings.Join(Walls, ", ")}
	n, everyday := meant[s.Name]
	if !everyday {
		n = near.Word(s.Name, Walls)
	}
	if n != "" {
		e.Advice = fmt.Sprintf("did you mean %q? ", n) + e.Advice
	}
	return e
}

// Cavities returns how many cavities there are, at least 1.
func (m Mould) Cavities() int { return max(1, m.Count) }

// FillPercent returns the target or limit of filling [%].
func (m Mould) FillPercent() float64 {
	if m.Fill == nil {
		return DefaultFill
	}
	return m.Fill.Percent
}

// CapacityML returns the volume of all cavities, brim full [ml]: what a water
// fill found, else what the sides say.
func (m Mould) CapacityML() float64 {
	if m.Holds != nil {
		return m.Holds.ML()
	}
	return m.SidesML()
}

// SidesML returns the volume of all cavities as their sides, or the volume of
// one of them, say [ml].
func (m Mould) SidesML() float64 { return m.cavityML() * float64(m.Cavities()) }

func (m Mould) cavityML() float64 {
	if m.Volume != nil {
		return m.Volume.ML()
	}
	a, b, c := m.Inside.MM(0), m.Inside.MM(1), m.Inside.MM(2)
	if m.Shape == Cylinder {
		return math.Pi / 4 * a * a * b / 1000
	}
	return a * b * c / 1000
}

// Check returns what is wrong with the mould and the key it is wrong at; nil
// and no matter which key when nothing is.
func (m Mould) Check() (key string, err error) {
	switch m.Shape {
	case Box:
		if m.Inside == nil || m.Inside.Count() != 3 {
			return "inside", &quantity.Error{Text: "a box needs its inside length x width x height", Advice: `inside = "250 x 90 x 65 mm"`}
		}
	case Cylinder:
		if m.Inside == nil || m.Inside.Count() != 2 {
			return "inside", &quantity.Error{Text: "a cylinder needs its inside diameter x length", Advice: `inside = "68 x 253 mm"`}
		}
	case Cavity:
		if m.Volume == nil {
			return "volume", &quantity.Error{Text: "a cavity needs its volume", Advice: `fill it with water and weigh that: volume = "85 ml"`}
		}
	default:
		return "shape", &quantity.Error{Text: fmt.Sprintf("%.40q is not a shape", m.Shape), Advice: "the shapes are box, cylinder and cavity"}
	}
	return m.checkRest()
}

func (m Mould) checkRest() (key string, err error) {
	switch {
	case m.Shape != Cavity && m.Volume != nil:
		return "volume", &quantity.Error{Text: fmt.Sprintf("a %s has its size in inside; volume is for shape = \"cavity\"", m.Shape), Advice: "take volume away"}
	case m.Shape == Cavity && m.Inside != nil:
		return "inside", &quantity.Error{Text: "a cavity has its size in volume; inside is for boxes and cylinders", Advice: "take inside away"}
	case m.Axis != "" && m.Axis != "upright" && m.Axis != "level":
		return "axis", &quantity.Error{Text: fmt.Sprintf("%.40q is not a way to stand", m.Axis), Advice: "axis is upright or level"}
	case m.Axis != "" && m.Shape != Cylinder:
		return "axis", &quantity.Error{Text: "only a cylinder has an axis", Advice: "take axis away"}
	case m.Count < 0 || m.Count > 10000:
		return "count", &quantity.Error{Text: fmt.Sprintf("%d is not a number of cavities", m.Count), Advice: "from 1 to 10000; leave it out for one"}
	case m.Fill != nil && (m.Fill.Percent <= 0 || m.Fill.Percent > 100):
		return "fill", &quantity.Error{Text: fmt.Sprintf("a mould is filled to more than 0 and at most 100 %%, not %s", m.Fill), Advice: `95 % leaves a little room: fill = "95 %"`}
	}
	if err := m.checkCapacity(); err != nil && m.Shape == Cavity {
		return "volume", err
	} else if err != nil {
		return "inside", err
	}
	if err := m.checkHolds(); err != nil {
		return "holds", err
	}
	if err := checkWall(m.Wall); err != nil {
		return "wall", err
	}
	return "lid", checkWall(m.Lid)
}

func (m Mould) checkCapacity() error {
	switch volumeML := m.SidesML(); {
	case volumeML > 1e6:
		return &quantity.Error{Text: fmt.Sprintf("this mould would hold %.0f litres", volumeML/1000), Advice: "is it in mm or ml, and the count right?"}
	case m.cavityML() < 1:
		return &quantity.Error{Text: "this mould would hold less than a millilitre", Advice: "is it in mm or ml?"}
	}
	return nil
}

// A water fill and the sides of a mould differ by round corners, bulging walls
// and a slip of the rule; by more than this, one of the two is wrong.
const leastHeld, mostHeld = 0.5, 1.5 // of what the sides say

func (m Mould) checkHolds() error {
	if m.Holds == nil {
		return nil
	}
	sides, held := m.SidesML(), m.Holds.ML()
	if held >= leastHeld*sides && held <= mostHeld*sides {
		return nil
	}
	advice := "is it in ml, and are the sides right?"
	if n := m.Cavities(); n > 1 {
		advice = fmt.Sprintf("write what all %d cavities hold together", n)
	}
	return &quantity.Error{Text: fmt.Sprintf("a water fill of %s is far from the %.0f ml that the mould's sides say", m.Holds, sides), Advice: advice}
}

// checkWall checks a wall or lid, which has a thickness.
func checkWall(s *quantity.Stuff) error {
	switch {
	case s == nil:
		return nil
	case s.Mass != nil:
		return &quantity.Error{Text: fmt.Sprintf("a wall has a thickness, not the mass %s", s.Mass), Advice: `like "softwood 12 mm"`}
	}
	return CheckStuff(*s)
}
