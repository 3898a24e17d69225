package stock

import (
	"fmt"
	"slices"
	"strings"

	"barwright/mould"
	"barwright/quantity"
	"barwright/recipe"
)

// Mould is a mould of the workshop. Learned is what a water fill or past
// batches say it really holds.
type Mould struct {
	ID      string           `toml:"id"`
	Name    string           `toml:"name"`
	Mould   mould.Mould      `toml:"mould"`
	Bars    int              `toml:"bars,omitempty"`    // usually cut from it
	Learned *quantity.Volume `toml:"learned,omitempty"` // true volume of all cavities
	Note    string           `toml:"note,omitempty"`
}

// Place is where batches rest and bars cure.
type Place struct {
	ID          string                `toml:"id"`
	Name        string                `toml:"name"`
	Place       string                `toml:"place"` // room, fridge, freezer or oven
	Temperature *quantity.Temperature `toml:"temperature,omitempty"`
	RH          *quantity.Share       `toml:"rh,omitempty"`
	Fan         bool                  `toml:"fan,omitempty"`
	Note        string                `toml:"note,omitempty"`
}

// Scale is a scale of the workshop.
type Scale struct {
	ID            string         `toml:"id"`
	Name          string         `toml:"name"`
	Step          quantity.Mass  `toml:"step"`
	Capacity      *quantity.Mass `toml:"capacity,omitempty"`
	Repeatability *quantity.Mass `toml:"repeatability,omitempty"`
	Note          string         `toml:"note,omitempty"`
}

// Workshop is what holds for the whole workshop.
type Workshop struct {
	Name     string          `toml:"name"`
	Currency string          `toml:"currency,omitempty"` // "EUR"
	Hour     *quantity.Price `toml:"hour,omitempty"`     // an hour's work, each
	Overhead *quantity.Price `toml:"overhead,omitempty"` // a bar, each
}

// Check returns what is wrong with the mould and the key it is wrong at.
func (m Mould) Check() (key string, err error) {
	if key, err := checkNamed(m.ID, m.Name); err != nil {
		return key, err
	}
	if key, err := m.Mould.Check(); err != nil {
		return "mould." + key, err
	}
	if m.Bars < 0 || m.Bars > 10000 {
		return "bars", fmt.Errorf("%d is not a number of bars", m.Bars)
	}
	return "", nil
}

// Check returns what is wrong with the place and the key it is wrong at.
func (p Place) Check() (key string, err error) {
	if key, err := checkNamed(p.ID, p.Name); err != nil {
		return key, err
	}
	if !slices.Contains(recipe.Places, p.Place) {
		return "place", &quantity.Error{Text: fmt.Sprintf("%q is not a place to rest", p.Place), Advice: "the places are " + strings.Join(recipe.Places, ", ")}
	}
	if p.RH != nil && p.RH.Percent > 100 {
		return "rh", fmt.Errorf("relative humidity lies between 0 and 100 %%")
	}
	return "", nil
}

// Check returns what is wrong with the scale and the key it is wrong at.
func (s Scale) Check() (key string, err error) {
	if key, err := checkNamed(s.ID, s.Name); err != nil {
		return key, err
	}
	if s.Step.Unit == "" || s.Step.G() > 100 {
		return "step", &quantity.Error{Text: "a scale needs its step", Advice: `the smallest difference it shows, like "1 g"`}
	}
	if s.Capacity != nil && s.Capacity.G() < s.Step.G() {
		return "capacity", fmt.Errorf("it carries less than its own step")
	}
	return "", nil
}

// Check returns what is wrong with the workshop and the key it is wrong at.
func (w Workshop) Check() (key string, err error) {
	if strings.TrimSpace(w.Name) == "" {
		return "name", fmt.Errorf("the workshop has no name")
	}
	return "", nil
}

func checkNamed(id, name string) (key string, err error) {
	if id == "" || strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
		return "id", &quantity.Error{Text: fmt.Sprintf("%q is not an id", id), Advice: "small letters, digits and _"}
	}
	if strings.TrimSpace(name) == "" {
		return "name", fmt.Errorf("it has no name")
	}
	return "", nil
}
