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
	if !strings.Contains(body, `value="by the window"`) || !strings.Contains(body, `value="640"`) || !strings.Contains(body, "umidity is 5 to 95") {
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
	form.Set("so.b06.1", "38.1") // of this weight, and no other
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

// "One more" asks what weighing day asks, keeps what was typed, and takes the
// answer for that weight alone.
func TestRackAsksAboutASlip(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	before := len(b.events("b06"))
	form := url.Values{"kind": {"bar_weighed"}, "n.bar": {"1"}, "n.g": {"38,1"}, "id": {"more-1"}}
	for range 2 {
		body := b.send(http.StatusUnprocessableEntity, "/batches/b06/rack", form)
		if !strings.Contains(body, "Really 38.1\u202fg?") || !strings.Contains(body, "Was it 83.1 g") || !strings.Contains(body, `value="38,1"`) {
			t.Fatal("a slip is not asked about, or what was typed is gone")
		}
		form.Set("so", "38,2") // another weight's answer
	}
	if got := len(b.events("b06")); got != before {
		t.Fatalf("%d events more", got-before)
	}
	form.Set("so", "38,1")
	b.send(http.StatusSeeOther, "/batches/b06/rack", form)
	if got := len(b.events("b06")); got != before+1 {
		t.Errorf("%d events more", got-before)
	}
}

// Every error of the rack's forms is in a maker's words, on top and beside its
// field: no key of an event, no stop after a stop.
func TestRackFormsSpeakPlainly(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	for _, c := range []struct {
		form url.Values
		want string
	}{
		{url.Values{"kind": {"bar_weighed"}, "n.bar": {"1"}, "n.g": {"0"}}, "Grams of one bar"},
		{url.Values{"kind": {"bar_weighed"}, "n.bar": {"1.5"}, "n.g": {"80"}}, "1 to 6"},
		{url.Values{"kind": {"bar_weighed"}, "n.bar": {"1"}, "n.g": {"soap"}}, "Grams of one bar"},
		{url.Values{"kind": {"bar_weighed"}, "n.bar": {"1"}, "n.g": {"80"}, "on": {"1999-01-01"}}, "not weighed before"},
		{url.Values{"kind": {"bar_weighed"}, "n.bar": {"1"}, "n.g": {"80"}, "on": {"2999-01-01"}}, "today at the latest"},
		{url.Values{"kind": {"racked"}}, "Say where"},
		{url.Values{"kind": {"racked"}, "s.place": {"x"}, "n.c": {"200"}}, "The air of a rack"},
		{url.Values{"kind": {"came_out"}, "s.of": {"cut"}, "s.how": {"smooth"}, "n.hours": {"-4"}}, "Hours after the pour"},
		{url.Values{"kind": {"ready_by"}, "n.weekly_pct": {"50"}}, "0.02 to 10"},
		{url.Values{"kind": {"ready_by"}, "n.weekly_pct": {"0"}}, "fill in one at least"},
		{url.Values{"kind": {"corrected"}, "s.of": {"x"}, "n.g": {"-1"}}, "Grams of one bar"},
	} {
		body := b.send(http.StatusUnprocessableEntity, "/batches/b06/rack", c.form)
		said := regexp.MustCompile(`(?s)role="alert".*?</div>`).FindString(body)
		if !strings.Contains(said, c.want) || strings.Contains(said, "..") || regexp.MustCompile(`\w_\w|\b(g|bar|at|how|c|hours): `).MatchString(said) {
			t.Errorf("%v: on top stands %s", c.form, said)
		}
		if _, below, _ := strings.Cut(body, said); c.form.Get("kind") != "corrected" && !strings.Contains(below, c.want) {
			t.Errorf("%v: nothing beside its field", c.form)
		}
	}
}

// A weighing day is kept whole or not at all: with one tap whose id another event
// of its batch has, nothing is written.
func TestWeighingDayIsWholeOrNothing(t *testing.T) {
	t.Parallel()
	b, _ := rackShop(t)
	taken := b.events("b14")[0].ID
	form := url.Values{"all": {"1"}, "do": {"write"}, "w.b06.1": {"83.1"}, "w.b14.1": {"NaN"}}
	before := len(b.events("b06"))
	b.send(http.StatusUnprocessableEntity, "/rack/weigh", form)
	if got := len(b.events("b06")); got != before {
		t.Errorf("%d events though one field held no weight", got-before)
	}
	form.Set("w.b14.1", "99.5")
	form.Set("id.b14.1", "no id: "+taken)
	b.send(http.StatusUnprocessableEntity, "/rack/weigh", form)
	if got := len(b.events("b06")); got != before {
		t.Errorf("%d events though one could not be kept", got-before)
	}
}

// The workshop chooses its rules once; a batch with its own keeps them, until it
// goes by the workshop's again. Working backward goes by them too.
func TestRulesOfTheWorkshop(t *testing.T) {
	t.Parallel()
	b, get := rackShop(t)
	if body := get("/batches/b06/rack"); !strings.Contains(body, `name="n.least_weeks" inputmode="decimal" value="4"`) || !strings.Contains(body, "the workshop's rules") {
		t.Error("the usual rules do not stand there")
	}
	b.send(http.StatusSeeOther, "/batches/b09/rack", url.Values{"kind": {"ready_by"}, "n.gone_pct": {"95"}})
	shop, err := b.store.Thing(t.Context(), "workshop", "workshop")
	if err != nil {
		t.Fatal(err)
	}
	set := func(status int, weeks string) string {
		return b.send(status, "/things/workshop/workshop", url.Values{"rev": {fmt.Sprint(shop.Rev)}, "do": {"save"}, "f.name": {"Ninth Lock Soap Room"}, "f.currency": {"EUR"}, "f.dry.weeks": {weeks}})
	}
	if body := set(http.StatusUnprocessableEntity, "900"); !strings.Contains(body, "0 to 520 weeks") {
		t.Error("900 weeks are taken, or not told")
	}
	set(http.StatusSeeOther, "20")
	if body := get("/batches/b06/rack"); !strings.Contains(body, "it has then stood 20 weeks") {
		t.Error("a batch without rules of its own does not go by the workshop's")
	}
	if body := get("/batches/b09/rack"); !strings.Contains(body, "95 % of the water") || !strings.Contains(body, "rules of its own") {
		t.Error("a batch's own rules are gone")
	}
	if body := get("/calendar?for=2027-11-29&pack=3&recipe=plain-tow"); !strings.Contains(body, "140 days on the rack") || !strings.Contains(body, "6 finished series of your own bars of M1 wood loaf") || !strings.Contains(body, "20 weeks at least") {
		t.Error("backward from a day does not go by the workshop's rules")
	}
	b.send(http.StatusSeeOther, "/batches/b09/rack", url.Values{"kind": {"ready_by"}, "as": {"workshop"}})
	if body := get("/batches/b09/rack"); !strings.Contains(body, "it has then stood 20 weeks") {
		t.Error("it does not go by the workshop's again")
	}
}

// Soap that a laboratory released is not told to be without a label.
func TestRackOfReleasedSoap(t *testing.T) {
	t.Parallel()
	_, get := rackShop(t)
	if body := get("/batches/b10/rack"); strings.Contains(body, "no label") {
		t.Error("released soap is told to have no label")
	}
	if body := get("/batches/b14/rack"); !strings.Contains(body, "On hold: no label") {
		t.Error("soap on hold is not told to have no label")
	}
}

// Where every bar was weighed nothing is a bound: the lightest is known.
func TestNetWeightOfEveryBarWeighed(t *testing.T) {
	t.Parallel()
	_, get := rackShop(t)
	if body := get("/batches/b07/rack"); !strings.Contains(body, "every one of the 6 bars was weighed") || strings.Contains(body, "95 of 100") {
		t.Error("six of six bars are told as a sample")
	}
	if body := get("/batches/b14/rack"); !strings.Contains(body, "10 of 11 bars weighed at the cut") || !strings.Contains(body, "95 of 100") {
		t.Error("ten of eleven bars are not told as a sample")
	}
}
