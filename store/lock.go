package store

import (
	"context"
	"database/sql"
	"errors"
	"path/filepath"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// folderLock keeps other processes out of a data folder. It is SQLite's own
// lock on an empty database, which works on every system SQLite works on and
// ends with the process. The workshop's own file stays free for a backup.
type folderLock struct {
	db *sql.DB
	tx *sql.Tx
}

// lockFolder takes the folder for this process until it is released.
func lockFolder(ctx context.Context, dir string) (*folderLock, error) {
	path := filepath.Join(dir, "in-use")
	ownersOnly(path)
	l, err := takeLock(ctx, path)
	var e *sqlite.Error
	switch {
	case err == nil:
		return l, nil
	case errors.As(err, &e) && e.Code()&0xff == sqlite3.SQLITE_BUSY:
		return nil, &Trouble{"the workshop in " + dir + " is already open in another barwright", "close the other one, or name another folder with --data", err}
	}
	return nil, troubleOpening(dir, err)
}

func takeLock(ctx context.Context, path string) (*folderLock, error) {
	db, err := openDSN(ctx, path, "_txlock=exclusive")
	if err != nil {
		return nil, err
	}
	// The lock must outlive ctx: a program that is told to stop still saves.
	tx, err := db.BeginTx(context.WithoutCancel(ctx), nil)
	if err != nil {
		db.Close()
		return nil, err
	}
	return &folderLock{db, tx}, nil
}

func (l *folderLock) release() error { return errors.Join(l.tx.Rollback(), l.db.Close()) }
