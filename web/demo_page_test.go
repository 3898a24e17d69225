package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// Only a button starts the demo, and only on the computer itself: looking
// changes nothing, and a page of another site cannot.
func TestTheDemoIsStartedByAButton(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	started := 0
	h.sideDemo = func() (string, error) { started++; return "http://127.0.0.1:9", nil }
	cookie := h.letIn(phone, "Phone")
	for what, w := range map[string]int{
		"looked at":         h.ask(loop, "GET", "/demo", nil).Code,
		"of another site":   h.ask(loop, "POST", "/demo", url.Values{}, header("Origin", "https://evil.example")).Code,
		"by a phone":        h.ask(phone, "POST", "/demo", url.Values{}, with(cookie)).Code,
		"seen from a phone": h.ask(phone, "GET", "/demo", nil, with(cookie)).Code,
	} {
		if want := map[string]int{"looked at": http.StatusOK}[what]; w != want && w != http.StatusForbidden || want == 0 && w == http.StatusOK {
			t.Errorf("%s: %d", what, w)
		}
	}
	if page := h.ask(loop, "GET", "/demo", nil); started > 0 || page.Header().Get("Refresh") != "" || !strings.Contains(page.Body.String(), "Start the demo workshop") {
		t.Errorf("started %d times by looking: %s", started, page.Body)
	}
	if page := h.ask(loop, "GET", "/", nil).Body.String(); !strings.Contains(page, `<form id="demo" method="post" action="/demo">`) {
		t.Error("no button on the first page")
	}
	if w := h.ask(loop, "POST", "/demo", url.Values{}); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/demo" || started != 1 {
		t.Errorf("%d %v", w.Code, w.Header())
	}
	page := h.ask(loop, "GET", "/demo", nil)
	if page.Header().Get("Refresh") != "0; url=http://127.0.0.1:9" || !strings.Contains(page.Body.String(), `href="http://127.0.0.1:9"`) {
		t.Errorf("%v %s", page.Header(), page.Body)
	}
}
