package share_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"barwright/share"
)

// drawWorkshop draws a workshop whose versions and people are named oddly.
func drawWorkshop(t *rapid.T, recipes []string) share.Workshop {
	var w share.Workshop
	word := rapid.SampledFrom(words)
	at := func(label string) time.Time {
		return time.UnixMilli(rapid.Int64Range(0, 4e12).Draw(t, label)).UTC()
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "recipes") {
		r := share.Recipe{ID: fmt.Sprintf("r%d", i), Tags: []string{"a", "b-c"}}
		if rapid.Bool().Draw(t, "put away") {
			r.Archived = at("when")
		}
		for k := range rapid.IntRange(1, 3).Draw(t, "versions") {
			body := rapid.SampledFrom(recipes).Draw(t, "body")
			r.Versions = append(r.Versions, share.Version{ID: fmt.Sprintf("r%d-%d", i, k), Parent: rapid.IntRange(0, k).Draw(t, "parent"),
				Reason: word.Draw(t, "reason"), MadeBy: word.Draw(t, "by"), MadeAt: at("made"), Body: body})
		}
		r.Name = nameOf(r.Versions[len(r.Versions)-1].Body)
		w.Recipes = append(w.Recipes, r)
	}
	for _, id := range rapid.SliceOfDistinct(rapid.SampledFrom([]string{"con", "m1", "nul", "com1", "a_b"}), rapid.ID).Draw(t, "moulds") {
		th := share.Thing{Kind: "mould", ID: id}
		for range rapid.IntRange(1, 3).Draw(t, "revisions") {
			body := fmt.Sprintf("id = %q\nname = 'x'\nmould = { shape = 'cavity', volume = '%d ml' }\n", id, rapid.IntRange(50, 99).Draw(t, "ml"))
			th.Revisions = append(th.Revisions, share.Revision{Body: body, Gone: rapid.Bool().Draw(t, "gone"), MadeAt: at("at"), MadeBy: word.Draw(t, "by")})
		}
		w.Things = append(w.Things, th)
	}
	return w
}

// Laws: what goes out comes back, and goes out again as the same bytes, through
// an empty workshop; into itself it adds nothing; every path is one that every
// computer takes, and one that Writes knows.
func TestOutAndBack(t *testing.T) {
	t.Parallel()
	recipes := bodies(t)
	rapid.Check(t, func(t *rapid.T) {
		w := drawWorkshop(t, recipes)
		files := share.Files(w)
		checkPaths(t, files)
		back, err := share.Read(mapFS(files))
		if err != nil {
			t.Fatalf("%v", err)
		}
		a, err := share.Merge(share.Workshop{}, back, day, func() string { t.Fatal("an id was lost"); return "" })
		if err != nil || len(a.Copies)+len(a.Kept)+a.Known+len(a.Further) != 0 {
			t.Fatalf("%+v, %v", a, err)
		}
		again := share.Files(share.Workshop{Recipes: a.Recipes, Things: a.Things})
		if !maps.EqualFunc(files, again, bytes.Equal) {
			t.Fatalf("other files went out the second time:\n%s\n%s", list(files), list(again))
		}
		if a, err := share.Merge(w, back, day, nil); err != nil || !a.Empty() || a.Known != len(w.Recipes)+len(w.Things) {
			t.Fatalf("into itself: %+v, %v", a, err)
		}
	})
}

func checkPaths(t *rapid.T, files map[string][]byte) {
	folded := map[string]bool{}
	for name := range files {
		switch {
		case !fs.ValidPath(name), strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_-./%") != "" && name != "README.txt" && name != share.LeftOut, len(name) > 150:
			t.Fatalf("the path %q", name)
		case !share.Writes(name):
			t.Fatalf("Writes does not know %q", name)
		case folded[strings.ToLower(name)]:
			t.Fatalf("%q is there twice but for its capitals", name)
		}
		folded[strings.ToLower(name)] = true
		for part := range strings.SplitSeq(name, "/") {
			if base, _, _ := strings.Cut(part, "."); slices.Contains([]string{"con", "nul", "com1", "prn", "aux"}, base) {
				t.Fatalf("%q is a device on some computers", name)
			}
		}
	}
}

// Laws of merging: everything of theirs is told of; ours stays; no id is given
// twice; a second time nothing comes.
func TestMergeTwice(t *testing.T) {
	t.Parallel()
	recipes := bodies(t)
	rapid.Check(t, func(t *rapid.T) {
		ours, theirs := drawWorkshop(t, recipes), drawWorkshop(t, recipes)
		n := 0
		newID := func() string { n++; return fmt.Sprintf("new%d", n) }
		a, err := share.Merge(ours, theirs, day, newID)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(a.Recipes) + len(a.Further) + len(a.Things) + len(a.Kept) + a.Known; got != len(theirs.Recipes)+len(theirs.Things) {
			t.Fatalf("%d of %d are told of", got, len(theirs.Recipes)+len(theirs.Things))
		}
		merged := applied(ours, a)
		for i, r := range ours.Recipes {
			if m := merged.Recipes[i]; m.ID != r.ID || !slices.Equal(m.Versions[:len(r.Versions)], r.Versions) {
				t.Fatalf("ours changed: %+v is now %+v", r, m)
			}
		}
		unique := map[string]bool{}
		for _, r := range merged.Recipes {
			ids := []string{"recipe " + r.ID}
			for _, v := range r.Versions {
				ids = append(ids, v.ID)
			}
			for _, id := range ids {
				if unique[id] {
					t.Fatalf("two have the id %s", id)
				}
				unique[id] = true
			}
		}
		again, err := share.Merge(merged, theirs, day, newID)
		if err != nil || !again.Empty() {
			t.Fatalf("a second time %d recipes, %d versions, %d things came (%v)", len(again.Recipes), len(again.Further), len(again.Things), err)
		}
	})
}

// applied is the workshop once the arrival was added.
func applied(w share.Workshop, a share.Arrival) share.Workshop {
	w.Recipes, w.Things = slices.Concat(w.Recipes, a.Recipes), slices.Concat(w.Things, a.Things)
	for _, f := range a.Further {
		i := slices.IndexFunc(w.Recipes, func(r share.Recipe) bool { return r.ID == f.ID })
		w.Recipes[i].Versions = slices.Concat(w.Recipes[i].Versions, f.Versions)
	}
	return w
}

func list(files map[string][]byte) string {
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if !strings.HasSuffix(name, ".toml") {
			fmt.Fprintf(&b, "%s:\n%s", name, files[name])
		} else {
			fmt.Fprintln(&b, name)
		}
	}
	return b.String()
}
