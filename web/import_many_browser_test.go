package web_test

import (
	"fmt"
	"testing"
	"time"

	"barwright/store"
	"barwright/web"
)

// What was dropped and not read is named above what was, at every width.
func TestDropTooMuch(t *testing.T) {
	t.Parallel()
	b := openApp(t, "")
	b.open("/import")
	files := map[string]string{"one.zip": "PK\x03\x04half", "two.zip": "PK\x03\x04half"}
	for i := range 52 {
		files[fmt.Sprintf("recipe number %d.toml", i)] = "format = 1\n"
	}
	b.drop(files)
	b.wait(`document.body.textContent.includes('fifty files come in at once') && document.body.textContent.includes('one workshop comes in at a time')`)
	b.look("too much")
	b.clean()
}

// One press on the first page leads into the demo, although forms may lead to
// this site only.
func TestIntoTheDemo(t *testing.T) {
	t.Parallel()
	side := openApp(t, "").home
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	app, err := web.New(s, web.Options{Now: func() time.Time { return today }, SideDemo: func() (string, error) { return side, nil }})
	if err != nil {
		t.Fatal(err)
	}
	b := openSlow(t, app, 0)
	b.open("/demo")
	b.look("not started")
	b.open("/")
	b.look("first page")
	b.clean() // the demo is another host
	b.press("Look around in the demo workshop")
	b.wait(fmt.Sprintf(`location.origin === %q && document.querySelector('h1')`, side))
}
