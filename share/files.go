package share

import (
	"fmt"
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
stock.csv                   what is on the shelf, as a list
stock/, materials/, moulds/, places/, scales/, curves/, photos/, workshop/
                            one TOML file for each thing; history.csv and earlier/ in
                            each folder hold what it was before, and what was put away

TOML is text for any editor, CSV (RFC 4180) for any spreadsheet. A cell that a
spreadsheet would take for a formula starts with an apostrophe, which is taken
away when the files are read back.

  barwright import FOLDER   reads all of it into a workshop. Nothing that is there
                            is overwritten.
`

// Files returns the workshop as files by path. The same workshop always gives
// the same bytes. The error is an id that no file can be named after.
func Files(w Workshop) (map[string][]byte, error) {
	out := map[string][]byte{"README.txt": []byte(readme)}
	if err := recipeFiles(out, w.Recipes); err != nil {
		return nil, err
	}
	if err := batchFiles(out, w.Batches); err != nil {
		return nil, err
	}
	for _, f := range folders {
		var things []Thing
		for _, t := range w.Things {
			if t.Kind == f.kind {
				things = append(things, t)
			}
		}
		if err := thingFiles(out, f.dir, things); err != nil {
			return nil, err
		}
	}
	out["stock.csv"] = stockList(w.Things)
	return out, nil
}

func recipeFiles(out map[string][]byte, recipes []Recipe) error {
	list := [][]string{{"folder", "name", "tags", "put_away", "id"}}
	names := folderNames(recipes)
	for _, r := range recipes {
		if err := checkID(r.ID); err != nil {
			return fmt.Errorf("recipe %q: %w", r.Name, err)
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
	return nil
}

func versionFile(dir string, number int) string {
	return path.Join(dir, fmt.Sprintf("v%d.toml", number))
}

func thingFiles(out map[string][]byte, dir string, things []Thing) error {
	if len(things) == 0 {
		return nil
	}
	history := [][]string{{"id", "revision", "put_away", "made_at", "made_by"}}
	slices.SortFunc(things, func(a, b Thing) int { return strings.Compare(a.ID, b.ID) })
	for _, t := range things {
		if err := checkID(t.ID); err != nil {
			return fmt.Errorf("%s: %w", t.Kind, err)
		}
		for i, r := range t.Revisions {
			out[revisionFile(dir, t.ID, i+1, i == len(t.Revisions)-1 && !r.Gone)] = []byte(r.Body)
			history = append(history, []string{t.ID, strconv.Itoa(i + 1), yes(r.Gone), stamp(r.MadeAt), r.MadeBy})
		}
	}
	out[path.Join(dir, "history.csv")] = printTable(history)
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
var written = regexp.MustCompile(`^(README\.txt|recipes\.csv|stock\.csv|batches\.csv|batches/[a-z]+/(batch\.json|events\.jsonl|events\.csv)|recipes/[a-z0-9-]+/(versions\.csv|v[0-9]+\.toml)|` +
	`(workshop|materials|stock|moulds|places|scales|curves|photos)/(history\.csv|(earlier/)?[^/]+\.toml))$`)

// Writes reports whether an export writes a file at a path: a folder that
// holds any other is not one.
func Writes(path string) bool { return written.MatchString(path) }
