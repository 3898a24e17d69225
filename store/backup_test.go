package store_test

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"barwright/store"
)

// A backup of a workshop in which two people save all the time is the workshop
// of one moment: everything that was saved before it began, nothing half.
func TestBackupWhileSaving(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := open(t, dir)
	ctx, stop := context.WithCancel(t.Context())
	var savers sync.WaitGroup
	saved := make([]savedSoFar, 2)
	for i := range saved {
		recipe := fmt.Sprintf("r%d", i)
		newRecipe(t, s, recipe, "Plain")
		savers.Go(func() { saved[i].saveAlways(ctx, t, s, recipe) })
	}
	defer savers.Wait()
	defer stop()
	for b := range 5 {
		time.Sleep(20 * time.Millisecond)
		before := []int{saved[0].number(), saved[1].number()}
		file := filepath.Join(t.TempDir(), "backup")
		if err := store.Backup(t.Context(), dir, file); err != nil {
			t.Fatal(err)
		}
		copied := restored(t, file)
		for i, least := range before {
			recipe := fmt.Sprintf("r%d", i)
			r, err := copied.Recipe(t.Context(), recipe)
			all, errAll := copied.Versions(t.Context(), recipe)
			if err != nil || errAll != nil || len(all) < least || r.Versions != len(all) || r.Head != all[0].ID {
				t.Fatalf("backup %d: %d versions of %d, the newest %s; %v %v", b, len(all), least, r.Head, err, errAll)
			}
			for _, v := range all {
				wantThere(t, copied, v.ID)
			}
		}
		wantWhole(t, copied)
	}
	if saved[0].number() < 5 || saved[1].number() < 5 {
		t.Errorf("%d and %d versions: hardly anything was saved meanwhile", saved[0].number(), saved[1].number())
	}
}

// restored is a new workshop from a backup.
func restored(t *testing.T, file string) *store.Store {
	t.Helper()
	dir := t.TempDir()
	if kept, err := store.Restore(t.Context(), dir, file); err != nil || kept != "" {
		t.Fatalf("kept %q, %v", kept, err)
	}
	return open(t, dir)
}

// savedSoFar counts the versions that one saver has been told are saved.
type savedSoFar struct {
	sync.Mutex
	n int
}

func (s *savedSoFar) number() int { s.Lock(); defer s.Unlock(); return s.n }

func (s *savedSoFar) saveAlways(ctx context.Context, t *testing.T, in *store.Store, recipe string) {
	for n := 1; ctx.Err() == nil; n++ {
		s.Lock()
		s.n = n
		s.Unlock()
		v := store.Version{ID: fmt.Sprintf("%s-%d", recipe, n+1), Recipe: recipe, Parent: fmt.Sprintf("%s-%d", recipe, n), MadeAt: clock}
		v.Body = bodyOf(v.ID)
		if _, err := in.SaveVersion(ctx, v, "Plain", "", false); err != nil && ctx.Err() == nil {
			t.Error(err)
			return
		}
	}
}

