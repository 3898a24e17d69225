package web_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// today is the day of every test in the browser.
var today = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// chromium is one browser for the package; every test has a tab of its own.
var chromium = sync.OnceValues(func() (context.Context, error) {
	path := browserPath()
	if path == "" {
		return nil, fmt.Errorf("no chromium on this machine; make test installs Debian's")
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.Headless, chromedp.DisableGPU, chromedp.NoFirstRun}
	for _, flag := range []string{"no-sandbox", "disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(flag, true))
	}
	options = append(options, chromedp.Flag("host-resolver-rules", "MAP *.local 127.0.0.1")) // names as phones use them: no secure context
	allocator, _ := chromedp.NewExecAllocator(context.Background(), options...)
	browser, _ := chromedp.NewContext(allocator)
	return browser, chromedp.Do(browser)
})

// browserPath is the browser of this machine, "" without one.
func browserPath() (path string) {
	for _, p := range []string{"/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"} {
		if _, err := os.Stat(p); err == nil {
			path = p
		}
	}
	return path
}

// hosts counts the hosts that were given out. A browser shares cookies between
// the ports of one, and so who is at the bench: every test has a host of its own.
var hosts atomic.Int32

// serve serves at an address of this machine that no other test has.
func serve(t *testing.T, h http.Handler) *httptest.Server {
	t.Helper()
	return serveAt(t, ownAddress(), h)
}

func ownAddress() string {
	n := hosts.Add(1)
	return fmt.Sprintf("127.0.%d.%d", 1+n/250, 1+n%250)
}

func serveAt(t *testing.T, address string, h http.Handler) *httptest.Server {
	t.Helper()
	l, err := net.Listen("tcp", address+":0")
	if err != nil {
		t.Fatal(err)
	}
	server := &httptest.Server{Listener: l, Config: &http.Server{Handler: h}}
	server.Start()
	t.Cleanup(server.Close)
	return server
}

// kitchen is a name of 127.0.0.1 in the tests' browser, one for every test.
func kitchen() string { return fmt.Sprintf("kitchen%d.local", hosts.Add(1)) }

// tab is one tab, and what went wrong in it.
type tab struct {
	context.Context
	t    *testing.T
	home string

	mu     sync.Mutex
	faults []string
}

// openApp serves a workshop and opens a tab on it. fill is the name of a demo
// workshop, "" for an empty store.
func openApp(t *testing.T, fill string) *tab {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
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
	return openSlow(t, app, 0)
}

// openSlow serves an app whose every answer to a form takes so long, as over a
// weak network.
func openSlow(t *testing.T, app *web.App, delay time.Duration) *tab {
	t.Helper()
	handler := app.Handler()
	server := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			select {
			case <-time.After(delay):
			case <-r.Context().Done():
			}
		}
		handler.ServeHTTP(w, r)
	}))
	return openTab(t, server.URL)
}

// openTab opens a tab for the app at an address.
func openTab(t *testing.T, home string) *tab {
	t.Helper()
	browser, err := chromium()
	if err != nil {
		t.Skip(err)
	}
	ctx, cancel := chromedp.NewContext(browser)
	ctx, stop := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(func() { stop(); cancel() })
	b := &tab{Context: ctx, t: t, home: home}
	if err := chromedp.Listen(ctx, b.listen); err != nil {
		t.Fatal(err)
	}
	for _, enable := range []func() error{
		func() error { _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); return err },
		func() error { _, err := chromedp.Call(ctx, log.Enable, cdp.Empty{}); return err },
		func() error { _, err := chromedp.Call(ctx, runtime.Enable, cdp.Empty{}); return err },
	} {
		if err := enable(); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

// listen notes errors of the console and requests that leave the machine.
func (b *tab) listen(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := ev.(type) {
	case *runtime.EventExceptionThrown:
		b.faults = append(b.faults, "exception: "+e.ExceptionDetails.Text+" "+e.ExceptionDetails.Exception.Description)
	case *log.EventEntryAdded:
		if e.Entry.Level == "error" && !strings.Contains(e.Entry.Text, "422") && !strings.Contains(e.Entry.Text, "409") && !strings.HasSuffix(e.Entry.URL, "/no-such-page") {
			b.faults = append(b.faults, "console: "+e.Entry.Text+" "+e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, b.home) && !strings.HasPrefix(e.Request.URL, "data:") {
			b.faults = append(b.faults, "request to another host: "+e.Request.URL)
		}
	}
}

func (b *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b, actions...); err != nil {
		b.t.Fatal(err)
	}
}

// open goes to a page.
func (b *tab) open(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.home + path))
}

