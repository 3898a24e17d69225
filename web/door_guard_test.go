package web

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

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
