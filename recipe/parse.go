package recipe

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/tomldoc"
	"barwright/material"
)

// Parse reads a recipe file and checks it. The error names file, line, what
// is wrong and what to do, and is of type *tomldoc.Error.
func Parse(file string, data []byte, lib *material.Library) (Recipe, error) {
	var r Recipe
	doc, err := tomldoc.Decode(file, data, &r)
	if err != nil {
		return Recipe{}, err
	}
	if fs := r.Check(lib); len(fs) > 0 {
		return Recipe{}, doc.Fault(fs[0].Path, fs[0].Advice, "%s", fs[0].Text)
	}
	if r.Mould != nil && r.Mould.Count == 0 && doc.Has("mould.count") { // else 0 reads as not given
		return Recipe{}, doc.Fault("mould.count", "leave it out for one", "0 is not a number of cavities")
	}
	return r, nil
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
