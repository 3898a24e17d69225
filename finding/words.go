package finding

import (
	"regexp"
	"strings"
)

var (
	beforeUnit = regexp.MustCompile(`(\d) (%|°C|(?:g|kg|mg|oz|lb|ml|l|mm|cm|K|h|min|mg KOH/g|points?|parts?|minutes?|hours?|days?|weeks?|kJ|J)\b)`)
	hyphen     = regexp.MustCompile(`(^|[ \x{a0}(])-(\d+(?:[.,]\d+)?)`)
)

// Typeset returns a sentence as it is read: a number never breaks from its
// unit, and what is below zero has a real minus sign. Rules write plain text;
// it is set once, when a finding is finished.
func Typeset(text string) string {
	text = hyphen.ReplaceAllStringFunc(text, func(s string) string {
		before, number, _ := strings.Cut(s, "-")
		if strings.Trim(number, "0.,") == "" {
			return before + number // no number is minus nought
		}
		return before + "\u2212" + number
	})
	return beforeUnit.ReplaceAllString(text, "$1\u00a0$2")
}

// Plain returns a typeset text with the spaces of a plain keyboard, for a
// terminal and for other programs.
func Plain(text string) string { return plain.Replace(text) }

var plain = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

// Typeset returns the finding with its sentences typeset.
func (f Finding) Typeset() Finding { return f.each(Typeset) }

// Plain returns the finding with plain spaces.
func (f Finding) Plain() Finding { return f.each(Plain) }

func (f Finding) each(set func(string) string) Finding {
	f.Title, f.Because, f.Fix = set(f.Title), set(f.Because), set(f.Fix)
	return f
}
