//go:build unix

package pgtest

import (
	"database/sql"
	"testing"
)

// Every database is empty and its own; make test runs this one to say why the
// others were skipped.
func TestDatabase(t *testing.T) {
	t.Parallel()
	one, two := Database(t), Database(t)
	if err := do(t.Context(), one, `CREATE TABLE soap (name TEXT)`); err != nil {
		t.Fatal(err)
	}
	if err := do(t.Context(), two, `CREATE TABLE soap (name TEXT)`); err != nil {
		t.Errorf("the second database is not empty: %v", err)
	}
	db, err := sql.Open("pgx", one)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var ordered bool
	if err := db.QueryRowContext(t.Context(), `SELECT 'a' < 'B' AND 'B' < 'c'`).Scan(&ordered); err != nil || !ordered {
		t.Errorf("it sorts by byte: %v", err)
	}
}
