package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"barwright/batch"
	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// openWeighing opens the weighing day of the demo, whose network can be cut.
func openWeighing(t *testing.T, width int64) *benchTab {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := demo.Fill(t.Context(), s, demo.NinthLock, today); err != nil {
		t.Fatal(err)
	}
	app, err := web.New(s, web.Options{Now: func() time.Time { return today }})
	if err != nil {
		t.Fatal(err)
	}
	handler, cut := app.Handler(), &atomic.Bool{}
	server := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if cut.Load() {
			panic(http.ErrAbortHandler)
		}
		handler.ServeHTTP(w, r)
	}))
	b := &benchTab{tab: openTab(t, server.URL), store: s, cut: cut, id: "b14"}
	b.size(width, 900, false)
	b.open("/rack/weigh?all=1")
	b.wait(`document.documentElement.classList.contains('js') && document.body.dataset.waiting === '0'`)
	return b
}

// barWeights are the weights of a batch that came in beyond so many events.
func (b *benchTab) barWeights(after int) (out []string) {
	b.t.Helper()
	for _, e := range b.events()[after:] {
		switch a := e.Do.(type) {
		case batch.BarWeighed:
			out = append(out, fmt.Sprintf("%d: %g", a.Bar, a.G))
		case batch.Corrected:
			out = append(out, fmt.Sprintf("put right: %g", *a.G))
		}
	}
	return out
}

const bar14 = `[...document.querySelectorAll('.bars li[data-batch=b14]')]`

// Twelve bars and more on one screen: type, enter, and the next has the focus.
// A slip is asked about and answered by a tap; a bar weighed again is put right.
func TestWeighingDayByHand(t *testing.T) {
	t.Parallel()
	for _, width := range []int64{400, 1360} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			t.Parallel()
			b := openWeighing(t, width)
			before := len(b.events())
			if n := js[int](b.tab, `document.querySelectorAll('.bars li[data-bar]').length`); n < 12 {
				t.Fatalf("%d bars on the screen", n)
			}
			js[bool](b.tab, bar14+`[0].querySelector('input:not([type=hidden])').focus() || true`)
			b.do(chromedp.KeyEvent("100.7"), chromedp.KeyEvent(kb.Enter))
			b.wait(`document.activeElement === ` + bar14 + `[1].querySelector('.weight input')`)
			b.do(chromedp.KeyEvent("95,9"), chromedp.KeyEvent(kb.Enter))
			b.wait(bar14 + `[1].querySelector('.asks')?.textContent.includes('Really 95.9 g?')`)
			js[bool](b.tab, `[...`+bar14+`[1].querySelectorAll('.asks button')].find((x) => x.textContent === 'It was 99.5').click() || true`)
			b.wait(bar14 + `[1].dataset.done === '' && document.body.dataset.waiting === '0'`)
			js[bool](b.tab, bar14+`[2].querySelector('[data-step="-1"]').click() || `+bar14+`[2].querySelector('[data-write]').click() || true`)
			b.wait(bar14 + `[2].dataset.done === '' && document.body.dataset.waiting === '0'`)
			js[bool](b.tab, bar14+`[0].querySelector('[data-step="0.1"]').click() || `+bar14+`[0].querySelector('[data-write]').click() || true`)
			b.wait(bar14 + `[0].querySelector('[data-says]').textContent.includes('100.8') && document.body.dataset.waiting === '0'`)
			got := b.barWeights(before)
			if len(got) != 4 || got[0] != "1: 100.7" || got[1] != "2: 99.5" || got[3] != "put right: 100.8" {
				t.Errorf("in the workshop: %v", got)
			}
			b.shoot("weighed")
			b.open("/batches/b14/rack")
			if over := js[float64](b.tab, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("scrolls %g px sideways", over)
			}
			if !js[bool](b.tab, `document.body.textContent.includes('100.8') && document.body.textContent.includes('Dry on')`) {
				t.Error("the batch does not show its new weights")
			}
			b.clean()
		})
	}
}

// Weights written without a network wait on the device, survive a reload of the
// page, which the worker keeps, and arrive once.
func TestWeighingDayOffline(t *testing.T) {
	t.Parallel()
	b := openWeighing(t, 400)
	before := len(b.events())
	b.wait(`document.body.dataset.stocked === ''`)
	b.open("/rack/weigh")
	b.wait(`document.body.dataset.stocked === '' && navigator.serviceWorker.controller`)
	b.cut.Store(true)
	if !js[bool](b.tab, bar14+`[0].querySelector('[data-write]').disabled`) {
		t.Error("what is expected can be written without a weighing")
	}
	js[bool](b.tab, bar14+`[0].querySelector('[data-step="0.1"]').click() || `+bar14+`[0].querySelector('[data-write]').click() || true`)
	b.wait(`document.querySelector('[data-told]').textContent.includes('1 weight waits')`)
	js[bool](b.tab, bar14+`[1].querySelector('[data-step="0.1"]').click() || `+bar14+`[1].querySelector('[data-write]').click() || true`)
	b.wait(`document.body.dataset.waiting === '2'`)
	b.do(chromedp.Navigate(b.home + "/rack/weigh"))
	b.wait(`document.body.dataset.waiting === '2' && ` + bar14 + `[1].dataset.done === ''`)
	if n := len(b.events()); n != before {
		t.Fatalf("%d events without a network", n-before)
	}
	b.cut.Store(false)
	js[bool](b.tab, `window.dispatchEvent(new Event('online'))`)
	b.wait(`document.body.dataset.waiting === '0'`)
	if got := b.barWeights(before); len(got) != 2 {
		t.Errorf("arrived: %v", got)
	}
}

// A page that stays open until the next weighing day weighs again: it does not
// put last week's weight right. Later on the same day it does.
func TestWeighingDayStaysOpen(t *testing.T) {
	t.Parallel()
	b := openWeighing(t, 1360)
	before := len(b.events())
	write := func(steps int) {
		said := js[string](b.tab, bar14+`[0].dataset.said`)
		for range steps {
			js[bool](b.tab, bar14+`[0].querySelector('[data-step="0.1"]').click() || true`)
		}
		js[bool](b.tab, bar14+`[0].querySelector('[data-write]').click() || true`)
		b.wait(bar14 + `[0].dataset.said !== '` + said + `' && document.body.dataset.waiting === '0'`)
	}
	write(1)
	js[bool](b.tab, `(() => { const D = Date; window.Date = class extends D { constructor(...a) { a.length ? super(...a) : super(D.now() + 7 * 864e5); } static now() { return D.now() + 7 * 864e5; } }; return true; })()`)
	write(2)
	write(3)
	var kinds []string
	for _, e := range b.events()[before:] {
		kinds = append(kinds, e.Do.Kind())
	}
	if got := strings.Join(kinds, " "); got != "bar_weighed bar_weighed corrected" {
		t.Error(got)
	}
}
