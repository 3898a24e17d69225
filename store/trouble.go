package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"syscall"
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
	var known *Trouble
	switch {
	case err == nil, errors.As(err, &known), errors.Is(err, context.Canceled):
		return err
	case errors.Is(err, syscall.ENOSPC):
		return diskFull(err)
	}
	if t := sqliteTrouble(err); t != nil {
		return t
	}
	if t := postgresTrouble(err); t != nil {
		return t
	}
	return err
}

func diskFull(err error) *Trouble {
	return &Trouble{"the disk is full", "make room and try again; what was saved before is still there", err}
}

// troubleOpening is trouble with a place: a folder, a file or thePostgres.
func troubleOpening(where string, err error) error {
	var newer errNewer
	var t *Trouble
	switch known := trouble(err); {
	case errors.As(err, &newer):
		return &Trouble{where + " was written by a newer barwright", "use that one; this one would not understand all of it, and has changed nothing", err}
	case errors.As(known, &t) && strings.Contains(t.Text, where):
		return t
	case errors.As(known, &t):
		return &Trouble{where + ": " + t.Text, t.Advice, err}
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return &Trouble{where + " cannot be written", "allow writing to it, or name another folder with --data", err}
	case errors.Is(err, syscall.ENOTDIR), errors.Is(err, fs.ErrExist):
		return &Trouble{where + " is not a folder", "name a folder with --data", err}
	}
	return &Trouble{where + " cannot be opened: " + strings.TrimSpace(err.Error()), "name another place with --data", err}
}

// troubleWriting is trouble with a file that was to be written.
func troubleWriting(file string, err error) error {
	var t *Trouble
	switch {
	case errors.As(trouble(err), &t):
		return &Trouble{file + ": " + t.Text, t.Advice, err}
	case errors.Is(err, fs.ErrNotExist):
		return &Trouble{"there is no folder " + filepath.Dir(file), "make it, or name a file in another one", err}
	}
	return &Trouble{fmt.Sprintf("%s cannot be written: %v", file, err), "name a file in another folder", err}
}
