package quantity

import "strings"

// Volume is a volume as written: "15 ml", "1 tbsp us".
type Volume struct{ sized }

// Kitchen measures differ by country, so spoons, cups and fluid ounces carry
// one. US: NIST Handbook 44, appendix C. UK: imperial, Weights and Measures
// Act 1985 and the older eighth and five-eighths of a fluid ounce for spoons.
// Metric: 5, 15 and 250 ml. Recalled, very sure.
var volumeUnits = []unit{
	{"ml", 1, []string{"millilitre", "millilitres", "milliliter", "milliliters"}},
	{"l", 1000, []string{"litre", "litres", "liter", "liters"}},
	{"tsp us", 4.92892159375, nil},
	{"tbsp us", 14.78676478125, nil},
	{"fl oz us", 29.5735295625, nil},
	{"cup us", 236.5882365, nil},
	{"tsp uk", 3.5516328125, nil},
	{"tbsp uk", 17.7581640625, nil},
	{"fl oz uk", 28.4130625, nil},
	{"cup uk", 284.130625, nil},
	{"tsp metric", 5, nil},
	{"tbsp metric", 15, nil},
	{"cup metric", 250, nil},
}

var kitchenWords = strings.NewReplacer(
	"teaspoons", "tsp", "teaspoon", "tsp", "tablespoons", "tbsp", "tablespoon", "tbsp",
	"fluid ounces", "fl oz", "fluid ounce", "fl oz", "fl. oz.", "fl oz", "cups", "cup")

// kitchenWord is a written unit in the words of volumeUnits.
func kitchenWord(word string) string {
	return kitchenWords.Replace(strings.Join(strings.Fields(strings.ToLower(word)), " "))
}

// ParseVolume reads a volume; zero and negative volumes are errors, and so is
// a spoon without its country.
func ParseVolume(text string) (Volume, error) {
	v, word, err := split(text)
	if err != nil {
		return Volume{}, err
	}
	if v < 0 {
		return Volume{}, belowZero(text, "volume")
	}
	word = kitchenWord(word)
	if u, ok := find(volumeUnits, word); ok {
		if v <= 0 {
			return Volume{}, fail("a volume is more than zero", "%q is not a volume to measure", shorten(text))
		}
		return Volume{sized{v, u.name}}, nil
	}
	if _, ok := find(volumeUnits, word+" us"); ok {
		return Volume{}, fail("write us, uk or metric after it: a US tablespoon holds 14.8 ml, a metric one 15 ml, an old imperial one 17.8 ml",
			"%q does not say which country's %s", shorten(text), word)
	}
	return Volume{}, unitError(text, word, "volume", volumeUnits)
}

// ML returns the volume in millilitres.
func (v Volume) ML() float64 { return v.base(volumeUnits) }

// UnmarshalText reads the volume from a TOML or JSON string.
func (v *Volume) UnmarshalText(b []byte) (err error) {
	*v, err = ParseVolume(string(b))
	return err
}
