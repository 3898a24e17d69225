package recipe

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/quantity"
)

// checkLine checks a name.
func checkLine(fs *faults, path, text string) {
	if utf8.RuneCountInString(text) > 200 || !utf8.ValidString(text) || strings.ContainsFunc(text, breaksLine) {
		fs.add(path, "what there is to tell goes into the note", "the name must be one line of at most 200 letters")
	}
}

func breaksLine(c rune) bool { return unicode.IsControl(c) || unicode.In(c, unicode.Zl, unicode.Zp) }

func checkNote(fs *faults, path, text string) {
	plain := strings.NewReplacer("\n", "", "\r", "", "\t", "").Replace(text)
	if len(text) > 20000 || !utf8.ValidString(text) || strings.ContainsFunc(plain, unicode.IsControl) {
		fs.add(path, "a page or two of plain text", "the note is too long or has letters that cannot be printed")
	}
}

// checkPart checks a share that must be there.
func checkPart(fs *faults, path string, s *quantity.Share, high float64, what string) {
	if s != nil && s.Percent == 0 {
		fs.add(path, "take the line away when there is none of it", "%s is more than nothing", what)
	}
	checkShare(fs, path, s, 0, high, what)
}

func checkShare(fs *faults, path string, s *quantity.Share, low, high float64, what string) {
	if s != nil && (s.Percent < low || s.Percent > high) {
		fs.add(path, "is the decimal mark right?", "%s lies between %g and %g %%, not %s", what, low, high, s)
	}
}

func checkTemperature(fs *faults, path string, t *quantity.Temperature, lowC, highC float64) {
	if t != nil && (t.C() < lowC || t.C() > highC) {
		fs.add(path, "is it °C or °F?", "%s lies between %.0f and %.0f °C, not %s", lastWord(path), lowC, highC, t)
	}
}

func lastWord(path string) string {
	return strings.ReplaceAll(path[strings.LastIndexByte(path, '.')+1:], "_", " ")
}

func checkMass(fs *faults, path string, m *quantity.Mass) {
	if m != nil && m.G() > maxMassG {
		fs.add(path, "is the unit right?", "%s is more than a tonne", m)
	}
}
