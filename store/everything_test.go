package store_test

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"

	"barwright/batch"
	"barwright/demo"
	"barwright/internal/pgtest"
	"barwright/share"
	"barwright/store"
)

var day = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// Everything goes out as files and comes back without loss: the files of the
// copy are those of the original, byte for byte, with what was put away and
// what things were before.
func TestOutAndBack(t *testing.T) {
	t.Parallel()
	onEach(t, outAndBack)
}

func outAndBack(t *testing.T, empty func() *store.Store) {
	ctx := t.Context()
	first := openDemo(t, empty)
	if err := first.SetArchived(ctx, "saltern", day); err != nil {
		t.Fatal(err)
	}
	lot, err := first.Thing(ctx, "lot", "tlw_7")
	if err != nil {
		t.Fatal(err)
	}
	for _, gone := range []bool{false, true} {
		lot.Body, lot.Gone, lot.MadeAt, lot.MadeBy = lot.Body+"# changed\n", gone, day, "=helper 2"
		if gone {
			lot.Body = strings.TrimSuffix(lot.Body, "# changed\n")
		}
		if lot, err = first.SaveThing(ctx, lot); err != nil {
			t.Fatal(err)
		}
	}
	late := batch.Event{ID: "late", Device: "phone", Seq: 1, At: day, By: "=helper 2", Do: batch.Noted{Text: "=1+1\nÄ"}}
	if _, err := first.AddEvents(ctx, "b13", []batch.Event{late}, day.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	files := filesOf(t, first)
	second := empty()
	a := bring(t, second, files)
	if len(a.Recipes) != 10 || len(a.Copies)+len(a.Kept)+a.Known != 0 {
		t.Errorf("%d recipes, %v %v %d", len(a.Recipes), a.Copies, a.Kept, a.Known)
	}
	sameFiles(t, files, filesOf(t, second))
	sameBatches(t, first, second)
	found, err := second.Recipes(ctx, store.Search{Words: "beeswax"})
	if err != nil || len(found) == 0 {
		t.Errorf("nothing is found by what it is made of (%v)", err)
	}
	if history, err := second.History(ctx, "lot", "tlw_7"); err != nil || len(history) < 3 || !history[0].Gone || history[0].MadeBy != "=helper 2" {
		t.Errorf("the history of the lot: %+v (%v)", history, err)
	}
}

// sameBatches compares every batch and every event of two workshops, and wants
// the sixteen of the demo.
func sameBatches(t *testing.T, first, second *store.Store) {
	t.Helper()
	ctx := t.Context()
	a, errA := first.Batches(ctx)
	b, errB := second.Batches(ctx)
	if d := cmp.Diff(a, b); errA != nil || errB != nil || d != "" || len(a) != 16 {
		t.Fatalf("%d batches, %v %v\n%s", len(a), errA, errB, d)
	}
	for _, one := range a {
		x, errX := first.Events(ctx, one.ID)
		y, errY := second.Events(ctx, one.ID)
		if d := cmp.Diff(x, y); errX != nil || errY != nil || d != "" || len(x) < 20 {
			t.Errorf("%s: %d events, %v %v\n%s", one.ID, len(x), errX, errY, d)
		}
	}
}

// Taps that were stamped elsewhere come in beside ours, once; a batch and a tap
// that are another under the same name stay out, and that is told.
func TestTapsMadeElsewhere(t *testing.T) {
	t.Parallel()
	onEach(t, tapsMadeElsewhere)
}

func tapsMadeElsewhere(t *testing.T, empty func() *store.Store) {
	ctx := t.Context()
	here, there := openDemo(t, empty), openDemo(t, empty)
	stamp := func(s *store.Store, device, text string, seq int64) {
		t.Helper()
		e := batch.Event{ID: fmt.Sprintf("%s-%d", device, seq), Device: device, Seq: seq, At: day, Do: batch.Noted{Text: text}}
		if _, err := s.AddEvents(ctx, "b13", []batch.Event{e}, day); err != nil {
			t.Fatal(err)
		}
	}
	stamp(here, "phone", "ours", 1)
	stamp(there, "tablet", "theirs", 1)
	stamp(there, "phone", "another", 1) // the same id and number, another tap
	files := filesOf(t, there)
	a := bring(t, here, files)
	if len(a.Taps) != 1 || a.Taps[0].ID != "b13" || len(a.Taps[0].Events) != 1 || len(a.Batches) != 0 || !slices.Equal(a.Kept, []string{"a tap of batch " + a.Taps[0].Code}) {
		t.Errorf("%+v", a)
	}
	if events, err := here.Events(ctx, "b13"); err != nil || events[len(events)-1].ID != "tablet-1" || events[len(events)-2].Do.(batch.Noted).Text != "ours" {
		t.Errorf("%v, %v", events[len(events)-2:], err)
	}
	if again := bring(t, here, files); !again.Empty() {
		t.Errorf("a second time: %+v", again)
	}
	other := empty()
	if _, err := other.NewBatch(ctx, store.Batch{ID: "ours", Start: towStart(), MadeAt: day}); err != nil {
		t.Fatal(err)
	}
	if a := bring(t, other, files); len(a.Batches) != 15 || !slices.Equal(a.Kept, []string{"batch " + batch.Code(0)}) {
		t.Errorf("%d batches, kept %v", len(a.Batches), a.Kept)
	}
}

// Brought in again, everything is known and nothing changes.
func TestAgainIsKnown(t *testing.T) {
	t.Parallel()
	onEach(t, againIsKnown)
}

func againIsKnown(t *testing.T, empty func() *store.Store) {
	s := openDemo(t, empty)
	files := filesOf(t, s)
	if a := bring(t, s, files); !a.Empty() || a.Known == 0 || len(a.Copies)+len(a.Kept) != 0 {
		t.Errorf("%+v", a)
	}
	sameFiles(t, files, filesOf(t, s))
}

// A recipe that differs comes in as a copy, once; a thing that differs stays
// ours; nothing of ours changes.
func TestNothingIsOverwritten(t *testing.T) {
	t.Parallel()
	onEach(t, nothingIsOverwritten)
}

func nothingIsOverwritten(t *testing.T, empty func() *store.Store) {
	s := openDemo(t, empty)
	before := filesOf(t, s)
	theirs := maps.Clone(before)
	theirs["recipes/plain-tow/v1.toml"] = slices.Concat([]byte("# another\n"), before["recipes/plain-tow/v1.toml"])
	theirs["moulds/m1.toml"] = slices.Concat([]byte("# another\n"), before["moulds/m1.toml"])
	for round := range 2 {
		a := bring(t, s, theirs)
		if round == 0 && (len(a.Recipes) != 1 || !slices.Equal(a.Copies, []string{"Plain Tow"})) || round == 1 && !a.Empty() || !slices.Equal(a.Kept, []string{"mould m1"}) {
			t.Errorf("round %d: %d new, copies %v, kept %v", round, len(a.Recipes), a.Copies, a.Kept)
		}
		after := filesOf(t, s)
		for name, data := range before {
			if name != "recipes.csv" && string(after[name]) != string(data) {
				t.Errorf("%s of ours changed", name)
			}
		}
		if got := string(after["recipes/plain-tow-2/v1.toml"]); !strings.HasPrefix(got, "# another\n") {
			t.Errorf("round %d: theirs reads %.40q", round, got)
		}
		if copied, err := s.Recipe(t.Context(), "plain-tow-2"); err != nil || !slices.Contains(copied.Tags, share.BroughtIn) {
			t.Errorf("the copy: %+v (%v)", copied, err)
		}
	}
}

// A workshop that went on elsewhere adds the versions made there, and what they
// were made of.
func TestVersionsMadeElsewhere(t *testing.T) {
	t.Parallel()
	onEach(t, versionsMadeElsewhere)
}

func versionsMadeElsewhere(t *testing.T, empty func() *store.Store) {
	ctx := t.Context()
	here, there := openDemo(t, empty), openDemo(t, empty)
	for i, parent := range []string{"plain-tow-v1", "new-0"} { // one beside the newest, one from that
		v := store.Version{ID: fmt.Sprintf("new-%d", i), Recipe: "plain-tow", Parent: parent, Reason: "elsewhere", Body: savedBody(t, there, "plain-tow-v2"), MadeAt: day}
		if _, err := there.SaveVersion(ctx, v, "Plain Tow", "", true); err != nil {
			t.Fatal(err)
		}
	}
	files := filesOf(t, there)
	if a := bring(t, here, files); len(a.Further) != 1 || len(a.Recipes) != 0 || len(a.Copies) != 0 {
		t.Errorf("%+v", a)
	}
	sameFiles(t, files, filesOf(t, here))
	if r, err := here.Recipe(ctx, "plain-tow"); err != nil || r.Head != "new-1" || r.Versions != 4 {
		t.Errorf("%+v (%v)", r, err)
	}
}

// When somebody saves a version while a workshop comes in, nothing comes in.
func TestAllOrNothing(t *testing.T) {
	t.Parallel()
	onEach(t, allOrNothing)
}

func allOrNothing(t *testing.T, empty func() *store.Store) {
	ctx := t.Context()
	s := openDemo(t, empty)
	v := share.Version{ID: "late", Parent: 2, Reason: "late", Body: savedBody(t, s, "plain-tow-v2")}
	a := share.Arrival{
		Recipes: []share.Recipe{{ID: "fresh", Name: "Fresh", Versions: []share.Version{{ID: "fresh-v1", Body: v.Body}}}},
		Further: []share.Further{{Recipe: share.Recipe{ID: "plain-tow", Name: "Plain Tow", Versions: []share.Version{v}}, After: 1}}, // it has 2 by now
	}
	if err := s.Add(ctx, a, func(string) string { return "" }); !errors.Is(err, store.ErrChanged) {
		t.Errorf("%v", err)
	}
	if _, err := s.Recipe(ctx, "fresh"); !errors.Is(err, store.ErrMissing) {
		t.Errorf("half of it came in (%v)", err)
	}
}

func savedBody(t *testing.T, s *store.Store, id string) string {
	t.Helper()
	v, err := s.Version(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return v.Body
}

func sameFiles(t *testing.T, want, got map[string][]byte) {
	t.Helper()
	if w, g := slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(got)); !slices.Equal(w, g) {
		t.Fatalf("files\n%v\nare\n%v", w, g)
	}
	for name, data := range want {
		if string(got[name]) != string(data) {
			t.Errorf("%s reads\n%s\nwant\n%s", name, got[name], data)
		}
	}
}

// onEach runs a test with a way to open empty workshops, of SQLite and of
// PostgreSQL.
func onEach(t *testing.T, test func(t *testing.T, empty func() *store.Store)) {
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		test(t, func() *store.Store { return open(t, t.TempDir()) })
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, func() *store.Store { return open(t, pgtest.Database(t)) })
	})
}

func openDemo(t *testing.T, empty func() *store.Store) *store.Store {
	t.Helper()
	s := empty()
	if err := demo.Fill(t.Context(), s, demo.NinthLock, day); err != nil {
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
	files := share.Files(w)
	return files
}

// bring reads files into a workshop and returns what was new.
func bring(t *testing.T, s *store.Store, files map[string][]byte) share.Arrival {
	t.Helper()
	m := fstest.MapFS{}
	for name, data := range files {
		m[name] = &fstest.MapFile{Data: data}
	}
	theirs, err := share.Read(m)
	if err != nil {
		t.Fatal(err)
	}
	ours, err := s.Everything(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	a, err := share.Merge(ours, theirs, day, func() string { n++; return fmt.Sprintf("new-%d-%d", len(ours.Recipes), n) })
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Add(t.Context(), a, func(body string) string { return body }); err != nil {
		t.Fatal(err)
	}
	return a
}
