package web

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"maps"
	"mime"
	"net/http"
	"slices"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/share"
	"barwright/store"
)

// moveRoutes are what comes in and goes out as files.
func (a *App) moveRoutes() map[string]page {
	return map[string]page{
		"GET /import":  a.importPage,
		"POST /import": a.importFiles,
		"GET /export":  a.export,
	}
}

// Most that comes in at once.
const (
	mostFiles = 50
	mostBytes = 4 << 20
)

// importPage shows what was read before anything is saved.
type importPage struct {
	Read   []readFile
	Faults int
	Saved  []store.Recipe
}

// readFile is one file that was chosen.
type readFile struct {
	File          string
	Text          string // as read, to be sent again when it is saved
	Name          string
	Fault, Advice string
	Plan          *plan.Plan
}

func (a *App) importPage(w http.ResponseWriter, r *http.Request) error {
	return a.show(w, r, http.StatusOK, "import", "recipes", "Bring in recipes", importPage{})
}

// importFiles reads the files chosen and shows them, or saves what was shown.
// Either all of them are saved or none.
func (a *App) importFiles(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, mostBytes)
	if err := r.ParseMultipartForm(mostBytes); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p, err := chosenFiles(r, lib)
	if err != nil {
		return err
	}
	switch {
	case len(p.Read) == 0:
		return a.show(w, r, http.StatusUnprocessableEntity, "import", "recipes", "Bring in recipes", p)
	case p.Faults > 0:
		return a.show(w, r, http.StatusUnprocessableEntity, "import", "recipes", "Bring in recipes", p)
	case r.PostFormValue("do") != "save":
		return a.show(w, r, http.StatusOK, "import", "recipes", "Bring in recipes", p)
	}
	for _, f := range p.Read {
		if err := a.saveImported(r, f, lib); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/recipes", http.StatusSeeOther)
	return nil
}

// chosenFiles reads uploaded files, or the texts of a page that showed them.
func chosenFiles(r *http.Request, lib *material.Library) (importPage, error) {
	var p importPage
	add := func(name, text string) {
		f := readRecipe(name, text, lib)
		if f.Fault != "" {
			p.Faults++
		}
		p.Read = append(p.Read, f)
	}
	names := r.PostForm["name"]
	for i, text := range r.PostForm["text"] {
		if i < len(names) && i < mostFiles {
			add(names[i], text)
		}
	}
	if r.MultipartForm == nil {
		return p, nil
	}
	for _, h := range r.MultipartForm.File["file"] {
		if len(p.Read) == mostFiles {
			break
		}
		f, err := h.Open()
		if err != nil {
			return p, err
		}
		data, err := io.ReadAll(io.LimitReader(f, tomldoc.MaxBytes+1))
		f.Close()
		if err != nil {
			return p, err
		}
		add(cutTo(h.Filename, 100), string(data))
	}
	return p, nil
}

func readRecipe(name, text string, lib *material.Library) readFile {
	f := readFile{File: name, Text: text}
	r, err := recipe.Parse(name, []byte(text), lib)
	if err == nil {
		f.Name = r.Name
		f.Plan, err = plan.Make(r, lib)
	}
	if err != nil {
		f.Fault = err.Error()
		var h interface{ Hint() string }
		if errors.As(err, &h) {
			f.Advice = h.Hint()
		}
	}
	return f
}

func (a *App) saveImported(r *http.Request, f readFile, lib *material.Library) error {
	rec, err := recipe.Parse(f.File, []byte(f.Text), lib)
	if err != nil {
		return err
	}
	v := store.Version{ID: newID(), Reason: "brought in from " + f.File, Body: string(rec.Print()), MadeAt: a.now()}
	return a.store.NewRecipe(r.Context(), store.Recipe{ID: newID(), Name: rec.Name}, v, recipeWords(rec, lib))
}

// export sends the whole workshop as a zip of plain files.
func (a *App) export(w http.ResponseWriter, r *http.Request) error {
	all, err := a.store.Everything(r.Context())
	if err != nil {
		return err
	}
	files, err := share.Files(all)
	if err != nil {
		return err
	}
	name := fmt.Sprintf("workshop-%s.zip", a.now().Format("2006-01-02"))
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	z := zip.NewWriter(w)
	for _, path := range slices.Sorted(maps.Keys(files)) {
		f, err := z.Create(path)
		if err == nil {
			_, err = f.Write(files[path])
		}
		if err != nil {
			a.logf("export: %v", err)
			return nil // the head has been sent; a broken zip tells the rest
		}
	}
	if err := z.Close(); err != nil {
		a.logf("export: %v", err)
	}
	return nil
}
