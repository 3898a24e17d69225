package recipe

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/tomldoc"
	"barwright/material"
)

// Parse reads a recipe file and checks it. The error names file, line, what
// is wrong and what to do: it is a *tomldoc.Error, or tomldoc.Faults when there
// are several.
func Parse(file string, data []byte, lib *material.Library) (Recipe, error) {
	var r Recipe
	doc, err := tomldoc.Decode(file, data, &r)
	faults := tomldoc.All(err)
	if len(faults) > 0 && !doc.Whole() {
		return Recipe{}, err
	}
	allRead := len(faults) == 0
	for _, f := range r.Check(lib) {
		if allRead || !r.follows(f, doc) {
			faults = append(faults, doc.Fault(f.Path, f.Advice, "%s", f.Text))
		}
	}
	if !allRead {
		slices.SortStableFunc(faults, func(a, b *tomldoc.Error) int {
			return cmp.Or(cmp.Compare(min(b.Line, 1), min(a.Line, 1)), cmp.Compare(a.Line, b.Line)) // without a line last
		})
	}
	if len(faults) > 0 {
		return Recipe{}, tomldoc.Join(faults)
	}
	if r.Mould != nil && r.Mould.Count == 0 && doc.Has("mould.count") { // else 0 reads as not given
		return Recipe{}, doc.Fault("mould.count", "leave it out for one", "0 is not a number of cavities")
	}
	return r, nil
}

// follows reports a fault that may only be there because something else could
// not be read: that stands at its place, or it is about a whole list of which a
// line is unknown, or about what the lye is told by.
func (r Recipe) follows(f Fault, doc *tomldoc.Doc) bool {
	list, rest, _ := strings.Cut(f.Path, ".")
	_, key, isLine := strings.Cut(rest, ".")
	switch {
	case doc.Unread(f.Path):
		return true
	case list == "fats" || list == "alkali":
		return doc.Unread(list) && (!isLine || key == "share" || key == "amount")
	case list == "superfat" && r.Superfat == nil, list == "lye_strength" && r.LyeStrength == nil:
		return doc.Unread("alkali") || doc.Unread("water") // it may be a recipe that has its lye by mass
	case list == "size":
		return doc.Unread("alkali") || doc.Unread("fats")
	}
	return false
}

// Print returns the recipe as a file that Parse reads back unchanged.
func (r Recipe) Print() []byte {
	out, err := toml.Marshal(r)
	if err != nil {
		panic(fmt.Sprintf("recipe %q does not print: %v", r.Name, err))
	}
	return out
}

// Hash names the recipe's content: two recipes with the same hash plan alike on the same materials.
func (r Recipe) Hash() string {
	sum := sha256.Sum256(r.Print())
	return hex.EncodeToString(sum[:8])
}
