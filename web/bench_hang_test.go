package web_test

import (
	"net/http"
	"strings"
	"testing"
	"time"
)

// A question that hangs, as over a network that lost it, keeps nothing waiting
// for ever: the next one is asked.
func TestBenchAsksAgainWhenAQuestionHangs(t *testing.T) {
	t.Parallel()
	b := openBench(t, "plain-tow-v2")
	js[bool](b.tab, `(() => { const real = window.fetch; let hung = false; window.fetch = (what, how = {}) => { if (hung || how.method === 'POST') return real(what, how); hung = true; return new Promise((_, no) => how.signal?.addEventListener('abort', () => no(new Error('given up')))); }; window.wasHung = () => hung; window.dispatchEvent(new Event('online')); return true; })()`)
	b.wait(`wasHung()`)
	before := len(b.events())
	b.tap()
	b.wait(`document.body.dataset.waiting === '0'`)
	if n := len(b.events()); n <= before {
		t.Errorf("%d taps came", n-before)
	}
}

// A browser whose store of pages hangs still sends taps and shows news; it only
// keeps what a start without a network would not know.
func TestBenchGoesOnWithoutCopies(t *testing.T) {
	t.Parallel()
	b := openBench(t, "plain-tow-v2")
	b.wait(`'stocked' in document.body.dataset`)
	js[bool](b.tab, `(() => { caches.open = () => new Promise(() => {}); return true; })()`)
	b.tap()
	b.arrived()
	next := b.screen()
	b.cut.Store(true)
	b.open("/bench/" + b.id) // as it was stocked, and what the workshop has stands over it
	b.wait(shownScreen + ` === '` + next + `'`)
	b.cut.Store(false)
	js[bool](b.tab, `(() => { caches.open = () => new Promise(() => {}); return true; })()`)
	known := js[string](b.tab, `document.getElementById('bench').dataset.known`)
	at := time.Now().UTC().Format(time.RFC3339Nano)
	res, err := http.Post(b.home+"/batches/"+b.id+"/events", "application/x-ndjson", strings.NewReader(`{"id":"other-1","device":"other","seq":1,"at":"`+at+`","by":"helper 2","kind":"noted","data":{"text":"from another phone"}}`))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	js[bool](b.tab, `window.dispatchEvent(new Event('online'))`)
	b.wait(`document.getElementById('bench').dataset.known !== '` + known + `'`)
	b.open("/bench/" + b.id) // and what was not let go of is no news
	b.wait(shownScreen + ` === '` + next + `'`)
	b.arrived()
	b.onceEach(2, 2)
}
