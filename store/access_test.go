package store_test

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"barwright/store"
)

// openAsOther opens a workshop, saves version r-2, and says what came of it.
func openAsOther(args []string) int {
	if os.Geteuid() == 0 && os.Getenv("STORE_TEST_AS_ROOT") == "" {
		if err := syscall.Setuid(nobody); err != nil {
			panic(err)
		}
	}
	s, err := openAt(context.Background(), args[0])
	if err == nil {
		defer s.Close()
		_, err = s.SaveVersion(context.Background(), store.Version{ID: "r-2", Recipe: "r", Parent: "r-1", Body: bodyOf("r-2")}, "Plain", "", false)
	}
	return say(err)
}

const nobody = 65534

// asNobody runs a role without the rights of root, in a folder it may reach.
func asNobody(t *testing.T, dir string) (said string, status int) {
	t.Helper()
	if err := os.Chmod(filepath.Dir(dir), 0o755); err != nil { // the parent of t.TempDir
		t.Fatal(err)
	}
	cmd := as(t, "open", dir)
	out, _ := cmd.Output()
	return string(out), cmd.ProcessState.ExitCode()
}

// A folder, or a file in it, that must not be written is refused, and what is
// in it stays.
func TestReadOnlyFolder(t *testing.T) {
	t.Parallel()
	for name, modes := range map[string]struct{ folder, database os.FileMode }{
		"folder":   {0o555, 0o644},
		"all":      {0o555, 0o444},
		"database": {0o777, 0o444},
		"closed":   {0o000, 0o600},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			s := open(t, dir)
			newRecipe(t, s, "r", "Plain")
			s.Close()
			path := filepath.Join(dir, store.File)
			chmod(t, path, modes.database)
			chmod(t, filepath.Join(dir, "in-use"), 0o666)
			chmod(t, dir, modes.folder)
			said, status := asNobody(t, dir)
			if status != 2 || !strings.Contains(said, dir) && !strings.Contains(said, "data folder") || !strings.Contains(said, "cannot be written") || !strings.Contains(said, "allow writing to it") {
				t.Errorf("status %d: %s", status, said)
			}
			chmod(t, dir, 0o700)
			chmod(t, path, 0o600)
			s = open(t, dir)
			wantThere(t, s, "r-1")
			wantWhole(t, s)
		})
	}
}

func chmod(t *testing.T, path string, mode os.FileMode) {
	t.Helper()
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

// A folder cannot be made where writing is not allowed, or inside a file.
func TestNoFolder(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	chmod(t, dir, 0o555)
	if said, status := asNobody(t, dir); status != 2 || !strings.Contains(said, dir) || !strings.Contains(said, "cannot be written") {
		t.Errorf("status %d: %s", status, said)
	}
	chmod(t, dir, 0o755)
	file := filepath.Join(dir, "file")
	write(t, file, nil)
	for _, path := range []string{file, filepath.Join(file, "in")} {
		_, err := store.Open(t.Context(), path)
		wantTrouble(t, err, path+" is not a folder", "--data")
	}
}

// A second process is told who has the folder; a PostgreSQL database may have
// several. When the first one is gone the second gets in.
func TestSecondProcess(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newRecipe(t, s, "r", "Plain")
		other := func() (said string, status int) {
			cmd := as(t, "open", where)
			cmd.Env = append(cmd.Env, "STORE_TEST_AS_ROOT=1")
			out, _ := cmd.Output()
			return string(out), cmd.ProcessState.ExitCode()
		}
		said, status := other()
		if filepath.IsAbs(where) {
			if status != 2 || !strings.Contains(said, "the workshop in "+where+" is already open in another barwright") || !strings.Contains(said, "close the other one") {
				t.Errorf("status %d: %s", status, said)
			}
			s.Close()
			said, status = other()
		}
		if status != 0 {
			t.Errorf("status %d: %s", status, said)
		}
		wantThere(t, open(t, where), "r-1", "r-2")
	})
}

// A folder may have any name.
func TestOddFolderNames(t *testing.T) {
	t.Parallel()
	for i, name := range []string{"50% olive? #1 & ä'\"=", "a?mode=ro", "%41", "file:x", strings.Repeat("long", 50)} {
		dir := filepath.Join(t.TempDir(), strconv.Itoa(i), name)
		s := open(t, dir)
		newRecipe(t, s, "r", "Plain")
		file := filepath.Join(t.TempDir(), name+".db")
		if err := store.Backup(t.Context(), dir, file); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		s.Close()
		if info, err := os.Stat(filepath.Join(dir, store.File)); err != nil || info.Size() == 0 {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := store.Restore(t.Context(), dir, file); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		wantThere(t, open(t, dir), "r-1")
	}
}

// Every connection of the pool has the pragmas, not only the first.
func TestPragmas(t *testing.T) {
	t.Parallel()
	s := open(t, t.TempDir())
	for range 8 {
		conn, err := s.DB().Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close() // at the end, so that each one is another
		for pragma, want := range map[string]string{"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000"} {
			var got string
			if err := conn.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil || got != want {
				t.Errorf("%s is %s, want %s; %v", pragma, got, want, err)
			}
		}
	}
}

// A version without its recipe is refused by the database itself.
func TestForeignKeys(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		_, err := open(t, where).DB().ExecContext(t.Context(), `INSERT INTO version (id, recipe, number, parent, reason, body, made_at, made_by, seal) VALUES ('v', 'nowhere', 1, '', '', '', 0, '', '')`)
		if err == nil || !strings.Contains(strings.ToLower(err.Error()), "foreign key") {
			t.Errorf("%v", err)
		}
	})
}
