package web_test

import (
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"barwright/authority"
	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// openDoor serves the demo workshop to the network, by a name, and
// opens a tab there. certified is under TLS, as far as pages can tell.
func openDoor(t *testing.T, foreign, certified bool) (*tab, *web.App) {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := demo.Fill(t.Context(), s, demo.NinthLock, today); err != nil {
		t.Fatal(err)
	}
	name := kitchen()
	at := func() []string { return []string{name + ":8420", "192.168.1.20:8420"} }
	d := web.Door{Open: true, Hosts: []string{name}, Addresses: at, Install: at}
	if certified {
		a, err := authority.New(today)
		if err != nil {
			t.Fatal(err)
		}
		d.Authority = a.Certificate()
	}
	app, err := web.New(s, web.Options{Now: func() time.Time { return today }, Door: d})
	if err != nil {
		t.Fatal(err)
	}
	if foreign {
		app.TreatAllAsForeign()
	}
	handler := app.Handler()
	if foreign && certified {
		handler = app.InstallHandler()
	}
	server := serveAt(t, "127.0.0.1", handler)
	u, err := url.Parse(server.URL)
	if err != nil {
		t.Fatal(err)
	}
	home := server.URL
	if foreign {
		home = "http://" + name + ":" + u.Port()
	}
	return openTab(t, home), app
}

// A phone on plain HTTP: sent to the pairing page, a wrong code keeps what was
// typed, the QR code's address fills in the code, one button lets it in; its
// forms are taken; turned away, it is out.
func TestPairingOnAPhone(t *testing.T) {
	t.Parallel()
	b, app := openDoor(t, true, false)
	b.size(400, 800, false)
	b.open("/recipes/plain-tow")
	b.wait(`location.pathname === '/pair' && document.querySelector('input[name=code]')`)
	if js[bool](b, `window.isSecureContext`) {
		t.Error("plain HTTP to a name is no secure context; what the page Devices says would be wrong")
	}
	b.typeInto("code", "1111 1111")
	b.typeInto("name", `<script>document.title = 'x'</script>`)
	b.press("Let it in")
	b.wait(`document.querySelector('.fault')?.textContent.includes('That is not the code')`)
	if v := js[string](b, `document.querySelector('[name=name]').value`); !strings.HasPrefix(v, "<script>") {
		t.Errorf("the name typed is now %q", v)
	}
	b.shoot("wrong code")
	code, _ := app.PairingCode()
	b.open("/pair?code=" + strings.ReplaceAll(code, " ", ""))
	b.wait(fmt.Sprintf(`document.querySelector('[name=code]')?.value === %q`, code))
	b.typeInto("name", "Kitchen phone")
	b.press("Let it in")
	b.wait(`location.pathname === '/recipes'`)
	b.open("/recipes/saltern")
	b.typeInto("r.superfat", "7 %")
	b.press("Save as version") // a form over plain HTTP comes with an Origin, or it would be refused
	b.wait(`document.body.textContent.includes('Version 3')`)
	b.open("/devices")
	b.wait(`document.querySelector('.devices .name')?.textContent === 'Kitchen phone'`)
	b.shoot("itself")
	b.press("Turn it away")
	b.wait(`location.pathname === '/pair'`)
	b.open("/recipes")
	b.wait(`location.pathname === '/pair'`)
	b.clean()
}

// The pages of the door at two widths, light and dark.
func TestPagesOfTheDoor(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, path         string
		foreign, certified bool
	}{
		{"devices", "/devices", false, false}, {"devices under TLS", "/devices", false, true}, {"pair", "/pair", true, false}, {"install", "/install", true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b, app := openDoor(t, c.foreign, c.certified)
			app.PairingCode()
			for _, width := range []int64{1360, 400} {
				for _, dark := range []bool{false, true} {
					b.size(width, 900, dark)
					b.open(c.path)
					look := fmt.Sprintf("%d dark %v", width, dark)
					if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
						t.Errorf("%s: scrolls %g px sideways", look, over)
					}
					for _, fault := range append(js[[]string](b, faintTexts), js[[]string](b, namelessControls)...) {
						t.Errorf("%s: %s", look, fault)
					}
					b.shoot(look)
				}
			}
			b.clean()
		})
	}
}

// The address in the QR code opens with one press and without typing.
func TestCodeOnTheComputer(t *testing.T) {
	t.Parallel()
	b, _ := openDoor(t, false, false)
	b.size(1360, 900, false)
	b.open("/devices")
	b.press("Show a code")
	b.wait(`document.querySelector('.big.code')`)
	first := js[string](b, `document.querySelector('.big.code').textContent`)
	b.do(chromedp.KeyEvent("\t"))
	b.press("Another code")
	b.wait(fmt.Sprintf(`document.querySelector('.big.code') && document.querySelector('.big.code').textContent !== %q`, first))
	b.clean()
}
