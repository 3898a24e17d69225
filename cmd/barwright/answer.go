package main

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"barwright/finding"
	"barwright/formulate"
)

// printAnswer prints the recipes found, or why there are none, for a person.
func printAnswer(w io.Writer, a *formulate.Answer) {
	title := a.Name
	if title == "" {
		title = "Recipes for a goal"
	}
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", utf8.RuneCountInString(title)))
	switch {
	case len(a.Conflict) > 0:
		printConflict(w, a)
	case len(a.Recipes) == 0:
		wrapped(w, "", "The time ran out before any recipe was found. Give it more time (--within), or fewer fats.")
	default:
		wrapped(w, "", a.ProofWords(""))
		for i := range a.Recipes {
			printRecipe(w, a, i)
		}
		printWorth(w, a)
		printCurve(w, a)
		printNature(w, a)
	}
	for _, n := range a.Notes {
		wrapped(w, "", n)
	}
}

func printRecipe(w io.Writer, a *formulate.Answer, i int) {
	r := a.Recipes[i]
	head := "The best"
	switch {
	case i > 0:
		head = fmt.Sprintf("Choice %d, different by %s %%", i+1, trim(*r.Distance, 1))
	case a.BestIsSpoiled():
		head = "One that can be made"
	}
	heading(w, fmt.Sprintf("%s: %s", head, a.ObjectiveWords(r.Objective, "")))
	for _, f := range r.Fats {
		name := f.Name
		if f.Lot != "" {
			name += ", lot " + f.Lot
		}
		fmt.Fprintf(w, "  %-50s %6s %%\n", clip(name, 50), trim(f.SharePct, 2))
	}
	text := fmt.Sprintf("Alkali as bought: %.1f g for %.0f g of fats.", r.AlkaliG, r.Plan().FatsG)
	if r.CostPerKg != nil && a.Minimise != formulate.Cost {
		text += fmt.Sprintf(" Its fats cost %.2f a kilo.", *r.CostPerKg)
	}
	wrapped(w, "  ", text)
	warnings(w, r)
	if a.Was != nil {
		compare(w, a.Was, r)
	}
}

// warnings tells what the plan of a recipe has to beware of.
func warnings(w io.Writer, r formulate.Recipe) {
	if !r.Safe {
		wrapped(w, "  ", "NOT TO BE MADE AS IT STANDS:")
	}
	for _, f := range r.Findings {
		if f.Severity <= finding.Caution {
			hanging(w, fmt.Sprintf("  %-8s ", marks[f.Severity]), "           ", f.Title)
		}
	}
}

// compare prints how a recipe behaves beside the one it comes from.
func compare(w io.Writer, was *formulate.Behaviours, r formulate.Recipe) {
	fmt.Fprintf(w, "  %-38s %12s %12s\n", "", "as it was", "this one")
	for k, v := range r.Behaves.Values {
		if k >= len(was.Values) || v.Value == nil && was.Values[k].Value == nil {
			continue
		}
		old := was.Values[k].Value
		if v.Value != nil && old != nil && *v.Value < 0.05 && *old < 0.05 {
			continue
		}
		fmt.Fprintf(w, "  %-38s %12s %12s\n", clip(v.Name, 38), behaves(old, v.Unit), behaves(v.Value, v.Unit))
	}
}

func behaves(v *float64, unit string) string {
	if v == nil {
		return "none"
	}
	return strings.TrimSpace(trim(*v, 1) + " " + unit)
}

func printWorth(w io.Writer, a *formulate.Answer) {
	if len(a.Worth) == 0 {
		return
	}
	heading(w, "What the wishes cost")
	for _, v := range a.Worth {
		hanging(w, "  - ", "    ", v.Sentence)
	}
}

func printCurve(w io.Writer, a *formulate.Answer) {
	if len(a.Curve) == 0 {
		return
	}
	heading(w, "As one limit moves")
	wrapped(w, "  ", a.CurveOf+":")
	for _, p := range a.Curve {
		text := "nothing fits"
		if p.Objective != nil {
			text = a.ObjectiveWords(*p.Objective, "")
		}
		fmt.Fprintf(w, "  %10s   %s\n", trim(p.Value, 3), text)
	}
}

func printNature(w io.Writer, a *formulate.Answer) {
	n := a.Nature
	if n == nil || len(n.Limits) == 0 {
		return
	}
	heading(w, "As nature varies")
	text := fmt.Sprintf("Of %d draws of what these fats may really be, the best recipe keeps every limit in %s %%.", n.Samples, trim(100*n.Kept, 1))
	if n.Costs != nil && *n.Costs > 0 {
		text += fmt.Sprintf(" Being that sure takes %s more than the best without.", a.ObjectiveWords(*n.Costs, ""))
	}
	wrapped(w, "  ", text)
	for _, l := range n.Limits {
		fmt.Fprintf(w, "  %-50s %6s %%\n", clip(l.Limit, 50), trim(100*l.Kept, 1))
	}
	if !n.Robust && n.Kept < 0.95 {
		wrapped(w, "  ", `robust = "95 %" in the goal looks for a recipe that keeps them in 95 of 100.`)
	}
}

func printConflict(w io.Writer, a *formulate.Answer) {
	if len(a.Conflict) == 1 {
		wrapped(w, "", "No recipe fits. One wish cannot be met with these fats:")
	} else {
		text := fmt.Sprintf("No recipe meets all of these %d wishes. The time ran out before the fewest that clash were found:", len(a.Conflict))
		if a.Smallest {
			text = fmt.Sprintf("No recipe fits. These %d wishes clash; no smaller set of them does:", len(a.Conflict))
		}
		wrapped(w, "", text)
	}
	for i, c := range a.Conflict {
		place := ""
		if a.Lines[i] > 0 {
			place = fmt.Sprintf(" (line %d)", a.Lines[i])
		}
		hanging(w, "  - ", "    ", c+place)
	}
	if len(a.Relaxations) == 0 {
		return
	}
	heading(w, "What would have to give, one of these")
	for _, r := range a.Relaxations {
		hanging(w, "  - ", "    ", r.Sentence)
	}
}
