package store

import (
	"errors"
	"io/fs"
	"strings"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Trouble is what keeps a workshop from being read or written, in words a
// maker understands. Nothing was lost or half written.
type Trouble struct {
	Text   string
	Advice string
	cause  error
}

func (t *Trouble) Error() string { return t.Text }

// Hint returns what to do about it.
func (t *Trouble) Hint() string { return t.Advice }

func (t *Trouble) Unwrap() error { return t.cause }

// ErrChanged is a save that came too late: somebody else saved first.
var ErrChanged = errors.New("somebody else has saved it since you opened it")

// ErrMissing is a recipe, version or thing that is not there.
var ErrMissing = errors.New("it is not in this workshop")

// trouble turns an error of the database into a *Trouble where people can do
// something about it, and leaves every other error as it is.
func trouble(err error) error {
	var e *sqlite.Error
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ENOSPC):
		return diskFull(err)
	case !errors.As(err, &e):
		return err
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return diskFull(err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN:
		return &Trouble{"the data folder cannot be written", "allow writing to it, or name another folder with --data; nothing was lost", err}
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return &Trouble{"the database file is damaged", "keep it, and bring back the last backup with: barwright restore FILE", err}
	case sqlite3.SQLITE_IOERR:
		return &Trouble{"the disk does not read or write as it should", "check its space and its cable; what was saved before is still there", err}
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return &Trouble{"the database was busy for five seconds", "try again", err}
	}
	return err
}

func diskFull(err error) error {
	return &Trouble{"the disk is full", "make room and save again; what was saved before is still there", err}
}

// troubleOpening is trouble with a place.
func troubleOpening(where string, err error) error {
	var newer errNewer
	var t *Trouble
	switch known := trouble(err); {
	case errors.As(err, &newer):
		return &Trouble{where + " was written by a newer barwright", "use that one; this one would not understand all of it, and has changed nothing", err}
	case errors.As(known, &t):
		return &Trouble{where + ": " + t.Text, t.Advice, err}
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return &Trouble{where + " cannot be written", "allow writing to it, or name another folder with --data", err}
	}
	return &Trouble{where + " cannot be opened: " + strings.TrimSpace(err.Error()), "name another folder with --data", err}
}
