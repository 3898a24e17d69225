package web

import (
	"bytes"
	"context"
	"fmt"
	"log"
	"maps"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/store"
)

// house is an app with a clock that is set by hand, and its log.
type house struct {
	*App
	t     *testing.T
	clock time.Time
	log   bytes.Buffer
	http.Handler
}

// thisMachine is the address by which the strangers of the tests reach it.
const thisMachine = "192.168.1.20"

func openHouse(t *testing.T, d Door) *house {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	h := &house{t: t, clock: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)}
	if d.Addresses == nil {
		d.Addresses = func() []string { return []string{thisMachine + ":8420"} }
	}
	if h.App, err = New(s, Options{Now: func() time.Time { return h.clock }, Log: log.New(&h.log, "", 0), Door: d}); err != nil {
		t.Fatal(err)
	}
	h.Handler = h.App.Handler()
	return h
}

// ask is a request as it would come from an address; change makes it special.
func (h *house) ask(from, method, target string, form url.Values, change ...func(*http.Request)) *httptest.ResponseRecorder {
	h.t.Helper()
	r := httptest.NewRequest(method, target, strings.NewReader(form.Encode()))
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.RemoteAddr = netip.AddrPortFrom(netip.MustParseAddr(from), 50000).String()
	r.Host = "127.0.0.1:8420"
	if !netip.MustParseAddr(from).IsLoopback() {
		r.Host = thisMachine + ":8420"
		local := net.TCPAddrFromAddrPort(netip.MustParseAddrPort(thisMachine + ":8420"))
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, net.Addr(local)))
	}
	for _, c := range change {
		c(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) {
		if name == "Host" {
			r.Host = value
		} else {
			r.Header.Set(name, value)
		}
	}
}

// Addresses of the tests.
const (
	loop  = "127.0.0.1"
	phone = "192.168.1.30"
)

// pairing types a code at an address.
func (h *house) pairing(from, code, name string) *httptest.ResponseRecorder {
	h.t.Helper()
	return h.ask(from, "POST", "/pair", url.Values{"code": {code}, "name": {name}})
}

// letIn pairs a device and returns its cookie.
func (h *house) letIn(from, name string) *http.Cookie {
	h.t.Helper()
	code, _ := h.PairingCode()
	w := h.pairing(from, code, name)
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/" || len(w.Result().Cookies()) != 1 {
		h.t.Fatalf("not let in: %d %s", w.Code, w.Body)
	}
	return w.Result().Cookies()[0]
}

func with(c *http.Cookie) func(*http.Request) { return func(r *http.Request) { r.AddCookie(c) } }

// paths is every page of the app, with something in the place of ids.
func (h *house) paths() []string {
	fill := strings.NewReplacer("{$}", "", "{id}", "x", "{kind}", "mould")
	return slices.Sorted(func(yield func(string) bool) {
		for pattern := range maps.Keys(h.routes()) {
			if !yield(fill.Replace(pattern)) {
				return
			}
		}
	})
}

// A stranger gets the pairing page and the static files and nothing else,
// however the address is spelled.
func TestStrangersGetThePairingPageOnly(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	asked := 0
	check := func(method, target string) {
		t.Helper()
		asked++
		if w := h.ask(phone, method, target, url.Values{}); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/pair" {
			t.Errorf("%s %s: %d %q", method, target, w.Code, w.Body)
		}
	}
	for _, p := range h.paths() {
		method, path, _ := strings.Cut(p, " ")
		if path != "/pair" {
			check(method, path)
		}
	}
	if asked < 25 {
		t.Errorf("%d pages: are these all?", asked)
	}
	for _, path := range []string{"/static/../recipes", "/static/..%2frecipes", "/static%2f..%2frecipes", "//recipes", "/pair/../recipes", "/pair/", "/Pair", "/static/", "/pair%2f..%2fexport", "/./export", "/export?code=1", "/static/x/../../export"} {
		w := h.ask(phone, "GET", path, nil)
		switch { // nowhere, to the pairing page, or to a cleaner spelling
		case w.Code == http.StatusNotFound && path == "/static/..%2frecipes":
		case w.Code == http.StatusSeeOther && w.Header().Get("Location") == "/pair":
		default:
			t.Errorf("%s: %d %q %q", path, w.Code, w.Header().Get("Location"), w.Body)
		}
	}
	for _, method := range []string{"PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT"} {
		check(method, "/recipes")
		check(method, "/pair")
	}
	w := h.ask(phone, "GET", "/pair", nil)
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `name="code"`) {
		t.Errorf("the pairing page: %d", w.Code)
	}
	if w := h.ask(phone, "GET", h.pages.hashed["style.css"], nil); w.Code != http.StatusOK {
		t.Errorf("the style sheet: %d", w.Code)
	}
}

