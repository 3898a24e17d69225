//go:build unix

package main

import (
	"database/sql"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"barwright/store"
)

// A command of a script that sets these runs as somebody without rights, or
// cannot let a file grow beyond 20 kB.
func init() {
	if os.Getenv("AS_NOBODY") != "" && os.Geteuid() == 0 {
		if err := syscall.Setuid(65534); err != nil {
			panic(err)
		}
	}
	if os.Getenv("DISK_IS_FULL") != "" {
		signal.Ignore(syscall.SIGXFSZ)
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: 20 << 10, Max: 20 << 10}); err != nil {
			panic(err)
		}
	}
}

// What can stand between a maker and a workshop, at the command line. held is
// a workshop that another process has open, newer is of a later barwright.
func TestStoreScripts(t *testing.T) {
	t.Parallel()
	testscript.Run(t, testscript.Params{
		Dir:             "testdata/store",
		ContinueOnError: true,
		Setup: func(env *testscript.Env) error {
			if err := os.CopyFS(env.WorkDir+"/ten", os.DirFS("../../recipes")); err != nil {
				return err
			}
			if err := makeNewer(t, env.WorkDir+"/newer"); err != nil {
				return err
			}
			held, err := store.Open(t.Context(), env.WorkDir+"/held")
			env.Defer(func() { held.Close() })
			return err
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "refuses": refuses, "half": half},
	})
}

// makeNewer makes a workshop of a later barwright.
func makeNewer(t *testing.T, dir string) error {
	s, err := store.Open(t.Context(), dir)
	if err != nil {
		return err
	}
	if err := s.Close(); err != nil {
		return err
	}
	db, err := sql.Open("sqlite", filepath.Join(dir, store.File))
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(t.Context(), `INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, 1)`)
	return err
}

// half FROM TO: TO is the first half of FROM.
func half(ts *testscript.TestScript, _ bool, args []string) {
	data := ts.ReadFile(args[0])
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(data[:len(data)/2]), 0o600))
}
