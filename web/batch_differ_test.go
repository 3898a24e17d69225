package web_test

import (
	"net/http/httptest"
	"net/url"
	"regexp"
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
	for _, wrong := range []struct{ text, late, why string }{
		{"0 min, 57\n30 min, 60\n1 h, 61", "", "it takes 6 readings at least"},
		{"0 min, 30\n20 min, 34\n40 min, 36\n1 h, 40\n1 h 20, 41\n1 h 40, 42\n2 h 10, 43", "", "It begins at 30"},
		{"0 min, 57\n20 min, 60\n40 min, 61\n1 h, 62\n1 h 20, 61\n1 h 40, 60\n9 h, 43", "", "still to come"},
	} {
		if w := c.post(422, page+"/curve", url.Values{"text": {wrong.text}, "late": {wrong.late}}); !strings.Contains(w.Body.String(), wrong.why) {
			t.Errorf("not %q: %v", wrong.why, told(w.Body.String()))
		}
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
	// Planned for the fridge, it was forecast as it rested: warm under a towel.
	if m := regexp.MustCompile(`told before (\d+)`).FindStringSubmatch(c.get(200, "/learned?part=lessons")); m == nil || len(m[1]) < 2 || m[1] < "70" && len(m[1]) == 2 {
		t.Errorf("told before %v: that is the fridge's", m)
	}
	if body := c.get(200, page+"?part=curve"); !strings.Contains(body, "17\u202f°C around it") && !strings.Contains(body, "17 °C around it") || strings.Contains(body, ">4 °C around it") {
		t.Error("the curve is drawn over the forecast of the fridge")
	}
	c.post(422, page+"/curve", url.Values{"text": {"0 min, 50"}})
	c.post(404, "/batches/none/curve", url.Values{})
}

// A core that was first read in the morning is not a core at the pour.
func TestBatchCurveOfTheMorning(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("plain-tow-v2", nil)
	page := "/batches/" + strings.TrimPrefix(bench, "/bench/")
	c.to(bench, "rest.0")
	c.now = c.now.Add(8 * 60 * 60 * 1e9)
	for _, text := range []string{"44", "42", "40", "38", "36", "34", "32"} {
		form := formAt(t, c.panel(bench, "temperature"), "reading")
		form.Set("s.of", "core")
		form.Set("n.c", text)
		c.post(303, bench, form)
		c.now = c.now.Add(25 * 60 * 1e9)
	}
	c.post(303, page+"/curve", url.Values{})
	if body := c.get(200, page); !strings.Contains(body, "44.0\u202f°C, 8") || strings.Contains(body, "at the pour") {
		t.Error("the morning's core stands at the pour")
	}
	learned := c.get(200, "/learned")
	put := regexp.MustCompile(`action="(/learned/batch-[a-z0-9]+)"`).FindStringSubmatch(learned)
	if put == nil {
		t.Fatal("it is not learned from")
	}
	c.post(303, put[1], url.Values{})
	c.post(303, page+"/curve", url.Values{})
	if n := strings.Count(c.get(200, "/learned"), put[1]); n != 1 {
		t.Errorf("put away and logged anew it stands %d times", n)
	}
}
