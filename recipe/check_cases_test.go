package recipe_test

import (
	"fmt"
	"strings"

	"barwright/mould"
)

// checkCase is one broken recipe and the fault it is told for.
type checkCase struct {
	base             string
	pairs            []string
	path, want, hint string
}

func edit(pairs ...string) []string { return pairs }

func many(n int, format string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}

const (
	foundAdvice = "give the amount of every alkali and the water, and neither superfat nor lye_strength; or take the amounts away"
	sizeAdvice  = `[size] with one of fats = "880 g", batter = "1.3 kg", mould = true, bars = "11 x 100 g"`
	unitAdvice  = "is the unit right?"
	markAdvice  = "is the decimal mark right?"
	warmAdvice  = "is it °C or °F?"
	nameAdvice  = "what there is to tell goes into the note"
	noneAdvice  = "take the line away when there is none of it"
	mixAdvice   = "give all fats as shares, or all as amounts"
	restAdvice  = `for = "24 h"; only the last stage goes on without end`
	lettersText = "the name must be one line of at most 200 letters"
)

var headCases = []checkCase{
	{wished, edit("format = 1\n", ""), "format", "the format is 0; this program reads format 1", "write format = 1 on the first line"},
	{wished, edit("format = 1", "§format = 2"), "format", "the format is 2; this program reads format 1", "write format = 1 on the first line"},
	{wished, edit("name = \"Base\"\n", ""), "name", "the recipe has no name", `name = "Plain Tow"`},
	{wished, edit(`name = "Base"`, `§name = " \t"`), "name", "the recipe has no name", `name = "Plain Tow"`},
	{wished, edit(`"Base"`, `§"two\nlines"`), "name", lettersText, nameAdvice},
	{wished, edit(`"Base"`, `§"two\u2028lines"`), "name", lettersText, nameAdvice},
	{wished, edit(`"Base"`, `§"`+strings.Repeat("é", 201)+`"`), "name", lettersText, nameAdvice},
	{wished, edit(`superfat = "5 %"`, `§note = "a\u0000b"`), "note", "the note is too long or has letters that cannot be printed", "a page or two of plain text"},
	{wished, edit(`superfat = "5 %"`, `§note = "`+strings.Repeat("x", 20001)+`"`), "note", "the note is too long or has letters that cannot be printed", "a page or two of plain text"},
	{wished, edit(`superfat = "5 %"`, `§method = "tepid"`), "method", `"tepid" is not a method`, "method is cold or hot"},
	{wished, edit("superfat = \"5 %\"\n", ""), "superfat", "the recipe has no superfat", `superfat = "5 %"; or, to have a recipe judged, give the alkali's amount and the water`},
	{wished, edit("lye_strength = \"33 %\"\n", ""), "lye_strength", "the recipe has no lye strength", `lye_strength = "33 %"`},
	{wished, edit(`"5 %"`, `§"30.5 %"`), "superfat", "superfat lies between 0 and 30 %, not 30.5 %", markAdvice},
	{wished, edit(`"33 %"`, `§"50.1 %"`), "lye_strength", "lye of 50.1 %: the most that can be planned is 50 %", "33 % is usual; over 50 % does not stay dissolved at room temperature"},
	{wished, edit(`"33 %"`, `§"4.9 %"`), "lye_strength", "lye of 4.9 %: the least that can be planned is 5 %", "33 % is usual"},
	{found, edit("water = \"140 g\"\n", "", "amount = \"70 g\"", "§amount = \"70 g\""), "alkali.0.amount", "the alkali has an amount, but there is no water", foundAdvice},
	{found, edit("amount = \"70 g\"\n", "", "[[alkali]]", "§[[alkali]]"), "alkali.0", "this recipe has some of its lye by mass, but not this alkali's amount", foundAdvice},
	{found, edit("[[fats]]", "§[[alkali]]\nmaterial = \"koh\"\n[[fats]]"), "alkali.1", "this recipe has some of its lye by mass, but not this alkali's amount", foundAdvice},
	{found, edit(`amount = "70 g"`, "amount = \"70 g\"\n§share = \"100 %\""), "alkali.0.share", "an alkali has an amount or a share, not both", foundAdvice},
	{found, edit(`name = "Found"`, "name = \"Found\"\n§superfat = \"5 %\""), "superfat", "superfat is the answer when the alkali's amount is given", foundAdvice},
	{found, edit(`name = "Found"`, "name = \"Found\"\n§lye_strength = \"33 %\""), "lye_strength", "lye strength follows from the amounts of alkali and water", foundAdvice},
	{found, edit(`"140 g"`, `§"1400 kg"`), "water", "1400 kg is more than a tonne", unitAdvice},
	{wished, edit("[size]\nfats = \"500 g\"\n", ""), "size", "the recipe has no size", sizeAdvice},
	{wished, edit("[size]\nfats = \"500 g\"\n", "§[size]\nmould = false\n"), "size", "the recipe has no size", sizeAdvice},
	{wished, edit("[size]\n", "§[size]\nbatter = \"1 kg\"\n"), "size", "2 sizes at once", "keep one of fats, batter, mould and bars"},
	{wished, edit("[size]\n", "§[size]\nbatter = \"1 kg\"\nmould = true\nbars = \"11 x 100 g\"\n"), "size", "4 sizes at once", "keep one of fats, batter, mould and bars"},
	{found, edit("[[alkali]]", "§[size]\nfats = \"500 g\"\n[[alkali]]"), "size", "the fats have amounts, so the size is given twice", "take [size] away, or give the fats as shares"},
	{wished, edit("fats = \"500 g\"", "§mould = true", "[mould]\nshape = \"box\"\ninside = \"250 x 90 x 65 mm\"\n", ""), "size.mould", "the mould sets the size, but there is no [mould]", "add [mould] with shape and inside"},
	{found, edit("[[alkali]]", "§[size]\nbatter = \"1 kg\"\n[[alkali]]", `amount = "300 g"`, `share = "60 %"`, `amount = "200 g"`, `share = "40 %"`), "size",
		"a recipe with its lye by mass must give its fats by mass too", `fats = "880 g", or amounts for all fats`},
	{wished, edit(`"500 g"`, `§"5000 kg"`), "size.fats", "5000 kg is more than a tonne", unitAdvice},
	{wished, edit(`fats = "500 g"`, `§batter = "2205 lb"`), "size.batter", "2205 lb is more than a tonne", unitAdvice},
	{wished, edit(`fats = "500 g"`, `§bars = "11 x 100 kg"`), "size.bars", "11 x 100 kg come to more than a tonne", unitAdvice},
}

