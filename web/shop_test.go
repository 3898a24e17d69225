package web_test

import (
	"bytes"
	"html"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// shop is a workshop that is served, without a browser.
type shop struct {
	t     *testing.T
	dir   string
	store *store.Store
	app   http.Handler
}

func openShop(t *testing.T, fill string) shop {
	t.Helper()
	dir := t.TempDir()
	s, err := store.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if fill != "" {
		if err := demo.Fill(t.Context(), s, fill, today); err != nil {
			t.Fatal(err)
		}
	}
	app, err := web.New(s, web.Options{Now: func() time.Time { return today }})
	if err != nil {
		t.Fatal(err)
	}
	return shop{t, dir, s, app.Handler()}
}

// ask sends a request and returns the answer, which must have this status.
func (s shop) ask(status int, r *http.Request) *httptest.ResponseRecorder {
	s.t.Helper()
	r.Host, r.RemoteAddr = "localhost", "127.0.0.1:50000"
	w := httptest.NewRecorder()
	s.app.ServeHTTP(w, r)
	if w.Code != status {
		s.t.Fatalf("%s %s answers %d, want %d: %s", r.Method, r.URL, w.Code, status, told(w.Body.String()))
	}
	return w
}

func (s shop) get(status int, path string) string {
	s.t.Helper()
	page := html.UnescapeString(s.ask(status, httptest.NewRequest("GET", path, nil)).Body.String())
	return strings.ReplaceAll(page, "\u00a0", " ") // which keeps numbers and units together
}

func (s shop) post(status int, path string, form url.Values) *httptest.ResponseRecorder {
	s.t.Helper()
	r := httptest.NewRequest("POST", path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.ask(status, r)
}

// upload chooses files on the import page.
func (s shop) upload(status int, files ...[2]string) string {
	s.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for _, f := range files {
		w, err := m.CreateFormFile("file", f[0])
		if err != nil {
			s.t.Fatal(err)
		}
		io.WriteString(w, f[1])
	}
	m.Close()
	r := httptest.NewRequest("POST", "/import", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return s.ask(status, r).Body.String()
}

// told is what a page tells of faults.
func told(page string) (out []string) {
	for _, m := range regexp.MustCompile(`class="fault"[^>]*>([^<]*)<`).FindAllStringSubmatch(page, -1) {
		out = append(out, html.UnescapeString(m[1]))
	}
	return out
}

// formOf is the form of a page whose fields begin with a prefix, as a browser
// would send it.
func formOf(page, prefix string) url.Values {
	form := url.Values{}
	for _, m := range regexp.MustCompile(`(?s)<input([^>]*)>|<textarea([^>]*)>\n?(.*?)</textarea>`).FindAllStringSubmatch(page, -1) {
		attrs := m[1] + m[2]
		name := attr(attrs, "name")
		if !strings.HasPrefix(name, prefix) || strings.Contains(attrs, "checkbox") && !strings.Contains(attrs, "checked") || strings.Contains(attrs, "radio") || strings.Contains(attrs, `type="file"`) {
			continue
		}
		value := attr(attrs, "value")
		if m[2] != "" {
			value = strings.ReplaceAll(html.UnescapeString(m[3]), "\n", "\r\n") // as forms are sent
		}
		form.Set(name, value)
	}
	for _, m := range regexp.MustCompile(`(?s)<select([^>]*)>(.*?)</select>`).FindAllStringSubmatch(page, -1) {
		if name := attr(m[1], "name"); strings.HasPrefix(name, prefix) {
			form.Set(name, chosen(m[2]))
		}
	}
	return form
}

// chosen is the value of the option that is selected, or of the first.
func chosen(options string) string {
	all := regexp.MustCompile(`<option([^>]*)>([^<]*)`).FindAllStringSubmatch(options, -1)
	if len(all) == 0 {
		return ""
	}
	one := all[0]
	for _, o := range all {
		if strings.Contains(o[1], "selected") {
			one = o
		}
	}
	if strings.Contains(one[1], "value=") {
		return attr(one[1], "value")
	}
	return html.UnescapeString(one[2])
}

func attr(attrs, name string) string {
	m := regexp.MustCompile(`(?:^|\s)` + name + `="([^"]*)"`).FindStringSubmatch(attrs)
	if m == nil {
		return ""
	}
	return html.UnescapeString(m[1])
}

func recipeFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile("../recipes/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
