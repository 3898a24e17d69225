package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Restore puts a backup in place of the workshop of a data folder, which
// nobody may have open. The backup is checked before anything is replaced, and
// what was there is kept beside it: its name is returned, "" when there was
// nothing.
func Restore(ctx context.Context, dir, file string) (kept string, err error) {
	if err := Check(ctx, file); err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", troubleOpening(dir, err)
	}
	lock, err := lockFolder(ctx, dir)
	if err != nil {
		return "", err
	}
	defer lock.release()
	kept, err = replace(ctx, filepath.Join(dir, File), file)
	if err != nil {
		return "", troubleOpening(dir, err)
	}
	return kept, nil
}

// replace puts a copy of file at path. At every moment there is a whole
// database at path: the old one or the new one.
func replace(ctx context.Context, path, file string) (kept string, err error) {
	tmp, err := newBeside(path)
	if err != nil {
		return "", err
	}
	defer os.Remove(tmp)
	if err := copyFile(file, tmp); err != nil {
		return "", err
	}
	if err := inspect(ctx, tmp); err != nil { // a disk can fail while copying
		return "", err
	}
	if kept, err = keep(ctx, path); err != nil {
		return "", err
	}
	return kept, settle(tmp, path)
}

// keep copies a database to a name of its own, with the log of one that is too
// damaged to take it in, and leaves no log behind for the next database.
func keep(ctx context.Context, path string) (kept string, err error) {
	if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if db, err := openSQLite(ctx, path); err == nil {
		db.Close() // the last one to close takes the log in
	}
	for n := 1; ; n++ {
		kept = fmt.Sprintf("%s.before-restore-%d", path, n)
		if _, err := os.Lstat(kept); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	if err := copyFile(path, kept); err != nil {
		os.Remove(kept)
		return "", err
	}
	for _, end := range append([]string{"-shm"}, logs...) {
		if err := os.Rename(path+end, kept+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	return kept, nil
}
