package store_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"barwright/internal/whole"
	"barwright/store"
)

// A device that was turned away after the backup stays out, and one that was
// let in after it stays in: a restore brings back soap, not keys. A new folder,
// or one whose database is damaged, lets none in.
func TestRestoreLetsNobodyIn(t *testing.T) {
	t.Parallel()
	ctx, dir, backup := t.Context(), t.TempDir(), filepath.Join(t.TempDir(), "b")
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	for _, hash := range []string{"lost", "kitchen"} {
		if err := s.AddDevice(ctx, store.Device{Hash: hash, Name: hash, PairedAt: clock, SeenAt: clock}); err != nil {
			t.Fatal(err)
		}
	}
	if err := store.Backup(ctx, dir, backup); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(s.RemoveDevice(ctx, "lost"), s.SeeDevice(ctx, "kitchen", clock.AddDate(0, 0, 1)), s.AddDevice(ctx, store.Device{Hash: "new"})); err != nil {
		t.Fatal(err)
	}
	want, err := s.Devices(ctx)
	if err != nil || len(want) != 2 {
		t.Fatalf("%v, %v", want, err)
	}
	s.Close()
	if _, err := store.Restore(ctx, dir, backup); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	wantThere(t, s, "r-1")
	if got, err := s.Devices(ctx); err != nil || !slices.Equal(got, want) {
		t.Errorf("%+v may come in (%v), want %+v", got, err, want)
	}
	s.Close()
	write(t, filepath.Join(dir, store.File), []byte(strings.Repeat("no database ", 1000)))
	if _, err := store.Restore(ctx, dir, backup); err != nil {
		t.Fatal(err)
	}
	for what, s := range map[string]*store.Store{"a new folder": restored(t, backup), "a damaged database": open(t, dir)} {
		wantThere(t, s, "r-1")
		if got, err := s.Devices(ctx); err != nil || len(got) > 0 {
			t.Errorf("into %s: %+v may come in (%v)", what, got, err)
		}
	}
}

// A disk that changes a figure while the backup is copied is found out before
// anything is replaced.
func TestRestoreReadsItsCopy(t *testing.T) {
	t.Parallel()
	dir, backup := t.TempDir(), filepath.Join(t.TempDir(), "b")
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	if err := store.Backup(t.Context(), dir, backup); err != nil {
		t.Fatal(err)
	}
	newRecipe(t, s, "later", "After the backup")
	s.Close()
	turned := 0
	disk := whole.Real()
	disk.Sync = func(f *os.File) error { // the last that the program sees of its copy
		if data, err := os.ReadFile(f.Name()); err == nil && strings.Contains(f.Name(), ".part-") && turned == 0 {
			if at := strings.Index(string(data), "# r-1 "); at > 0 {
				turned++
				return errors.Join(turnOver(f.Name(), int64(at)), f.Sync())
			}
		}
		return f.Sync()
	}
	_, err := store.RestoreOn(t.Context(), disk, dir, backup)
	wantTrouble(t, err, "has changed on the disk", "bring back the last backup")
	if turned != 1 {
		t.Errorf("%d figures were changed", turned)
	}
	wantFiles(t, dir, store.File, "in-use")
	wantThere(t, open(t, dir), "r-1", "later-1")
}

// turnOver changes one letter of a file.
func turnOver(file string, at int64) error {
	f, err := os.OpenFile(file, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	_, err = f.WriteAt([]byte("$"), at)
	return errors.Join(err, f.Close())
}

// A backup and a restored database are on the disk before they take their
// names, what is kept before it can be replaced, and a disk that cannot keep
// them is an error that leaves everything as it was.
func TestOnTheDiskFirst(t *testing.T) {
	t.Parallel()
	dir, to := t.TempDir(), t.TempDir()
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	var asked []string
	failing := false
	disk := whole.Disk{
		Sync: func(f *os.File) error {
			asked = append(asked, "sync "+plainName(f.Name()))
			if failing {
				return errors.New("the disk fails")
			}
			return f.Sync()
		},
		Rename: func(from, to string) error {
			if !strings.HasSuffix(from, "-shm") && !strings.HasSuffix(from, "-wal") && !strings.HasSuffix(from, "-journal") {
				asked = append(asked, "name "+plainName(to))
			}
			return os.Rename(from, to)
		},
	}
	if err := store.BackupOn(t.Context(), disk, dir, filepath.Join(to, "b")); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if want := []string{"sync b.part", "name b", "sync " + filepath.Base(to)}; !slices.Equal(asked, want) {
		t.Errorf("a backup: %q, want %q", asked, want)
	}
	asked = nil
	if _, err := store.RestoreOn(t.Context(), disk, dir, filepath.Join(to, "b")); err != nil {
		t.Fatal(err)
	}
	db := store.File
	if want := []string{"sync " + db + ".part", "sync " + db + ".before-restore-1", "sync " + db + ".part", "name " + db, "sync " + filepath.Base(dir)}; !slices.Equal(asked, want) {
		t.Errorf("a restore: %q, want %q", asked, want)
	}
	failing = true
	wantTrouble(t, store.BackupOn(t.Context(), disk, dir, filepath.Join(to, "c")), "the disk fails", "")
	_, err := store.RestoreOn(t.Context(), disk, dir, filepath.Join(to, "b"))
	wantTrouble(t, err, "the disk fails", "")
	wantFiles(t, to, "b")
	wantFiles(t, dir, db, db+".before-restore-1", "in-use")
	wantThere(t, open(t, dir), "r-1")
}

// plainName is the name of a file without what is drawn for it.
func plainName(path string) string {
	name, _, drawn := strings.Cut(filepath.Base(path), ".part-")
	if drawn {
		name += ".part"
	}
	return name
}
