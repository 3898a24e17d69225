package store_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"barwright/store"
)

// filled returns a closed data folder with versions r-1 to r-40 and a mould,
// and its database.
func filled(t *testing.T) (dir string, data []byte) {
	t.Helper()
	dir = t.TempDir()
	s := open(t, dir)
	v := newRecipe(t, s, "r", "Plain")
	for n := 2; n <= 40; n++ {
		v = store.Version{ID: fmt.Sprintf("r-%d", n), Recipe: "r", Parent: v.ID, Body: bodyOf(fmt.Sprintf("r-%d", n)), MadeAt: clock}
		if _, err := s.SaveVersion(t.Context(), v, "Plain", "olive", false); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.SaveThing(t.Context(), store.Thing{Kind: "mould", ID: "box", Body: "length = \"300 mm\"", MadeAt: clock}); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, store.File))
	if err != nil || len(data) < 50000 {
		t.Fatalf("%d bytes, %v", len(data), err)
	}
	return dir, data
}

func write(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A file that is no database, or not a whole one, is refused and left as it
// is. A backup like that is refused as well.
func TestDamagedFile(t *testing.T) {
	t.Parallel()
	dir, data := filled(t)
	path := filepath.Join(dir, store.File)
	for name, bad := range map[string][]byte{
		"text":        bytes.Repeat([]byte("Olive oil 500 g\n"), 400),
		"half":        data[:len(data)/2],
		"half a page": data[:len(data)-2000],
		"one page":    data[:4096],
		"hundred":     data[:100],
		"most of one": data[:4000],
		"one byte":    data[:1],
		"no header":   append(make([]byte, 100), data[100:]...),
		"no tables":   append(append(bytes.Clone(data[:100]), make([]byte, 3996)...), data[4096:]...),
	} {
		write(t, path, bad)
		_, err := store.Open(t.Context(), dir)
		wantTrouble(t, err, dir+": the database file is damaged", "barwright restore")
		if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, bad) {
			t.Errorf("%s: the damaged file was changed; %v", name, err)
		}
		wantTrouble(t, store.Check(t.Context(), path), path+" is damaged, or no backup", "another file")
		wantTrouble(t, store.Backup(t.Context(), dir, filepath.Join(t.TempDir(), "b")), dir+": the database file is damaged", "barwright restore")
	}
	write(t, path, data)
	s := open(t, dir)
	wantThere(t, s, "r-1", "r-40")
}

// Wherever some bytes of the file are turned over, a version comes back as it
// was saved or is said to be damaged: never otherwise.
func TestNoChangedFigureIsBelieved(t *testing.T) {
	t.Parallel()
	dir, data := filled(t)
	path := filepath.Join(dir, store.File)
	refused, found := 0, 0
	for at := 50; at < len(data); at += 1009 { // a prime: every part of a page has its turn
		bad := bytes.Clone(data)
		for i := at; i < min(at+3, len(bad)); i++ {
			bad[i] ^= 0x01 // a digit stays a digit
		}
		write(t, path, bad)
		s, err := store.Open(t.Context(), dir)
		if err != nil {
			wantTrouble(t, err, "", "restore")
			refused++
			continue
		}
		for n := range 40 {
			id := fmt.Sprintf("r-%d", n+1)
			v, err := s.Version(t.Context(), id)
			if err != nil {
				found++
				continue
			}
			if v.Body != bodyOf(id) || v.Recipe != "r" || v.Number != n+1 || !v.MadeAt.Equal(clock) {
				t.Errorf("bytes %d: %s came back otherwise, and nothing was said", at, id)
			}
		}
		s.Close()
		if err := store.Check(t.Context(), path); err == nil && !readsAlike(t, path, data) {
			t.Errorf("bytes %d: a backup like that would be restored", at)
		}
	}
	if refused == 0 || found == 0 {
		t.Errorf("%d files were refused and %d versions found out: some of each are expected", refused, found)
	}
}

// readsAlike reports whether two databases hold the same versions: bytes that
// nothing uses may differ.
func readsAlike(t *testing.T, path string, data []byte) bool {
	t.Helper()
	one, two := t.TempDir(), t.TempDir()
	copied, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(one, store.File), copied)
	write(t, filepath.Join(two, store.File), data)
	a, errA := open(t, one).Versions(t.Context(), "r")
	b, errB := open(t, two).Versions(t.Context(), "r")
	return errA == nil && errB == nil && fmt.Sprint(a) == fmt.Sprint(b)
}

// A database of a later barwright is refused and not touched.
func TestNewerSchema(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newRecipe(t, s, "r", "Plain")
		newer := func(statement string) {
			t.Helper()
			if _, err := s.DB().ExecContext(t.Context(), statement, 99); err != nil {
				t.Fatal(err)
			}
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
		}
		newer(`INSERT INTO goose_db_version (version_id, is_applied) VALUES ($1, true)`)
		path := filepath.Join(where, store.File)
		before, _ := os.ReadFile(path)
		_, err := openAt(t.Context(), where)
		wantTrouble(t, err, "was written by a newer barwright", "use that one")
		if after, _ := os.ReadFile(path); !bytes.Equal(before, after) {
			t.Error("the file was changed")
		}
		if before != nil {
			wantTrouble(t, store.Check(t.Context(), path), path+" was written by a newer barwright", "use that one")
			b := filepath.Join(t.TempDir(), "b")
			wantTrouble(t, store.Backup(t.Context(), where, b), "was written by a newer barwright", "use that one")
		}
	})
}
