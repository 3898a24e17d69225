package web_test

import (
	"bytes"
	"html"
	"mime/multipart"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"testing"

	"barwright/demo"
)

// lines are the fats of a planning page as it was answered: name and share.
func lines(page string) (out []string) {
	form := formOf(page, "")
	for i := 0; ; i++ {
		name, ok := form["r.fats."+string(rune('0'+i))+".material"]
		if !ok || name[0] == "" {
			return out
		}
		out = append(out, name[0]+" "+form.Get("r.fats."+string(rune('0'+i))+".share"))
	}
}

func wantLines(t *testing.T, what, page string, want ...string) {
	t.Helper()
	if got := lines(page); strings.Join(got, "; ") != strings.Join(want, "; ") {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

const (
	tallow   = "Beef tallow 55"
	rapeseed = "Low-erucic rapeseed oil (canola) 25"
	coconut  = "Coconut oil 20"
)

// A button of a line means that line, also below one that was emptied.
func TestButtonsMeanTheirLine(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	fresh := func() url.Values { return formOf(s.get(200, "/recipes/plain-tow"), "") }
	press := func(form url.Values, do string) string {
		form.Set("do", do)
		return s.post(200, "/recipes/plain-tow", form).Body.String()
	}
	for do, want := range map[string][]string{
		"remove:fats.1": {coconut},
		"remove:fats.2": {rapeseed},
		"down:fats.1":   {coconut, rapeseed},
		"up:fats.2":     {coconut, rapeseed},
		"remove:fats.0": {rapeseed, coconut}, // the empty one
		"remove:fats.9": {rapeseed, coconut},
	} {
		form := fresh()
		form.Set("r.fats.0.material", "")
		form.Set("r.fats.0.share", "")
		wantLines(t, do, press(form, do), want...)
	}
}

// Taking back restores what the button did, not what was typed since, and only
// while the lines are still the same.
func TestTakeBack(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	press := func(page, do string, typed ...string) string {
		form := formOf(page, "")
		for i := 0; i < len(typed); i += 2 {
			form.Set(typed[i], typed[i+1])
		}
		form.Set("do", do)
		return s.post(200, "/recipes/plain-tow", form).Body.String()
	}
	page := s.get(200, "/recipes/plain-tow")
	out := press(page, "remove:fats.0")
	wantLines(t, "taken out", out, rapeseed, coconut)
	wantLines(t, "and back", press(out, "undo"), tallow, rapeseed, coconut)

	moved := press(page, "down:fats.0")
	wantLines(t, "moved", moved, rapeseed, tallow, coconut)
	wantLines(t, "moved back", press(moved, "undo"), tallow, rapeseed, coconut)

	balanced := press(press(page, "work", "r.fats.0.share", "50"), "balance")
	after := press(balanced, "down:fats.0")
	balancedLines := lines(balanced)
	wantLines(t, "the move, not the balance", press(after, "undo"), balancedLines...)

	added := press(out, "undo", "r.fats.2.material", "Olive oil", "r.fats.2.share", "55")
	wantLines(t, "a line added since", added, rapeseed, coconut, "Olive oil 55")

	heavy := press(page, "by-mass")
	kept := press(heavy, "undo", "r.superfat", "8 %")
	if got := formOf(kept, "").Get("r.superfat"); got != "8 %" {
		t.Errorf("superfat typed since is %q", got)
	}
}

// A lock goes with its fat.
func TestLocksStayWithTheirFat(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	form := formOf(s.get(200, "/recipes/plain-tow"), "")
	form.Set("lock.2", "1") // coconut
	form.Set("do", "remove:fats.0")
	out := formOf(s.post(200, "/recipes/plain-tow", form).Body.String(), "")
	if out.Get("lock.1") == "" || out.Get("lock.0") != "" {
		t.Errorf("locks %q, %q", out["lock.0"], out["lock.1"])
	}
	out.Set("do", "undo")
	back := formOf(s.post(200, "/recipes/plain-tow", out).Body.String(), "")
	if back.Get("lock.2") == "" || back.Get("lock.1") != "" {
		t.Errorf("taken back: locks %q, %q", back["lock.1"], back["lock.2"])
	}
}

// The one workshop cannot be put away, and one without a name is opened anew.
func TestTheWorkshopStays(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	form := formOf(s.get(200, "/things/workshop/new"), "")
	form.Set("do", "away")
	s.post(400, "/things/workshop/workshop", form)
	it, err := s.store.Thing(t.Context(), "workshop", "workshop")
	if err != nil || it.Gone {
		t.Fatalf("gone %v (%v)", it.Gone, err)
	}
	it.Gone = true // as another program may have left it
	if _, err := s.store.SaveThing(t.Context(), it); err != nil {
		t.Fatal(err)
	}
	form = formOf(s.get(200, "/things/workshop/new"), "")
	form.Set("f.name", "Tenth Lock")
	form.Set("do", "save")
	if w := s.post(303, "/things/workshop/new", form); w.Code != 303 {
		t.Error(w.Code)
	}
}

// Nothing of an upload stays on the disk. No other test may run beside this
// one: the folder is that of the whole process.
func TestUploadsLeaveNothing(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	s := openShop(t, "")
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	part, err := m.CreateFormFile("file", "large.toml")
	if err != nil {
		t.Fatal(err)
	}
	part.Write(bytes.Repeat([]byte("# large\n"), 1<<19)) // 4 MB
	m.Close()
	server := httptest.NewServer(s.app)
	answer, err := server.Client().Post(server.URL+"/import", m.FormDataContentType(), &b)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	server.Close() // once the answer is whole
	if answer.StatusCode != 422 {
		t.Errorf("status %d", answer.StatusCode)
	}
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	for _, f := range left {
		if strings.HasPrefix(f.Name(), "multipart-") {
			t.Errorf("%s is left (%v)", f.Name(), err)
		}
	}
}

// People name a material by any part of its name; where that may be several,
// they are told by name.
func TestCalledByPartOfItsName(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	form := formOf(s.get(200, "/recipes/new"), "")
	work := func(text string) string {
		form.Set("r.fats.0.material", text)
		form.Set("r.fats.0.share", "100")
		return html.UnescapeString(s.post(200, "/recipes/new", form).Body.String())
	}
	for text, want := range map[string]string{"canola": "Low-erucic rapeseed oil (canola)", "LOW-ERU": "Low-erucic rapeseed oil (canola)", "beef tallow": "Beef tallow", "tallow_beef": "Beef tallow"} {
		wantLines(t, text, work(text), want+" 100")
	}
	page := work("tallow")
	wantLines(t, "tallow", page, "tallow 100")
	if !strings.Contains(page, "Which one: Beef tallow, Mutton tallow?") {
		t.Error("it does not ask which tallow")
	}
	if page := work("becf tallow"); !strings.Contains(page, "Do you mean Beef tallow?") {
		t.Error("a slip of the finger is not understood")
	}
	for _, text := range []string{"tallow", "becf tallow", "nothing like it"} {
		if page := work(text); strings.Contains(page, "tallow_beef") || strings.Contains(page, "rapeseed_low") {
			t.Errorf("%s: names of files on the page", text)
		}
	}
	form.Set("r.fats.0.material", "canola")
	form.Set("r.fats.0.share", "")
	if page := html.UnescapeString(s.post(200, "/recipes/new", form).Body.String()); !strings.Contains(page, "Low-erucic rapeseed oil (canola) has neither share nor amount.") || strings.Contains(page, `"rapeseed_low`) {
		t.Errorf("what lacks a share is not called by its name: %q", told(page))
	}
	form.Set("r.fats.0.material", "Beef tallow")
	form.Set("do", "remove:fats.0")
	if page := s.post(200, "/recipes/new", form).Body.String(); !strings.Contains(page, "took out Beef tallow") {
		t.Error("it does not say what it took out")
	}
}

// Shares that cannot be read are not taken for nothing.
func TestBalanceOfWhatCannotBeRead(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	for _, bad := range []string{"abc", "1e308", "-5", "NaN", "1e999"} {
		form := formOf(s.get(200, "/recipes/new"), "")
		for name, value := range map[string]string{"r.fats.0.material": "Beef tallow", "r.fats.0.share": "50", "r.fats.1.material": "Coconut oil", "r.fats.1.share": bad, "do": "balance"} {
			form.Set(name, value)
		}
		wantLines(t, bad, s.post(200, "/recipes/new", form).Body.String(), "Beef tallow 50", "Coconut oil "+bad)
	}
}

// What is weighed on a scale knows what that carries: from the pick, from a new
// recipe's start, and for a recipe that says only the steps of the one scale
// that has them.
func TestScalesCarry(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	for _, scale := range []url.Values{
		fill("name", "Big", "step", "1 g", "capacity", "5 kg"), fill("name", "Old", "step", "1 g", "capacity", "2 kg"),
		fill("name", "Small", "step", "0.1 g", "capacity", "500 g", "repeatability", "0.1 g"),
	} {
		s.post(303, "/things/scale/new", scale)
	}
	form := formOf(s.get(200, "/recipes/new"), "")
	if got := form.Get("r.scale.alkali_capacity") + " " + form.Get("r.scale.repeatability"); got != "500 g 0.1 g" {
		t.Errorf("a new recipe's alkali is on a scale that carries %s", got)
	}
	for name, value := range map[string]string{"r.name": "Much", "r.fats.0.material": "Beef tallow", "r.fats.0.share": "100", "r.size.fats": "3 kg", "size.by": "fats", "size.value": "3 kg", "pick.scale.fats": "old", "pick.scale.alkali": "big", "do": "pick"} {
		form.Set(name, value)
	}
	page := s.post(200, "/recipes/new", form).Body.String()
	picked := formOf(page, "r.scale.")
	if got := picked.Get("r.scale.fats_capacity") + " " + picked.Get("r.scale.alkali_capacity") + " " + picked.Get("r.scale.repeatability"); got != "2 kg 5 kg " {
		t.Errorf("picked scales carry %s", got)
	}
	for _, say := range []string{">Old, 1 g<", ">Big, 1 g<", "the fats weigh"} {
		if !strings.Contains(strings.ReplaceAll(page, "\u00a0", " "), say) {
			t.Errorf("it does not say %s", say)
		}
	}
	for _, gone := range []string{"r.scale.fats_capacity", "pick.scale.fats", "pick.scale.alkali"} {
		form.Del(gone)
	}
	form.Set("r.scale.fats", "0.1 g")
	form.Set("do", "work")
	if page := s.post(200, "/recipes/new", form).Body.String(); !strings.Contains(page, "the fats weigh") {
		t.Error("3 kg on the one scale of 0.1 g, which carries 500 g, are not told")
	}
}
