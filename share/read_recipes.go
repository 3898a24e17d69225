package share

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"barwright/internal/tomldoc"
)

func (r *reader) recipes() ([]Recipe, error) {
	t, err := r.table("recipes.csv", "folder")
	if err != nil {
		return nil, err
	}
	if len(t.rows) > mostRecipes {
		return nil, t.rows[mostRecipes].fault("is it the right folder?", "more than %d recipes", mostRecipes)
	}
	if err := errors.Join(distinct(t.rows, "folder"), distinct(t.rows, "id")); err != nil {
		return nil, err
	}
	var out []Recipe
	ids := map[string]bool{}
	for _, row := range t.rows {
		rec, err := r.recipe(row, ids)
		if err != nil {
			return nil, err
		}
		out = append(out, rec)
	}
	return out, nil
}

// recipe reads the recipe of one row of the list. ids are those of the versions
// read so far.
func (r *reader) recipe(row row, ids map[string]bool) (Recipe, error) {
	folder := row.get("folder")
	if !fs.ValidPath(folder) || folder == "." || strings.ContainsAny(folder, `/\`) {
		return Recipe{}, row.fault("it is the name of one folder in recipes/", "%.60q is not a folder", folder)
	}
	out := Recipe{ID: row.get("id"), Tags: strings.Fields(row.get("tags"))}
	if out.ID == "" {
		out.ID = FileName(folder)
	}
	if err := checkID(out.ID); err != nil {
		return out, row.fault("leave it empty for a new one", "%v", err)
	}
	var err error
	if out.Archived, err = row.time("put_away"); err != nil {
		return out, err
	}
	if out.Versions, err = r.versions(path.Join("recipes", folder), out.ID, ids); err != nil {
		return out, err
	}
	last := len(out.Versions)
	out.Name, err = checkRecipe(versionFile(path.Join("recipes", folder), last), out.Versions[last-1].Body)
	return out, err
}

// versions reads the versions of a recipe, in order.
func (r *reader) versions(dir, recipe string, ids map[string]bool) ([]Version, error) {
	t, err := r.table(path.Join(dir, "versions.csv"), "number", "parent", "reason")
	if err != nil {
		return nil, err
	}
	if len(t.rows) == 0 {
		return nil, &tomldoc.Error{File: t.file, Text: "the recipe has no version", Advice: exportAdvice}
	}
	var out []Version
	for i, row := range t.rows {
		v, err := r.version(row, dir, i+1)
		if err != nil {
			return nil, err
		}
		if v.ID == "" {
			v.ID = fmt.Sprintf("%.50s-v%d", recipe, i+1)
		}
		if err := checkID(v.ID); err != nil || ids[v.ID] {
			return nil, row.fault("leave it empty for a new one", "the id %.60q is none, or another version has it", v.ID)
		}
		ids[v.ID] = true
		out = append(out, v)
	}
	return out, nil
}

func (r *reader) version(row row, dir string, number int) (Version, error) {
	v := Version{ID: row.get("id"), Reason: row.get("reason"), MadeBy: row.get("made_by")}
	n, err1 := strconv.Atoi(strings.TrimSpace(row.get("number")))
	parent, err2 := strconv.Atoi(strings.TrimSpace(row.get("parent")))
	switch {
	case err1 != nil || n != number:
		return v, row.fault("versions are numbered from 1, one row each, in order", "%.20q stands where version %d should", row.get("number"), number)
	case err2 != nil || parent < 0 || parent >= number:
		return v, row.fault("it is the number of an earlier version, 0 for the first", "version %d cannot be made of version %.20q", number, row.get("parent"))
	}
	v.Parent = parent
	var err error
	if v.MadeAt, err = row.time("made_at"); err != nil {
		return v, err
	}
	file := versionFile(dir, number)
	data, err := r.file(file, tomldoc.MaxBytes)
	if err != nil {
		return v, err
	}
	v.Body = string(data)
	_, err = checkRecipe(file, v.Body)
	return v, err
}
