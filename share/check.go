package share

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"barwright/curve"
	"barwright/formulate"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/picture"
	"barwright/recipe"
	"barwright/stock"
)

// checkRecipe reads a version and returns its recipe's name. It need not be a
// recipe that can be planned today: its materials may have been put away.
func checkRecipe(file, body string) (name string, err error) {
	var r recipe.Recipe
	doc, err := tomldoc.Decode(file, []byte(body), &r)
	if err != nil {
		return "", err
	}
	if strings.TrimSpace(r.Name) == "" {
		return "", doc.Fault("name", `write name = "..." at the top`, "the recipe has no name")
	}
	return r.Name, nil
}

// checkThing reads a thing as it is now; what it was before is only shown.
func checkThing(file string, t Thing) error {
	for _, r := range t.Revisions {
		if !utf8.ValidString(r.Body) || strings.ContainsRune(r.Body, 0) {
			return &tomldoc.Error{File: file, Text: "the file, or an earlier one of it, is not text in UTF-8", Advice: "save it again as UTF-8 text"}
		}
	}
	body := t.Newest().Body
	if err := checkSameID(file, t, body); err != nil {
		return err
	}
	switch t.Kind {
	case kindLot:
		return checkLot(file, body)
	case kindMould:
		return checkBody[stock.Mould](file, body)
	case kindPlace:
		return checkBody[stock.Place](file, body)
	case kindCurve:
		return checkBody[curve.Log](file, body)
	case kindGoal:
		return checkBody[formulate.Goal](file, body)
	case kindPhoto:
		return checkBody[picture.Photo](file, body)
	case kindScale:
		return checkBody[stock.Scale](file, body)
	case kindWorkshop:
		return checkBody[stock.Workshop](file, body)
	}
	return nil // a material, which checkMaterials reads
}

// checkSameID refuses a file that goes by another id than the one written in
// it: two things would be one.
func checkSameID(file string, t Thing, body string) error {
	var v struct {
		ID string `toml:"id"`
	}
	if t.Kind == kindWorkshop || t.Kind == kindGoal || toml.Unmarshal([]byte(body), &v) != nil || v.ID == t.ID {
		return nil // neither a workshop nor a goal has an id; what is no TOML is told with its line
	}
	return &tomldoc.Error{File: file, Text: fmt.Sprintf("the file is named after %.60q and holds id = %.60q", t.ID, v.ID), Advice: "make the two the same"}
}

func checkBody[T interface{ Check() (string, error) }](file, body string) error {
	var v T
	doc, err := tomldoc.Decode(file, []byte(body), &v)
	if err != nil {
		return err
	}
	key, err := v.Check()
	return faultAt(doc, key, err)
}

// checkLot reads a lot. Its material may have been put away: then only its form
// is checked. A lot that goes by the id of a built-in material would take its
// place in every recipe.
func checkLot(file, body string) error {
	var l stock.Lot
	doc, err := tomldoc.Decode(file, []byte(body), &l)
	if err != nil {
		return err
	}
	if _, err := material.Builtin().Find(l.ID); err == nil {
		return doc.Fault("id", "give the lot a name of its own", "a lot cannot go by %.60q, the id of a material", l.ID)
	}
	of, err := material.Builtin().Find(l.Of)
	if err != nil {
		return nil
	}
	key, err := l.Check(of)
	return faultAt(doc, key, err)
}

func faultAt(doc *tomldoc.Doc, key string, err error) error {
	if err == nil {
		return nil
	}
	advice := "correct that and read it in again"
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		advice = h.Hint()
	}
	return doc.Fault(key, advice, "%v", err)
}

// checkMaterials reads the workshop's own materials that are in use: first
// those that are no lots, then the lots of them and of built-in ones, whatever
// their ids.
func checkMaterials(things []Thing) error {
	lib := material.Builtin()
	own := sortedMaterials(things)
	var first []material.Material
	for _, t := range own {
		if isLot(t.Newest().Body) {
			continue
		}
		m, err := parseMaterial(t, lib)
		if err != nil {
			return err
		}
		first = append(first, m)
	}
	lib = lib.Plus(first...)
	for _, t := range own {
		if !isLot(t.Newest().Body) {
			continue
		}
		m, err := parseMaterial(t, lib)
		if err != nil {
			return err
		}
		if _, err := lib.Find(m.ID); err == nil { // what is no material yet has no lots
			lib = lib.Plus(m)
		}
	}
	return nil
}

func parseMaterial(t Thing, lib *material.Library) (material.Material, error) {
	return material.Parse(path.Join("materials", escape(t.ID)+".toml"), []byte(t.Newest().Body), lib)
}

// isLot reports the file of a material that is a lot of another; a file that
// cannot be read is told by who reads it.
func isLot(body string) bool {
	var m struct {
		Of string `toml:"of"`
	}
	return toml.Unmarshal([]byte(body), &m) == nil && m.Of != ""
}

func sortedMaterials(things []Thing) []Thing {
	var own []Thing
	for _, t := range things {
		if t.Kind == kindMaterial && !t.Newest().Gone {
			own = append(own, t)
		}
	}
	slices.SortFunc(own, func(a, b Thing) int { return strings.Compare(a.ID, b.ID) })
	return own
}

// replacements says which built-in materials the things would take the place
// of.
func replacements(things []Thing) (out []string) {
	for _, t := range sortedMaterials(things) {
		if m, err := material.Builtin().Find(t.ID); err == nil {
			out = append(out, fmt.Sprintf("its own %s takes the place of the one that is built in, in every recipe", strings.ToLower(m.Name)))
		}
	}
	return out
}
