package plan

import (
	"fmt"
	"strings"

	"barwright/material"
	"barwright/recipe"

	"pgregory.net/rapid"
)

// kitchen says what drawRecipe may draw.
type kitchen struct {
	sharesOnly bool // every addition as a share of the fats, so that all grows with the batch
	byFats     bool // the size is a mass of fats
}

// drawRecipe draws a recipe somebody could write: one to ten fats with waxes
// and free acids, any alkali, any addition, any size, mould, temperature and
// scale. Not every one is wise, and a few cannot be planned.
func drawRecipe(t *rapid.T, k kitchen) recipe.Recipe {
	var b strings.Builder
	fmt.Fprintf(&b, "format = 1\nname = \"Drawn\"\nsuperfat = \"%s %%\"\nlye_strength = \"%s %%\"\n",
		tenths(t, "superfat", 0, 300), tenths(t, "lye_strength", 220, 420))
	mould := drawMould(t)
	byMould := drawSize(t, &b, k)
	drawAlkali(t, &b)
	drawFats(t, &b)
	drawAdditions(t, &b, k)
	if byMould || sometimes(t, "has_mould") {
		b.WriteString(mould)
	}
	drawMaking(t, &b)
	drawScale(t, &b)
	return written(t, b.String())
}

// planOrSkip plans the recipe, or gives this draw up when it cannot be
// planned at all: no room for its water, say.
func planOrSkip(t *rapid.T, r recipe.Recipe) *Plan {
	p, err := Make(r, material.Builtin())
	if err != nil {
		t.Skip(err)
	}
	return p
}

func tenths(t *rapid.T, name string, low, high int) string {
	return exactly(float64(rapid.IntRange(low, high).Draw(t, name)) / 10)
}

func sometimes(t *rapid.T, name string) bool { return rapid.Bool().Draw(t, name) }

func oneOf(t *rapid.T, name string, words ...string) string {
	return rapid.SampledFrom(words).Draw(t, name)
}

func drawSize(t *rapid.T, b *strings.Builder, k kitchen) (byMould bool) {
	kind := "fats"
	if !k.byFats {
		kind = oneOf(t, "size", "fats", "batter", "bars", "mould")
	}
	b.WriteString("[size]\n")
	switch kind {
	case "fats":
		unit := oneOf(t, "unit", "200 5000 g", "1 6 kg", "8 150 oz", "1 12 lb")
		low, high := 0, 0
		fmt.Sscanf(unit, "%d %d %s", &low, &high, &unit)
		fmt.Fprintf(b, "fats = \"%s %s\"\n", tenths(t, "fats", 10*low, 10*high), unit)
	case "batter":
		fmt.Fprintf(b, "batter = \"%s g\"\n", tenths(t, "batter", 5000, 60000))
	case "bars":
		fmt.Fprintf(b, "bars = \"%d x %s g\"\n", rapid.IntRange(5, 30).Draw(t, "bars"), tenths(t, "each", 600, 1500))
	case "mould":
		b.WriteString("mould = true\n")
		return true
	}
	return false
}

func drawMould(t *rapid.T) string {
	side := func(name string, low, high int) string { return tenths(t, name, 10*low, 10*high) }
	out := "[mould]\nfill = \"" + tenths(t, "fill", 800, 1000) + " %\"\n"
	switch oneOf(t, "shape", "box", "cylinder", "cavity") {
	case "box":
		return out + fmt.Sprintf("shape = \"box\"\ninside = \"%s x %s x %s mm\"\nwall = \"softwood 12 mm\"\n", side("length", 150, 400), side("width", 60, 200), side("height", 50, 90))
	case "cylinder":
		return out + fmt.Sprintf("shape = \"cylinder\"\naxis = \"upright\"\ninside = \"%s x %s mm\"\n", side("diameter", 70, 120), side("length", 200, 400))
	}
	return out + fmt.Sprintf("shape = \"cavity\"\nvolume = \"%s ml\"\ncount = %d\n", side("volume", 70, 150), rapid.IntRange(6, 24).Draw(t, "count"))
}

func drawAlkali(t *rapid.T, b *strings.Builder) {
	assay := func(id string) {
		switch oneOf(t, id+"_assay", "none", "purity", "range", "both") {
		case "purity":
			fmt.Fprintf(b, "purity = \"%s %%\"\n", tenths(t, id+"_purity", 850, 1000))
		case "range":
			fmt.Fprintf(b, "purity_range = \"%s %% to %s %%\"\n", tenths(t, id+"_low", 850, 950), tenths(t, id+"_high", 950, 1000))
		case "both":
			fmt.Fprintf(b, "purity = \"98 %%\"\npurity_range = \"97 %% to %s %%\"\n", tenths(t, id+"_high", 980, 1000))
		}
	}
	switch oneOf(t, "alkali", "naoh", "koh", "mixture", "stock") {
	case "naoh":
		b.WriteString("[[alkali]]\nmaterial = \"naoh\"\n")
		assay("naoh")
	case "koh":
		b.WriteString("[[alkali]]\nmaterial = \"koh\"\n")
		assay("koh")
	case "mixture":
		koh := rapid.IntRange(1, 99).Draw(t, "koh_share")
		fmt.Fprintf(b, "[[alkali]]\nmaterial = \"naoh\"\nshare = \"%d %%\"\n", 100-koh)
		assay("naoh")
		fmt.Fprintf(b, "[[alkali]]\nmaterial = \"koh\"\nshare = \"%d %%\"\n", koh)
		assay("koh")
	case "stock":
		fmt.Fprintf(b, "[[alkali]]\nmaterial = \"naoh\"\nstock_strength = \"%s %%\"\n", tenths(t, "stock", 430, 500))
	}
}

