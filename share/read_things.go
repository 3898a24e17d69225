package share

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	"barwright/internal/tomldoc"
)

// things reads one kind: what history.csv tells of, and files it does not know,
// which are new.
func (r *reader) things(kind, dir string) ([]Thing, error) {
	entries, err := fs.ReadDir(r.files, dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, r.fault(dir, err)
	}
	out, err := r.history(kind, dir)
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, t := range out {
		known[t.ID] = true
	}
	for _, e := range entries {
		t, err := r.newThing(kind, dir, e.Name(), known)
		if err != nil {
			return nil, err
		}
		if t != nil {
			out = append(out, *t)
		}
	}
	for _, t := range out {
		if err := checkThing(revisionFile(dir, t.ID, len(t.Revisions), !t.Newest().Gone), t); err != nil {
			return nil, err
		}
	}
	if kind == kindWorkshop {
		return theWorkshop(dir, out)
	}
	return out, nil
}

// theWorkshop gives the workshop the one id under which it is found, whatever
// its file was called. Of several nobody could say which one holds.
func theWorkshop(dir string, things []Thing) ([]Thing, error) {
	if len(things) > 1 {
		names := []string{escape(things[0].ID) + ".toml", escape(things[1].ID) + ".toml"}
		slices.Sort(names)
		return nil, &tomldoc.Error{File: dir, Text: fmt.Sprintf("there are two workshops, %s and %s", names[0], names[1]), Advice: "keep one of them: take the other file away, and its rows in history.csv"}
	}
	for i := range things {
		things[i].ID = kindWorkshop
	}
	return things, nil
}

// newThing reads a file that no history tells of; nil where it is none.
func (r *reader) newThing(kind, dir, name string, known map[string]bool) (*Thing, error) {
	base, ok := strings.CutSuffix(name, ".toml")
	if !ok || strings.HasPrefix(base, ".") {
		return nil, nil
	}
	file := path.Join(dir, name)
	id, err := unescape(base)
	if err != nil {
		return nil, &tomldoc.Error{File: file, Text: err.Error(), Advice: "name the file after the id"}
	}
	if known[id] {
		return nil, nil
	}
	known[id] = true
	body, err := r.file(file, tomldoc.MaxBytes)
	if err != nil {
		return nil, err
	}
	return &Thing{Kind: kind, ID: id, Revisions: []Revision{{Body: string(body)}}}, nil
}

// history reads the things that history.csv tells of.
func (r *reader) history(kind, dir string) ([]Thing, error) {
	name := path.Join(dir, "history.csv")
	if _, err := fs.Stat(r.files, name); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	t, err := r.table(name, "id", "revision", "put_away")
	if err != nil {
		return nil, err
	}
	var out []Thing
	seen := map[string]bool{}
	for i, row := range t.rows {
		id := row.get("id")
		isNew := len(out) == 0 || out[len(out)-1].ID != id
		if isNew {
			out = append(out, Thing{Kind: kind, ID: id})
		}
		thing := &out[len(out)-1]
		number := len(thing.Revisions) + 1
		if checkID(id) != nil || isNew && seen[id] || strings.TrimSpace(row.get("revision")) != strconv.Itoa(number) {
			return nil, row.fault("the rows of one id stand together, its revisions in order from 1", "%.60q, revision %.20q is out of order", id, row.get("revision"))
		}
		seen[id] = true
		isLast := i == len(t.rows)-1 || t.rows[i+1].get("id") != id
		rev, err := r.revision(row, revisionFile(dir, id, number, isLast && row.get("put_away") == ""))
		if err != nil {
			return nil, err
		}
		thing.Revisions = append(thing.Revisions, rev)
	}
	return out, nil
}

func (r *reader) revision(row row, file string) (Revision, error) {
	rev := Revision{Gone: row.get("put_away") != "", MadeBy: row.get("made_by")}
	var err error
	if rev.MadeAt, err = row.time("made_at"); err != nil {
		return rev, err
	}
	body, err := r.file(file, tomldoc.MaxBytes)
	rev.Body = string(body)
	return rev, err
}
