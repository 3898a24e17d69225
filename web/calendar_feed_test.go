package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
)

var feedAddress = regexp.MustCompile(`http://192\.168\.1\.20:8420(/calendar/feed/[^<"]+)`)

// A feed's address opens the calendar and nothing else, to anybody who has it,
// until it is withdrawn; only the computer itself makes and withdraws one, and
// the workshop keeps only its hash.
func TestFeed(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	c := h.letIn(phone, "phone")
	if w := h.ask(phone, "POST", "/calendar/feeds", url.Values{"name": {"mine"}}, with(c)); w.Code != http.StatusForbidden {
		t.Errorf("a device made a feed: %d", w.Code)
	}
	w := h.ask(loop, "POST", "/calendar/feeds", url.Values{"name": {"Anna's phone"}})
	m := feedAddress.FindStringSubmatch(w.Body.String())
	if w.Code != http.StatusOK || m == nil {
		t.Fatalf("no address: %d %s", w.Code, w.Body)
	}
	token := strings.TrimSuffix(strings.TrimPrefix(m[1], "/calendar/feed/"), ".ics")
	h.clock = h.clock.Add(2 * time.Hour)
	w = h.ask("192.168.1.44", "GET", m[1], nil)
	if w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "BEGIN:VCALENDAR\r\n") || w.Header().Get("Content-Type") != "text/calendar; charset=utf-8" {
		t.Errorf("the feed: %d %q", w.Code, w.Body)
	}
	away := func(path string, change ...func(*http.Request)) {
		t.Helper()
		if w := h.ask("192.168.1.44", "GET", path, nil, change...); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/pair" {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
	away("/calendar/feed/" + strings.Repeat("A", len(token)) + ".ics")
	away("/calendar.ics")
	away("/calendar", with(&http.Cookie{Name: h.door.cookieName(), Value: token})) // it is no device's token
	away("/calendar/feed/" + c.Value + ".ics")                                     // nor the other way round
	page := h.ask(loop, "GET", "/calendar", nil).Body.String()
	devices := h.ask(loop, "GET", "/devices", nil).Body.String()
	hash := regexp.MustCompile(`name="feed" value="([^"]+)"`).FindStringSubmatch(page)
	if hash == nil || strings.Contains(page, token) || !strings.Contains(page, "last fetched today at 14:00") || strings.Contains(devices, "Anna") {
		t.Fatal("the page shows the secret again, or not when it was last fetched")
	}
	for from, want := range map[string]int{phone: http.StatusForbidden, loop: http.StatusSeeOther} {
		if w := h.ask(from, "POST", "/calendar/feeds/remove", url.Values{"feed": {hash[1]}}, with(c)); w.Code != want {
			t.Errorf("withdrawn from %s: %d", from, w.Code)
		}
	}
	away(m[1])
	if w := h.ask(phone, "GET", "/calendar.ics", nil, with(c)); w.Code != http.StatusOK {
		t.Errorf("withdrawing a feed turned a device away: %d", w.Code)
	}
	if closed := openHouse(t, Door{}); closed.ask(phone, "GET", m[1], nil).Code == http.StatusOK {
		t.Error("a workshop that lets nobody in serves a feed")
	}
}
