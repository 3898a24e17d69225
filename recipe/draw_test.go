package recipe_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"barwright/material"
	"barwright/mould"
	"barwright/quantity"
	"barwright/recipe"
)

// whole compares quantities by what they hold.
var whole = cmp.Exporter(func(reflect.Type) bool { return true })

// ids returns the built-in materials for which is true.
func ids(is func(material.Material) bool) []string {
	var out []string
	for _, id := range material.Builtin().IDs() {
		if m, err := material.Builtin().Find(id); err == nil && is(m) {
			out = append(out, id)
		}
	}
	return out
}

var (
	fatIDs      = ids(func(m material.Material) bool { return m.Kind.IsFat() })
	additionIDs = ids(func(m material.Material) bool { return !m.Kind.IsFat() && m.Kind != material.Alkali })
)

func must[T any](v T, err error) *T {
	if err != nil {
		panic(err)
	}
	return &v
}

// maybe draws a quantity or nothing.
func maybe[T any](t *rapid.T, label string, parse func(string) (T, error), texts ...string) *T {
	if text := rapid.SampledFrom(append(texts, "")).Draw(t, label); text != "" {
		return must(parse(text))
	}
	return nil
}

// part draws a share between its bounds, with two decimals.
func part(t *rapid.T, label string, low, high float64) *quantity.Share {
	n := rapid.IntRange(int(low*100), int(high*100)).Draw(t, label)
	return must(quantity.ParseShare(fmt.Sprintf("%d.%02d %%", n/100, n%100)))
}

func mass(t *rapid.T, label string) *quantity.Mass {
	return must(quantity.ParseMass(fmt.Sprintf("%d,%d %s", rapid.IntRange(1, 999).Draw(t, label), rapid.IntRange(0, 99).Draw(t, label+" decimals"),
		rapid.SampledFrom([]string{"g", "kg", "oz", "lb"}).Draw(t, label+" unit"))))
}

// drawRecipe draws a recipe that passes its checks, with any of the tables a
// recipe can have.
func drawRecipe(t *rapid.T) recipe.Recipe {
	r := recipe.Recipe{Format: 1}
	r.Name = "R" + strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f || c >= 0x80 && c < 0xa0 || c == 0x2028 || c == 0x2029 {
			return '-'
		}
		return c
	}, rapid.StringN(0, 60, 180).Draw(t, "name"))
	r.Note = rapid.SampledFrom([]string{"", "one line", "two\nlines", "\ttab \"quotes\" 'more' \\", "\r\n", "'''", `"""`, "é 石鹸"}).Draw(t, "note")
	r.Method = rapid.SampledFrom([]string{"", "cold", "hot"}).Draw(t, "method")
	drawCharge(t, &r)
	for range rapid.IntRange(0, 3).Draw(t, "additions") {
		r.Additions = append(r.Additions, drawAddition(t))
	}
	if rapid.Bool().Draw(t, "lye") {
		r.Lye = &recipe.Lye{
			WaterTemperature: maybe(t, "water temperature", quantity.ParseTemperature, "5 °C", "68 °F"),
			Ice:              maybe(t, "ice", quantity.ParseShare, "0 %", "33,3 %"), Vessel: maybe(t, "vessel", quantity.ParseStuff, "none", "glass 300 g"),
		}
	}
	if rapid.Bool().Draw(t, "combine") {
		r.Combine = &recipe.Combine{FatsTemperature: quantity.Celsius(40.5), LyeTemperature: *must(quantity.ParseTemperature("99 °F")),
			Pot: maybe(t, "pot", quantity.ParseStuff, "steel 2 lb"), Stir: rapid.SampledFrom([]string{"", recipe.Hand, recipe.Blender}).Draw(t, "stir")}
	}
	if r.Mould == nil && rapid.Bool().Draw(t, "mould") {
		r.Mould = drawMould(t)
	}
	for range rapid.IntRange(0, 3).Draw(t, "rests") {
		r.Rest = append(r.Rest, recipe.Rest{Place: rapid.SampledFrom(recipe.Places).Draw(t, "place"), Temperature: must(quantity.ParseTemperature("-18 °C")),
			Cover: maybe(t, "cover", quantity.ParseStuff, "none", "blanket 25 mm"), Fan: rapid.Bool().Draw(t, "fan"),
			RH: maybe(t, "rh", quantity.ParseShare, "60 %"), For: must(quantity.ParseDuration("1 1/3 h"))})
	}
	if rapid.Bool().Draw(t, "scale") {
		r.Scale = &recipe.Scale{Fats: maybe(t, "fats step", quantity.ParseMass, "1 g", "0.1 oz"), Alkali: maybe(t, "alkali step", quantity.ParseMass, "0.1 g"),
			Repeatability: maybe(t, "repeatability", quantity.ParseMass, "0.05 g"), FatsCapacity: maybe(t, "fats capacity", quantity.ParseMass, "5 kg"), AlkaliCapacity: maybe(t, "alkali capacity", quantity.ParseMass, "500 g")}
	}
	return r
}

