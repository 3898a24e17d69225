package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"barwright/store"
)

// Why a lot cannot be used is said as it is: its material is not here, is here
// and cannot be used, or the papers of the lot are wrong.
func TestWhyALotCannotBeUsed(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{})
	for _, x := range []struct{ kind, id, body string }{
		{kindMaterial, "own", "id = 'own'\nname = 'Own tallow'\nof = 'nowhere'\n"},
		{kindLot, "a", "id = 'a'\nname = 'A'\nof = 'gone_oil'\n"},
		{kindLot, "b", "id = 'b'\nname = 'B'\nof = 'own'\n"},
		{kindLot, "c", "id = 'c'\nname = 'C'\nof = 'tallow_beef'\n[sap]\nlow = 300\ntypical = 200\nhigh = 100\nunit = 'mg KOH/g'\nsource = 'certificate'\ngrade = 'measured'\n"},
	} {
		if _, err := h.store.SaveThing(t.Context(), store.Thing{Kind: x.kind, ID: x.id, Body: x.body}); err != nil {
			t.Fatal(err)
		}
	}
	lib, err := h.library(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string][2]string{
		"a": {`lot A is of "gone_oil", which is not here`, "take that material back"},
		"b": {`lot B is of "own", which cannot be used: `, "correct that material under Workshop"},
		"c": {`lot C of beef tallow cannot be used: `, "correct what its papers say under Stock"},
	} {
		_, err := lib.Find(id)
		hinted, ok := err.(interface{ Hint() string })
		if !ok || !strings.HasPrefix(err.Error(), want[0]) || !strings.Contains(hinted.Hint(), want[1]) {
			t.Errorf("%s: %v", id, err)
		}
	}
}

// What was saved here is the workshop, also when files once brought another one
// in under an id of their own.
func TestTheWorkshopThatWasSavedHolds(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{})
	for _, id := range []string{"a-shop", kindWorkshop} {
		if _, err := h.store.SaveThing(t.Context(), store.Thing{Kind: kindWorkshop, ID: id, Body: "name = 'The " + id + "'\n"}); err != nil {
			t.Fatal(err)
		}
		if page := h.ask(loop, "GET", "/recipes", nil).Body.String(); !strings.Contains(page, "The "+id) {
			t.Errorf("%s is not found", id)
		}
	}
}

// A sign that no database keeps is the fault of who sent it (422), not of this
// computer (503), wherever it stands; nothing of it is saved.
func TestSignsThatCannotBeKept(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{})
	if err := h.store.NewRecipe(t.Context(), store.Recipe{ID: "r", Name: "Plain"}, store.Version{ID: "v", Recipe: "r", Body: "format = 1\nname = 'Plain'\n"}, ""); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path string
		form url.Values
	}{
		{"/things/scale/new", url.Values{"f.name": {"Sc\x00ale"}, "f.step": {"1 g"}}},
		{"/things/scale/new", url.Values{"f.name": {"Scale"}, "f.step": {"1 g"}, "f.note": {"a\x00b"}}},
		{"/things/scale/new", url.Values{"f.name": {"Sc\xffale"}, "f.step": {"1 g"}}},
		{"/things/mould/new", url.Values{"f.name": {"\x00"}}},
		{"/recipes/r/tags", url.Values{"tags": {"winter\x00"}}},
	} {
		w := h.ask(loop, "POST", c.path, c.form)
		if w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%q: %d", c.form, w.Code)
		}
	}
	if all, err := h.store.Things(t.Context(), kindScale); err != nil || len(all) > 0 {
		t.Errorf("%v came in (%v)", all, err)
	}
}
