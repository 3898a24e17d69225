//go:build unix

package store_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"barwright/store"
)

// Nobody but the owner reads the workshop, its log, its lock, a backup or what
// a restore kept, however open the files were before.
func TestOnlyTheOwnerReads(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "shop")
	backup := filepath.Join(t.TempDir(), "b")
	only := func(what string, least int) {
		t.Helper()
		n := 0
		err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			n++
			info, err := d.Info()
			if err == nil && info.Mode().Perm()&0o077 != 0 {
				t.Errorf("%s: %s is %v", what, name, info.Mode())
			}
			return err
		})
		if err != nil || n < least {
			t.Errorf("%s: %d files and folders, %v", what, n, err)
		}
	}
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	only("made", 5) // folder, lock, database, log, index of the log
	if err := store.Backup(t.Context(), dir, backup); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(backup); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the backup: %v (%v)", info.Mode(), err)
	}
	s.Close()
	for _, name := range []string{store.File, "in-use"} {
		chmod(t, filepath.Join(dir, name), 0o666)
	}
	s = open(t, dir)
	newRecipe(t, s, "q", "Plain")
	only("opened", 5)
	s.Close()
	if _, err := store.Restore(t.Context(), dir, backup); err != nil {
		t.Fatal(err)
	}
	only("restored", 4) // folder, lock, database, what was kept
	chmod(t, filepath.Join(dir, store.File), 0o444)
	open(t, dir)
	if info, err := os.Stat(filepath.Join(dir, store.File)); err != nil || info.Mode().Perm() != 0o400 {
		t.Errorf("a file that was closed to writing is %v (%v)", info.Mode(), err)
	}
}
