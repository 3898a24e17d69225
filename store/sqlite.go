package store

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// File is the name of the database in a data folder.
const File = "barwright.db"

// Open opens the workshop of a data folder, making the folder and the
// database when they are not there. The error is a *Trouble: what is wrong in
// a maker's words.
func Open(ctx context.Context, dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, troubleOpening(dir, err)
	}
	lock, err := lockFolder(ctx, dir)
	if err != nil {
		return nil, err
	}
	ownersOnly(filepath.Join(dir, File))
	s := &Store{lock: lock}
	if s.db, err = openSQLite(ctx, filepath.Join(dir, File)); err != nil {
		return nil, errors.Join(troubleOpening(dir, err), lock.release())
	}
	err = sound(ctx, s.db, `PRAGMA quick_check(1)`)
	if err == nil {
		err = s.migrate(ctx, goose.DialectSQLite3)
	}
	if err != nil {
		s.Close()
		return nil, troubleOpening(dir, err)
	}
	return s, nil
}

// openSQLite opens one SQLite file, with the pragmas on every connection.
func openSQLite(ctx context.Context, path string) (*sql.DB, error) {
	return openDSN(ctx, path, "_txlock=immediate&_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)")
}

// openStill opens an SQLite file that nobody writes to, and leaves no trace.
func openStill(ctx context.Context, path string) (*sql.DB, error) {
	return openDSN(ctx, path, "mode=ro&immutable=1")
}

func openDSN(ctx context.Context, path, query string) (*sql.DB, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if tornOff(path) {
		return nil, errDamaged{"its beginning is missing"}
	}
	if path = filepath.ToSlash(path); !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/…
	}
	at := url.URL{Scheme: "file", Path: path, RawQuery: query} // a folder may be called "50% olive?"
	db, err := sql.Open("sqlite", at.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(16)
	if err := db.PingContext(ctx); err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// tornOff reports whether a database has less than its first page. SQLite would
// begin a new one in it, and throw away its log.
func tornOff(path string) bool {
	const page = 4096 // bytes; we never set another one
	size := func(path string) int64 {
		if info, err := os.Stat(path); err == nil {
			return info.Size()
		}
		return 0
	}
	has := size(path)
	return has < page && (has > 0 || size(path+"-wal") > 0)
}

// errDamaged is what a check of a database file found.
type errDamaged struct{ verdict string }

func (e errDamaged) Error() string { return e.verdict }

// sound runs one of SQLite's checks.
func sound(ctx context.Context, db *sql.DB, check string) error {
	var verdict string
	if err := db.QueryRowContext(ctx, check).Scan(&verdict); err != nil {
		return err
	}
	if verdict != "ok" {
		return errDamaged{verdict}
	}
	return nil
}

// isDamage reports whether an error says that a database file is damaged.
func isDamage(err error) bool {
	var damaged errDamaged
	var e *sqlite.Error
	return errors.As(err, &damaged) ||
		errors.As(err, &e) && (e.Code()&0xff == sqlite3.SQLITE_CORRUPT || e.Code()&0xff == sqlite3.SQLITE_NOTADB)
}

// sqliteTrouble is what people can do about an error of SQLite, nil when that
// is nothing.
func sqliteTrouble(err error) *Trouble {
	var e *sqlite.Error
	switch {
	case isDamage(err):
		return &Trouble{"the database file is damaged", "keep it, and bring back the last backup with: barwright restore FILE", err}
	case !errors.As(err, &e):
		return nil
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return diskFull(err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN:
		return &Trouble{"the data folder cannot be written", "allow writing to it, or name another folder with --data; what was saved before is still there", err}
	case sqlite3.SQLITE_IOERR:
		return &Trouble{"the disk does not read or write as it should", "check its space and its cable; what was saved before is still there", err}
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return &Trouble{"the database was busy for five seconds", "try again", err}
	}
	return nil
}
