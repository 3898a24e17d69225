package recipe

import "barwright/internal/keyed"

// Fields returns the recipe as the text of its keys, by dotted path: what a
// form shows. Lists count from 0.
func (r Recipe) Fields() map[string]string { return keyed.Fields(r) }

// FromFields makes a recipe of the text of its keys. A number typed without
// its unit gets the usual one. Every text that cannot be read is a Fault at its
// path; the recipe holds the rest.
func FromFields(fields map[string]string) (Recipe, []Fault) {
	r := Recipe{Format: 1}
	var fs faults
	for _, f := range keyed.Fill(&r, fields) {
		fs.addErr(f.Path, f.Err)
	}
	return r, fs
}