// drawFats draws one to ten fats, the last a triglyceride, with shares to
// the hundredth of a per cent.
func drawFats(t *rapid.T, b *strings.Builder) {
	n := rapid.IntRange(1, 10).Draw(t, "fats")
	ids := []string{rapid.SampledFrom(idsOf(material.Triglyceride)).Draw(t, "fat")}
	weights := []int{100}
	sum := 100
	for len(ids) < n {
		kind := rapid.SampledFrom([]material.Kind{material.Triglyceride, material.Triglyceride, material.Triglyceride, material.Wax, material.FreeAcid}).Draw(t, "kind")
		most := map[material.Kind]int{material.Triglyceride: 100, material.Wax: 8, material.FreeAcid: 30}[kind]
		id := rapid.SampledFrom(idsOf(kind)).Draw(t, "fat")
		if contains(ids, id) {
			n-- // a fat stands on one line
			continue
		}
		w := rapid.IntRange(1, most).Draw(t, "weight")
		ids, weights, sum = append(ids, id), append(weights, w), sum+w
	}
	left := 10000
	for i := len(ids) - 1; i >= 0; i-- {
		hundredths := 10000 * weights[i] / sum
		left -= hundredths
		if i == 0 {
			hundredths += left
		}
		fmt.Fprintf(b, "[[fats]]\nmaterial = \"%s\"\nshare = \"%s %%\"\n", ids[i], exactly(float64(hundredths)/100))
	}
}

func contains(words []string, word string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}

func idsOf(kinds ...material.Kind) (ids []string) {
	for _, id := range material.Builtin().IDs() {
		m, err := material.Builtin().Find(id)
		if err != nil {
			panic(err)
		}
		for _, k := range kinds {
			if m.Kind == k {
				ids = append(ids, id)
			}
		}
	}
	return ids
}

// mostOf is how much of a kind of addition somebody might take [% of fats].
var mostOf = map[material.Kind]int{material.Liquid: 12, material.Sugar: 5, material.KitchenAcid: 3, material.Salt: 80,
	material.Powder: 5, material.Scent: 7, material.Keeper: 1}

func drawAdditions(t *rapid.T, b *strings.Builder, k kitchen) {
	var seen []string
	for range rapid.IntRange(0, 4).Draw(t, "additions") {
		kind := rapid.SampledFrom([]material.Kind{material.Liquid, material.Sugar, material.KitchenAcid, material.Salt, material.Powder, material.Scent, material.Keeper}).Draw(t, "kind")
		id := rapid.SampledFrom(idsOf(kind)).Draw(t, "addition")
		if contains(seen, id) {
			continue
		}
		seen = append(seen, id)
		m, _ := material.Builtin().Find(id)
		amount := tenths(t, "percent", 1, 10*mostOf[kind]) + " %"
		if !k.sharesOnly {
			switch oneOf(t, "by", "share", "share", "mass", "volume") {
			case "mass":
				amount = tenths(t, "grams", 5, 200) + " g"
			case "volume":
				amount = "1/2 " + oneOf(t, "spoon", "tsp us", "tbsp us", "tbsp metric", "fl oz uk")
			}
		}
		fmt.Fprintf(b, "[[additions]]\nmaterial = \"%s\"\namount = \"%s\"\nwhen = \"%s\"\n", id, amount, oneOf(t, "when", "lye", "fats", "trace"))
		if m.InSolution && rapid.IntRange(0, 3).Draw(t, "strength_known") > 0 {
			fmt.Fprintf(b, "strength = \"%s %%\"\n", tenths(t, "strength", 30, 900))
		}
		if m.Fizzes && sometimes(t, "flat") {
			b.WriteString("flat = true\n")
		}
		if kind == material.Scent {
			fmt.Fprintf(b, "limit = \"%s %% of bar\"\nstir = \"%s\"\ntemperature = \"%s °C\"\n", tenths(t, "limit", 1, 60), oneOf(t, "stir", "hand", "blender"), tenths(t, "scent_c", 50, 400))
		}
	}
}

func drawMaking(t *rapid.T, b *strings.Builder) {
	if sometimes(t, "has_lye") {
		fmt.Fprintf(b, "[lye]\nwater_temperature = \"%s °C\"\nice = \"%s %%\"\nvessel = \"%s\"\n", tenths(t, "water_c", 20, 450), tenths(t, "ice", 0, 500),
			oneOf(t, "vessel", "none", "polypropylene 200 g", "glass 500 g", "aluminium 300 g"))
	}
	if sometimes(t, "has_combine") {
		fmt.Fprintf(b, "[combine]\nfats_temperature = \"%s °C\"\nlye_temperature = \"%s °C\"\nstir = \"%s\"\n", tenths(t, "fats_c", 250, 850), tenths(t, "lye_c", 100, 700), oneOf(t, "stir", "hand", "blender"))
	}
}

func drawScale(t *rapid.T, b *strings.Builder) {
	step := func(name string) string {
		return oneOf(t, name, "0.01 g", "0.1 g", "0.5 g", "1 g", "2 g", "5 g", "0.1 oz")
	}
	if sometimes(t, "has_scale") {
		fmt.Fprintf(b, "[scale]\nfats = \"%s\"\nalkali = \"%s\"\n", step("fats_step"), step("alkali_step"))
		if sometimes(t, "repeats") {
			fmt.Fprintf(b, "repeatability = \"%s\"\n", oneOf(t, "repeatability", "0.01 g", "0.5 g", "1 g"))
		}
	}
}
