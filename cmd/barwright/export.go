package main

import (
	gocontext "context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"barwright/share"
	"barwright/store"
)

type exportCommand struct {
	Dir  string `arg:"" help:"Folder to write; it is not there yet, is empty, or holds an earlier export."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run writes the workshop as plain files, all of them or none.
func (c *exportCommand) Run(ctx context) error {
	if err := checkTarget(c.Dir); err != nil {
		return err
	}
	if err := mustHaveData(c.Data); err != nil {
		return err
	}
	s, err := openData(gocontext.Background(), c.Data)
	var t *store.Trouble
	if errors.As(err, &t) && strings.Contains(t.Text, "already open") {
		return &hinted{t.Text, "the app that has it open writes the same files: Workshop, Everything as files; or close it and run this again"}
	}
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
	if err := writeFolder(c.Dir, files); err != nil {
		return err
	}
	what := fmt.Sprintf("%s and %s", count(len(all.Recipes), "recipe", "recipes"), count(len(all.Things), "thing", "things"))
	if len(all.Batches) > 0 {
		what = fmt.Sprintf("%s, %s and %s", count(len(all.Recipes), "recipe", "recipes"), count(len(all.Batches), "batch", "batches"), count(len(all.Things), "thing", "things"))
	}
	fmt.Fprintf(ctx.stdout, "%s written to %s: %s\n", what, c.Dir, count(len(files), "file", "files"))
	return nil
}

// openData opens the workshop of a data folder, of a PostgreSQL database by its
// address, or the usual one.
func openData(ctx gocontext.Context, named string) (*store.Store, error) {
	if isPostgres(named) {
		return store.OpenPostgres(ctx, named)
	}
	dir, err := dataDir(named)
	if err != nil {
		return nil, err
	}
	return store.Open(ctx, dir)
}

func isPostgres(named string) bool {
	return strings.HasPrefix(named, "postgres://") || strings.HasPrefix(named, "postgresql://")
}

// mustHaveData refuses a folder without a workshop: opening it would make one,
// and there would be nothing to write.
func mustHaveData(named string) error {
	if isPostgres(named) {
		return nil
	}
	dir, err := dataDir(named)
	if err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(dir, store.File)); errors.Is(err, fs.ErrNotExist) {
		return &hinted{"there is no workshop in " + dir, "name its folder with --data"}
	}
	return nil
}

const otherFolder = "name a folder that is not there yet, or one that barwright export wrote"

// checkTarget refuses a folder that holds anything but an earlier export,
// because what it holds is replaced.
func checkTarget(dir string) error {
	info, err := os.Stat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return openError(err, otherFolder)
	}
	if !info.IsDir() {
		return &hinted{dir + " is a file", otherFolder}
	}
	return filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return openError(err, otherFolder)
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil || (d.IsDir() && !strings.HasPrefix(d.Name(), ".")) || d.Type().IsRegular() && share.Writes(filepath.ToSlash(rel)) {
			return err
		}
		return &hinted{fmt.Sprintf("%s holds %s, which no export wrote", dir, rel), otherFolder}
	})
}

// writeFolder writes files as a folder: beside it first, and in its place once
// all are there.
func writeFolder(dir string, files map[string][]byte) error {
	dir = filepath.Clean(dir)
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".barwright-export-")
	if err != nil {
		return openError(err, "name a folder in one that can be written to")
	}
	defer os.RemoveAll(tmp)
	const full = "make room, or allow writing there; nothing was changed"
	whole := filepath.Join(tmp, "new")
	for name, data := range files {
		path := filepath.Join(whole, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return openError(err, full)
		}
		if err := os.WriteFile(path, data, 0o644); err != nil {
			return openError(err, full)
		}
	}
	earlier := filepath.Join(tmp, "earlier")
	hadOne := os.Rename(dir, earlier) == nil
	if err := os.Rename(whole, dir); err != nil {
		if hadOne {
			err = errors.Join(err, os.Rename(earlier, dir))
		}
		return openError(err, full)
	}
	return nil
}