var alkaliCases = []checkCase{
	{wished, edit("[[alkali]]\nmaterial = \"naoh\"\n", ""), "alkali", "the recipe has no alkali", `[[alkali]] with material = "naoh"`},
	{wished, edit("[[alkali]]\nmaterial = \"naoh\"\n", many(10, "[[alkali]]\nmaterial = \"lye%d\"\n")+"§[[alkali]]\n"), "alkali.10", "11 alkalis are more than 10", "add up what is the same"},
	{wished, edit(`"naoh"`, `§"lye"`), "alkali.0.material", `"lye" is not a known material`, "barwright materials lists them"},
	{wished, edit("[[alkali]]\nmaterial = \"naoh\"\n", "§[[alkali]]\n"), "alkali.0.material", `"" is not a known material`, "barwright materials lists them"},
	{wished, edit(`"naoh"`, `§"olive"`), "alkali.0.material", "Olive oil is not an alkali", `use "naoh" or "koh"`},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\nshare = \"50 %\"\n[[alkali]]\n§material = \"naoh\"\nshare = \"50 %\"\n"), "alkali.1.material", `"naoh" is there twice`, "add the two lines up"},
	{wished, edit("[[alkali]]\n", "[[alkali]]\nmaterial = \"koh\"\nshare = \"95 %\"\n§[[alkali]]\n"), "alkali.1", "with several alkalis each needs its share", `share = "95 %", mol % of the alkali`},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§share = \"94.94 %\"\n[[alkali]]\nmaterial = \"koh\"\nshare = \"5 %\"\n"), "alkali.0.share", "the alkali's shares come to 99.94 %, not 100 %", "shares are mol % of the alkali"},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§share = \"0 %\"\n[[alkali]]\nmaterial = \"koh\"\nshare = \"100 %\"\n"), "alkali.0.share", "an alkali's share is more than nothing", noneAdvice},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§share = \"101 %\"\n"), "alkali.0.share", "an alkali's share lies between 0 and 100 %, not 101 %", markAdvice},
	{found, edit(`"70 g"`, `§"7000000 g"`), "alkali.0.amount", "7000000 g is more than a tonne", unitAdvice},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§purity = \"49 %\"\n"), "alkali.0.purity", "the assay lies between 50 and 100 %, not 49 %", markAdvice},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§purity = \"985 %\"\n"), "alkali.0.purity", "the assay lies between 50 and 100 %, not 985 %", markAdvice},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§stock_strength = \"56 %\"\n"), "alkali.0.stock_strength", "the strength of a stock lye lies between 5 and 55 %, not 56 %", markAdvice},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\nstock_strength = \"50 %\"\n§purity = \"98 %\"\n"), "alkali.0.purity", "purity and stock_strength at once", "stock_strength says how much pure alkali the solution holds"},
	{wished, edit("[[alkali]]\n", "§[[alkali]]\nstock_strength = \"50 %\"\npurity_range = \"98 % to 99 %\"\n"), "alkali.0.purity", "purity and stock_strength at once", "stock_strength says how much pure alkali the solution holds"},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\n§purity_range = \"98 % to 101 %\"\n"), "alkali.0.purity_range", "the assay lies between 50 and 100 %, not 98 % to 101 %", `like "98 % to 99.5 %"`},
	{wished, edit("material = \"naoh\"\n", "material = \"naoh\"\npurity = \"97.9 %\"\n§purity_range = \"98 % to 99 %\"\n"), "alkali.0.purity_range", "the assay 97.9 % lies outside its own range 98 % to 99 %", "correct one of the two, or take one away"},
}

