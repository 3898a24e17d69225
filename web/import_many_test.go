package web_test

import (
	"fmt"
	"html"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"barwright/demo"
	"barwright/store"
)

// What was chosen and not read is named, on this page and on the next: a file
// beyond the fiftieth, a second zip, recipe files beside a zip.
func TestWhatIsNotReadIsNamed(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	var many [][2]string
	for i := range 53 {
		many = append(many, [2]string{fmt.Sprintf("n%d.toml", i), recipeFile(t, "plain-tow") + fmt.Sprintf("# %d\n", i)})
	}
	const want = "fifty files come in at once: n50.toml, n51.toml, n52.toml."
	page := s.upload(200, many...)
	if !strings.Contains(page, want) {
		t.Errorf("no %q in %q", want, told(page))
	}
	form := formOf(page, "")
	form["toomany"] = []string{"n50.toml", "n51.toml", "n52.toml"} // formOf keeps one of a name
	if page := s.post(200, "/import", form).Body.String(); !strings.Contains(page, want) {
		t.Errorf("checked again, no %q in %q", want, told(page))
	}
	zip := s.ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()
	other := openShop(t, demo.Student).ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()
	page = s.upload(200, [2]string{"one.zip", other}, [2]string{"two.zip", zip}, [2]string{"three.zip", zip}, many[0])
	for _, want := range []string{"A whole workshop: one.zip", "one workshop comes in at a time: two.zip, three.zip.", "saved one after the other"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in %q", want, told(page))
		}
	}
	if strings.Contains(page, "All of it is here already") || !strings.Contains(page, "would come in") {
		t.Error("the second zip took the place of the first")
	}
	if page := s.upload(200, many[:50]...); strings.Contains(page, "Not read") {
		t.Errorf("fifty files: %q", told(page))
	}
}

// The preview of a zip names the batches, and of those that are here how many
// taps would be added.
func TestBatchesAreInThePreview(t *testing.T) {
	t.Parallel()
	first, second := openShop(t, demo.NinthLock), openShop(t, "")
	zip := first.ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()
	batches, err := first.store.Batches(t.Context())
	if err != nil || len(batches) != 16 {
		t.Fatalf("%d batches, %v", len(batches), err)
	}
	page := second.upload(200, [2]string{"shop.zip", zip})
	if !strings.Contains(page, "16 batches would come in") {
		t.Error("the batches are not counted")
	}
	for _, b := range batches {
		if !strings.Contains(page, b.Code) {
			t.Errorf("batch %s is not named", b.Code)
		}
	}
	form := formOf(page, "zip")
	form.Set("do", "save")
	second.post(303, "/import", form)
	events, err := first.store.Events(t.Context(), batches[0].ID)
	if err != nil || len(events) == 0 {
		t.Fatal(err)
	}
	late := events[len(events)-1]
	late.ID, late.Device, late.Seq = "late", "phone2", 1
	if n, err := first.store.AddEvents(t.Context(), batches[0].ID, append(events[:0:0], late), today); err != nil || n != 1 {
		t.Fatal(n, err)
	}
	zip = first.ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()
	if page := second.upload(200, [2]string{"shop.zip", zip}); !strings.Contains(page, "batch "+batches[0].Code+": 1 tap would be added to yours") {
		t.Error("a further tap is not in the preview")
	}
}

// A file is known again whatever its line ends, by the page and in a zip that
// another computer packed.
func TestLineEndsAreNoChange(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	windows := "\ufeff" + strings.ReplaceAll(recipeFile(t, "saltern"), "\n", "\r\n")
	page := s.upload(200, [2]string{"saltern.toml", windows})
	form := formOf(page, "f.")
	form.Set("do", "save")
	s.post(303, "/import", form)
	if page := s.upload(200, [2]string{"again.toml", windows}); !strings.Contains(page, "you brought this file in before") {
		t.Error("a file with the line ends of Windows is not known again")
	}
	files := map[string][]byte{}
	for name, text := range unzipped(t, s.ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()) {
		files[name] = []byte(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\n", "\r\n"))
	}
	page = html.UnescapeString(s.upload(200, [2]string{"shop.zip", zipText(t, files)}))
	if !strings.Contains(page, "All of it is here already") || strings.Contains(page, "yours is another") || strings.Contains(page, "yours differs") {
		t.Errorf("a zip with the line ends of Windows: %q", told(page))
	}
	if all, err := s.store.Recipes(t.Context(), store.Search{}); err != nil || len(all) != 11 {
		t.Errorf("%d recipes (%v)", len(all), err)
	}
}

// Every fault of a file is told at once, each with its line; of a zip too.
func TestEveryFaultIsTold(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	bad := strings.NewReplacer(`superfat = "18 %"`, `superfat = "18 g"`, `lye_strength = "`, `lye_strength = "x`, `material = "coconut"`, `material = "coconutt"`).Replace(recipeFile(t, "saltern"))
	faults := told(s.upload(422, [2]string{"bad.toml", bad}))
	for _, want := range []string{"Line 4: superfat", "lye_strength", `"coconutt" is not a known material`} {
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, want) && strings.HasPrefix(f, "Line ") }) {
			t.Errorf("no %q in %q", want, faults)
		}
	}
	files := map[string][]byte{}
	for name, text := range unzipped(t, openShop(t, demo.NinthLock).ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()) {
		if name == "recipes/saltern/v1.toml" {
			text = bad
		}
		files[name] = []byte(text)
	}
	faults = told(s.upload(422, [2]string{"shop.zip", zipText(t, files)}))
	for _, want := range []string{"v1.toml, line 4: superfat", "lye_strength"} {
		if !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, want) && strings.HasPrefix(f, "recipes/saltern/") }) {
			t.Errorf("no %q in %q", want, faults)
		}
	}
}
