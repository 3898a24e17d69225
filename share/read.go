package share

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"barwright/internal/tomldoc"
)

// Read reads what Files wrote, also by way of a spreadsheet, an editor or a
// zip, and checks every file. The error names file and line and is a
// *tomldoc.Error. What is larger than any workshop is refused, unread.
func Read(files fs.FS) (Workshop, error) {
	r := &reader{files: root(files), left: mostBytes, leftPhotos: mostPhotos}
	recipes, err := r.recipes()
	if err != nil {
		return Workshop{}, err
	}
	w := Workshop{Recipes: recipes}
	for _, f := range folders {
		things, err := r.things(f.kind, f.dir)
		if err != nil {
			return Workshop{}, err
		}
		w.Things = append(w.Things, things...)
	}
	if err := checkMaterials(w.Things); err != nil {
		return Workshop{}, err
	}
	w.Batches, err = r.batches()
	return w, err
}

// IsExport reports whether files are those of a workshop, and not, say, a
// folder of recipe files.
func IsExport(files fs.FS) bool {
	_, err := fs.Stat(root(files), "recipes.csv")
	return err == nil
}

// root goes into the one folder that a zip of a folder holds.
func root(files fs.FS) fs.FS {
	if _, err := fs.Stat(files, "recipes.csv"); err == nil {
		return files
	}
	dirs, err := fs.Glob(files, "*/recipes.csv")
	if err != nil || len(dirs) != 1 {
		return files
	}
	sub, err := fs.Sub(files, path.Dir(dirs[0]))
	if err != nil {
		return files
	}
	return sub
}

// reader reads files until it has read too much.
type reader struct {
	files fs.FS
	left  int // bytes

	leftPhotos int // bytes of photos
}

// file reads a file of at most so many bytes.
func (r *reader) file(name string, most int) ([]byte, error) {
	f, err := r.files.Open(name)
	if err != nil {
		return nil, r.fault(name, err)
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, &tomldoc.Error{File: name, Text: "a folder stands where a file should", Advice: exportAdvice}
	}
	left := &r.left
	if strings.HasPrefix(name, "photos/") {
		left = &r.leftPhotos
	}
	data, err := io.ReadAll(io.LimitReader(f, int64(min(most, *left))+1))
	switch {
	case err != nil:
		return nil, r.fault(name, err)
	case len(data) > most:
		return nil, &tomldoc.Error{File: name, Text: fmt.Sprintf("the file is longer than %d kB, too long for a file of this kind", most/1024), Advice: "is it the right file?"}
	case len(data) > *left:
		return nil, &tomldoc.Error{File: name, Text: fmt.Sprintf("with this file it is more than %d MB, more than any workshop", mostBytes>>20), Advice: "is it the right folder?"}
	}
	*left -= len(data)
	return data, nil
}

const exportAdvice = "name a folder that barwright export wrote, whole"

func (r *reader) fault(name string, err error) error {
	text := "it cannot be read: " + err.Error()
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		text = "it is not there"
	case errors.As(err, &pe):
		text = "it cannot be read: " + pe.Err.Error()
	}
	return &tomldoc.Error{File: name, Text: text, Advice: exportAdvice}
}

func (r *reader) table(name string, must ...string) (*table, error) {
	data, err := r.file(name, mostTable)
	if err != nil {
		return nil, err
	}
	return readTable(name, data, must...)
}