var fatsCases = []checkCase{
	{wished, edit("[[fats]]\nmaterial = \"olive\"\nshare = \"60 %\"\n[[fats]]\nmaterial = \"coconut\"\nshare = \"40 %\"\n", ""), "fats", "the recipe has no fats", `[[fats]] with material = "olive" and share = "100 %"`},
	{wished, edit("[[fats]]\n", many(60, "[[fats]]\nmaterial = \"fat%d\"\n")+"§[[fats]]\n"), "fats.60", "62 fats are more than 60", "add up what is the same"},
	{wished, edit(`"olive"`, `§"olve"`), "fats.0.material", `"olve" is not a known material`, `did you mean "olive"?`},
	{wished, edit(`"olive"`, `§"ol\nve`+strings.Repeat("x", 99)+`"`), "fats.0.material", `"ol\nve` + strings.Repeat("x", 35) + `" is not a known material`, "barwright materials lists them"},
	{wished, edit(`"olive"`, `§"naoh"`), "fats.0.material", "Sodium hydroxide is an alkali, not a fat", "alkali goes under [[alkali]]"},
	{wished, edit(`"olive"`, `§"honey"`), "fats.0.material", "Honey is not a fat", "it goes under [[additions]]"},
	{wished, edit(`"coconut"`, `§"olive"`), "fats.1.material", `"olive" is there twice`, "add the two lines up"},
	{wished, edit("[[fats]]\nmaterial = \"coconut\"\nshare = \"40 %\"", "§[[fats]]\nmaterial = \"coconut\""), "fats.1", `"coconut" has neither share nor amount`, `share = "55 %"`},
	{wished, edit("[[fats]]\nmaterial = \"coconut\"\nshare = \"40 %\"", "§[[fats]]\nmaterial = \"coconut\"\namount = \"200 g\""), "fats.1", `"coconut" mixes shares and amounts`, mixAdvice},
	{wished, edit("[[fats]]\nmaterial = \"coconut\"\n", "§[[fats]]\nmaterial = \"coconut\"\namount = \"200 g\"\n"), "fats.1", `"coconut" mixes shares and amounts`, mixAdvice},
	{found, edit("[[fats]]\nmaterial = \"coconut\"\namount = \"200 g\"", "§[[fats]]\nmaterial = \"coconut\"\nshare = \"40 %\""), "fats.1", `"coconut" mixes shares and amounts`, mixAdvice},
	{found, edit(`"300 g"`, `§"3000 kg"`), "fats.0.amount", "3000 kg is more than a tonne", unitAdvice},
	{wished, edit(`"40 %"`, `§"0 %"`), "fats.1.share", "a fat's share is more than nothing", noneAdvice},
	{wished, edit(`"60 %"`, `§"600 %"`), "fats.0.share", "a fat's share lies between 0 and 100.05 %, not 600 %", markAdvice},
	{wished, edit(`share = "60 %"`, `§share = "59 %"`), "fats.0.share", "the shares of the fats come to 99 %, not 100 %", "1 % is missing"},
	{wished, edit(`share = "60 %"`, `§share = "60.051 %"`), "fats.0.share", "the shares of the fats come to 100.051 %, not 100 %", "0.051 % too much"},
}

