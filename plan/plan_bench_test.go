package plan

import (
	"encoding/json"
	"testing"

	"barwright/material"
	"barwright/recipe"
)

// BenchmarkMake plans ten fats with wax and honey: both bands, all findings,
// and one trial plan for every fix that is tried.
func BenchmarkMake(b *testing.B) {
	r := benchRecipe(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Make(r, material.Builtin()); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBands is the two superfat bands of the same recipe alone.
func BenchmarkBands(b *testing.B) {
	p, err := compute(benchRecipe(b), material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		p.planSuperfat()
	}
}

// BenchmarkParse reads and checks the same recipe file.
func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		if _, err := recipe.Parse("ten", []byte(tenFats), material.Builtin()); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkJSON writes the same plan as JSON.
func BenchmarkJSON(b *testing.B) {
	p, err := Make(benchRecipe(b), material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := json.Marshal(p); err != nil {
			b.Fatal(err)
		}
	}
}

func benchRecipe(b *testing.B) recipe.Recipe {
	r, err := recipe.Parse("ten", []byte(tenFats), material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	return r
}

const tenFats = `
format = 1
name = "Ten fats"
superfat = "7 %"
lye_strength = "33 %"
[size]
fats = "2 kg"
[[alkali]]
material = "naoh"
purity = "98.5 %"
[[fats]]
material = "tallow_beef"
share = "20 %"
[[fats]]
material = "lard"
share = "15 %"
[[fats]]
material = "olive"
share = "15 %"
[[fats]]
material = "coconut"
share = "15 %"
[[fats]]
material = "rapeseed_low_erucic"
share = "10 %"
[[fats]]
material = "sunflower_high_oleic"
share = "10 %"
[[fats]]
material = "castor"
share = "5 %"
[[fats]]
material = "shea"
share = "5 %"
[[fats]]
material = "cocoa_butter"
share = "4 %"
[[fats]]
material = "beeswax"
share = "1 %"
[[additions]]
material = "honey"
amount = "1 %"
when = "trace"
[combine]
fats_temperature = "45 °C"
lye_temperature = "43 °C"
`