// js evaluates an expression.
func js[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// wait waits until an expression is true. Between two pages there is nothing to
// ask: then it asks again.
func (b *tab) wait(expression string) {
	b.t.Helper()
	asked := "(() => { try { return !!(" + expression + "); } catch { return false; } })()"
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		yes, err := chromedp.Run(b, chromedp.Evaluate[bool](asked))
		if err != nil && !betweenPages(err) {
			b.t.Fatalf("%s: %v", expression, err)
		}
		if yes {
			return
		}
	}
	b.shoot("timeout")
	b.t.Fatalf("never true: %s", expression)
}

// betweenPages reports an answer that got lost because the page gave way to the
// next one.
func betweenPages(err error) bool {
	return err != nil && (strings.Contains(err.Error(), "navigated or closed") || strings.Contains(err.Error(), "Cannot find context") || strings.Contains(err.Error(), "context was destroyed"))
}

// size makes the window so wide and high, at a scheme of colours.
func (b *tab) size(width, height int64, dark bool) {
	b.t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	b.do(chromedp.EmulateViewport(width, height))
	if _, err := chromedp.Call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
		b.t.Fatal(err)
	}
}

// shoot keeps a screenshot of the whole page among the artefacts of the run.
func (b *tab) shoot(name string) {
	b.t.Helper()
	png, err := chromedp.Run(b, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	name = regexp.MustCompile(`[^a-z0-9-]+`).ReplaceAllString(strings.ToLower(b.t.Name()+"-"+name), "-")
	if err := os.WriteFile(filepath.Join(b.t.ArtifactDir(), name+".png"), png, 0o600); err != nil {
		b.t.Fatal(err)
	}
}

// clean fails the test for every fault the tab has met.
func (b *tab) clean() {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, f := range b.faults {
		b.t.Error(f)
	}
	b.faults = nil
}

// TestEveryPage opens every page at two widths, light and dark: nothing in the
// console, nothing from another host, no sideways scrolling, every text with a
// contrast of 4.5:1, every control with a name.
func TestEveryPage(t *testing.T) {
	t.Parallel()
	for _, shop := range []string{demo.NinthLock, ""} {
		for path := range pagesOf(shop) {
			t.Run(shop+path, func(t *testing.T) {
				t.Parallel()
				b := openApp(t, shop)
				for _, width := range []int64{1360, 400} {
					for _, dark := range []bool{false, true} {
						b.size(width, 900, dark)
						b.open(path)
						look := fmt.Sprintf("%d dark %v", width, dark)
						if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
							t.Errorf("%s: scrolls %g px sideways", look, over)
						}
						for _, fault := range js[[]string](b, faintTexts) {
							t.Errorf("%s: %s", look, fault)
						}
						for _, fault := range js[[]string](b, namelessControls) {
							t.Errorf("%s: no name: %s", look, fault)
						}
						b.shoot(look)
					}
				}
				// Text of twice the size (WCAG 2.2, 1.4.4) at the width of a laptop.
				b.size(1280, 900, false)
				b.open(path)
				if _, err := chromedp.Call(b, page.SetFontSizes, page.SetFontSizesParams{FontSizes: &page.FontSizes{Standard: 32}}); err != nil {
					t.Fatal(err)
				}
				if size := js[float64](b, `parseFloat(getComputedStyle(document.body).fontSize)`); size < 30 {
					t.Errorf("text of twice the size is %g px high", size)
				}
				if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
					t.Errorf("text of twice the size scrolls %g px sideways", over)
				}
				b.clean()
			})
		}
	}
}

// pagesOf lists the pages to look at, of a full or an empty workshop.
func pagesOf(shop string) map[string]bool {
	pages := map[string]bool{"/": true, "/recipes": true, "/recipes/new": true, "/no-such-page": true, "/stock": true, "/workshop": true, "/materials": true, "/materials/beeswax": true, "/import": true, "/formulate": true, "/devices": true, "/bench": true, "/batches": true, "/bench/emergency": true, "/rack": true, "/rack/weigh": true, "/rack/learned": true, "/calendar": true, "/judging": true}
	pages["/stock/new"], pages["/materials?q=cocoa"] = true, true
	for _, kind := range []string{"material", "mould", "place", "scale", "workshop"} {
		pages["/things/"+kind+"/new"] = true
	}
	if shop != "" {
		for _, p := range []string{"/recipes/plain-tow", "/recipes/reed-bed", "/recipes/wax-rind/versions", "/recipes/reed-bed/sheet", "/compare?a=wax-rind-v1&b=wax-rind-v3", "/stock/tlw_7", "/stock/hno_a", "/stock/eoc_1", "/stock/sh_3", "/things/mould/m1", "/materials/coconut", "/formulate?recipe=plain-tow&without=coconut", "/formulate?r.shelf=true&pick.minimise=cost&r.limits.0.quantity=poly&r.limits.0.max=1", "/materials/hno_a", "/recipes/wax-rind", "/recipes/hive-reserve/heat", "/recipes/hive-reserve/heat?part=map", "/learned", "/bench/new?version=oatwater-v1", "/bench/b14", "/batches/b01", "/batches/b01/paper", "/batches/b01/typed", "/batches/b06/rack", "/rack/weigh?all=1", "/batches/b01/judge", "/batches/b14/judge", "/calendar?for=2027-03-27&recipe=plain-tow&pack=3", "/recipes?q=" + url.QueryEscape("no such thing")} {
			pages[p] = true
		}
	}
	return pages
}

