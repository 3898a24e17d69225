package web_test

import (
	"net/http/httptest"
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
	if page := c.get(200, "/batches/"+id); !strings.Contains(page, `src="/batches/`+id+`/curve"`) || !strings.Contains(page, "Hottest core read: 61.5\u202f°C") {
		t.Error("the record shows no curve")
	}
	svg := c.ask(200, httptest.NewRequest("GET", "/batches/"+id+"/curve", nil))
	if svg.Header().Get("Content-Type") != "image/svg+xml" || !strings.Contains(svg.Body.String(), `class="measured"`) {
		t.Errorf("%.200s", svg.Body.String())
	}
}
