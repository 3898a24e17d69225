package batch

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Places are where a batch can rest.
func Places() []string { return strings.Fields(places) }

func checkG(key string, g *float64) error {
	if g != nil && !(*g >= 0 && *g <= mostG) {
		return fault(gramsAdvice, "%s: %g g", key, *g)
	}
	return nil
}

func checkC(key string, c *float64) error {
	if c != nil && !(*c >= coldestC && *c <= hotC) {
		return fault("is it °C or °F?", "%s: %g °C", key, *c)
	}
	return nil
}

func checkStep(step string) error {
	if !isStep(step) {
		return fault("the step's name on the sheet", "step: %.40q", step)
	}
	return nil
}

func checkOf(id string) error {
	if !isID(id) {
		return fault("the id of an earlier event", "of: %.60q is not an id", id)
	}
	return nil
}

func checkWord(key, word, words, advice string) error {
	if !slices.Contains(strings.Fields(words), word) {
		return fault(advice, "%s: %.40q", key, word)
	}
	return nil
}

func checkWhy(key, text string) error {
	if strings.TrimSpace(text) == "" {
		return fault(whyAdvice, "%s is empty", key)
	}
	return checkText(key, text, mostText)
}

// checkText refuses what cannot be kept or printed.
func checkText(key, text string, most int) error {
	plain := strings.NewReplacer("\n", "", "\t", "").Replace(text)
	if utf8.RuneCountInString(text) > most || !utf8.ValidString(text) || strings.ContainsFunc(plain, unicode.IsControl) {
		return fault(fmt.Sprintf("plain text of at most %d letters", most), "%s cannot be kept", key)
	}
	return nil
}
