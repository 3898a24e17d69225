package share_test

import (
	"bytes"
	"fmt"
	"maps"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"barwright/material"
	"barwright/share"
)

// Whatever ids a workshop has got, everything goes out: what has an id that a
// file can be named after comes back the same, what has not stands in LEFT-OUT
// with all it holds, and nothing keeps anything else from going out.
func TestEveryIDGoesOut(t *testing.T) {
	t.Parallel()
	body := bodies(t)[0]
	longest := strings.Repeat("x", material.MaxID)
	ids := append(words, longest, longest+"x", strings.ToUpper(longest), "Xy_1", "xy_1", "con", "workshop")
	rapid.Check(t, func(t *rapid.T) {
		var w share.Workshop
		kept, left := 0, 0
		const signs = "abcdefghijklmnopqrstuvwxyz0123456789_"
		for i, id := range rapid.SliceOfNDistinct(rapid.SampledFrom(ids), 1, 6, rapid.ID).Draw(t, "ids") {
			th := share.Thing{Kind: "mould", ID: id}
			for range rapid.IntRange(1, 2).Draw(t, "revisions") {
				th.Revisions = append(th.Revisions, share.Revision{Body: fmt.Sprintf("id = %q\nname = 'x'\nmould = { shape = 'cavity', volume = '85 ml' }\n# mould %d\n", id, i), MadeAt: day})
			}
			r := share.Recipe{ID: id, Name: nameOf(body), Versions: []share.Version{{ID: id, MadeAt: day, Body: fmt.Sprintf("%s# recipe %d\n", body, i)}}}
			w.Recipes = append(w.Recipes, r)
			isID := id != "" && len(id) <= material.MaxID && strings.Trim(strings.ToLower(id), signs+"-") == ""
			if !isID || strings.Trim(id, signs) == "" { // moulds know no capitals
				w.Things = append(w.Things, th)
			}
			if isID {
				kept++
			} else {
				left++
			}
		}
		files := share.Files(w)
		checkPaths(t, files)
		back, err := share.Read(mapFS(files))
		if err != nil {
			t.Fatal(err)
		}
		if len(back.Things) != len(w.Things)-left || len(back.Recipes) != kept || strings.Count(string(files[share.LeftOut]), "\n== ") != 2*left {
			t.Fatalf("%d things and %d recipes came back of %d, and %d were left out:\n%s", len(back.Things), len(back.Recipes), kept, left, files[share.LeftOut])
		}
		all := string(bytes.Join(slicesOf(files), nil))
		for _, r := range w.Recipes {
			if body := r.Versions[0].Body; !strings.Contains(all, body[len(body)-12:]) {
				t.Fatalf("recipe %q is nowhere", r.ID)
			}
		}
		for _, th := range w.Things {
			if !strings.Contains(all, strings.ToValidUTF8(th.Newest().Body, "\ufffd")) {
				t.Fatalf("mould %q is nowhere", th.ID)
			}
		}
		again := share.Files(back)
		delete(files, share.LeftOut)
		if !maps.EqualFunc(files, again, bytes.Equal) && left == 0 {
			t.Fatalf("other files went out the second time:\n%s\n%s", list(files), list(again))
		}
	})
}

func slicesOf(files map[string][]byte) (out [][]byte) {
	for _, data := range files {
		out = append(out, data)
	}
	return out
}

