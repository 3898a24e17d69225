package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/store"
)

// The cookie: out of the reach of scripts, of what other sites send, and under
// TLS of plain HTTP; links from elsewhere take it along. What is kept of it opens no door.
func TestTheCookie(t *testing.T) {
	t.Parallel()
	for _, secure := range []bool{false, true} {
		d := Door{Open: true}
		if secure {
			d.Authority = []byte("a certificate")
		}
		h := openHouse(t, d)
		c := h.letIn(phone, "Phone")
		if !c.HttpOnly || c.SameSite != http.SameSiteLaxMode || c.Secure != secure || c.Path != "/" || c.Domain != "" || c.MaxAge <= 0 || strings.HasPrefix(c.Name, "__Host-") != secure {
			t.Errorf("secure %v: %+v", secure, c)
		}
		if len(c.Value) != 43 { // 256 bits in base64
			t.Errorf("a token of %d letters", len(c.Value))
		}
		if w := h.ask(phone, "GET", "/recipes", nil, with(c)); w.Code != http.StatusOK {
			t.Errorf("secure %v: %d", secure, w.Code)
		}
		all, err := h.store.Devices(t.Context())
		if err != nil || len(all) != 1 || strings.Contains(fmt.Sprint(all), c.Value) {
			t.Errorf("kept: %v (%v)", all, err)
		}
		for _, wrong := range []string{all[0].Hash, all[0].Hash[:43], "", "x", c.Value + "x", strings.Repeat("A", 43), strings.ToUpper(c.Value), strings.Repeat("x", 1<<16)} {
			if w := h.ask(phone, "GET", "/recipes", nil, with(&http.Cookie{Name: c.Name, Value: wrong})); w.Code != http.StatusSeeOther {
				t.Errorf("%.50q opened the door", wrong)
			}
		}
	}
}