var additionsCases = []checkCase{
	{wished, edit("[[additions]]\n", many(60, "[[additions]]\nmaterial = \"x%d\"\n")+"§[[additions]]\n"), "additions.60", "62 additions are more than 60", "add up what is the same"},
	{wished, edit(`"honey"`, `§"hunny"`), "additions.0.material", `"hunny" is not a known material`, `did you mean "honey"?`},
	{wished, edit(`"honey"`, `§"koh"`), "additions.0.material", "Potassium hydroxide is an alkali, not an addition", "alkali goes under [[alkali]]"},
	{wished, edit(`"honey"`, `§"shea"`), "additions.0.material", "Shea butter (unrefined) is a fat, not an addition", "it takes lye, so it goes under [[fats]] whenever it is stirred in"},
	{wished, edit("[[additions]]\nmaterial = \"honey\"\namount = \"1 %\"", "§[[additions]]\nmaterial = \"honey\""), "additions.0", "Honey has no amount", `amount = "1.5 %" of the fats, or a mass, or a volume`},
	{wished, edit("\"honey\"\namount = \"1 %\"", "\"dust\"\n§amount = \"1 tsp us\""), "additions.0.amount", "Dust by volume: nobody here knows what a spoon of it weighs", "give its mass"},
	{wished, edit(`"1 %"`, `§"1001 l"`), "additions.0.amount", "1001 l is more than a tonne", unitAdvice},
	{wished, edit(`"1 %"`, `§"1001 kg"`), "additions.0.amount", "1001 kg is more than a tonne", unitAdvice},
	{wished, edit(`"1 %"`, `§"201 %"`), "additions.0.amount", "an addition's share of the fats lies between 0 and 200 %, not 201 %", markAdvice},
	{wished, edit(`"1 %"`, `§"0 %"`), "additions.0.amount", "an addition's share of the fats is more than nothing", noneAdvice},
	{wished, edit(`when = "trace"`, `§when = "later"`), "additions.0.when", `"later" is not a time to add it`, `when = "lye", "fats" or "trace"`},
	{wished, edit("[[additions]]\nmaterial = \"honey\"\namount = \"1 %\"\nwhen = \"trace\"", "§[[additions]]\nmaterial = \"honey\"\namount = \"1 %\""), "additions.0.when", `"" is not a time to add it`, `when = "lye", "fats" or "trace"`},
	{wished, edit(`amount = "1 %"`, "amount = \"1 %\"\n§strength = \"80 %\""), "additions.0.strength", "Honey is not sold in solution, so it has no strength", "take strength away"},
	{wished, edit("\"honey\"\n", "\"vinegar\"\n§strength = \"0.05 %\"\n"), "additions.0.strength", "strength lies between 0.1 and 100 %, not 0.05 %", markAdvice},
	{wished, edit("[[additions]]\nmaterial = \"honey\"\n", "§[[additions]]\nmaterial = \"honey\"\nlimit = \"1 % of bar\"\n"), "additions.0", "Honey is not a scent", "limit and stir belong to scents"},
	{wished, edit("name = ", "§method = \"boiled\"\nname = "), "method", `"boiled" is not a method`, "method is cold or hot"},
	{wished, edit("\"lavender_oil\"\n", "\"lavender_oil\"\n§stir = \"spoon\"\n"), "additions.1.stir", `"spoon" is not a way to stir`, "stir is hand or blender"},
	{wished, edit("\"honey\"\n", "\"honey\"\n§temperature = \"121 °C\"\n"), "additions.0.temperature", "temperature lies between -30 and 120 °C, not 121 °C", warmAdvice},
	{wished, edit("\"honey\"\n", "\"honey\"\n§flat = true\n"), "additions.0.flat", "Honey holds neither gas nor alcohol", "take flat away"},
}

