package web

import (
	"regexp"
	"strconv"
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
	f.Text = ended(strings.NewReplacer("[mould]", "mould", "[combine]", "combining").Replace(f.Text))
	if where(f.Path) == "" {
		f.Text = upperFirst(f.Text)
	}
	f.Advice = upperFirst(ended(adviceOnPage(f.Advice)))
	return f
}

// ended puts the stop at the end of a sentence.
func ended(text string) string {
	if text == "" || strings.HasSuffix(text, ".") || strings.HasSuffix(text, "?") {
		return text
	}
	return text + "."
}

// labels are the page's words for the keys of the recipe.
var labels = map[string]string{
	"superfat": "Superfat", "lye_strength": "Lye strength", "water": "Water", "size": "Size", "combine.fats_temperature": "Fats at", "combine.lye_temperature": "Lye at",
	"lye.water_temperature": "Water from", "lye.ice": "Ice", "scale.fats": "Scale", "scale.alkali": "Scale for the alkali", "scale.repeatability": "Scale",
	"mould": "Mould", "fats": "Fat", "additions": "Addition", "alkali": "Alkali", "rest": "Rest", "combine": "Temperatures",
}

// where says in the page's words which field a path is of: "Fat 2". It is ""
// where the text says it all.
func where(path string) string {
	if label := labels[path]; label != "" && path != "fats" && path != "size" {
		return label
	}
	list, rest, _ := strings.Cut(path, ".")
	num, _, _ := strings.Cut(rest, ".")
	if i, err := strconv.Atoi(num); err == nil && labels[list] != "" {
		return labels[list] + " " + strconv.Itoa(i+1)
	}
	if rest != "" {
		return labels[list]
	}
	return ""
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
	{"write one of: ", "type part of its name and choose it from the list"},
	{"barwright materials lists", "type part of its name and choose it from the list"},
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
