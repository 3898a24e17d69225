package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"barwright/internal/whole"
)

// Restore puts a backup in place of the workshop of a data folder, which
// nobody may have open. The backup is checked before anything is replaced, and
// what was there is kept beside it: its name is returned, "" when there was
// nothing. Which devices may come in stays as it was: one that was turned away
// since the backup stays out, and a new folder lets none in.
func Restore(ctx context.Context, dir, file string) (kept string, err error) {
	return restore(ctx, whole.Real(), dir, file)
}

func restore(ctx context.Context, disk whole.Disk, dir, file string) (kept string, err error) {
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
	kept, err = replace(ctx, disk, filepath.Join(dir, File), file)
	if err != nil {
		return "", troubleOpening(dir, err)
	}
	return kept, nil
}

// replace puts a copy of file at path. At every moment there is a whole
// database at path: the old one or the new one.
func replace(ctx context.Context, disk whole.Disk, path, file string) (kept string, err error) {
	tmp, err := whole.Beside(path)
	if err != nil {
		return "", err
	}
	defer os.Remove(tmp)
	for _, end := range logs {
		defer os.Remove(tmp + end) // there only when something failed
	}
	if err := disk.Copy(file, tmp); err != nil {
		return "", err
	}
	if err := letInOnly(ctx, tmp, devicesAt(ctx, path)); err != nil {
		return "", err
	}
	if err := inspect(ctx, tmp); err != nil { // a disk can fail while copying
		return "", err
	}
	if kept, err = keep(ctx, disk, path); err != nil {
		return "", err
	}
	return kept, disk.Settle(tmp, path)
}

// keep copies a database to a name of its own, with the log of one that is too
// damaged to take it in, and leaves no log behind for the next database.
func keep(ctx context.Context, disk whole.Disk, path string) (kept string, err error) {
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
	if err := disk.Copy(path, kept); err != nil {
		os.Remove(kept)
		return "", err
	}
	for _, end := range append([]string{"-shm"}, logs...) {
		if err := disk.Rename(path+end, kept+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	return kept, nil
}
