package store_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"barwright/internal/pgtest"
	"barwright/store"
)

// TestMain plays a second process when it is told to, and else runs the tests.
func TestMain(m *testing.M) {
	if name := os.Getenv("STORE_TEST_ROLE"); name != "" {
		os.Exit(roles[name](os.Args[1:])) // and never the tests, which would start more of these
	}
	// Every step of the laws waits for two databases.
	if err := flag.Set("rapid.checks", "20"); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}

// roles are what a second process can do. Its arguments are those of the test
// that started it.
var roles = map[string]func(args []string) int{
	"open":     openAsOther,
	"limited":  saveLimited,
	"saving":   saveUntilKilled,
	"stamping": stampUntilKilled,
}

// as is this program as a second process.
func as(t *testing.T, role string, args ...string) *exec.Cmd {
	t.Helper()
	if roles[role] == nil {
		t.Fatalf("no role %q", role)
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), self, args...) // go test has a time-out
	cmd.Env = append(os.Environ(), "STORE_TEST_ROLE="+role)
	return cmd
}

// onBoth runs a test on an SQLite folder and on a PostgreSQL database. where
// names them for open.
func onBoth(t *testing.T, test func(t *testing.T, where string)) {
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); test(t, t.TempDir()) })
	t.Run("postgres", func(t *testing.T) { t.Parallel(); test(t, pgtest.Database(t)) })
}

func open(tb testing.TB, where string) *store.Store {
	tb.Helper()
	s, err := openAt(context.WithoutCancel(tb.Context()), where)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { s.Close() })
	return s
}

func openAt(ctx context.Context, where string) (*store.Store, error) {
	if strings.HasPrefix(where, "postgres://") {
		return store.OpenPostgres(ctx, where)
	}
	return store.Open(ctx, where)
}

// clock is when things happen here.
var clock = time.Date(2026, 11, 25, 9, 30, 0, 0, time.UTC)

// newRecipe saves a recipe with one version, ID-1.
func newRecipe(tb testing.TB, s *store.Store, id, name string) store.Version {
	tb.Helper()
	v := store.Version{ID: id + "-1", Recipe: id, Number: 1, Reason: "first version", Body: bodyOf(id + "-1"), MadeAt: clock, MadeBy: "a maker"}
	if err := s.NewRecipe(tb.Context(), store.Recipe{ID: id, Name: name}, v, "olive oil"); err != nil {
		tb.Fatal(err)
	}
	return v
}

// bodyOf is some text that only this version has.
func bodyOf(id string) string {
	return "name = \"" + id + "\"\n" + strings.Repeat("# "+id+" ÄÖ 🧼\n", 40)
}

// wantTrouble checks for a sentence and a hint that hold the words.
func wantTrouble(t *testing.T, err error, text, hint string) {
	t.Helper()
	var trouble *store.Trouble
	switch {
	case !errors.As(err, &trouble):
		t.Errorf("%v is no trouble in a maker's words", err)
	case !strings.Contains(trouble.Text, text), !strings.Contains(trouble.Advice, hint):
		t.Errorf("%q, hint %q; want %q, hint %q", trouble.Text, trouble.Advice, text, hint)
	}
}

// wantThere checks that versions can be read back byte for byte.
func wantThere(t *testing.T, s *store.Store, ids ...string) {
	t.Helper()
	for _, id := range ids {
		v, err := s.Version(t.Context(), id)
		if err != nil || v.Body != bodyOf(id) {
			t.Errorf("version %s: %v, body as saved: %v", id, err, v.Body == bodyOf(id))
		}
	}
}

// wantWhole lets SQLite check the file.
func wantWhole(t *testing.T, s *store.Store) {
	t.Helper()
	var verdict string
	if err := s.DB().QueryRowContext(t.Context(), `PRAGMA integrity_check`).Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("integrity: %s, %v", verdict, err)
	}
}

// say prints an error as the command would, and returns the status.
func say(err error) int {
	if err == nil {
		return 0
	}
	var hinted interface{ Hint() string }
	if !errors.As(err, &hinted) {
		fmt.Println("no trouble in a maker's words:", err)
		return 1
	}
	fmt.Printf("%v\nhint: %s\n", err, hinted.Hint())
	return 2
}
