package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// newBeside makes an empty file beside another, so that it can take its name
// when it is whole.
func newBeside(file string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(file), filepath.Base(file)+".part-*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// settle gives a written file its name once it is on the disk.
func settle(tmp, file string) error {
	f, err := os.OpenFile(tmp, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(tmp, file); err != nil {
		return err
	}
	if dir, err := os.Open(filepath.Dir(file)); err == nil {
		dir.Sync() // not every system can; the file has its name
		dir.Close()
	}
	return nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
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
