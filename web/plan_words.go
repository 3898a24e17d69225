package web

import (
	"regexp"
	"strings"

	"barwright/recipe"
)

// onPage says a fault in the words of the page. Those of the recipe file, its
// brackets and keys, mean nothing to somebody who never opened one.
func onPage(f recipe.Fault) recipe.Fault {
	switch {
	case f.Path == "name" && strings.HasSuffix(f.Text, "has no name"):
		return recipe.Fault{Path: f.Path, Text: "What is it called?"}
	case f.Path == "fats" && strings.HasSuffix(f.Text, "has no fats"):
		return recipe.Fault{Path: f.Path, Text: "Add a fat: type part of its name, then its share."}
	}
	f.Text = strings.NewReplacer("[mould]", "mould", "[combine]", "combining").Replace(f.Text)
	f.Advice = adviceOnPage(f.Advice)
	return f
}

// pageAdvice is the advice of the recipe file and what the page says instead.
var pageAdvice = []struct{ file, page string }{
	{"it takes lye, so it goes under [[fats]]", "it takes lye, so it goes into the weigh list, whenever it is stirred in"},
	{`[[fats]] with material`, "type part of its name, then its share"},
	{`[[alkali]] with material`, "choose it under Lye"},
	{"alkali goes under [[alkali]]", "choose it under Lye"},
	{"it goes under [[additions]]", "it goes under Additions"},
	{"add [mould] with", "choose a mould, or size it by the fats"},
	{"[size] with one of", "say how much fat, how much batter or how many bars"},
	{"take [size] away", "give the fats as shares to choose a size"},
	{`fats = "880 g", or amounts`, "size it by the fats, or give every fat its mass"},
	{`superfat = "5 %"; or`, "5 % is usual; or let the lye of a recipe found elsewhere be judged"},
	{`fats_temperature = `, "like 40 and 38 °C"},
	{`for = "24 h"; only`, "like 24 h; only the last stage goes on without end"},
	{`when = "lye"`, "in the lye, in the fats or at trace"},
}

var keyAndValue = regexp.MustCompile(`^\w+ = "([^"]+)"(.*)$`)

func adviceOnPage(advice string) string {
	for _, a := range pageAdvice {
		if strings.HasPrefix(advice, a.file) {
			return a.page
		}
	}
	if m := keyAndValue.FindStringSubmatch(advice); m != nil {
		return "like " + m[1] + m[2]
	}
	return advice
}
