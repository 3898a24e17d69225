package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"barwright/batch"
	"barwright/store"
)

// full saves two of everything that has a seal.
func full(t *testing.T, s *store.Store) {
	t.Helper()
	newRecipe(t, s, "r", "Plain")
	if _, err := s.SaveVersion(t.Context(), store.Version{ID: "r-2", Recipe: "r", Parent: "r-1", Body: bodyOf("r-2"), MadeAt: clock}, "Plain", "", false); err != nil {
		t.Fatal(err)
	}
	for rev := range 2 {
		if _, err := s.SaveThing(t.Context(), store.Thing{Kind: "mould", ID: "box", Rev: rev, Body: fmt.Sprintf("length = \"%d mm\"", 300+rev), MadeAt: clock}); err != nil {
			t.Fatal(err)
		}
	}
	newBatch(t, s, "b")
	if _, err := s.AddEvents(t.Context(), "b", []batch.Event{note("p", 1), note("p", 2)}, clock); err != nil {
		t.Fatal(err)
	}
}

// Whatever single column of a sealed row is another, the row is not believed
// where it is read, and a backup like that is refused. What a seal leaves out
// is listed: which revision is the newest, and the count of a batch's events,
// which is checked by counting.
func TestNoChangedColumnIsBelieved(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := open(t, dir)
	full(t, s)
	s.Close()
	data, err := os.ReadFile(filepath.Join(dir, store.File))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		table, row       string
		texts, numbers   []string
		body, old, other string
	}{
		{"version", "id = 'r-2'", []string{"id", "parent", "reason", "body", "made_by", "seal"}, []string{"number", "made_at"}, "body", "ÄÖ", "ÖÄ"},
		{"thing", "rev = 2", []string{"kind", "id", "body", "made_by", "seal"}, []string{"rev", "made_at", "gone"}, "body", "301", "310"},
		{"batch", "id = 'b'", []string{"code", "name", "recipe", "made_by", "seal"}, []string{"number", "made_at", "events"}, "start", "350", "360"},
		{"event", "arrival = 2", []string{"id", "device", "seal"}, []string{"arrival", "seq", "arrived_at"}, "body", "note 2", "note 3"},
	} {
		changes := map[string]string{c.body + ", figures": fmt.Sprintf("%s = REPLACE(%[1]s, '%s', '%s')", c.body, c.old, c.other)}
		for _, column := range c.texts {
			changes[column] = column + " = " + column + " || 'x'"
		}
		for _, column := range c.numbers {
			changes[column] = column + " = " + column + " + 1"
		}
		if c.table == "thing" {
			changes["gone"] = "gone = 1" // what is no truth at all is read as none
		}
		for column, change := range changes {
			t.Run(c.table+" "+column, func(t *testing.T) {
				t.Parallel()
				wantNotBelieved(t, data, "UPDATE "+c.table+" SET "+change+" WHERE "+c.row)
			})
		}
	}
}

// wantNotBelieved changes one row of a database and reads it.
func wantNotBelieved(t *testing.T, data []byte, change string) {
	t.Helper()
	dir := t.TempDir()
	write(t, filepath.Join(dir, store.File), data)
	s := open(t, dir)
	res, err := s.DB().ExecContext(t.Context(), change)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := res.RowsAffected(); err != nil || n != 1 {
		t.Fatalf("%s: %d rows (%v)", change, n, err)
	}
	_, err = s.Everything(t.Context())
	wantTrouble(t, err, "changed on the disk", "bring back the last backup")
	s.Close()
	wantTrouble(t, store.Check(t.Context(), filepath.Join(dir, store.File)), "is damaged, or no backup", "another file")
}
