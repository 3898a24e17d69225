package web

import (
	"bytes"
	"context"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
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

	"barwright/authority"
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
	for _, c := range []struct {
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
		w := h.ask(c.from, "POST", "/things/scale/new", url.Values{"f.name": {"S"}, "f.step": {"1 g"}}, with(cookie), header(c.name, c.value))
		if done := w.Code == http.StatusSeeOther; done != c.done || !done && w.Code != http.StatusForbidden {
			t.Errorf("from %s, %s: %s: %d %s", c.from, c.name, c.value, w.Code, w.Body)
		}
	}
	scales, err := h.store.Things(t.Context(), kindScale)
	if err != nil || len(scales) != 4 {
		t.Errorf("%d scales were saved (%v)", len(scales), err)
	}
}

// Every answer, right or wrong, keeps the browser to this machine.
func TestEveryAnswerIsGuarded(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	big := url.Values{"x": {strings.Repeat("x", 2<<20)}}
	answers := map[string]*httptest.ResponseRecorder{
		"another name":   h.ask(loop, "GET", "/", nil, header("Host", "evil.example")),
		"another site":   h.ask(loop, "POST", "/pair", url.Values{}, header("Origin", "null")),
		"nowhere":        h.ask(loop, "GET", "/nowhere", nil),
		"no such file":   h.ask(loop, "GET", "/static/x", nil),
		"no such method": h.ask(loop, "PUT", "/recipes", nil),
		"too big":        h.ask(loop, "POST", "/recipes/new", big),
		"in pieces":      h.ask(loop, "POST", "/recipes/new", nil, func(r *http.Request) { *r = *piece(r, "a=%zz") }),
		"stranger":       h.ask(phone, "GET", "/recipes", nil),
		"wrong code":     h.pairing(phone, "1", ""),
		"file":           h.ask(loop, "GET", "/export", nil),
	}
	for _, p := range h.paths() {
		method, path, _ := strings.Cut(p, " ")
		answers[p] = h.ask(loop, method, path, url.Values{})
	}
	for what, w := range answers {
		csp := w.Header().Get("Content-Security-Policy")
		for _, must := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'"} {
			if !strings.Contains(csp, must) {
				t.Errorf("%s: %q has no %s", what, csp, must)
			}
		}
		if strings.Contains(csp, "unsafe") || strings.Contains(csp, "http") || strings.Contains(csp, "*") {
			t.Errorf("%s: %q", what, csp)
		}
		for name, value := range map[string]string{"X-Content-Type-Options": "nosniff", "Cross-Origin-Resource-Policy": "same-origin", "Cache-Control": "no-store"} {
			if w.Header().Get(name) != value {
				t.Errorf("%s: %s is %q", what, name, w.Header().Get(name))
			}
		}
		if w.Code == http.StatusInternalServerError {
			t.Errorf("%s: %s", what, w.Body)
		}
	}
	for what, status := range map[string]int{"another name": 421, "another site": 403, "nowhere": 404, "no such file": 404, "no such method": 405, "too big": 413, "in pieces": 400, "stranger": 303, "wrong code": 422, "file": 200} {
		if answers[what].Code != status {
			t.Errorf("%s: %d, want %d", what, answers[what].Code, status)
		}
	}
}

// piece gives a request another form.
func piece(r *http.Request, body string) *http.Request {
	r.Body = io.NopCloser(strings.NewReader(body))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return r
}

// Bodies end where they should: a form at 1 MB, files at 4, a stranger's at 4
// kB.
func TestBodiesAreBounded(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	endless := func(r *http.Request) {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Body, r.ContentLength = io.NopCloser(io.LimitReader(letters{}, 1<<30)), -1
	}
	for _, p := range h.paths() {
		if method, path, _ := strings.Cut(p, " "); method == "POST" {
			from := loop
			if path == "/pair" {
				from = phone
			}
			if w := h.ask(from, "POST", path, nil, endless); w.Code != http.StatusRequestEntityTooLarge {
				t.Errorf("%s: %d", path, w.Code)
			}
		}
	}
	read := 0
	h.ask(phone, "POST", "/pair", nil, endless, func(r *http.Request) { r.Body = io.NopCloser(io.TeeReader(r.Body, counter{&read})) })
	if read > 8<<10 {
		t.Errorf("%d bytes of a stranger's form were read", read)
	}
	var b strings.Builder // two files of a megabyte each are read, though a form is not
	for range 2 {
		fmt.Fprintf(&b, "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.toml\"\r\n\r\n%s\r\n", strings.Repeat("#", 1<<20))
	}
	b.WriteString("--x--\r\n")
	w := h.ask(loop, "POST", "/import", nil, func(r *http.Request) {
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		r.Body = io.NopCloser(strings.NewReader(b.String()))
	})
	if w.Code != http.StatusUnprocessableEntity {
		t.Errorf("two files: %d", w.Code)
	}
}

// letters is a body without an end.
type letters struct{}

func (letters) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

type counter struct{ n *int }

func (c counter) Write(p []byte) (int, error) { *c.n += len(p); return len(p), nil }

