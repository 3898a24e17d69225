package plan

import (
	"testing"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
)

var _ = tomldoc.MaxBytes

func BenchmarkMake(b *testing.B) {
	r, err := recipe.Parse("ten", []byte(tenFats), material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Make(r, material.Builtin()); err != nil {
			b.Fatal(err)
		}
	}
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
