package web_test

import (
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"barwright/batch"
	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// benchTab is a tab at the bench of a new batch, whose network can be cut.
type benchTab struct {
	*tab
	store *store.Store
	id    string
	cut   *atomic.Bool // no network
	deaf  *atomic.Bool // the workshop takes no taps
}

// openBench starts a batch and opens its bench. While the network is cut every
// connection is dropped without an answer.
func openBench(t *testing.T, version string) *benchTab {
	t.Helper()
	return openBenchWith(t, version, nil)
}

// openBenchWith is openBench with more ticked at the start.
func openBenchWith(t *testing.T, version string, more url.Values) *benchTab {
	t.Helper()
	b := serveBench(t, version, "", more)
	b.tab = openTab(t, b.home)
	b.size(400, 860, false)
	b.touches()
	b.open("/bench/" + b.id)
	b.wait(`document.documentElement.classList.contains('js') && document.querySelector('.screen:not([hidden])')`)
	return b
}

// serveBench starts a batch, without a tab yet. host is a name of this machine
// that makes no secure context, "" for a loopback address.
func serveBench(t *testing.T, version, host string, more ...url.Values) *benchTab {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := demo.Fill(t.Context(), s, demo.NinthLock, today); err != nil {
		t.Fatal(err)
	}
	app, err := web.New(s, doorFor(host))
	if err != nil {
		t.Fatal(err)
	}
	handler, cut, deaf := app.Handler(), &atomic.Bool{}, &atomic.Bool{}
	address := "127.0.0.1"
	if host == "" {
		address = ownAddress()
	}
	server := serveAt(t, address, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if cut.Load() || deaf.Load() && r.Method == http.MethodPost {
			panic(http.ErrAbortHandler)
		}
		handler.ServeHTTP(w, r)
	}))
	b := &benchTab{tab: &tab{t: t, home: server.URL}, store: s, cut: cut, deaf: deaf}
	b.id = b.start(version, more...)
	if host != "" {
		b.home = strings.Replace(server.URL, "127.0.0.1", host, 1)
	}
	return b
}

// doorFor lets a browser in that calls this machine by a name, "" for none.
func doorFor(host string) web.Options {
	if host == "" {
		return web.Options{}
	}
	return web.Options{Door: web.Door{Open: true, Hosts: []string{host}, Addresses: func() []string { return nil }}}
}

func (b *benchTab) start(version string, more ...url.Values) string {
	b.t.Helper()
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	form := url.Values{"version": {version}, "room": {"20"}}
	for _, m := range more {
		maps.Copy(form, m)
	}
	res, err := client.PostForm(b.home+"/bench/new", form)
	if err != nil {
		b.t.Fatal(err)
	}
	res.Body.Close()
	return strings.TrimPrefix(res.Header.Get("Location"), "/bench/")
}

const shownScreen = `(document.querySelector('.screen:not([hidden])')?.dataset.screen ?? document.querySelector('.screen:not([hidden])')?.dataset.panel ?? '')`

func (b *benchTab) screen() string { b.t.Helper(); return js[string](b.tab, shownScreen) }

// touches gives the tab a screen that is touched.
func (b *benchTab) touches() {
	b.t.Helper()
	if _, err := chromedp.Call(b, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true, MaxTouchPoints: 1}); err != nil {
		b.t.Fatal(err)
	}
}

// tap touches the done area in its middle, as a knuckle does, and waits for the
// next screen. What lies over it would take the touch.
func (b *benchTab) tap() {
	b.t.Helper()
	was := b.screen()
	time.Sleep(850 * time.Millisecond) // what comes sooner is a double tap
	at := js[[]float64](b.tab, `(() => {
		const done = document.querySelector('.screen:not([hidden]) button.done');
		done.scrollIntoView({block: 'nearest'});
		const r = done.getBoundingClientRect();
		return [r.left + r.width / 2, r.top + r.height / 2];
	})()`)
	b.touch(input.DispatchTouchEventTypeTouchStart, []*input.TouchPoint{{X: at[0], Y: at[1]}})
	b.touch(input.DispatchTouchEventTypeTouchEnd, []*input.TouchPoint{})
	b.wait(shownScreen + ` !== ` + fmt.Sprintf("%q", was))
}

func (b *benchTab) touch(kind input.DispatchTouchEventType, points []*input.TouchPoint) {
	b.t.Helper()
	if _, err := chromedp.Call(b, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points}); err != nil {
		b.t.Fatal(err)
	}
}

func (b *benchTab) tapTo(screen string) {
	b.t.Helper()
	for range 60 {
		if b.screen() == screen {
			return
		}
		b.tap()
	}
	b.t.Fatalf("never came to %s", screen)
}

// arrived waits until the workshop has every tap.
func (b *benchTab) arrived() {
	b.t.Helper()
	b.wait(`document.body.dataset.waiting === '0'`)
}