// The cookie: out of the reach of scripts and other sites, and under TLS of
// plain HTTP. What is kept of it opens no door.
func TestTheCookie(t *testing.T) {
	t.Parallel()
	for _, secure := range []bool{false, true} {
		d := Door{Open: true}
		if secure {
			d.Authority = []byte("a certificate")
		}
		h := openHouse(t, d)
		c := h.letIn(phone, "Phone")
		if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Secure != secure || c.Path != "/" || c.Domain != "" || c.MaxAge <= 0 || strings.HasPrefix(c.Name, "__Host-") != secure {
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

// From a browser to the page, over real connections: 127.0.0.2 plays the
// phone, and TLS is believed with the authority only.
func TestPairingOverTheNetwork(t *testing.T) {
	t.Parallel()
	a, err := authority.New(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	leaves, err := authority.NewLeaves(a, time.Now, nil)
	if err != nil {
		t.Fatal(err)
	}
	h := openHouse(t, Door{Open: true, Authority: a.Certificate()})
	h.door.here = func(ip netip.Addr) bool { return ip == netip.MustParseAddr(loop) }
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := &http.Server{Handler: h, TLSConfig: leaves.Config(), ErrorLog: log.New(io.Discard, "", 0), ReadHeaderTimeout: time.Minute}
	go server.ServeTLS(l, "", "")
	defer server.Close()
	home := "https://" + l.Addr().String()
	roots := x509.NewCertPool()
	cert, err := x509.ParseCertificate(a.Certificate())
	if err != nil {
		t.Fatal(err)
	}
	roots.AddCert(cert)
	client := func(from string, roots *x509.CertPool) *http.Client {
		dial := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}}
		transport := &http.Transport{DialContext: dial.DialContext, TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}
		t.Cleanup(transport.CloseIdleConnections)
		return &http.Client{Transport: transport, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	}
	if _, err := client(loop, x509.NewCertPool()).Get(home + "/recipes"); err == nil {
		t.Error("a device that has not installed the certificate believes it")
	}
	status := func(c *http.Client, path string) int {
		t.Helper()
		resp, err := c.Get(home + path)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		return resp.StatusCode
	}
	here, away := client(loop, roots), client("127.0.0.2", roots)
	if got := status(here, "/recipes"); got != http.StatusOK {
		t.Errorf("here: %d", got)
	}
	if got := status(away, "/recipes"); got != http.StatusSeeOther {
		t.Errorf("away: %d", got)
	}
	code, _ := h.PairingCode()
	resp, err := away.PostForm(home+"/pair", url.Values{"code": {code}, "name": {"Phone"}})
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if len(resp.Cookies()) != 1 {
		t.Fatalf("%d, no cookie", resp.StatusCode)
	}
	req, err := http.NewRequestWithContext(t.Context(), "GET", home+"/recipes", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.AddCookie(resp.Cookies()[0])
	if resp, err = away.Do(req); err != nil || resp.StatusCode != http.StatusOK || resp.ProtoMajor != 2 {
		t.Fatalf("paired: %v (%v)", resp, err)
	}
	resp.Body.Close()
}

// Beside TLS, plain HTTP gives the certificate and nothing of the workshop.
func TestInstallPort(t *testing.T) {
	t.Parallel()
	a, err := authority.New(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	h := openHouse(t, Door{Open: true, Authority: a.Certificate()})
	app := h.Handler
	h.Handler = h.InstallHandler()
	for _, from := range []string{loop, phone} {
		page := h.ask(from, "GET", "/install", nil)
		if body := page.Body.String(); page.Code != http.StatusOK || !strings.Contains(body, authority.Fingerprint(a.Certificate())[:23]) || !strings.Contains(body, `href="https://192.168.1.20:8420"`) || strings.Contains(body, "/stock") {
			t.Errorf("from %s: %d %s", from, page.Code, body)
		}
		crt := h.ask(from, "GET", "/install/barwright.crt", nil)
		if crt.Header().Get("Content-Type") != "application/x-x509-ca-cert" || !bytes.Equal(crt.Body.Bytes(), a.Certificate()) {
			t.Errorf("from %s: %v", from, crt.Header())
		}
		if _, err := x509.ParseCertificate(crt.Body.Bytes()); err != nil {
			t.Error(err)
		}
		for _, path := range []string{"/", "/recipes", "/export", "/pair", "/devices", "/install/x"} {
			if w := h.ask(from, "GET", path, nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/install" {
				t.Errorf("%s from %s: %d", path, from, w.Code)
			}
		}
		if w := h.ask(from, "POST", "/pair", url.Values{}); w.Code != http.StatusMethodNotAllowed {
			t.Errorf("a form over plain HTTP: %d", w.Code)
		}
		if w := h.ask(from, "GET", "/install", nil, header("Host", "evil.example")); w.Code != http.StatusMisdirectedRequest || w.Header().Get("Content-Security-Policy") == "" {
			t.Errorf("another name: %d", w.Code)
		}
	}
	h.Handler = app
	page := h.ask(loop, "GET", "/devices", nil).Body.String()
	if !strings.Contains(page, authority.Fingerprint(a.Certificate())[:23]) || strings.Contains(page, "Over plain HTTP") {
		t.Error("the page Devices does not show the fingerprint")
	}
	if w := openHouse(t, Door{}).ask(loop, "GET", "/install", nil); w.Code != http.StatusNotFound {
		t.Errorf("without TLS there is a certificate: %d", w.Code)
	}
}