// The pairing page tells a stranger nothing of the workshop, not even its
// name; nor does a page that went wrong.
func TestStrangersLearnNothing(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	if _, err := h.store.SaveThing(t.Context(), store.Thing{Kind: kindWorkshop, ID: "w", Body: "name = \"Ninth Lock\"\n"}); err != nil {
		t.Fatal(err)
	}
	if w := h.ask(loop, "GET", "/recipes", nil); !strings.Contains(w.Body.String(), "Ninth Lock") {
		t.Fatal("the workshop has no name to hide")
	}
	for _, w := range []*httptest.ResponseRecorder{
		h.ask(phone, "GET", "/pair", nil),
		h.pairing(phone, "12345678", "x"),
		h.pairing(phone, "12", strings.Repeat("x", 5000)),
		h.ask(phone, "GET", "/recipes", nil),
	} {
		if strings.Contains(w.Body.String(), "Ninth Lock") || strings.Contains(w.Body.String(), "/stock") {
			t.Errorf("%d: %s", w.Code, w.Body)
		}
	}
}

// The computer itself comes in without a code; who came over another program
// or from elsewhere does not, whatever the headers say.
func TestWhoIsHere(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	shut := openHouse(t, Door{})
	for _, c := range []struct {
		from   string
		change func(*http.Request)
		open   bool
	}{
		{loop, header("X", ""), true},
		{"127.0.0.2", header("X", ""), true},
		{"::1", header("X", ""), true},
		{"::ffff:127.0.0.1", header("X", ""), true},
		{phone, header("X", ""), false},
		{phone, header("X-Forwarded-For", loop), false},
		{phone, header("X-Real-IP", loop), false},
		{phone, header("Forwarded", "for=127.0.0.1"), false},
		{loop, header("X-Forwarded-For", loop), false},
		{loop, header("Forwarded", "for=127.0.0.1"), false},
		{loop, header("Via", "1.1 x"), false},
		{loop, header("X-Forwarded-Host", "localhost"), false},
		{loop, header("X-Forwarded-Proto", "http"), false},
		{loop, header("X-Forwarded-Server", "x"), false},
		{loop, header("X-Real-IP", loop), false},
		{loop, header("X-Client-IP", loop), false},
		{loop, header("CF-Connecting-IP", loop), false},
		{loop, header("True-Client-IP", loop), false},
		{loop, header("true-client-ip", ""), false},
		{"fe80::1", header("X", ""), false},
	} {
		if w := h.ask(c.from, "GET", "/recipes", nil, c.change); (w.Code == http.StatusOK) != c.open {
			t.Errorf("open, from %s: %d", c.from, w.Code)
		}
		w := shut.ask(c.from, "GET", "/recipes", nil, c.change, header("Host", "localhost"))
		if want := map[bool]int{true: http.StatusOK, false: http.StatusForbidden}[c.open]; w.Code != want {
			t.Errorf("shut, from %s: %d, want %d", c.from, w.Code, want)
		}
	}
	for _, remote := range []string{"", "@", "127.0.0.1", "[::1]", "localhost:1"} { // what is no address is nobody's
		w := h.ask(loop, "GET", "/recipes", nil, func(r *http.Request) { r.RemoteAddr = remote })
		if w.Code != http.StatusSeeOther {
			t.Errorf("from %q: %d", remote, w.Code)
		}
	}
}