// What stands in the way of a backup, and that nothing is left of it.
func TestNoBackup(t *testing.T) {
	t.Parallel()
	dir, at := t.TempDir(), t.TempDir()
	there := filepath.Join(at, "there")
	write(t, there, []byte("mine"))
	wantTrouble(t, store.Backup(t.Context(), dir, filepath.Join(at, "b")), "there is no workshop in "+dir, "--data")
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	for file, text := range map[string]string{
		there:                          there + " is there already",
		at:                             at + " is there already",
		filepath.Join(dir, store.File): "is there already",
		filepath.Join(at, "no", "b"):   "there is no folder " + filepath.Join(at, "no"),
		filepath.Join(there, "b"):      "cannot be written",
		"/proc/barwright":              "/proc",
		filepath.Join(at, "\x00"):      "cannot be written",
	} {
		wantTrouble(t, store.Backup(t.Context(), dir, file), text, "name a file")
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if err := store.Backup(gone, dir, filepath.Join(at, "b")); err == nil {
		t.Error("a backup nobody waits for was made")
	}
	wantFiles(t, at, "there")
	if data, err := os.ReadFile(there); err != nil || string(data) != "mine" {
		t.Errorf("%q, %v", data, err)
	}
	wantThere(t, s, "r-1")
}

// A restore keeps what was there, every time.
func TestRestoreKeeps(t *testing.T) {
	t.Parallel()
	dir, file := t.TempDir(), filepath.Join(t.TempDir(), "b")
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	if err := store.Backup(t.Context(), dir, file); err != nil {
		t.Fatal(err)
	}
	newRecipe(t, s, "later", "After the backup")
	s.Close()
	for n := 1; n <= 2; n++ {
		kept, err := store.Restore(t.Context(), dir, file)
		if want := fmt.Sprintf("%s.before-restore-%d", filepath.Join(dir, store.File), n); err != nil || kept != want {
			t.Fatalf("kept %q, want %q; %v", kept, want, err)
		}
		s = open(t, dir)
		wantThere(t, s, "r-1")
		if _, err := s.Recipe(t.Context(), "later"); err != store.ErrMissing {
			t.Errorf("%v, want ErrMissing", err)
		}
		s.Close()
	}
	wantFiles(t, dir, store.File, store.File+".before-restore-1", store.File+".before-restore-2", "in-use")
	wantThere(t, restored(t, filepath.Join(dir, store.File+".before-restore-1")), "r-1", "later-1")
}

// A workshop that was not closed has its newest versions in a log. They are in
// what is kept.
func TestRestoreKeepsTheLog(t *testing.T) {
	t.Parallel()
	dir, file := t.TempDir(), filepath.Join(t.TempDir(), "b")
	s := open(t, dir)
	if err := store.Backup(t.Context(), dir, file); err != nil {
		t.Fatal(err)
	}
	newRecipe(t, s, "r", "Plain")
	crashed := t.TempDir() // what a power cut leaves
	for _, end := range []string{"", "-wal"} {
		data, err := os.ReadFile(filepath.Join(dir, store.File+end))
		if err != nil || len(data) == 0 {
			t.Fatalf("%d bytes, %v", len(data), err)
		}
		write(t, filepath.Join(crashed, store.File+end), data)
	}
	wantTrouble(t, store.Check(t.Context(), filepath.Join(crashed, store.File)), "is a database in use", "barwright backup")
	kept, err := store.Restore(t.Context(), crashed, file)
	if err != nil {
		t.Fatal(err)
	}
	wantThere(t, restored(t, kept), "r-1")
	wantFiles(t, crashed, store.File, store.File+".before-restore-1", "in-use")

	// The same of one whose file is damaged: file and log are kept as they are.
	log := []byte("the log of what was")
	bad := bytes.Repeat([]byte("not a database "), 100)
	write(t, filepath.Join(crashed, store.File), bad)
	write(t, filepath.Join(crashed, store.File+"-wal"), log)
	if kept, err = store.Restore(t.Context(), crashed, file); err != nil {
		t.Fatal(err)
	}
	for end, want := range map[string][]byte{"": bad, "-wal": log} {
		if got, err := os.ReadFile(kept + end); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: %v", kept+end, err)
		}
	}
	open(t, crashed)
}

// What is no backup is refused, and nothing is replaced or made.
func TestNoRestore(t *testing.T) {
	t.Parallel()
	at, dir := t.TempDir(), t.TempDir()
	text, empty, other := filepath.Join(at, "text"), filepath.Join(at, "empty"), filepath.Join(at, "other")
	write(t, text, bytes.Repeat([]byte("Olive oil 500 g\n"), 100))
	write(t, empty, nil)
	db, err := sql.Open("sqlite", other)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(t.Context(), `CREATE TABLE recipe (id TEXT)`); err != nil {
		t.Fatal(err)
	}
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	good := filepath.Join(at, "good")
	if err := store.Backup(t.Context(), dir, good); err != nil {
		t.Fatal(err)
	}
	_, err = store.Restore(t.Context(), dir, good)
	wantTrouble(t, err, "already open in another barwright", "close the other one")
	s.Close()
	data, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	half := filepath.Join(at, "half")
	write(t, half, data[:len(data)/2])
	for file, want := range map[string]string{
		filepath.Join(at, "nowhere"): "no such backup",
		at:                           "no such backup",
		text:                         "is damaged",
		empty:                        "is not the backup of a workshop",
		other:                        "is not the backup of a workshop",
		half:                         "is damaged",
	} {
		_, err := store.Restore(t.Context(), dir, file)
		wantTrouble(t, err, file, "")
		wantTrouble(t, err, want, "")
		_, err = store.Restore(t.Context(), filepath.Join(at, "new"), file)
		wantTrouble(t, err, want, "")
	}
	wantFiles(t, at, "empty", "good", "half", "other", "text")
	wantFiles(t, dir, store.File, "in-use")
	wantThere(t, open(t, dir), "r-1")
}
