package formulate

import (
	"fmt"
	"strconv"
	"strings"

	"barwright/finding"
)

// What is asked and what came of it, in sentences.

// words says a wish as its maker would.
func (g *problem) words(w wish) string {
	name := ""
	if w.kind != wishCount && w.kind != wishStep && w.kind != wishLimit {
		name = lower(g.fats[w.fat].Name)
	}
	switch w.kind {
	case wishMost:
		return fmt.Sprintf("at most %s %% %s", trim(w.value, 2), name)
	case wishLeast:
		return fmt.Sprintf("%s from %s %% on when it is used", name, trim(w.value, 2))
	case wishMust:
		return name + " must be in it"
	case wishNever:
		return "no " + name
	case wishStock:
		return fmt.Sprintf("no more than the %s g of %s there are, for %s g of fats", trim(w.value, 1), name, trim(g.batchG, 1))
	case wishCount:
		return fmt.Sprintf("at most %.0f fats", w.value)
	case wishStep:
		return fmt.Sprintf("shares in steps of %s %%", trim(w.value, 2))
	}
	l := g.limits[w.limit]
	if l.name == "change" {
		return fmt.Sprintf("a change of at most %s from the recipe", l.show(l.value))
	}
	return g.inMoney(l.end(l.show(w.value), l.atLeast))
}

// edits write a relaxation into the goal, nil when only the shelf can give way.
func (w wish) edits(to string) []finding.Edit {
	switch w.kind {
	case wishNever:
		if fat, ok := strings.CutSuffix(w.path, ".never"); ok {
			return []finding.Edit{{Key: w.path}, {Key: fat + ".max", Value: to}}
		}
		return nil // of the file's list of what is never used
	case wishMust:
		return []finding.Edit{{Key: w.path}}
	case wishStep:
		if to == "none" {
			to = ""
		}
		return []finding.Edit{{Key: w.path, Value: to}}
	case wishStock:
		return nil
	}
	return []finding.Edit{{Key: w.path, Value: to}}
}

// better says in what the best recipe is not beaten.
var better = map[string]string{Cost: "costs less", Distance: "comes nearer to its targets", Change: "changes less", Behaviour: "behaves more alike"}

// BestIsSpoiled reports that another recipe than the best by the wishes stands
// first, because the best is not to be made.
func (a *Answer) BestIsSpoiled() bool {
	return len(a.Recipes) > 0 && a.Objective != nil && a.Recipes[0].Objective != *a.Objective
}

// ProofWords says how sure the answer is. Currency is what prices are in, ""
// when nobody said.
func (a *Answer) ProofWords(currency string) string {
	beats := better[a.Minimise]
	if a.BestIsSpoiled() {
		return "The best by the wishes alone is not to be made; it stands below. What stands first was found near it, and is not proved to be the best that can be made."
	}
	if a.Nature != nil && a.Nature.Robust && a.Status == "optimal" {
		return "Searched, not proved: the best found that nature keeps as surely as was asked."
	}
	if a.Status == "optimal" {
		return fmt.Sprintf("Proved: no recipe that meets every wish %s.", beats)
	}
	text := "Stopped early: the best found by then."
	if a.Proof.Bound != nil {
		text += fmt.Sprintf(" One that %s may exist, but none below %s.", beats, a.ObjectiveWords(*a.Proof.Bound, currency))
	}
	return text
}

// ObjectiveWords says what an objective comes to.
func (a *Answer) ObjectiveWords(v float64, currency string) string {
	if currency != "" {
		currency = " " + currency
	}
	switch a.Minimise {
	case Cost:
		return strconv.FormatFloat(v, 'f', 2, 64) + currency + " a kilo of fats"
	case Change:
		return trim(v, 2) + " points of change"
	case Behaviour:
		return trim(v, 2) + " points apart in behaviour"
	}
	return trim(v, 3) + " from the targets"
}
