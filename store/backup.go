package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// Backup writes a consistent copy of the workshop of a data folder to file,
// also while another barwright has it open. The copy is whole or not there.
func Backup(ctx context.Context, dir, file string) error {
	path := filepath.Join(dir, File)
	if _, err := os.Stat(path); err != nil {
		return &Trouble{"there is no workshop in " + dir, "name its folder with --data", err}
	}
	db, err := openSQLite(ctx, path)
	if err != nil {
		return troubleOpening(dir, err)
	}
	defer db.Close()
	tmp := file + ".part"
	os.Remove(tmp)
	if _, err := db.ExecContext(ctx, `VACUUM INTO $1`, tmp); err != nil {
		os.Remove(tmp)
		return troubleOpening(file, err)
	}
	if err := Check(ctx, tmp); err != nil {
		os.Remove(tmp)
		return err
	}
	return os.Rename(tmp, file)
}

// Check returns what is wrong with a backup file: not a workshop, damaged, or
// written by a newer barwright. It changes nothing.
func Check(ctx context.Context, file string) error {
	if _, err := os.Stat(file); err != nil {
		return &Trouble{file + ": no such backup", "name the file that barwright backup wrote", err}
	}
	db, err := openReadOnly(ctx, file)
	if err != nil {
		return troubleOpening(file, err)
	}
	defer db.Close()
	var verdict string
	if err := db.QueryRowContext(ctx, `PRAGMA integrity_check`).Scan(&verdict); err != nil {
		return troubleOpening(file, err)
	}
	if verdict != "ok" {
		return &Trouble{file + " is damaged: " + verdict, "take another backup", nil}
	}
	var recipes, version int
	err = db.QueryRowContext(ctx, `SELECT (SELECT COUNT(*) FROM recipe), (SELECT MAX(version_id) FROM goose_db_version)`).Scan(&recipes, &version)
	if err != nil {
		return &Trouble{file + " is not the backup of a workshop", "name the file that barwright backup wrote", err}
	}
	if known := newestMigration(); version > known {
		return troubleOpening(file, errNewer{int64(version), int64(known)})
	}
	return nil
}

func newestMigration() (n int) {
	entries, err := migrations.ReadDir("migrations")
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		var v int
		if _, err := fmt.Sscanf(e.Name(), "%d_", &v); err == nil {
			n = max(n, v)
		}
	}
	return n
}

// Restore puts a checked backup in place of the workshop of a data folder,
// which nobody may have open. What was there is kept beside it, and its name
// is returned, "" when there was nothing.
func Restore(ctx context.Context, dir, file string) (kept string, err error) {
	if err := Check(ctx, file); err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", troubleOpening(dir, err)
	}
	lock, err := lockFolder(dir)
	if err != nil {
		return "", err
	}
	defer lock.Close()
	path := filepath.Join(dir, File)
	if err := copyWhole(file, path+".part"); err != nil {
		return "", troubleOpening(dir, err)
	}
	if kept, err = setAside(ctx, path); err != nil {
		return "", troubleOpening(dir, err)
	}
	return kept, os.Rename(path+".part", path)
}

// setAside moves a database, its log folded in, to a name of its own.
func setAside(ctx context.Context, path string) (kept string, err error) {
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return "", nil
	}
	if db, err := openSQLite(ctx, path); err == nil {
		db.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
		db.Close()
	}
	for n := 1; ; n++ {
		kept = fmt.Sprintf("%s.before-restore-%d", path, n)
		if _, err := os.Stat(kept); errors.Is(err, os.ErrNotExist) {
			break
		}
	}
	if err := os.Rename(path, kept); err != nil {
		return "", err
	}
	for _, end := range []string{"-wal", "-shm"} {
		if err := os.Rename(path+end, kept+end); err != nil && !errors.Is(err, os.ErrNotExist) {
			return kept, err
		}
	}
	return kept, nil
}

func copyWhole(from, to string) error {
	data, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	return errors.Join(err, f.Sync(), f.Close())
}
