package store_test

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"barwright/store"
)

// Whatever is done in whatever order, every version and every revision that
// was ever saved reads back byte for byte, and nothing else is there.
func TestNothingIsEverOverwritten(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		var runs atomic.Int64
		s := open(t, where)
		rapid.Check(t, func(rt *rapid.T) {
			w := &workshop{t: t, store: s, run: fmt.Sprintf("run%d.", runs.Add(1)), recipes: map[string]*kept{}, things: map[string][]store.Thing{}}
			rt.Repeat(map[string]func(*rapid.T){
				"new": w.newRecipe, "save": w.save, "late": w.late, "branch": w.branch, "stranger": w.stranger,
				"archive": w.archive, "tag": w.tag, "thing": w.thing, "late thing": w.lateThing, "twice": w.twice,
				"": w.check,
			})
		})
		if runs.Load() < 10 {
			t.Errorf("only %d runs", runs.Load())
		}
	})
}

// workshop is what must be in the store: the law beside it. The names of one
// run start with its own word.
type workshop struct {
	t       *testing.T
	store   *store.Store
	run     string
	made    int
	recipes map[string]*kept
	things  map[string][]store.Thing // by id, the newest last
}

type kept struct {
	store.Recipe
	versions []store.Version // the newest last
}

var (
	text = rapid.Custom(func(t *rapid.T) string { return strings.ReplaceAll(rapid.String().Draw(t, "text"), "\x00", "") })
	when = rapid.Custom(func(t *rapid.T) time.Time { return time.UnixMilli(rapid.Int64Range(1, 1<<42).Draw(t, "when")).UTC() })
)

func (w *workshop) id() string { w.made++; return fmt.Sprintf("%s%d", w.run, w.made) }

// some picks a recipe that is there, and skips the step when there is none.
func (w *workshop) some(t *rapid.T) *kept {
	if len(w.recipes) == 0 {
		t.Skip("no recipe yet")
	}
	return w.recipes[rapid.SampledFrom(slices.Sorted(maps.Keys(w.recipes))).Draw(t, "recipe")]
}

func (w *workshop) version(t *rapid.T, recipe, parent string) store.Version {
	return store.Version{ID: w.id(), Recipe: recipe, Parent: parent, Reason: text.Draw(t, "reason"), Body: text.Draw(t, "body"), MadeAt: when.Draw(t, "at"), MadeBy: text.Draw(t, "by")}
}

func (w *workshop) newRecipe(t *rapid.T) {
	r := store.Recipe{ID: w.id(), Name: text.Draw(t, "name"), Tags: []string{"one"}}
	v := w.version(t, r.ID, "")
	if err := w.store.NewRecipe(w.t.Context(), r, v, w.run); err != nil {
		t.Fatal(err)
	}
	v.Number = 1
	r.Head, r.Versions, r.ChangedAt = v.ID, 1, v.MadeAt
	w.recipes[r.ID] = &kept{r, []store.Version{v}}
}

// twice: a recipe, or a version, with an id that is taken.
func (w *workshop) twice(t *rapid.T) {
	k := w.some(t)
	v := w.version(t, k.ID, k.Head)
	if err := w.store.NewRecipe(w.t.Context(), store.Recipe{ID: k.ID, Name: "another"}, v, w.run); err == nil {
		t.Fatal("a second recipe with the same id was saved")
	}
	v.ID = k.versions[0].ID
	if _, err := w.store.SaveVersion(w.t.Context(), v, "another", w.run, false); err == nil {
		t.Fatal("a second version with the same id was saved")
	}
}

func (w *workshop) save(t *rapid.T)   { k := w.some(t); w.saved(t, k, k.Head, false) }
func (w *workshop) branch(t *rapid.T) { k := w.some(t); w.saved(t, k, w.older(t, k), true) }

func (w *workshop) older(t *rapid.T, k *kept) string {
	return rapid.SampledFrom(k.versions).Draw(t, "parent").ID
}

func (w *workshop) saved(t *rapid.T, k *kept, parent string, branch bool) {
	v, name := w.version(t, k.ID, parent), text.Draw(t, "name")
	got, err := w.store.SaveVersion(w.t.Context(), v, name, w.run, branch)
	if err != nil {
		t.Fatal(err)
	}
	v.Number = len(k.versions) + 1
	if d := cmp.Diff(v, got); d != "" {
		t.Fatal(d)
	}
	k.versions = append(k.versions, v)
	k.Name, k.Head, k.Versions, k.ChangedAt = name, v.ID, v.Number, v.MadeAt
}

