package formulate

import (
	"strings"
	"testing"

	"barwright/material"
)

// A price in another currency is refused, never read as if it were ours; so is
// a number that can be read two ways.
func TestForeignPricesAreRefused(t *testing.T) {
	t.Parallel()
	const fats = "format = 1\n[[fats]]\nmaterial = \"olive\"\nprice = \"%P\"\n[[limits]]\nquantity = \"%Q\"\nmax = \"%V\"\n[objective]\nminimise = \"cost\"\n"
	for _, c := range []struct{ price, of, value, wrong string }{
		{"5 EUR / kg", "cost_per_kg", "6 EUR / kg", ""},
		{"5 EUR / kg", "cost_per_kg", "6 / kg", ""},
		{"5 EUR / kg", "cost_per_kg", "£6 / kg", "this one is in GBP"},
		{"5 EUR / kg", "cox", "1,000", "two ways"},
		{"5 EUR / kg", "iodine_value", "1,000", "two ways"},
		{"5 EUR / kg", "cox", "1,5", ""},
	} {
		text := strings.NewReplacer("%P", c.price, "%Q", c.of, "%V", c.value).Replace(fats)
		_, err := Parse("goal.toml", []byte(text), material.Builtin())
		if (err == nil) != (c.wrong == "") || err != nil && !strings.Contains(err.Error(), c.wrong) {
			t.Errorf("%v: %v", c, err)
		}
	}
}
