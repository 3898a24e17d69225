package share

import (
	"errors"
	"fmt"
	"maps"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"barwright/internal/tomldoc"
	"barwright/stock"
)

const readme = `A workshop of Barwright as plain files.

recipes.csv                 every recipe: its folder, name, tags, and when it was put away
recipes/FOLDER/v1.toml ...  its versions, each a whole recipe file
recipes/FOLDER/versions.csv which version was made of which, why, when and by whom
batches.csv                 every batch: its code, recipe, when and by whom
batches/CODE/batch.json     all it was planned with
batches/CODE/events.jsonl   everything that was done, one event a line, as it arrived
batches/CODE/events.csv     the same as a list
LEFT-OUT.txt                only when something could not be written so that it can be
                            read back: what it is, why, and all it holds
stock.csv                   what is on the shelf, as a list
stock/, materials/, moulds/, places/, scales/, curves/, photos/, goals/,
workshop/
                            one TOML file for each thing; history.csv and earlier/ in
                            each folder hold what it was before, and what was put away

TOML is text for any editor, CSV (RFC 4180) for any spreadsheet. A cell that a
spreadsheet would take for a formula starts with an apostrophe, which is taken
away when the files are read back.

  barwright import FOLDER   reads all of it into a workshop. Nothing that is there
                            is overwritten.
`

// Files returns the workshop as files by path. The same workshop always gives
// the same bytes. One thing that no file can be named after, or that could not
// be read back, keeps nothing else from going out: it stands in LeftOut as it
// is.
func Files(w Workshop) map[string][]byte {
	out := files{"README.txt": []byte(readme)}
	var left leftOut
	out.recipes(w.Recipes, &left)
	out.batches(w.Batches, &left)
	byKind := map[string][]Thing{}
	for _, t := range w.Things {
		byKind[t.Kind] = append(byKind[t.Kind], t)
	}
	for _, f := range folders {
		out.things(f.dir, byKind[f.kind], &left)
		delete(byKind, f.kind)
	}
	for _, kind := range slices.Sorted(maps.Keys(byKind)) {
		for _, t := range byKind[kind] {
			left.thing(t, errors.New("no folder is for things of this kind"))
		}
	}
	out["stock.csv"] = stockList(w.Things)
	if len(left.items) > 0 {
		out[LeftOut] = left.print()
	}
	return out
}

// files are files by their paths.
type files map[string][]byte

func (out files) recipes(recipes []Recipe, left *leftOut) {
	list := [][]string{{"folder", "name", "tags", "put_away", "id"}}
	names := folderNames(recipes)
	for _, r := range recipes {
		if err := checkRecipeOut(r); err != nil {
			left.recipe(r, err)
			continue
		}
		list = append(list, []string{names[r.ID], r.Name, strings.Join(r.Tags, " "), stamp(r.Archived), r.ID})
		dir := path.Join("recipes", names[r.ID])
		versions := [][]string{{"number", "parent", "reason", "made_at", "made_by", "id"}}
		for i, v := range r.Versions {
			out[versionFile(dir, i+1)] = []byte(v.Body)
			versions = append(versions, []string{strconv.Itoa(i + 1), strconv.Itoa(v.Parent), v.Reason, stamp(v.MadeAt), v.MadeBy, v.ID})
		}
		out[path.Join(dir, "versions.csv")] = printTable(versions)
	}
	slices.SortFunc(list[1:], func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	out["recipes.csv"] = printTable(list)
}

// checkRecipeOut refuses a recipe that would not be read back.
func checkRecipeOut(r Recipe) error {
	if len(r.Versions) == 0 {
		return errors.New("it has no version")
	}
	for _, v := range r.Versions {
		if err := checkID(v.ID); err != nil {
			return err
		}
	}
	return checkID(r.ID)
}

func versionFile(dir string, number int) string {
	return path.Join(dir, fmt.Sprintf("v%d.toml", number))
}

func (out files) things(dir string, things []Thing, left *leftOut) {
	history := [][]string{{"id", "revision", "put_away", "made_at", "made_by"}}
	slices.SortFunc(things, func(a, b Thing) int { return strings.Compare(a.ID, b.ID) })
	for _, t := range things {
		if err := checkThingID(t.ID); err != nil {
			left.thing(t, err)
			continue
		}
		for i, r := range t.Revisions {
			out[revisionFile(dir, t.ID, i+1, i == len(t.Revisions)-1 && !r.Gone)] = []byte(r.Body)
			history = append(history, []string{t.ID, strconv.Itoa(i + 1), yes(r.Gone), stamp(r.MadeAt), r.MadeBy})
		}
	}
	if len(history) > 1 {
		out[path.Join(dir, "history.csv")] = printTable(history)
	}
}

// checkThingID refuses an id that no file can be named after: disks take names
// of 255 bytes, and some computers only that many for the whole path.
func checkThingID(id string) error {
	if err := checkID(id); err != nil {
		return err
	}
	if len(escape(id)) > 120 {
		return errors.New("its id has too many capitals for the name of a file")
	}
	return nil
}

// revisionFile is where a revision stands: what is in use in the folder itself,
// all else among what was earlier.
func revisionFile(dir, id string, number int, inUse bool) string {
	if inUse {
		return path.Join(dir, escape(id)+".toml")
	}
	return path.Join(dir, "earlier", fmt.Sprintf("%s.%d.toml", escape(id), number))
}

// stockList is the shelf as a list for people; it is not read back.
func stockList(things []Thing) []byte {
	list := [][]string{{"lot", "name", "of", "on_hand", "price", "received", "packed", "best_before", "from", "own", "held", "note"}}
	for _, t := range things {
		var l stock.Lot
		if t.Kind != kindLot || t.Newest().Gone {
			continue
		}
		if _, err := tomldoc.Decode(t.ID, []byte(t.Newest().Body), &l); err != nil {
			continue // its file says what it says
		}
		list = append(list, []string{t.ID, l.Name, l.Of, text(l.OnHand), text(l.Price), text(l.Received), text(l.Packed), text(l.BestBefore), l.From, yes(l.Own), l.Held, l.Note})
	}
	slices.SortFunc(list[1:], func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	return printTable(list)
}

// text prints what may not be given.
func text[T fmt.Stringer](v *T) string {
	if v == nil {
		return ""
	}
	return (*v).String()
}

// written are the paths that an export writes.
var written = regexp.MustCompile(`^(README\.txt|LEFT-OUT\.txt|recipes\.csv|stock\.csv|batches\.csv|batches/[a-z]+/(batch\.json|events\.jsonl|events\.csv)|recipes/[a-z0-9-]+/(versions\.csv|v[0-9]+\.toml)|` +
	`(workshop|materials|stock|moulds|places|scales|curves|photos)/(history\.csv|(earlier/)?[^/]+\.toml))$`)

// Writes reports whether an export writes a file at a path: a folder that
// holds any other is not one.
func Writes(path string) bool { return written.MatchString(path) }