// faintTexts lists texts whose contrast with what is behind them is under
// 4.5:1 by WCAG 2.2, computed from the rendered colours.
const faintTexts = `(() => {
  const parse = (c) => { const m = c.match(/[\d.]+/g).map(Number); return {r: m[0], g: m[1], b: m[2], a: m.length > 3 ? m[3] : 1}; };
  const lum = ({r, g, b}) => { const f = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }; return 0.2126 * f(r) + 0.7152 * f(g) + 0.0722 * f(b); };
  const box = (el) => { // the last box drawn under a word of a picture
    const at = el.getBoundingClientRect(), x = at.x + at.width / 2, y = at.y + at.height / 2;
    const under = [...el.ownerSVGElement.querySelectorAll('rect')].filter((r) => {
      const b = r.getBoundingClientRect(), s = getComputedStyle(r);
      return s.fill !== 'none' && s.fillOpacity > 0.99 && s.opacity > 0.99 && (r.compareDocumentPosition(el) & 4) && b.left <= x && x <= b.right && b.top <= y && y <= b.bottom;
    });
    return under.length ? parse(getComputedStyle(under.at(-1)).fill) : null;
  };
  const behind = (el) => { const b = el.ownerSVGElement && box(el); if (b) return b; for (let e = el; e; e = e.parentElement) { const c = parse(getComputedStyle(e).backgroundColor); if (c.a > 0.99) return c; } return {r: 255, g: 255, b: 255, a: 1}; };
  const out = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const text = walk.currentNode.textContent.trim(), el = walk.currentNode.parentElement;
    if (!text || !el.checkVisibility({opacityProperty: true, visibilityProperty: true}) || el.closest('.hide, .first, .skip, option, datalist, script, title, [aria-hidden=true]')) continue;
    const style = getComputedStyle(el);
    const fg = parse(el.namespaceURI.endsWith('svg') ? style.fill : style.color), bg = behind(el);
    const a = lum(fg), b = lum(bg), ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) out.add(ratio.toFixed(2) + ':1 "' + text.slice(0, 40) + '"');
  }
  return [...out].slice(0, 8);
})()`

// namelessControls lists inputs, lists and buttons that a screen reader could
// not name.
const namelessControls = `[...document.querySelectorAll('input:not([type=hidden]), select, textarea, button, a[href], summary')]
  .filter((e) => !(e.getAttribute('aria-label') || e.textContent.trim() || (e.labels && [...e.labels].some((l) => l.textContent.trim())) || e.getAttribute('aria-labelledby') || e.title))
  .map((e) => e.outerHTML.slice(0, 90)).slice(0, 8)`

// TestEditingAnswersBack types into the demo's Wax Rind: the rail follows, and
// the caret stays where it was.
func TestEditingAnswersBack(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/wax-rind")
	field := `input[name="r.combine.fats_temperature"]`
	js[bool](b, `(() => { const f = document.querySelector('`+field+`'); f.focus(); f.setSelectionRange(0, 2); return true; })()`)
	b.do(chromedp.KeyEvent("4"), chromedp.KeyEvent("0"))
	b.wait(`[...document.querySelectorAll('.finding h3')].some((h) => h.textContent.includes('may freeze'))`)
	if name := js[string](b, `document.activeElement.name`); name != "r.combine.fats_temperature" {
		t.Errorf("the focus went to %q", name)
	}
	if v := js[string](b, `document.activeElement.value`); !strings.HasPrefix(v, "40") {
		t.Errorf("the field reads %q", v)
	}
	b.shoot("may freeze")
	b.clean()
}

// The buttons of a line stand beside one another, so that a line is as high as
// its fat and not as its buttons.
func TestLinesAreLow(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	if high := js[float64](b, `Math.max(...[...document.querySelectorAll('table.weigh tbody tr')].map((r) => r.getBoundingClientRect().height))`); high > 90 {
		t.Errorf("a line is %g px high", high)
	}
}