// late: a save from a version that is no longer the newest.
func (w *workshop) late(t *rapid.T) {
	k := w.some(t)
	parent := w.older(t, k)
	if parent == k.Head {
		t.Skip("not late")
	}
	if _, err := w.store.SaveVersion(w.t.Context(), w.version(t, k.ID, parent), "late", w.run, false); !errors.Is(err, store.ErrChanged) {
		t.Fatalf("%v, want ErrChanged", err)
	}
}

// stranger: a save from a version of another recipe, or of none.
func (w *workshop) stranger(t *rapid.T) {
	k, parent := w.some(t), "nowhere"
	if other := w.some(t); other != k {
		parent = other.Head
	}
	if _, err := w.store.SaveVersion(w.t.Context(), w.version(t, k.ID, parent), "stranger", w.run, true); !errors.Is(err, store.ErrMissing) {
		t.Fatalf("%v, want ErrMissing", err)
	}
}

func (w *workshop) archive(t *rapid.T) {
	k := w.some(t)
	at := time.Time{}
	if k.Archived.IsZero() {
		at = when.Draw(t, "at")
	}
	if err := w.store.SetArchived(w.t.Context(), k.ID, at); err != nil {
		t.Fatal(err)
	}
	k.Archived = at
}

func (w *workshop) tag(t *rapid.T) {
	k := w.some(t)
	r := k.Recipe
	r.Tags = rapid.SliceOfDistinct(rapid.SampledFrom([]string{"eins", "zwölf", "50%", "a_b", "hot"}), rapid.ID).Draw(t, "tags")
	if err := w.store.SetTags(w.t.Context(), r, w.run); err != nil {
		t.Fatal(err)
	}
	k.Tags = slices.Sorted(slices.Values(r.Tags))
}

func (w *workshop) thing(t *rapid.T) {
	id := rapid.SampledFrom([]string{"a", "B", "ä", "a.1"}).Draw(t, "id")
	was := w.things[id]
	next := store.Thing{Kind: w.run, ID: id, Rev: len(was), Body: text.Draw(t, "body"), Gone: rapid.Bool().Draw(t, "gone"), MadeAt: when.Draw(t, "at"), MadeBy: text.Draw(t, "by")}
	got, err := w.store.SaveThing(w.t.Context(), next)
	if err != nil {
		t.Fatal(err)
	}
	next.Rev++
	if d := cmp.Diff(next, got); d != "" {
		t.Fatal(d)
	}
	w.things[id] = append(was, next)
}

// lateThing: a revision made from one that is not the newest, or is none.
func (w *workshop) lateThing(t *rapid.T) {
	id := rapid.SampledFrom([]string{"a", "B", "ä", "a.1"}).Draw(t, "id")
	rev := rapid.IntRange(-2, len(w.things[id])+1).Draw(t, "rev")
	if rev == len(w.things[id]) {
		t.Skip("not late")
	}
	if _, err := w.store.SaveThing(w.t.Context(), store.Thing{Kind: w.run, ID: id, Rev: rev, Body: "late", MadeAt: clock}); !errors.Is(err, store.ErrChanged) {
		t.Fatalf("%v, want ErrChanged", err)
	}
}

// check compares all of the run with what must be there.
func (w *workshop) check(t *rapid.T) {
	ctx := w.t.Context()
	var used, away []store.Recipe
	for _, k := range w.recipes {
		if k.Archived.IsZero() {
			used = append(used, k.Recipe)
		} else {
			away = append(away, k.Recipe)
		}
		got, err := w.store.Versions(ctx, k.ID)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(got)
		if d := cmp.Diff(k.versions, got); d != "" {
			t.Fatal(d)
		}
	}
	for i, want := range [][]store.Recipe{used, away} {
		got, err := w.store.Recipes(ctx, store.Search{Words: w.run, Archived: i == 1})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.IsSortedFunc(got, func(a, b store.Recipe) int { return b.ChangedAt.Compare(a.ChangedAt) }) {
			t.Fatal("the last changed is not first")
		}
		byID := func(a, b store.Recipe) int { return strings.Compare(a.ID, b.ID) }
		slices.SortFunc(want, byID)
		slices.SortFunc(got, byID)
		if d := cmp.Diff(want, got, cmp.Comparer(func(a, b []string) bool { return slices.Equal(a, b) })); d != "" {
			t.Fatal(d)
		}
	}
	w.checkThings(t)
}

func (w *workshop) checkThings(t *rapid.T) {
	var there []store.Thing
	for _, id := range slices.Sorted(maps.Keys(w.things)) {
		all := slices.Clone(w.things[id])
		if newest := all[len(all)-1]; !newest.Gone {
			there = append(there, newest)
		}
		slices.Reverse(all)
		got, err := w.store.History(w.t.Context(), w.run, id)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(all, got); d != "" {
			t.Fatal(d)
		}
	}
	got, err := w.store.Things(w.t.Context(), w.run)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(there, got); d != "" {
		t.Fatal(d)
	}
}
