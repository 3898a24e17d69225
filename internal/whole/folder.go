package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// Folder makes files, by their paths, the whole of a folder. One that is there
// and empty is filled; one that holds anything is replaced in one step and then
// deleted; one that is not there is made. When anything fails the folder is
// what it was before, or, when even that cannot be had, what it held is in the
// folder that the *AsideError names.
//
// Everybody may read the files and folders, as far as the umask lets them: they
// are written to be handed on.
func (d Disk) Folder(dir string, files map[string][]byte) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return d.replace(dir, files, false)
	case err != nil:
		return err
	case len(entries) == 0: // somebody may stand in it, so it stays the folder it is
		return d.fill(dir, files)
	}
	return d.replace(dir, files, true)
}

// AsideError is a folder that could be neither replaced nor put back.
type AsideError struct {
	Earlier string // where what it held is now
	cause   error
}

func (e *AsideError) Error() string {
	return fmt.Sprintf("the folder could not be replaced, and what it held is now in %s: %v", e.Earlier, e.cause)
}

func (e *AsideError) Unwrap() error { return e.cause }

// replace writes the new folder beside the old one and swaps their names.
func (d Disk) replace(dir string, files map[string][]byte, there bool) error {
	parent, base := filepath.Split(filepath.Clean(dir))
	parent = filepath.Clean(parent)
	tmp, err := os.MkdirTemp(parent, base+".part-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	whole := filepath.Join(tmp, base)
	if err := d.writeAll(whole, files); err != nil {
		return err
	}
	if !there {
		if err := d.Rename(whole, dir); err != nil {
			return err
		}
		d.syncFolder(parent)
		return nil
	}
	earlier, err := os.MkdirTemp(parent, base+".earlier-*") // where a person would look after a power cut
	if err != nil {
		return err
	}
	if err := d.swap(whole, dir, filepath.Join(earlier, base)); err != nil {
		var aside *AsideError
		if !errors.As(err, &aside) {
			err = errors.Join(err, os.Remove(earlier))
		}
		return err
	}
	d.syncFolder(parent) // before the earlier one goes
	return os.RemoveAll(earlier)
}

// swap moves what is at dir to earlier, and whole to dir.
func (d Disk) swap(whole, dir, earlier string) error {
	if err := d.Rename(dir, earlier); err != nil {
		return err
	}
	err := d.Rename(whole, dir)
	if err == nil {
		return nil
	}
	if back := d.Rename(earlier, dir); back != nil {
		return &AsideError{earlier, errors.Join(err, back)}
	}
	return err
}

// fill writes the files in a folder inside an empty one and moves them up. What
// has been moved is taken away again when the rest cannot be.
func (d Disk) fill(dir string, files map[string][]byte) (err error) {
	tmp, err := os.MkdirTemp(dir, ".part-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	whole := filepath.Join(tmp, "new")
	if err := d.writeAll(whole, files); err != nil {
		return err
	}
	entries, err := os.ReadDir(whole)
	if err != nil {
		return err
	}
	for i, e := range entries {
		if err := d.Rename(filepath.Join(whole, e.Name()), filepath.Join(dir, e.Name())); err != nil {
			for _, moved := range entries[:i] {
				err = errors.Join(err, os.RemoveAll(filepath.Join(dir, moved.Name())))
			}
			return err
		}
	}
	d.syncFolder(dir)
	return nil
}

// writeAll writes files as a folder that is not there yet, and waits until they
// and their names are on the disk.
func (d Disk) writeAll(dir string, files map[string][]byte) error {
	var paths []string
	folders := map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(dir, filepath.FromSlash(name))
		for up := filepath.Dir(path); !folders[up]; up = filepath.Dir(up) {
			folders[up] = true
			if up == dir {
				break
			}
		}
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, files[name], 0o644); err != nil {
			return err
		}
		paths = append(paths, path)
	}
	if err := d.syncAll(paths); err != nil {
		return err
	}
	for _, folder := range slices.Sorted(maps.Keys(folders)) {
		d.syncFolder(folder)
	}
	d.syncFolder(filepath.Dir(dir))
	return nil
}

// syncAll waits until written files are on the disk. It asks for several at a
// time, because a disk keeps many in the time of one.
func (d Disk) syncAll(paths []string) error {
	const atOnce = 16
	errs := make([]error, atOnce)
	var all sync.WaitGroup
	for i := range atOnce {
		all.Go(func() {
			for n := i; n < len(paths) && errs[i] == nil; n += atOnce {
				errs[i] = d.syncFile(paths[n])
			}
		})
	}
	all.Wait()
	return errors.Join(errs...)
}
