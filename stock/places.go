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
	Dry      DryBy           `toml:"dry,omitempty"`
}

// DryBy is by which rules batches count as dry where they have none of their own:
// every one that is set must hold. None at all is package cure's usual ones.
type DryBy struct {
	Weekly *quantity.Share `toml:"weekly,omitempty"` // loses under so much of its weight a week
	Gone   *quantity.Share `toml:"gone,omitempty"`   // has lost so much of the water it will lose
	Weeks  int             `toml:"weeks,omitempty"`  // on the rack at least
}

// check returns what is wrong with the rules and the key it is wrong at.
func (d DryBy) check() (key string, err error) {
	const leastWeekly, mostWeekly, mostGone, mostWeeks = 0.02, 10, 99, 520
	switch {
	case d.Weekly != nil && (d.Weekly.Percent < leastWeekly || d.Weekly.Percent > mostWeekly):
		return "weekly", &quantity.Error{Text: fmt.Sprintf("a loss of %s a week", d.Weekly), Advice: "0.02 to 10 %; a bar creeps on by less for good"}
	case d.Gone != nil && (d.Gone.Percent <= 0 || d.Gone.Percent > mostGone):
		return "gone", &quantity.Error{Text: fmt.Sprintf("%s of the water gone", d.Gone), Advice: "up to 99 %; the last of it never goes"}
	case d.Weeks < 0 || d.Weeks > mostWeeks:
		return "weeks", &quantity.Error{Text: fmt.Sprintf("%d weeks", d.Weeks), Advice: "0 to 520 weeks"}
	}
	return "", nil
}

// True returns the mould as recipes plan with it: under its name, and holding
// what was learned rather than what its sides say.
func (m Mould) True() mould.Mould {
	out := m.Mould
	out.Name, out.Holds = m.Name, m.Learned
	return out
}

// OffPercent returns how much more than its sides say the mould truly holds
// [%], negative when less, and whether that was learned.
func (m Mould) OffPercent() (percent float64, known bool) {
	if m.Learned == nil {
		return 0, false
	}
	return 100 * (m.Learned.ML()/m.Mould.SidesML() - 1), true
}

// Check returns what is wrong with the mould and the key it is wrong at.
func (m Mould) Check() (key string, err error) {
	if key, err := checkNamed(m.ID, m.Name); err != nil {
		return key, err
	}
	if m.Mould.Holds != nil {
		return "mould.holds", &quantity.Error{Text: "a mould of the workshop says what it truly holds in learned", Advice: "move it there"}
	}
	if key, err := m.True().Check(); key == "holds" && err != nil {
		return "learned", err
	} else if err != nil {
		return "mould." + key, err
	}
	if m.Bars < 0 || m.Bars > 10000 {
		return "bars", fmt.Errorf("%d is not a number of bars", m.Bars)
	}
	return "note", checkNote(m.Note)
}

// Temperatures a place can have [°C].
const coldestC, hottestC = -40, 120

// Check returns what is wrong with the place and the key it is wrong at.
func (p Place) Check() (key string, err error) {
	if key, err := checkNamed(p.ID, p.Name); err != nil {
		return key, err
	}
	switch {
	case !slices.Contains(recipe.Places, p.Place):
		return "place", &quantity.Error{Text: fmt.Sprintf("%.40q is not a place to rest", p.Place), Advice: "the places are " + strings.Join(recipe.Places, ", ")}
	case p.Temperature != nil && (p.Temperature.C() < coldestC || p.Temperature.C() > hottestC):
		return "temperature", &quantity.Error{Text: fmt.Sprintf("a place has %d to %d °C, not %s", coldestC, hottestC, p.Temperature), Advice: "is it °C or °F?"}
	case p.RH != nil && p.RH.Percent > 100:
		return "rh", fmt.Errorf("relative humidity lies between 0 and 100 %%, not %s", p.RH)
	}
	return "note", checkNote(p.Note)
}

// Smallest and largest step of a scale [g].
const finestG, coarsestG = 0.0001, 100

// Check returns what is wrong with the scale and the key it is wrong at.
func (s Scale) Check() (key string, err error) {
	if key, err := checkNamed(s.ID, s.Name); err != nil {
		return key, err
	}
	switch {
	case s.Step.Unit == "":
		return "step", &quantity.Error{Text: "a scale needs its step", Advice: `the smallest difference it shows, like "1 g"`}
	case s.Step.G() < finestG || s.Step.G() > coarsestG:
		return "step", &quantity.Error{Text: fmt.Sprintf("a scale that shows steps of %s", s.Step), Advice: `the smallest difference it shows, like "1 g"`}
	case s.Capacity != nil && s.Capacity.G() < s.Step.G():
		return "capacity", fmt.Errorf("it carries %s, less than its own step of %s", s.Capacity, s.Step)
	case s.Repeatability != nil && s.Repeatability.G() > coarsestG:
		return "repeatability", &quantity.Error{Text: fmt.Sprintf("a scale that repeats itself to %s", s.Repeatability), Advice: `how far ten weighings of one thing lie apart, like "0.5 g"`}
	}
	return "note", checkNote(s.Note)
}

// Check returns what is wrong with the workshop and the key it is wrong at.
func (w Workshop) Check() (key string, err error) {
	if key, err := w.Dry.check(); err != nil {
		return "dry." + key, err
	}
	if strings.TrimSpace(w.Name) == "" {
		return "name", fmt.Errorf("the workshop has no name")
	}
	if err := checkLine(w.Name); err != nil {
		return "name", err
	}
	if len(w.Currency) > 12 || checkLine(w.Currency) != nil {
		return "currency", &quantity.Error{Text: "a currency is a short word", Advice: `like "EUR"`}
	}
	for _, m := range []struct {
		key   string
		price *quantity.Price
	}{{"hour", w.Hour}, {"overhead", w.Overhead}} {
		if m.price != nil && m.price.Per != "each" {
			return m.key, &quantity.Error{Text: fmt.Sprintf("%s is a price by mass", m.price), Advice: `write it like "15 each"`}
		}
	}
	return "", nil
}
