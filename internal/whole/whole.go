// Package whole answers how a file or a folder takes its name: whole and on
// the disk, or not at all, also when the power fails meanwhile.
//
// Start with Disk and its Settle, Copy and Folder. What it does not do: know
// what is in a file, or say in a maker's words what went wrong.
package whole

import (
	"errors"
	"io"
	"os"
	"path/filepath"
)

// Disk is what of the operating system matters for that. Programs cannot see
// whether their bytes have reached the disk, so that tests put a Disk of their
// own here, which writes down in which order it is asked. Sync is asked
// for several files at once.
type Disk struct {
	Sync   func(*os.File) error
	Rename func(from, to string) error
}

// Real is the disk of this computer.
func Real() Disk { return Disk{(*os.File).Sync, os.Rename} }

// Beside makes an empty file beside another that only its owner reads, so that
// it can take the other's name when it is whole.
func Beside(file string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(file), filepath.Base(file)+".part-*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// Settle gives a written file its name once it is on the disk.
func (d Disk) Settle(tmp, file string) error {
	if err := d.syncFile(tmp); err != nil {
		return err
	}
	if err := d.Rename(tmp, file); err != nil {
		return err
	}
	d.syncFolder(filepath.Dir(file))
	return nil
}

// Copy writes a file that only its owner reads, and waits until it is on the
// disk.
func (d Disk) Copy(from, to string) error {
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
	return errors.Join(err, d.Sync(out), out.Close())
}

func (d Disk) syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0) // some systems keep only what is open for writing
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(f), f.Close())
}

// syncFolder waits until the names in a folder are on the disk. Not every
// system can; they are there all the same, until the power fails.
func (d Disk) syncFolder(path string) {
	if dir, err := os.Open(path); err == nil {
		d.Sync(dir)
		dir.Close()
	}
}