// asked lets the page ask the workshop for news, and waits until it has shown
// them: the page's instant is then another.
func (b *benchTab) asked() {
	b.t.Helper()
	had := js[string](b.tab, `document.getElementById('bench').dataset.now`)
	js[bool](b.tab, `window.dispatchEvent(new Event('online'))`)
	b.wait(`document.getElementById('bench').dataset.now !== ` + fmt.Sprintf("%q", had))
	time.Sleep(100 * time.Millisecond) // drawn right after
}

func (b *benchTab) events() []batch.Event {
	b.t.Helper()
	events, err := b.store.Events(b.t.Context(), b.id)
	if err != nil {
		b.t.Fatal(err)
	}
	return events
}

// onceEach wants so many taps, each once, each device's without a gap.
func (b *benchTab) onceEach(least, most int) {
	b.t.Helper()
	events := b.events()
	ids := map[string]bool{}
	for _, e := range events {
		ids[e.ID] = true
	}
	m, err := b.store.Batch(b.t.Context(), b.id)
	if err != nil {
		b.t.Fatal(err)
	}
	st, err := batch.Replay(m.Start, events)
	if n := len(kindsOf(events)); n < least || n > most || len(ids) != len(events) || err != nil || len(st.Gaps) > 0 {
		b.t.Errorf("%d taps came, not %d to %d; %d ids of %d; gaps %v; %v", n, least, most, len(ids), len(events), st.Gaps, err)
	}
}

func kindsOf(events []batch.Event) (out []string) {
	for _, e := range events {
		if e.Do.Kind() != "clock" {
			out = append(out, e.Do.Kind())
		}
	}
	return out
}

// cleanBut forgets faults that a cut network makes.
func (b *benchTab) cleanBut(words ...string) {
	b.t.Helper()
	b.mu.Lock()
	kept := b.faults[:0]
	for _, f := range b.faults {
		known := false
		for _, w := range words {
			known = known || strings.Contains(f, w)
		}
		if !known {
			kept = append(kept, f)
		}
	}
	b.faults = kept
	b.mu.Unlock()
	b.clean()
}

// sizesWrong measures the screen that is shown: the done area a third of the
// viewport and 20 mm (76 px) from anything else (where something had better be done
// first that is the large one, a fifth), controls of 48 px, key numbers
// of 10 mm (38 px), contrast 7:1, nothing sideways.
const sizesWrong = `(() => {
  const out = [], screen = document.querySelector('.screen:not([hidden])'), done = screen.querySelector('button.done');
  const seen = (e) => e.checkVisibility({visibilityProperty: true}) && e.getBoundingClientRect().width > 1;
  if (done) {
    const d = done.getBoundingClientRect();
    const instead = screen.querySelector('.instead')?.getBoundingClientRect();
    if (instead ? instead.height < innerHeight / 5 || d.height < 60 : d.width * d.height < innerWidth * innerHeight / 3 * 0.9 || d.height < innerHeight / 3) out.push('done area ' + d.width + 'x' + d.height);
    if (d.bottom > innerHeight + 1) out.push('done area below the fold by ' + (d.bottom - innerHeight));
    for (const e of screen.querySelectorAll('button, a, input')) {
      if (e === done || !seen(e)) continue;
      const r = e.getBoundingClientRect(), gap = Math.max(d.top - r.bottom, r.top - d.bottom, d.left - r.right, r.left - d.right);
      if (gap < 75.5) out.push(gap + ' px from the done area: ' + e.outerHTML.slice(0, 60));
    }
  }
  for (const e of screen.querySelectorAll('button, a, .pick, input:not([type=hidden])')) {
    if (!seen(e) || e.matches('.pick input')) continue; // its label is what is tapped
    const r = e.getBoundingClientRect();
    if (r.width < 48 || r.height < 48) out.push('control ' + r.width + 'x' + r.height + ': ' + e.outerHTML.slice(0, 60));
  }
  const job = screen.querySelector('.job');
  if (job && job.scrollHeight > job.clientHeight + 1) out.push('the job scrolls by ' + (job.scrollHeight - job.clientHeight));
  for (const e of screen.querySelectorAll('.number')) if (seen(e) && parseFloat(getComputedStyle(e).fontSize) * 0.7 < 38) out.push('a number of ' + getComputedStyle(e).fontSize);
  if (document.documentElement.scrollWidth > innerWidth) out.push('scrolls sideways');
  return out;
})()`

// faintBench is faintTexts at 7:1.
var faintBench = strings.Replace(faintTexts, "ratio < 4.5", "ratio < 7", 1)

func (b *benchTab) measure() {
	b.t.Helper()
	for _, look := range []string{sizesWrong, faintBench} {
		for _, fault := range js[[]string](b.tab, look) {
			b.t.Errorf("%s: %s", b.screen(), fault)
		}
	}
}

// view keeps a picture of what is in the window.
func (b *benchTab) view(name string) { b.t.Helper(); b.shoot(name) }
