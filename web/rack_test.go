package web_test

import (
	"bytes"
	"fmt"
	"html"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"barwright/batch"
	"barwright/demo"
)

// rackShop opens the demo and returns it with a reader of its pages.
func rackShop(t *testing.T) (rackTester, func(path string) string) {
	t.Helper()
	b := rackTester{openShop(t, demo.NinthLock)}
	return b, func(path string) string { t.Helper(); return b.get(http.StatusOK, path) }
}

type rackTester struct{ shop }

// send sends a form and returns what was answered.
func (b rackTester) send(status int, path string, form url.Values) string {
	b.t.Helper()
	return html.UnescapeString(b.post(status, path, form).Body.String())
}

func (b rackTester) events(id string) []batch.Event {
	b.t.Helper()
	events, err := b.store.Events(b.t.Context(), id)
	if err != nil {
		b.t.Fatal(err)
	}
	return events
}

// The rack names the one mistyped weighing of the demo and offers what was
// meant; putting it right is an event of its own.
func TestRackNamesTheMistypedWeighing(t *testing.T) {
	t.Parallel()
	b, get := rackShop(t)
	body := get("/batches/b06/rack")
	if !strings.Contains(body, "Bar 1 on day 28 reads 58.4") || !strings.Contains(body, "Put right: 85.4 g") {
		t.Fatal("58.4 g is not named, or 85.4 g not offered")
	}
	of := regexp.MustCompile(`name="s.of" value="(b06-r\d+)"`).FindStringSubmatch(body)[1]
	b.send(http.StatusSeeOther, "/batches/b06/rack", url.Values{"id": {"fix-1"}, "kind": {"corrected"}, "s.of": {of}, "n.g": {"85,4"}, "s.why": {"mistyped"}})
	if body = get("/batches/b06/rack"); strings.Contains(body, "mistyped; it stays") || !strings.Contains(body, "not 58.4") {
		t.Error("it is still outvoted, or what stood there is gone")
	}
}

// A label that would become untrue is refused with the month, and with what it
// needs at the cut; what is proposed is not refused.
func TestRackRefusesALabel(t *testing.T) {
	t.Parallel()
	_, get := rackShop(t)
	body := get("/batches/b14/rack?sold=eu_uk&months=12&label=102+g")
	if !regexp.MustCompile(`is refused: it would become untrue in (November|December) 2026`).MatchString(body) || !regexp.MustCompile(`cut the next bars 3[2-9]\.\d.mm thick, where these were 31\.7.mm`).MatchString(body) { // 349 mm into 11 bars
		t.Error("102 g is not refused with its month and thickness")
	}
	most := regexp.MustCompile(`Print (\d+).g at most`).FindStringSubmatch(body)
	if most == nil || !strings.Contains(get("/batches/b14/rack?label="+most[1]), "stays true until October 2027") {
		t.Errorf("%v is proposed and refused", most)
	}
}

// What cannot be taken keeps what was typed: 422, and what is wrong.
func TestRackFormsKeepWhatWasTyped(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	body := b.send(http.StatusUnprocessableEntity, "/batches/b06/rack", url.Values{"kind": {"racked"}, "s.place": {"by the window"}, "n.rh_pct": {"640"}})
	if !strings.Contains(body, `value="by the window"`) || !strings.Contains(body, `value="640"`) || !strings.Contains(body, "umidity 640") {
		t.Error("what was typed is gone, or nothing says what is wrong")
	}
	body = b.send(http.StatusUnprocessableEntity, "/batches/b06/rack", url.Values{"kind": {"ready_by"}})
	if !strings.Contains(strings.ToLower(body), "no rule says when") {
		t.Error("no rule at all is taken, or not told")
	}
}

// A weighing day as a plain form: twelve weights and more at once, a slip is
// asked about and not refused, and nothing is written before it is answered.
func TestWeighingDayWithoutScript(t *testing.T) {
	t.Parallel()
	b, get := rackShop(t)
	page := get("/rack/weigh?all=1")
	form := url.Values{"all": {"1"}, "do": {"write"}}
	for _, m := range regexp.MustCompile(`name="w\.([^"]+)"[^>]*placeholder="([\d.]+)"`).FindAllStringSubmatch(page, -1) {
		form.Set("w."+m[1], m[2]) // as expected
	}
	if len(form) < 14 {
		t.Fatalf("%d bars", len(form)-2)
	}
	form.Set("w.b06.1", "38.1") // 83.1 was meant
	before := len(b.events("b06"))
	body := b.send(http.StatusUnprocessableEntity, "/rack/weigh", form)
	if !strings.Contains(body, "Really 38.1") || !strings.Contains(body, "Was it 83.1 g") || !strings.Contains(body, `value="38.1"`) || len(b.events("b06")) != before {
		t.Fatal("a slip is not asked about, or something was written")
	}
	form.Set("so.b06.1", "1")
	b.send(http.StatusSeeOther, "/rack/weigh", form)
	got := b.events("b06")
	if last, ok := got[len(got)-3].Do.(batch.BarWeighed); len(got) != before+3 || !ok || last.G != 38.1 || last.Bar != 1 {
		t.Errorf("%d events more, %+v", len(got)-before, got[len(got)-3])
	}
}

// The page's form has a file, so a browser sends it in parts.
func TestWeighingDayInParts(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for name, value := range map[string]string{"batch": "b06", "w.b06.1": "83.1", "do": "write"} {
		if err := w.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	before := len(b.events("b06"))
	req := httptest.NewRequest("POST", "/rack/weigh", &body)
	req.Header.Set("Content-Type", w.FormDataContentType())
	b.ask(http.StatusSeeOther, req)
	if len(b.events("b06")) != before+1 {
		t.Errorf("%d events more", len(b.events("b06"))-before)
	}
}

// A paste of a scale fills in what it names; what cannot be read is handed back.
func TestWeighingDayFromAScale(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	kept, err := b.store.Batch(t.Context(), "b06")
	if err != nil {
		t.Fatal(err)
	}
	code := kept.Code
	paste := fmt.Sprintf("batch;bar;g\n%s;1;83,1\n%s,2,82.2 g\nnonsense 4x\n", code, code)
	body := b.send(http.StatusOK, "/rack/weigh", url.Values{"batch": {"b06"}, "do": {"fill"}, "paste": {paste}})
	if !strings.Contains(body, `name="w.b06.1" inputmode="decimal" autocomplete="off" value="83.1"`) || !strings.Contains(body, `value="82.2"`) || !strings.Contains(body, "nonsense 4x") {
		t.Error("not filled in, or what was not read is not told")
	}
}

// What was learned is shown, can be left out and taken back.
func TestRackLessonsAreReset(t *testing.T) {
	t.Parallel()
	b, get := rackShop(t)
	if body := get("/batches/b14/rack"); !strings.Contains(body, "5 finished series") {
		t.Fatal("the five other batches of the loaf mould teach nothing")
	}
	b.send(http.StatusSeeOther, "/rack/learned", url.Values{})
	if body := get("/batches/b14/rack"); !strings.Contains(body, "begins from any maker") {
		t.Error("after starting over something is still learned")
	}
	b.send(http.StatusSeeOther, "/rack/learned", url.Values{"do": {"back"}})
	if body := get("/batches/b14/rack"); !strings.Contains(body, "5 finished series") {
		t.Error("it was not taken back")
	}
}
