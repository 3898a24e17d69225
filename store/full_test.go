package store_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"barwright/store"
)

// saveUntil saves versions after r-n until one cannot be saved, and returns the
// number of the last one that was.
func saveUntil(ctx context.Context, s *store.Store, n int) (last int, err error) {
	for ; n < 10000; n++ {
		id := fmt.Sprintf("r-%d", n+1)
		_, err := s.SaveVersion(ctx, store.Version{ID: id, Recipe: "r", Parent: fmt.Sprintf("r-%d", n), Body: bodyOf(id)}, "Plain", "", false)
		if err != nil {
			return n, err
		}
	}
	return n, errors.New("it never got full")
}

func wantAll(t *testing.T, s *store.Store, last int) {
	t.Helper()
	for n := range last {
		wantThere(t, s, fmt.Sprintf("r-%d", n+1))
	}
	if all, err := s.Versions(t.Context(), "r"); err != nil || len(all) != last {
		t.Errorf("%d versions, want %d; %v", len(all), last, err)
	}
	wantWhole(t, s)
}

// SQLite says "full" at a bound we set. What was saved stays, and with room
// again it goes on.
func TestFullDatabase(t *testing.T) {
	t.Parallel()
	s := open(t, t.TempDir())
	newRecipe(t, s, "r", "Plain")
	s.DB().SetMaxOpenConns(1) // the bound is one connection's
	bound := func(pages int) {
		t.Helper()
		if _, err := s.DB().ExecContext(t.Context(), fmt.Sprintf("PRAGMA max_page_count = %d", pages)); err != nil {
			t.Fatal(err)
		}
	}
	bound(40)
	last, err := saveUntil(t.Context(), s, 1)
	wantTrouble(t, err, "the disk is full", "make room")
	if last < 5 {
		t.Errorf("only %d versions went in", last)
	}
	wantAll(t, s, last)
	_, err = s.SaveThing(t.Context(), store.Thing{Kind: "mould", ID: "big", Body: string(make([]byte, 1<<16))})
	wantTrouble(t, err, "cannot be kept", "")
	_, err = s.SaveThing(t.Context(), store.Thing{Kind: "mould", ID: "big", Body: strings.Repeat("#", 1<<16)})
	wantTrouble(t, err, "the disk is full", "make room")
	bound(80)
	more, err := saveUntil(t.Context(), s, last)
	wantTrouble(t, err, "the disk is full", "make room")
	if more <= last {
		t.Error("nothing went in after room was made")
	}
	wantAll(t, s, more)
}

// A disk that is really full: a small one in memory, which only root can make.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	disk := smallDisk(t)
	ctx, dir, other := t.Context(), filepath.Join(disk, "shop"), t.TempDir()
	ballast := filepath.Join(disk, "ballast")
	write(t, ballast, make([]byte, 256<<10))
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	last, err := saveUntil(ctx, s, 1)
	wantTrouble(t, err, "the disk is full", "make room")
	wantAll(t, s, last)

	// No backup is left half on a full disk, and none half elsewhere.
	onto, good := filepath.Join(disk, "backup"), filepath.Join(other, "backup")
	wantTrouble(t, store.Backup(ctx, dir, onto), onto+": the disk is full", "make room")
	if err := store.Backup(ctx, dir, good); err != nil {
		t.Error(err)
	}
	wantFiles(t, disk, "ballast", "shop")
	s.Close()

	// A workshop that is there can be read, or it is said why not.
	if s, err := store.Open(ctx, dir); err != nil {
		wantTrouble(t, err, dir, "make room")
	} else {
		wantAll(t, s, last)
		s.Close()
	}
	// A new one has no room; neither has a second one to restore.
	_, err = store.Open(ctx, filepath.Join(disk, "new"))
	wantTrouble(t, err, filepath.Join(disk, "new")+": the disk is full", "make room")
	before, err := os.ReadFile(filepath.Join(dir, store.File))
	if err != nil {
		t.Fatal(err)
	}
	_, err = store.Restore(ctx, dir, good)
	wantTrouble(t, err, dir+": the disk is full", "make room")
	if after, err := os.ReadFile(filepath.Join(dir, store.File)); err != nil || !bytes.Equal(before, after) {
		t.Errorf("a restore that failed changed the workshop; %v", err)
	}

	if left, err := filepath.Glob(filepath.Join(dir, store.File+".*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %q, %v", left, err)
	}

	// With room again all goes on.
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	more, err := saveUntil(ctx, s, last)
	wantTrouble(t, err, "the disk is full", "make room")
	if more <= last {
		t.Error("nothing went in after room was made")
	}
	wantAll(t, s, more)
}

func wantFiles(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("%s holds %q, want %q", dir, got, want)
	}
}

// saveLimited saves while no file may grow beyond a bound.
func saveLimited(args []string) int {
	signal.Ignore(syscall.SIGXFSZ)
	limit := syscall.Rlimit{Cur: 200 << 10, Max: 200 << 10}
	s, err := store.Open(context.Background(), args[0])
	if err == nil {
		defer s.Close()
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			panic(err)
		}
		var last int
		last, err = saveUntil(context.Background(), s, 1)
		fmt.Println(last)
	}
	return say(err)
}

// A disk that takes no more, as any process can see it: writing fails, with
// another error than "full".
func TestWritingFails(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := open(t, dir)
	newRecipe(t, s, "r", "Plain")
	s.Close()
	cmd := as(t, "limited", dir)
	out, _ := cmd.Output()
	var last int
	if _, err := fmt.Sscan(string(out), &last); err != nil || last < 5 {
		t.Fatalf("%d versions went in, %v: %s", last, err, out)
	}
	if said := string(out); cmd.ProcessState.ExitCode() != 2 || !strings.Contains(said, "the disk does not read or write as it should") || !strings.Contains(said, "hint: check its space") {
		t.Errorf("status %d: %s", cmd.ProcessState.ExitCode(), said)
	}
	wantAll(t, open(t, dir), last)
}
