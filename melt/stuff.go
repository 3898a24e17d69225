package melt

import (
	"strings"
)

// stuffHeat is the specific heat capacity of vessels [J/(g K)] near room
// temperature, within 10 %. Source: handbooks_recalled (EN ISO 10456 and the
// like), grade memory. Aluminium is here because it can be weighed; that lye
// eats it is not this package's business.
var stuffHeat = map[string]float64{
	"steel":           0.46,
	"stainless steel": 0.46,
	"enamel":          0.46, // enamelled steel
	"cast iron":       0.46,
	"aluminium":       0.90,
	"aluminum":        0.90,
	"copper":          0.385,
	"glass":           0.75,
	"ceramic":         0.85,
	"polypropylene":   1.8,
	"hdpe":            1.8,
	"ldpe":            2.2,
	"plastic":         1.8, // polypropylene or hdpe, what jugs are made of
	"polycarbonate":   1.2,
	"silicone":        1.0,
	"none":            0,
}

// StuffHeatCapacity returns the specific heat capacity of what a vessel is
// made of [J/(g K)], and whether the name is known; case does not matter.
func StuffHeatCapacity(name string) (jPerGK float64, ok bool) {
	jPerGK, ok = stuffHeat[strings.ToLower(strings.TrimSpace(name))]
	return jPerGK, ok
}