// What is broken inside, or of a kind that has no folder, goes out as it is.
func TestWhatCannotBeReadBackIsLeftOut(t *testing.T) {
	t.Parallel()
	files := share.Files(share.Workshop{
		Recipes: []share.Recipe{{ID: "r", Name: "Empty"}, {ID: "q", Name: "Odd", Versions: []share.Version{{ID: "a b", Body: "of q"}}}},
		Things:  []share.Thing{{Kind: "kettle", ID: "k", Revisions: []share.Revision{{Body: "of k"}}}, {Kind: "mould", ID: strings.Repeat("M", 99), Revisions: []share.Revision{{Body: "of m"}}}},
		Batches: []share.Batch{{ID: "b", Code: "nonsense", Start: "of b"}, {ID: "c", Code: "kibad", Start: "{", Events: []share.Event{{Body: "tap of c"}}}},
	})
	said := string(files[share.LeftOut])
	for _, want := range []string{`recipe "Empty": it has no version`, `recipe "Odd": "a b" is not an id`, "of q", `kettle "k": no folder`, "of k", "too many capitals", "of m", `batch "nonsense": `, "of b", `batch "kibad": `, "tap of c"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in\n%s", want, said)
		}
	}
	if w, err := share.Read(mapFS(files)); err != nil || len(w.Recipes)+len(w.Things)+len(w.Batches) > 0 {
		t.Errorf("%+v, %v", w, err)
	}
	if files := share.Files(share.Workshop{}); files[share.LeftOut] != nil {
		t.Errorf("nothing is left out of nothing: %s", files[share.LeftOut])
	}
}

// The workshop is found under one id, whatever its file was called; two are
// none.
func TestTheWorkshopHasOneID(t *testing.T) {
	t.Parallel()
	files := goodFiles(t)
	body := files["workshop/workshop.toml"]
	delete(files, "workshop/workshop.toml")
	delete(files, "workshop/history.csv")
	files["workshop/ninth-lock.toml"] = body
	w, err := share.Read(mapFS(files))
	if err != nil {
		t.Fatal(err)
	}
	a, err := share.Merge(share.Workshop{}, w, day, nil)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, th := range a.Things {
		if th.Kind == "workshop" && th.ID == "workshop" && th.Newest().Body == string(body) {
			found++
		}
	}
	if found != 1 {
		t.Errorf("%+v", a.Things)
	}
	if again, err := share.Merge(share.Workshop{Things: a.Things}, w, day, nil); err != nil || len(again.Things) > 0 || len(again.Kept) > 0 {
		t.Errorf("a second time: %+v, %v", again, err)
	}
	files["workshop/workshop.toml"] = body
	_, err = share.Read(mapFS(files))
	if err == nil || !strings.Contains(err.Error(), "workshop: there are two workshops, ninth-lock.toml and workshop.toml") {
		t.Errorf("%v", err)
	}
}

// A lot is read whether its id comes before or after that of its material.
func TestLotsBeforeTheirMaterial(t *testing.T) {
	t.Parallel()
	files := goodFiles(t)
	tallow, err := os.ReadFile("../material/data/tallow_beef.toml")
	if err != nil {
		t.Fatal(err)
	}
	files["materials/my_tallow.toml"] = bytes.Replace(tallow, []byte("tallow_beef"), []byte("my_tallow"), 1)
	files["materials/a_first.toml"] = []byte("id = 'a_first'\nname = 'First'\nof = 'my_tallow'\n")
	files["materials/z_last.toml"] = []byte("id = 'z_last'\nname = 'Last'\nof = 'my_tallow'\n")
	if _, err := share.Read(mapFS(files)); err != nil {
		t.Error(err)
	}
	files["materials/b_second.toml"] = []byte("id = 'b_second'\nname = 'Second'\nof = 'nowhere'\n")
	if _, err := share.Read(mapFS(files)); err == nil || !strings.Contains(err.Error(), "materials/b_second.toml, line 3: \"nowhere\" is not a known material") {
		t.Errorf("%v", err)
	}
}

// A thousand lots whose ids are no materials are looked at without a search for
// the nearest material for each.
func BenchmarkReadLots(b *testing.B) {
	var w share.Workshop
	for i := range 1000 {
		id := fmt.Sprintf("lot_%d", i)
		w.Things = append(w.Things, share.Thing{Kind: "lot", ID: id, Revisions: []share.Revision{{Body: "id = '" + id + "'\nof = 'tallow_beef'\non_hand = '1 kg'\n", MadeAt: time.Time{}}}})
	}
	files := mapFS(share.Files(w))
	for b.Loop() {
		if _, err := share.Read(files); err != nil {
			b.Fatal(err)
		}
	}
}
