package store

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
)

// lockFolder takes the folder for this process until the file is closed.
func lockFolder(dir string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, "in-use"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, troubleOpening(dir, err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, &Trouble{"the workshop in " + dir + " is already open in another barwright", "close the other one, or name another folder with --data", err}
		}
		return nil, troubleOpening(dir, err)
	}
	return f, nil
}
