package main

import (
	gocontext "context"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
	"barwright/share"
	"barwright/store"
)

type exportCommand struct {
	Dir  string `arg:"" help:"Folder to write; it must not be there yet, or be an earlier export."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run writes the workshop as plain files, all of them or none.
func (c *exportCommand) Run(ctx context) error {
	s, err := openData(gocontext.Background(), c.Data)
	if err != nil {
		return err
	}
	defer s.Close()
	all, err := s.Everything(gocontext.Background())
	if err != nil {
		return err
	}
	files, err := share.Files(all)
	if err != nil {
		return err
	}
	if err := checkTarget(c.Dir); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(filepath.Clean(c.Dir)), ".barwright-export-")
	if err != nil {
		return openError(err, "name a folder that can be made")
	}
	defer os.RemoveAll(tmp)
	for name, data := range files {
		path := filepath.Join(tmp, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return openError(err, "")
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return openError(err, "")
		}
	}
	if err := os.RemoveAll(c.Dir); err != nil {
		return openError(err, "")
	}
	if err := os.Chmod(tmp, 0o755); err != nil {
		return openError(err, "")
	}
	if err := os.Rename(tmp, c.Dir); err != nil {
		return openError(err, "name a folder on the same disk")
	}
	fmt.Fprintf(ctx.stdout, "written to %s: recipes %d, things %d, files %d\n", c.Dir, len(all.Recipes), len(all.Things), len(files))
	return nil
}

// checkTarget refuses a folder that holds something else than an export.
func checkTarget(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || err == nil && len(entries) == 0 {
		return nil
	}
	if err != nil {
		return openError(err, "name a folder")
	}
	if _, err := os.Stat(filepath.Join(dir, "recipes.csv")); err != nil {
		return &hinted{dir + " holds other things", "name a folder that is not there yet"}
	}
	return nil
}

type importCommand struct {
	Dir  string `arg:"" help:"Folder that barwright export wrote, or one recipe file."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run reads an export back. Nothing that is there is overwritten.
func (c *importCommand) Run(ctx context) error {
	incoming, err := incoming(c.Dir)
	if err != nil {
		return err
	}
	s, err := openData(gocontext.Background(), c.Data)
	if err != nil {
		return err
	}
	defer s.Close()
	rep, err := s.Bring(gocontext.Background(), incoming, time.Now(), func() string { return strings.ToLower(rand.Text()[:16]) }, words)
	if err != nil {
		return err
	}
	fmt.Fprintf(ctx.stdout, "came in: recipes %d, things %d; there already: %d\n", rep.Recipes, rep.Things, rep.Known)
	for _, name := range rep.Renamed {
		fmt.Fprintf(ctx.stdout, "%s came in beside the one of the same name\n", name)
	}
	for _, name := range rep.Kept {
		fmt.Fprintf(ctx.stdout, "%s: yours was kept\n", name)
	}
	return nil
}

// incoming reads a folder, or a recipe file as a workshop of one recipe.
func incoming(path string) (share.Workshop, error) {
	info, err := os.Stat(path)
	if err != nil {
		return share.Workshop{}, openError(err, "name a folder that barwright export wrote, or a recipe file")
	}
	if info.IsDir() {
		return share.Read(os.DirFS(path))
	}
	data, err := readFile(path, nil)
	if err != nil {
		return share.Workshop{}, err
	}
	r, err := recipe.Parse(path, data, material.Builtin())
	if err != nil {
		return share.Workshop{}, err
	}
	v := share.Version{Number: 1, Reason: "brought in from " + filepath.Base(path), MadeAt: time.Now(), Body: string(r.Print())}
	return share.Workshop{Recipes: []share.Recipe{{ID: strings.ToLower(rand.Text()[:16]), Name: r.Name, Versions: []share.Version{v}}}}, nil
}

// words is what a recipe can be searched by.
func words(body string) string {
	var r recipe.Recipe
	if _, err := tomldoc.Decode("recipe", []byte(body), &r); err != nil {
		return ""
	}
	var names []string
	add := func(id string) {
		if m, err := material.Builtin().Find(id); err == nil {
			names = append(names, m.Name)
		}
	}
	for _, f := range r.Fats {
		add(f.Material)
	}
	for _, a := range r.Additions {
		add(a.Material)
	}
	return strings.Join(names, " ")
}

// openData opens the workshop of a data folder, of a PostgreSQL database by its
// address, or the usual one.
func openData(ctx gocontext.Context, named string) (*store.Store, error) {
	if inPostgres(named) {
		return store.OpenPostgres(ctx, named)
	}
	dir, err := dataDir(named)
	if err != nil {
		return nil, err
	}
	return store.Open(ctx, dir)
}
