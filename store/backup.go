package store

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"barwright/internal/whole"
)

// Backup writes a copy of the workshop of a data folder to file, which must
// not be there yet. Another barwright may go on saving: the copy is the
// workshop of one moment, and it is whole and checked, or not there.
func Backup(ctx context.Context, dir, file string) error {
	return backup(ctx, whole.Real(), dir, file)
}

func backup(ctx context.Context, disk whole.Disk, dir, file string) error {
	path := filepath.Join(dir, File)
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return &Trouble{"there is no workshop in " + dir, "name its folder with --data", err}
	}
	if _, err := os.Lstat(file); err == nil {
		return &Trouble{file + " is there already", "name a file that is not there yet; a backup replaces nothing", nil}
	}
	tmp, err := whole.Beside(file)
	if err != nil {
		return troubleWriting(file, err)
	}
	defer os.Remove(tmp)
	db, err := openSQLite(ctx, path)
	if err != nil {
		return troubleOpening(dir, err)
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, `VACUUM INTO $1`, tmp) // what is there at one moment
	if err != nil && !isDamage(err) {
		return troubleWriting(file, err)
	}
	if err == nil {
		err = inspect(ctx, tmp)
	}
	if err != nil {
		return troubleOpening(dir, err)
	}
	if err := disk.Settle(tmp, file); err != nil {
		return troubleWriting(file, err)
	}
	return nil
}

// Check returns what is wrong with a backup: not there, not the backup of a
// workshop, damaged, or written by a newer barwright. It changes nothing.
func Check(ctx context.Context, file string) error {
	info, err := os.Stat(file)
	if err != nil || !info.Mode().IsRegular() {
		return &Trouble{file + ": no such backup", "name the file that barwright backup wrote", err}
	}
	for _, end := range logs {
		if log, err := os.Stat(file + end); err == nil && log.Size() > 0 {
			return &Trouble{file + " is a database in use: a part of it is in " + filepath.Base(file) + end, "make a backup of it with barwright backup, and restore that", nil}
		}
	}
	err = inspect(ctx, file)
	var t *Trouble
	switch {
	case err == nil:
		return nil
	case errors.Is(err, errOther):
		return &Trouble{file + " is not the backup of a workshop", "name the file that barwright backup wrote", err}
	case errors.As(trouble(err), &t):
		return &Trouble{file + " is damaged, or no backup of a workshop", "name another file that barwright backup wrote; nothing was changed", err}
	}
	return troubleOpening(file, err)
}

// logs are what SQLite keeps beside a database that is in use.
var logs = []string{"-wal", "-journal"}

// errOther is a sound database of something else.
var errOther = errors.New("it has no tables of a workshop")

// inspect reads the whole of a database file that nobody writes to.
func inspect(ctx context.Context, path string) error {
	db, err := openStill(ctx, path)
	if err != nil {
		return err
	}
	defer db.Close()
	if err := sound(ctx, db, `PRAGMA integrity_check(1)`); err != nil {
		return err
	}
	var tables int
	err = db.QueryRowContext(ctx, `SELECT COUNT(*) FROM sqlite_schema WHERE name IN ('goose_db_version', 'recipe', 'version', 'thing')`).Scan(&tables)
	if err != nil {
		return err
	}
	if tables < 4 {
		return errOther
	}
	newer := errNewer{known: newestMigration()}
	if err := db.QueryRowContext(ctx, `SELECT MAX(version_id) FROM goose_db_version`).Scan(&newer.have); err != nil {
		return err
	}
	if newer.have > newer.known {
		return newer
	}
	return checkSeals(ctx, db)
}
