package main

import (
	gocontext "context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"barwright/internal/whole"
	"barwright/share"
	"barwright/store"
)

type exportCommand struct {
	Dir  string `arg:"" help:"Folder to write; it is not there yet, is empty, or holds an earlier export."`
	Data string `placeholder:"DIR" help:"Data folder of the workshop."`
}

// Run writes the workshop as plain files, all of them or none.
func (c *exportCommand) Run(ctx context) error {
	dir, err := exportTarget(c.Dir)
	if err != nil {
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
	files := share.Files(all)
	if err := whole.Real().Folder(dir, files); err != nil {
		return notWritten(err)
	}
	what := fmt.Sprintf("%s and %s", count(len(all.Recipes), "recipe", "recipes"), count(len(all.Things), "thing", "things"))
	if len(all.Batches) > 0 {
		what = fmt.Sprintf("%s, %s and %s", count(len(all.Recipes), "recipe", "recipes"), count(len(all.Batches), "batch", "batches"), count(len(all.Things), "thing", "things"))
	}
	fmt.Fprintf(ctx.stdout, "%s written to %s: %s\n", what, c.Dir, count(len(files), "file", "files"))
	if files[share.LeftOut] != nil {
		fmt.Fprintf(ctx.stdout, "not everything can be read back from these files: %s in %s says what, and holds it\n", share.LeftOut, c.Dir)
	}
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

const otherFolder = "name a folder that is not there yet, an empty one, or one that barwright export wrote"

// exportTarget is the folder named, without links on the way. One that holds
// anything but an earlier export is refused, because what it holds is replaced.
func exportTarget(named string) (dir string, err error) {
	if dir, err = filepath.Abs(named); err != nil {
		return "", err
	}
	info, err := os.Stat(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return dir, nil
	}
	if err != nil {
		return "", openError(err, otherFolder)
	}
	if !info.IsDir() {
		return "", &hinted{named + " is a file", otherFolder}
	}
	if dir, err = filepath.EvalSymlinks(dir); err != nil {
		return "", openError(err, otherFolder)
	}
	if err := checkEarlier(named, dir); err != nil {
		return "", err
	}
	return dir, checkNotInside(named, dir)
}

// checkEarlier refuses a folder with anything that no export wrote.
func checkEarlier(named, dir string) error {
	return filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return openError(err, otherFolder)
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil || rel == "." || (d.IsDir() && !strings.HasPrefix(d.Name(), ".")) || d.Type().IsRegular() && share.Writes(filepath.ToSlash(rel)) {
			return err
		}
		return &hinted{fmt.Sprintf("%s holds %s, which no export wrote", named, rel), otherFolder}
	})
}

// checkNotInside refuses to replace the folder that the command is given in:
// its shell would stand in one that is gone.
func checkNotInside(named, dir string) error {
	here, err := os.Getwd()
	if err != nil {
		return err
	}
	if here, err = filepath.EvalSymlinks(here); err != nil {
		return err
	}
	entries, err := os.ReadDir(dir)
	if rel, outside := filepath.Rel(dir, here); err != nil || len(entries) == 0 || outside != nil || rel == ".." || strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return err
	}
	return &hinted{named + " holds an earlier export and cannot be replaced while you are in it", "go up with cd .. and name it: barwright export " + filepath.Base(dir)}
}

// notWritten says what kept an export from being written.
func notWritten(err error) error {
	var aside *whole.AsideError
	if errors.As(err, &aside) {
		return &hinted{aside.Error(), "rename it back by hand, and see why the disk does not let folders be renamed"}
	}
	const advice = "make room, or allow writing there; nothing was changed"
	var link *os.LinkError
	if errors.As(err, &link) {
		return &hinted{fmt.Sprintf("%s cannot be named %s: %v", link.Old, link.New, link.Err), advice}
	}
	return openError(err, advice)
}