// A page elsewhere that points a name of its own at this machine is refused:
// browsers send that name.
func TestNamesOfOthersAreRefused(t *testing.T) {
	t.Parallel()
	h, shut := openHouse(t, Door{Open: true, Hosts: []string{"kitchen.local"}}), openHouse(t, Door{})
	for host, c := range map[string]struct{ loop, phone, shut bool }{
		"localhost":                  {true, true, true},
		"LOCALHOST:8420":             {true, true, true},
		"127.0.0.1:8420":             {true, true, true},
		"127.8.9.10":                 {true, true, true},
		"[::1]:8420":                 {true, true, true},
		"[::1]":                      {true, true, true},
		"kitchen.local:8420":         {true, true, false},
		"Kitchen.Local":              {true, true, false},
		"192.168.1.20:8420":          {false, true, false},
		"192.168.1.21:8420":          {false, false, false},
		"":                           {false, false, false},
		"evil.example":               {false, false, false},
		"evil.example:8420":          {false, false, false},
		"localhost.evil.example":     {false, false, false},
		"127.0.0.1.evil.example":     {false, false, false},
		"127.0.0.1@evil.example":     {false, false, false},
		"kitchen.local.evil.example": {false, false, false},
		"127.0.0.1:8420:evil":        {false, false, false},
		"foo.localhost":              {false, false, false},
		"0.0.0.0:8420":               {false, false, false},
		"[::]:8420":                  {false, false, false},
		"2130706433":                 {false, false, false},
	} {
		for what, got := range map[string][2]bool{
			"loop":  {h.ask(loop, "GET", "/pair", nil, header("Host", host)).Code != http.StatusMisdirectedRequest, c.loop},
			"phone": {h.ask(phone, "GET", "/pair", nil, header("Host", host)).Code != http.StatusMisdirectedRequest, c.phone},
			"shut":  {shut.ask(loop, "GET", "/pair", nil, header("Host", host)).Code != http.StatusMisdirectedRequest, c.shut},
		} {
			if got[0] != got[1] {
				t.Errorf("%q, %s: answered %v", host, what, got[0])
			}
		}
	}
}

// What a page of another site makes a browser send is refused, here and on a
// paired phone; the app's own forms are not, also over plain HTTP, where
// browsers send no Sec-Fetch-Site.
func TestOtherSitesCannotPost(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	cookie := h.letIn(phone, "Phone")
	for i, c := range []struct {
		from, name, value string
		done              bool
	}{
		{loop, "Sec-Fetch-Site", "same-origin", true},
		{loop, "Sec-Fetch-Site", "none", true},
		{loop, "Sec-Fetch-Site", "cross-site", false},
		{loop, "Sec-Fetch-Site", "same-site", false},
		{loop, "Origin", "http://127.0.0.1:8420", true},
		{loop, "Origin", "http://127.0.0.1:9999", false},
		{loop, "Origin", "https://evil.example", false},
		{loop, "Origin", "null", false},
		{phone, "Origin", "http://192.168.1.20:8420", true},
		{phone, "Origin", "http://192.168.1.20", false},
		{phone, "Origin", "https://evil.example", false},
		{phone, "Origin", "null", false},
	} {
		w := h.ask(c.from, "POST", "/things/scale/new", url.Values{"f.name": {fmt.Sprint("Scale ", i)}, "f.step": {"1 g"}}, with(cookie), header(c.name, c.value))
		if done := w.Code == http.StatusSeeOther; done != c.done || !done && w.Code != http.StatusForbidden {
			t.Errorf("from %s, %s: %s: %d %s", c.from, c.name, c.value, w.Code, w.Body)
		}
	}
	scales, err := h.store.Things(t.Context(), kindScale)
	if err != nil || len(scales) != 4 {
		t.Errorf("%d scales were saved (%v)", len(scales), err)
	}
}
