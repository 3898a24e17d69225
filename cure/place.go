package cure

import "barwright/source"

// Place is where a bar is sold, and what the law there forgives a single one.
type Place struct {
	Key, Name string
	Rule      string
	bands     []band
}

// band is the tolerance for net weights above one and up to another [g].
type band struct {
	over, upTo float64
	grams, pct float64 // one of them
}

var (
	euSource = source.Figure{Unit: "g", Source: "eu_76_211", Locator: "Annex I, 2.4", Grade: source.Memory}
	usSource = source.Figure{Unit: "g", Source: "nist_handbook_133", Locator: "appendix A, table 2-5", Grade: source.Memory}
)

// Places are the two rules known. Sources: eu_76_211, Annex I 2.4, and the UK's
// regulations of 2006, the same table; nist_handbook_133, table 2-5 (0.008 lb and
// so on, in rounded grams). Both recalled, the first confirmed at three points.
var Places = []Place{
	{"eu_uk", "EU and UK", "the average holds what is printed, and hardly a bar lacks more than the tolerable error", []band{
		{5, 50, 0, 9}, {50, 100, 4.5, 0}, {100, 200, 0, 4.5}, {200, 300, 9, 0}, {300, 500, 0, 3}, {500, 1000, 15, 0}, {1000, 10000, 0, 1.5}}},
	{"us", "United States", "the average holds what is printed, and no bar lacks more than the allowed variation", []band{
		{0, 36, 0, 10}, {36, 54, 3.6, 0}, {54, 82, 5.4, 0}, {82, 118, 7.2, 0}, {118, 154, 9, 0}, {154, 209, 10.8, 0}, {209, 263, 12.7, 0},
		{263, 317, 14.5, 0}, {317, 381, 16.3, 0}, {381, 426, 18.1, 0}, {426, 490, 19.9, 0}}},
}

// PlaceOf returns the place of a key; false when there is none.
func PlaceOf(key string) (Place, bool) {
	for _, p := range Places {
		if p.Key == key {
			return p, true
		}
	}
	return Place{}, false
}

// Tolerance returns what a single bar may lack of a printed weight [g]; false
// for a weight the rule says nothing of.
func (p Place) Tolerance(labelG float64) (toleranceG float64, known bool) {
	for _, b := range p.bands {
		if labelG > b.over && labelG <= b.upTo {
			return b.grams + labelG*b.pct/100, true
		}
	}
	return 0, false
}

// Source returns where the place's rule was read.
func (p Place) Source() source.Figure {
	if p.Key == "us" {
		return usSource
	}
	return euSource
}
