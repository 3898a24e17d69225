package store_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"barwright/demo"
	"barwright/share"
	"barwright/store"
)

// Everything goes out as files and comes back without loss: the files of the
// copy are the files of the original, byte for byte.
func TestOutAndBack(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	first := openFilled(t)
	if err := first.SetArchived(ctx, "saltern", time.Date(2026, 10, 1, 8, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	files := filesOf(t, first)
	second, err := store.Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer second.Close()
	rep := bring(t, second, files)
	if rep.Recipes != 10 || len(rep.Renamed) != 0 || len(rep.Kept) != 0 {
		t.Errorf("%+v", rep)
	}
	back := filesOf(t, second)
	if !slices.Equal(slices.Sorted(maps.Keys(files)), slices.Sorted(maps.Keys(back))) {
		t.Fatalf("%d files went out, %d came back", len(files), len(back))
	}
	for name, data := range files {
		if string(back[name]) != string(data) {
			t.Errorf("%s came back otherwise", name)
		}
	}
}

// Brought in again, everything is known; into a workshop with its own of the
// same name, nothing is overwritten.
func TestNothingIsOverwritten(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openFilled(t)
	files := filesOf(t, s)
	if rep := bring(t, s, files); rep.Recipes != 0 || rep.Things != 0 || len(rep.Kept) != 0 || rep.Known == 0 {
		t.Errorf("again: %+v", rep)
	}
	before, err := s.Versions(ctx, "plain-tow")
	if err != nil {
		t.Fatal(err)
	}
	files["recipes/plain-tow/v1.toml"] = append([]byte("# another\n"), files["recipes/plain-tow/v1.toml"]...)
	files["things/mould/m1.toml"] = append([]byte("# another\n"), files["things/mould/m1.toml"]...)
	rep := bring(t, s, files)
	if rep.Recipes != 1 || len(rep.Renamed) != 1 || len(rep.Kept) != 1 {
		t.Errorf("another: %+v", rep)
	}
	after, err := s.Versions(ctx, "plain-tow")
	if err != nil || len(after) != len(before) || after[0].Body != before[0].Body {
		t.Errorf("our own changed: %d versions, were %d (%v)", len(after), len(before), err)
	}
}

// Files that lead elsewhere, are missing, or are not in order are refused.
func TestBadFolders(t *testing.T) {
	t.Parallel()
	good := filesOf(t, openFilled(t))
	for name, change := range map[string]func(fstest.MapFS){
		"empty":        func(m fstest.MapFS) { clear(m) },
		"no list":      func(m fstest.MapFS) { delete(m, "recipes.csv") },
		"lost version": func(m fstest.MapFS) { delete(m, "recipes/plain-tow/v1.toml") },
		"way out": func(m fstest.MapFS) {
			m["recipes.csv"] = &fstest.MapFile{Data: []byte("folder,name,tags,put_away\n../../etc,x,,\n")}
		},
		"ragged": func(m fstest.MapFS) { m["recipes.csv"] = &fstest.MapFile{Data: []byte("folder,name\nx\n")} },
		"out of order": func(m fstest.MapFS) {
			m["recipes/plain-tow/versions.csv"] = &fstest.MapFile{Data: []byte("number,parent,reason,made_at,made_by\n2,0,x,,\n")}
		},
		"unborn parent": func(m fstest.MapFS) {
			m["recipes/plain-tow/versions.csv"] = &fstest.MapFile{Data: []byte("number,parent,reason,made_at,made_by\n1,7,x,,\n")}
		},
		"long": func(m fstest.MapFS) { m["recipes/plain-tow/v1.toml"] = &fstest.MapFile{Data: make([]byte, 1<<20)} },
	} {
		m := mapFS(good)
		change(m)
		if _, err := share.Read(m); err == nil {
			t.Errorf("%s: read without complaint", name)
		}
	}
}

func openFilled(t *testing.T) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := demo.Fill(t.Context(), s, demo.NinthLock, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	return s
}

func filesOf(t *testing.T, s *store.Store) map[string][]byte {
	t.Helper()
	w, err := s.Everything(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	files, err := share.Files(w)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func bring(t *testing.T, s *store.Store, files map[string][]byte) store.Report {
	t.Helper()
	w, err := share.Read(mapFS(files))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	rep, err := s.Bring(t.Context(), w, time.Now(), func() string { n++; return fmt.Sprintf("new-%s-%d", t.Name(), n) + fmt.Sprint(time.Now().UnixNano()) }, func(string) string { return "" })
	if err != nil {
		t.Fatal(err)
	}
	return rep
}

func mapFS(files map[string][]byte) fstest.MapFS {
	m := fstest.MapFS{}
	for name, data := range files {
		m[name] = &fstest.MapFile{Data: data}
	}
	return m
}
