package main

import (
	"errors"
	"fmt"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"time"

	"barwright/authority"
)

// authorityFile holds certificate and private key of the workshop's own
// authority. It stays in the data folder: neither export nor backup has it.
const authorityFile = "authority.pem"

// openAuthority reads the authority of a data folder, and makes it the first
// time. A workshop in a PostgreSQL database keeps it in the usual folder of
// this person, because a key belongs on no other machine.
func openAuthority(data string, now time.Time, log *log.Logger) (*authority.Authority, error) {
	if isPostgres(data) {
		data = ""
	}
	dir, err := dataDir(data)
	if err != nil {
		return nil, err
	}
	path := filepath.Join(dir, authorityFile)
	kept, err := readPrivate(path, log)
	if errors.Is(err, fs.ErrNotExist) {
		return makeAuthority(path, now)
	}
	if err != nil {
		return nil, err
	}
	a, err := authority.Parse(kept, now)
	var t *authority.Trouble
	if errors.As(err, &t) {
		return nil, &hinted{path + ": " + t.Text, t.Advice}
	}
	return a, err
}

func makeAuthority(path string, now time.Time) (*authority.Authority, error) {
	a, err := authority.New(now)
	if err != nil {
		return nil, err
	}
	kept, err := a.PEM()
	if err != nil {
		return nil, err
	}
	if err := writePrivate(path, kept); err != nil {
		return nil, &hinted{fmt.Sprintf("%s cannot be written: %v", path, err), "the key of the certificate is kept there; allow writing, or name another folder with --data"}
	}
	return a, nil
}

// writePrivate writes a new file that only its owner reads, whole or not at
// all.
func writePrivate(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".authority-*") // made 0600
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// readPrivate reads a file that only its owner may read. One that others could
// read is made private, and that is said; where that cannot be done it is
// refused.
func readPrivate(path string, log *log.Logger) ([]byte, error) {
	open, err := readByOthers(path)
	if open {
		os.Chmod(path, 0o600) // whether it helped is looked at
		if open, err = readByOthers(path); open {
			return nil, &hinted{path + " can be read by others and cannot be made private", "keep the data folder on a disk of this computer that you own"}
		}
		log.Printf("%s could be read by others on this computer; it is private now. If somebody may have copied it, move it away and start again: every phone must then install the new certificate.", path)
	}
	var data []byte
	if err == nil {
		data, err = os.ReadFile(path)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, openError(err, "allow reading it")
	}
	return data, err
}

func readByOthers(path string) (bool, error) {
	info, err := os.Stat(path)
	return err == nil && info.Mode().Perm()&0o077 != 0, err
}
