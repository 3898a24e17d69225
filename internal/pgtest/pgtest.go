//go:build unix

// Package pgtest gives tests a real PostgreSQL: an empty database each, on one
// throw-away server for the test binary. Start with Database.
//
// The server is the one that is installed (Debian: apt-get install postgresql),
// started in a temporary folder on a Unix socket, with no network and no
// promise to survive a power cut. It ends when the test binary ends, however
// that ends.
package pgtest

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"
)

// Database returns the address of a new, empty database. When no server can be
// started, the test is skipped and says why.
func Database(tb testing.TB) string {
	tb.Helper()
	dir, err := start()
	if err != nil {
		tb.Skipf("no PostgreSQL: %v", err)
	}
	name := fmt.Sprintf("t%d", databases.Add(1))
	if err := do(tb.Context(), address(dir, "postgres"), `CREATE DATABASE `+name); err != nil {
		tb.Fatal(err)
	}
	return address(dir, name)
}

var databases atomic.Int64

func address(dir, database string) string {
	q := url.Values{"host": {dir}, "user": {"postgres"}}
	return "postgres:///" + database + "?" + q.Encode()
}

// do runs one statement on a connection of its own.
func do(ctx context.Context, address, statement string) error {
	db, err := sql.Open("pgx", address)
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, statement)
	return err
}

// start starts the server once and returns its folder.
var start = sync.OnceValues(func() (string, error) {
	bin, err := programs()
	if err != nil {
		return "", err
	}
	who, err := account()
	if err != nil {
		return "", err
	}
	dir, err := os.MkdirTemp("", "pgtest-")
	if err != nil {
		return "", err
	}
	if who != nil {
		if err := os.Chown(dir, int(who.Uid), int(who.Gid)); err != nil {
			return "", err
		}
	}
	// Sorting by language, not by byte, is what a maker's server does.
	initdb := exec.Command(filepath.Join(bin, "initdb"), "-D", filepath.Join(dir, "data"), "-U", "postgres", "-A", "trust", "-E", "UTF8",
		"--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en", "--no-sync", "--no-instructions")
	initdb.Dir, initdb.SysProcAttr = dir, &syscall.SysProcAttr{Credential: who}
	if out, err := initdb.CombinedOutput(); err != nil {
		return "", errors.Join(fmt.Errorf("initdb: %v: %s", err, bytes.TrimSpace(out)), os.RemoveAll(dir))
	}
	return dir, serve(bin, dir, who)
})

// untilEnd runs a server until its standard input ends, which it does when the
// test binary is gone, and removes its folder.
const untilEnd = `"$@" >log 2>&1 & server=$!; read -r _; kill -QUIT $server; wait $server; cd /; rm -rf "$0"`

func serve(bin, dir string, who *syscall.Credential) error {
	cmd := exec.Command("/bin/sh", "-c", untilEnd, dir, filepath.Join(bin, "postgres"), "-D", filepath.Join(dir, "data"), "-k", dir,
		"-c", "listen_addresses=", "-c", "fsync=off", "-c", "full_page_writes=off", "-c", "max_connections=300")
	cmd.Dir, cmd.SysProcAttr = dir, &syscall.SysProcAttr{Credential: who, Setpgid: true} // Ctrl-C is for the tests
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { // holds the input open as long as this process lives
		cmd.Wait()
		in.Close()
	}()
	for range 300 { // half a minute, on a machine with much else to do
		if err = do(context.Background(), address(dir, "postgres"), `SELECT 1`); err == nil {
			return nil
		}
		time.Sleep(100 * time.Millisecond)
	}
	log, _ := os.ReadFile(filepath.Join(dir, "log"))
	return fmt.Errorf("the server does not answer: %v: %s", err, bytes.TrimSpace(log))
}

// programs returns the folder of initdb and postgres: Debian's newest, which
// is not on the path, or the one on the path.
func programs() (string, error) {
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/postgres")
	if err != nil {
		panic(err)
	}
	version := func(path string) int {
		n, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(path))))
		return n
	}
	if len(found) > 0 {
		return filepath.Dir(slices.MaxFunc(found, func(a, b string) int { return version(a) - version(b) })), nil
	}
	path, err := exec.LookPath("postgres")
	if err != nil {
		return "", errors.New("it is not installed (Debian: apt-get install postgresql)")
	}
	return filepath.Dir(path), nil
}

// account is whom the server runs as: PostgreSQL refuses root. It is nil for
// whoever runs the tests.
func account() (*syscall.Credential, error) {
	if os.Geteuid() != 0 {
		return nil, nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		return nil, fmt.Errorf("it does not run as root, and there is no user postgres: %w", err)
	}
	uid, err := strconv.ParseUint(u.Uid, 10, 32)
	if err != nil {
		return nil, err
	}
	gid, err := strconv.ParseUint(u.Gid, 10, 32)
	if err != nil {
		return nil, err
	}
	return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
}