var makingCases = []checkCase{
	{wished, edit("[lye]\n", "[lye]\n§water_temperature = \"140 °F\"\n", "140", "141"), "lye.water_temperature", "water temperature lies between 0 and 60 °C, not 141 °F", warmAdvice},
	{wished, edit(`ice = "0 %"`, `§ice = "101 %"`), "lye.ice", "ice, a share of the water, lies between 0 and 100 %, not 101 %", markAdvice},
	{wished, edit(`ice = "0 %"`, `§vessel = "steel 2 mm"`), "lye.vessel", "steel needs its mass, for the heat it takes", `like "steel 1.2 kg"`},
	{wished, edit(`ice = "0 %"`, `§vessel = "glas 1 kg"`), "lye.vessel", `"glas" is not a stuff known here`, `did you mean "glass"? use one of: ` + strings.Join(mould.Walls, ", ")},
	{wished, edit("fats_temperature = \"40 °C\"\n", "", "[combine]", "§[combine]"), "combine", "[combine] needs both temperatures", `fats_temperature = "40 °C" and lye_temperature = "38 °C"`},
	{wished, edit(`"40 °C"`, `§"121 °C"`), "combine.fats_temperature", "fats temperature lies between 0 and 120 °C, not 121 °C", warmAdvice},
	{wished, edit(`"38 °C"`, `§"-1 °C"`), "combine.lye_temperature", "lye temperature lies between 0 and 120 °C, not -1 °C", warmAdvice},
	{wished, edit("[combine]\n", "[combine]\n§pot = \"steel\"\n"), "combine.pot", "steel needs its mass, for the heat it takes", `like "steel 1.2 kg"`},
	{wished, edit("[combine]\n", "[combine]\n§stir = \"fork\"\n"), "combine.stir", `"fork" is not a way to stir`, "stir is hand or blender"},
	{wished, edit("[mould]\n", "[mould]\n§name = \"a\\tb\"\n"), "mould.name", lettersText, nameAdvice},
	{wished, edit(`"box"`, `§"heart"`), "mould.shape", `"heart" is not a shape`, "the shapes are box, cylinder and cavity"},
	{wished, edit("[mould]\nshape = \"box\"\ninside = \"250 x 90 x 65 mm\"", "§[mould]\nshape = \"box\""), "mould.inside", "a box needs its inside length x width x height", `inside = "250 x 90 x 65 mm"`},
	{wished, edit("[[rest]]\n", many(40, "[[rest]]\nplace = \"room%d\"\n")+"§[[rest]]\n"), "rest.40", "42 stages of rest are more than 40", "leave out what changes little"},
	{wished, edit(`"room"`, `§"roof"`), "rest.0.place", `"roof" is not a place to rest`, `did you mean "room"? the places are room, fridge, freezer, oven`},
	{wished, edit(`"room"`, `§"xyzzy"`), "rest.0.place", `"xyzzy" is not a place to rest`, "the places are room, fridge, freezer, oven"},
	{wished, edit("[[rest]]\nplace = \"room\"\ntemperature = \"20 °C\"\nfor = \"24 h\"", "§[[rest]]\nplace = \"room\"\ntemperature = \"20 °C\""), "rest.0", "this stage does not say how long", restAdvice},
	{wished, edit(`"24 h"`, `§"1441 h"`), "rest.0.for", "1441 h is longer than a stage of rest can be, 60 days", "rest is what the fresh batch does; drying comes after it"},
	{wished, edit("[[rest]]\nplace = \"room\"\ntemperature = \"20 °C\"\n", "§[[rest]]\nplace = \"room\"\n"), "rest.0", "this stage has no temperature", `temperature = "20 °C"`},
	{wished, edit(`"4 °C"`, `§"-41 °C"`), "rest.1.temperature", "temperature lies between -40 and 120 °C, not -41 °C", warmAdvice},
	{wished, edit("for = \"24 h\"", "§rh = \"101 %\"\nfor = \"24 h\""), "rest.0.rh", "relative humidity lies between 0 and 100 %, not 101 %", markAdvice},
	{wished, edit("for = \"24 h\"", "§cover = \"blanket 1 kg\"\nfor = \"24 h\""), "rest.0.cover", "a cover has a thickness, not the mass 1 kg", `like "blanket 25 mm"`},
	{wished, edit("for = \"24 h\"", "§cover = \"blankte 25 mm\"\nfor = \"24 h\""), "rest.0.cover", `"blankte" is not a stuff known here`, `did you mean "blanket"? use one of: ` + strings.Join(mould.Walls, ", ")},
	{wished, edit("[scale]\nfats = \"1 g\"", "[scale]\n§fats = \"101 g\""), "scale.fats", "a scale of 101 g", "the smallest difference it shows, like 1 g"},
	{wished, edit("[scale]\n", "[scale]\n§alkali = \"0.00009 g\"\n"), "scale.alkali", "a scale of 0.00009 g", "the smallest difference it shows, like 1 g"},
	{wished, edit("[scale]\n", "[scale]\n§fats_capacity = \"0.5 g\"\n"), "scale.fats_capacity", "a scale that carries 0.5 g", "the most it carries, like 5 kg"},
	{wished, edit("[scale]\n", "[scale]\n§alkali_capacity = \"2000 kg\"\n"), "scale.alkali_capacity", "a scale that carries 2000 kg", "the most it carries, like 5 kg"},
	{wished, edit("[scale]\n", "[scale]\n§repeatability = \"1 kg\"\n"), "scale.repeatability", "a scale of 1 kg", "the smallest difference it shows, like 1 g"},
}

func allCases() []checkCase {
	var all []checkCase
	for _, cs := range [][]checkCase{headCases, alkaliCases, fatsCases, additionsCases, makingCases} {
		all = append(all, cs...)
	}
	return all
}