// drawCharge draws fats, alkali and size, wished or found.
func drawCharge(t *rapid.T, r *recipe.Recipe) {
	fats := rapid.SliceOfNDistinct(rapid.SampledFrom(fatIDs), 1, 6, rapid.ID).Draw(t, "fats")
	byAmount, found := rapid.Bool().Draw(t, "by amount"), rapid.Bool().Draw(t, "found")
	left := 10000 // hundredths of a per cent
	for i, id := range fats {
		f := recipe.Fat{Material: id}
		if byAmount {
			f.Amount = mass(t, "amount")
		} else {
			n := left
			if i < len(fats)-1 {
				n = rapid.IntRange(1, left-(len(fats)-1-i)).Draw(t, "share")
			}
			left -= n
			f.Share = must(quantity.ParseShare(fmt.Sprintf("%d.%02d %%", n/100, n%100)))
		}
		r.Fats = append(r.Fats, f)
	}
	alkalis := rapid.SampledFrom([][]string{{"naoh"}, {"koh"}, {"naoh", "koh"}}).Draw(t, "alkalis")
	for i, id := range alkalis {
		a := recipe.Alkali{Material: id}
		switch rapid.IntRange(0, 3).Draw(t, "assay") {
		case 0:
			a.StockStrength = part(t, "stock", 5, 55)
		case 1:
			a.Purity, a.PurityRange = part(t, "purity", 98, 99), must(quantity.ParseShareRange("97,5 % to 99.5 %"))
		case 2:
			a.Purity = part(t, "purity", 50, 100)
		}
		switch {
		case found:
			a.Amount = mass(t, "alkali")
		case len(alkalis) > 1:
			a.Share = []*quantity.Share{{Percent: 94.5}, {Percent: 5.5}}[i]
		}
		r.Alkali = append(r.Alkali, a)
	}
	if found {
		r.Water = mass(t, "water")
	} else {
		r.Superfat, r.LyeStrength = part(t, "superfat", 0, 30), part(t, "lye strength", 5, 50)
	}
	if !byAmount {
		r.Size = drawSize(t, r, found)
	}
}

func drawSize(t *rapid.T, r *recipe.Recipe, found bool) *recipe.Size {
	kind := rapid.IntRange(0, 3).Draw(t, "size")
	switch {
	case found || kind == 0:
		return &recipe.Size{Fats: mass(t, "size fats")}
	case kind == 1:
		return &recipe.Size{Batter: mass(t, "batter")}
	case kind == 2:
		return &recipe.Size{Bars: must(quantity.ParseBars("11 x 3,5 oz"))}
	}
	r.Mould = drawMould(t)
	return &recipe.Size{Mould: true}
}

func drawAddition(t *rapid.T) recipe.Addition {
	m := *must(material.Builtin().Find(rapid.SampledFrom(additionIDs).Draw(t, "addition")))
	a := recipe.Addition{Material: m.ID, When: rapid.SampledFrom([]recipe.When{recipe.InLye, recipe.InFats, recipe.AtTrace}).Draw(t, "when"),
		Amount:      *must(quantity.ParseAmount(rapid.SampledFrom([]string{"1.5 %", "20 g", "1 1/2 tbsp us", "15 ml"}).Draw(t, "amount"))),
		Temperature: maybe(t, "temperature", quantity.ParseTemperature, "4 °C"), Flat: m.Fizzes && rapid.Bool().Draw(t, "flat")}
	if m.InSolution {
		a.Strength = maybe(t, "strength", quantity.ParseShare, "5 %", "80 %")
	}
	if m.Kind == material.Scent {
		a.Limit, a.Stir = maybe(t, "limit", quantity.ParseBarLimit, "0,7 % of bar"), rapid.SampledFrom([]string{"", recipe.Hand}).Draw(t, "stir it")
	}
	return a
}

func drawMould(t *rapid.T) *mould.Mould {
	m := mould.Mould{Name: rapid.SampledFrom([]string{"", "the \"big\" one"}).Draw(t, "mould name"), Count: rapid.IntRange(0, 12).Draw(t, "count"),
		Wall: maybe(t, "wall", quantity.ParseStuff, "none", "softwood 12 mm"), Lid: maybe(t, "lid", quantity.ParseStuff, "card 1 mm"),
		Fill: maybe(t, "fill", quantity.ParseShare, "95 %")}
	switch m.Shape = rapid.SampledFrom([]string{mould.Box, mould.Cylinder, mould.Cavity}).Draw(t, "shape"); m.Shape {
	case mould.Box:
		m.Inside = must(quantity.ParseSides("10 x 3 1/2 x 2 in"))
	case mould.Cylinder:
		m.Inside, m.Axis = must(quantity.ParseSides("6,8 x 25 cm")), rapid.SampledFrom([]string{"", "level", "upright"}).Draw(t, "axis")
	default:
		m.Volume = must(quantity.ParseVolume("1/3 cup us"))
	}
	if rapid.Bool().Draw(t, "filled with water") {
		held := fmt.Sprintf("%.0f ml", 1.02*m.SidesML())
		m.Holds = must(quantity.ParseVolume(held))
	}
	return &m
}

// parse(print(r)) = r for every recipe that can be planned.
func TestPrintReadsBack(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t)
		if fs := r.Check(lib); len(fs) > 0 {
			t.Fatalf("drawn wrongly: %v\n%s", fs, r.Print())
		}
		again, err := recipe.Parse("printed", r.Print(), lib)
		if err != nil {
			t.Fatalf("%v in\n%s", err, r.Print())
		}
		if diff := cmp.Diff(r, again, whole); diff != "" {
			t.Fatalf("%s in\n%s", diff, r.Print())
		}
		if string(again.Print()) != string(r.Print()) || again.Hash() != r.Hash() {
			t.Fatalf("prints differently:\n%s", again.Print())
		}
	})
}
