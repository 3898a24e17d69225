package web_test

import (
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// Acceptance story 3 on the page: honey two ways, every change named, several
// at once, so no cause is proven; the order of the address does not matter.
func TestBatchesDiffer(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	page := s.get(200, "/batches/b05/differ?with=b04")
	for _, want := range []string{"confounded", "no cause is proven", "ats combined at 42 → 36 °C", "oney goes into the lye instead of in at trace", "reated for overheating → not"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	if other := s.get(200, "/batches/b04/differ?with=b05"); other != page {
		t.Error("the other way round it says something else")
	}
	if page := s.get(200, "/batches/b05"); !strings.Contains(page, `<option value="b04">`) {
		t.Error("the record does not offer the comparison")
	}
	s.get(303, "/batches/b05/differ?with=b05")
	s.get(404, "/batches/b05/differ?with=none")
}

// A logged core is drawn over the forecast, and is in its figures.
func TestBatchCurve(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	id := strings.TrimPrefix(bench, "/bench/")
	if page := c.get(200, "/batches/"+id); strings.Contains(page, "/curve") {
		t.Error("a curve before the pour")
	}
	c.to(bench, "rest.0")
	for _, read := range []string{"57,5", "61,5", "59"} {
		form := formAt(t, c.panel(bench, "temperature"), "reading")
		form.Set("s.of", "core")
		form.Set("n.c", read)
		c.post(303, bench, form)
		c.now = c.now.Add(20 * 60 * 1e9)
	}
	if page := c.get(200, "/batches/"+id); !strings.Contains(page, `href="/batches/`+id+`/curve"`) || !strings.Contains(page, "Hottest core read: 61.5\u202f°C") {
		t.Error("the record shows no curve")
	}
	if page := c.get(200, "/batches/"+id+"?part=curve"); strings.Count(page, `class="measured"`) != 2 || strings.Contains(page, "data-later") {
		t.Error("the record does not draw it, for a laptop and for a phone")
	}
	svg := c.ask(200, httptest.NewRequest("GET", "/batches/"+id+"/curve", nil))
	if svg.Header().Get("Content-Type") != "image/svg+xml" || !strings.Contains(svg.Body.String(), `class="measured"`) {
		t.Errorf("%.200s", svg.Body.String())
	}
}

// What was read of the core at the bench teaches the heat forecast by one tap, of
// the batch as it was poured and as it rested; so does a thermometer's file. What
// teaches nothing is told, and stays typed.
func TestBatchCurveTeaches(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	page := "/batches/" + strings.TrimPrefix(bench, "/bench/")
	c.to(bench, "rest.0")
	form := formAt(t, c.panel(bench, "rest"), "rested")
	form.Set("s.place", "room")
	form.Set("s.cover", "towel")
	form.Set("n.c", "17")
	c.post(303, bench, form)
	read := func(text string) {
		form := formAt(t, c.panel(bench, "temperature"), "reading")
		form.Set("s.of", "core")
		form.Set("n.c", text)
		c.post(303, bench, form)
		c.now = c.now.Add(25 * 60 * 1e9)
	}
	read("57,5")
	if w := c.post(422, page+"/curve", url.Values{}); !strings.Contains(w.Body.String(), "two readings at least, 1 can be used") {
		t.Errorf("one reading is taken: %v", told(w.Body.String()))
	}
	if w := c.post(422, page+"/curve", url.Values{"text": {"0 min, 50\nwarm"}, "late": {"5"}}); !strings.Contains(w.Body.String(), "0 min, 50\nwarm") {
		t.Error("what was typed is lost")
	}
	for _, text := range []string{"61,5", "66", "68", "65", "60", "55", "51"} {
		read(text)
	}
	if body := c.get(200, page); !strings.Contains(body, "8 read at the bench") || !strings.Contains(body, "room 17 °C, towel") {
		t.Error("the record does not say how it rested and what was read")
	}
	c.post(303, page+"/curve", url.Values{})
	if body := c.get(200, page); !strings.Contains(body, "This curve teaches the heat forecast") || strings.Contains(body, "Learn from it") {
		t.Error("the record does not say that its curve teaches")
	}
	if body := c.get(200, "/learned"); !strings.Contains(body, `href="`+page+`#curve"`) || !strings.Contains(body, "Warmest core 68") {
		t.Errorf("not learned: %.3000s", body)
	}
	c.post(422, page+"/curve", url.Values{"text": {"0 min, 50"}})
	c.post(404, "/batches/none/curve", url.Values{})
}
