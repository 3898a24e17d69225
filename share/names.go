package share

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"barwright/material"
)

// checkID refuses what is no id: it must fit into an address and the name of a
// file, and lead nowhere.
func checkID(id string) error {
	if id == "" || len(id) > material.MaxID || strings.Trim(id, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") != "" {
		return fmt.Errorf("%.60q is not an id: letters, digits, - and _", id)
	}
	return nil
}

// devices are names some computers keep for themselves, in any folder and with
// any ending.
var devices = []string{"con", "prn", "aux", "nul", "com0", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8", "com9",
	"lpt0", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9"}

// FileName makes a name for a file or folder out of what people call a thing:
// 1 to 60 small letters, digits and hyphens that every computer takes. Accents
// are dropped; a name without a single letter of the Latin alphabet becomes
// "recipe".
func FileName(name string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(strings.ToLower(name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case spelled[r] != "":
			b.WriteString(spelled[r])
		case unicode.Is(unicode.Mn, r): // an accent that stood on a letter
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
		if b.Len() > 60 {
			break
		}
	}
	s := strings.Trim(b.String()[:min(60, b.Len())], "-")
	switch {
	case s == "":
		return "recipe"
	case slices.Contains(devices, s):
		return "the-" + s
	}
	return s
}

// spelled are the letters that do not come apart into a plain one and an
// accent.
var spelled = map[rune]string{'ß': "ss", 'æ': "ae", 'œ': "oe", 'ø': "o", 'đ': "d", 'ð': "d", 'þ': "th", 'ł': "l", 'ı': "i"}

// folderNames gives every recipe a folder of its own: its name, and a number
// where two share one. The same recipes always get the same.
func folderNames(recipes []Recipe) map[string]string {
	order := slices.Clone(recipes)
	slices.SortFunc(order, func(a, b Recipe) int { return strings.Compare(a.ID, b.ID) })
	out, taken := map[string]string{}, map[string]bool{}
	for _, r := range order {
		base := FileName(r.Name)
		name := base
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s-%d", base, n)
		}
		taken[name] = true
		out[r.ID] = name
	}
	return out
}

// escape makes a name for a file of an id, so that two ids never share one,
// even where capitals count for nothing.
func escape(id string) string {
	var b strings.Builder
	for i := range len(id) {
		if c := id[i]; c >= 'A' && c <= 'Z' || i == 0 && slices.Contains(devices, strings.ToLower(id)) {
			fmt.Fprintf(&b, "%%%02x", c)
		} else {
			b.WriteByte(c)
		}
	}
	return b.String()
}

// unescape is the id of a file's name.
func unescape(name string) (string, error) {
	id, err := url.PathUnescape(name)
	if err != nil {
		id = name
	}
	return id, checkID(id)
}