// A token that went over plain HTTP, where anybody may have read it, is not
// good under TLS.
func TestPlainTokensAreNotGoodUnderTLS(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	c := h.letIn(phone, "Phone")
	h.door.Authority = []byte("a certificate")
	for _, name := range []string{c.Name, h.door.cookieName()} {
		if w := h.ask(phone, "GET", "/recipes", nil, with(&http.Cookie{Name: name, Value: c.Value})); w.Code != http.StatusSeeOther {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
}

// Turned away, a device is out with its next request, and a second tap on the
// button is no trouble.
func TestRevocation(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	one, two := h.letIn(phone, "One"), h.letIn("192.168.1.31", "Two")
	hash := func(c *http.Cookie) url.Values { return url.Values{"device": {h.door.hash(c.Value)}} }
	if w := h.ask(phone, "POST", "/devices/remove", hash(two), with(one)); w.Code != http.StatusForbidden {
		t.Errorf("one device turned another away: %d", w.Code)
	}
	if w := h.ask(phone, "POST", "/devices/code", url.Values{}, with(one)); w.Code != http.StatusForbidden {
		t.Errorf("a device asked for a code: %d", w.Code)
	}
	if w := h.ask(phone, "GET", "/devices", nil, with(one)); strings.Contains(w.Body.String(), "Two") || !strings.Contains(w.Body.String(), "One") {
		t.Error("a device sees others, or not itself")
	}
	for range 2 {
		if w := h.ask(loop, "POST", "/devices/remove", hash(one)); w.Code != http.StatusSeeOther {
			t.Errorf("%d %s", w.Code, w.Body)
		}
	}
	if w := h.ask(phone, "GET", "/recipes", nil, with(one)); w.Code != http.StatusSeeOther {
		t.Errorf("turned away, and answered %d", w.Code)
	}
	w := h.ask(phone, "POST", "/devices/remove", hash(two), with(two))
	if gone := w.Result().Cookies(); w.Header().Get("Location") != "/pair" || len(gone) != 1 || gone[0].MaxAge >= 0 {
		t.Errorf("gone of itself: %v", w.Header())
	}
	if w := h.ask(phone, "GET", "/recipes", nil, with(two)); w.Code != http.StatusSeeOther {
		t.Errorf("gone, and answered %d", w.Code)
	}
}

// When a device was last here is kept, but not at every request.
func TestVisitsAreNoted(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	start := h.clock
	c := h.letIn(phone, "Phone")
	for _, step := range []struct{ after, seen time.Duration }{{30 * time.Second, 0}, {61 * time.Second, 61 * time.Second}, {90 * time.Second, 61 * time.Second}} {
		h.clock = start.Add(step.after)
		h.ask(phone, "GET", "/recipes", nil, with(c))
		if all, err := h.store.Devices(t.Context()); err != nil || !all[0].SeenAt.Equal(start.Add(step.seen)) || !all[0].PairedAt.Equal(start) {
			t.Errorf("after %s: %+v (%v)", step.after, all, err)
		}
	}
}

// A device that is used keeps its cookie: once a day it gets it anew, the same,
// for another 400 days, which is the longest that browsers keep one.
func TestTheCookieIsRenewed(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	start := h.clock
	c := h.letIn(phone, "Phone")
	for _, step := range []struct {
		after   time.Duration
		renewed int
	}{{2 * time.Minute, 0}, {11 * time.Hour, 0}, {13 * time.Hour, 1}, {13*time.Hour + 2*time.Minute, 0}, {399 * 24 * time.Hour, 1}, {700 * 24 * time.Hour, 1}} {
		h.clock = start.Add(step.after)
		w := h.ask(phone, "GET", "/recipes", nil, with(c))
		got := w.Result().Cookies()
		if w.Code != http.StatusOK || len(got) != step.renewed {
			t.Fatalf("after %s: %d, cookies %v", step.after, w.Code, got)
		}
		if len(got) > 0 && (got[0].Value != c.Value || got[0].MaxAge != 400*24*60*60 || !got[0].HttpOnly || got[0].SameSite != c.SameSite) {
			t.Errorf("after %s: %+v", step.after, got[0])
		}
	}
	h.clock = h.clock.AddDate(0, 0, 2)
	w := h.ask(phone, "POST", "/devices/remove", url.Values{"device": {h.door.hash(c.Value)}}, with(c))
	if got := w.Result().Cookies(); len(got) == 0 || got[len(got)-1].MaxAge >= 0 {
		t.Errorf("turned away, and its last cookie is %v", got)
	}
	h.clock = h.clock.AddDate(0, 0, 2)
	if w := h.ask(phone, "GET", "/recipes", nil, with(c)); len(w.Result().Cookies()) > 0 {
		t.Error("a device that was turned away gets its cookie anew")
	}
}

// Whoever sends thousands of wrong codes does not fill the log.
func TestTheLogIsNotFlooded(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	h.PairingCode()
	for i := range 3000 {
		h.pairing(fmt.Sprintf("10.0.%d.%d", i/200, i%200+1), "00000000", "x")
		h.clock = h.clock.Add(100 * time.Millisecond) // five minutes together
	}
	if n := strings.Count(h.log.String(), "\n"); n < 2 || n > 6 {
		t.Errorf("%d lines in five minutes", n)
	}
}

// Odd names are just odd.
func TestOddDeviceNames(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	for typed, kept := range map[string]string{
		`<script>alert(1)</script>"'&`: `<script>alert(1)</script>"'&`,
		"  Kitchen\r\n\tphone ":        "Kitchen phone",
		"":                             "A device without a name",
		"\x00\x1b[31m\u202e":           "[31m",
		"\xff\xfe":                     "A device without a name",
		strings.Repeat("é", 100):       strings.Repeat("é", 60),
	} {
		h.letIn(phone, typed)
		all, err := h.store.Devices(t.Context())
		if err != nil || !slices.ContainsFunc(all, func(d store.Device) bool { return d.Name == kept }) {
			t.Errorf("%q is not kept as %q: %v", typed, kept, all)
		}
	}
	page := h.ask(loop, "GET", "/devices", nil).Body.String()
	if strings.Contains(page, "<script>alert") || !strings.Contains(page, "&lt;script&gt;alert(1)") || strings.Contains(page, `Turn <script`) {
		t.Error(page)
	}
	if strings.Count(h.log.String(), "\n") != 6 || strings.Contains(h.log.String(), "\x1b") {
		t.Errorf("the log: %q", h.log.String())
	}
}

// Neither codes nor tokens are in the log.
func TestTheLogKeepsSecrets(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	code, _ := h.PairingCode()
	plain := strings.ReplaceAll(code, " ", "")
	h.ask(phone, "GET", "/pair?code="+plain, nil)
	for range 7 {
		h.pairing(phone, "00000000", "x")
	}
	c := h.letIn("192.168.1.31", "Tablet")
	h.store.Close() // every page is now a fault
	if w := h.ask("192.168.1.31", "GET", "/recipes?code="+plain, nil, with(c)); w.Code < 500 {
		t.Errorf("a closed store answered %d", w.Code)
	}
	text := h.log.String()
	if !strings.Contains(text, "wrong pairing codes, the last from 192.168.1.30") || !strings.Contains(text, `let in: "Tablet" at 192.168.1.31`) {
		t.Errorf("the log says too little: %s", text)
	}
	for _, secret := range []string{code, plain, c.Value, h.door.hash(c.Value)} {
		if strings.Contains(text, secret) {
			t.Errorf("%q is in the log: %s", secret, text)
		}
	}
}

// The computer itself shows the code and the QR code; a good code fills in the
// form, and nothing else does.
func TestDevicesPage(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	code, _ := h.PairingCode()
	page := h.ask(loop, "GET", "/devices", nil).Body.String()
	for _, must := range []string{code, `class="qr"`, "http://192.168.1.20:8420/pair<", "until 12:10", "Over plain HTTP"} {
		if !strings.Contains(page, must) {
			t.Errorf("no %q", must)
		}
	}
	h.clock = h.clock.Add(11 * time.Minute)
	if page := h.ask(loop, "GET", "/devices", nil).Body.String(); strings.Contains(page, code) || !strings.Contains(page, "Show a code") {
		t.Error("a code that has run out is shown")
	}
	if w := h.ask(loop, "POST", "/devices/code", url.Values{}); w.Header().Get("Location") != "/devices" {
		t.Errorf("%d", w.Code)
	}
	if page := h.ask(loop, "GET", "/devices", nil).Body.String(); strings.Contains(page, code) || !strings.Contains(page, "until 12:21") {
		t.Error("no new code")
	}
	nowhere := openHouse(t, Door{Open: true, Addresses: func() []string { return nil }, WhyNowhere: func() string { return "Only addresses of the internet." }})
	if page := nowhere.ask(loop, "GET", "/devices", nil).Body.String(); !strings.Contains(page, "Only addresses of the internet.") {
		t.Error("it does not say why no device is let in")
	}
	shut := openHouse(t, Door{})
	if page := shut.ask(loop, "GET", "/devices", nil).Body.String(); !strings.Contains(page, "Only this computer") || strings.Contains(page, "Show a code") {
		t.Error("shut, and it lets devices in")
	}
	for query, value := range map[string]string{"12345678": "1234 5678", "1234%205678": "1234 5678", "1": "", `"><script>`: ""} {
		page := h.ask(phone, "GET", "/pair?code="+query, nil).Body.String()
		if !strings.Contains(page, `name="code" value="`+value+`"`) {
			t.Errorf("?code=%s does not fill in %q", query, value)
		}
	}
	if all, err := h.store.Devices(t.Context()); err != nil || len(all) != 0 {
		t.Error("looking let a device in")
	}
}
