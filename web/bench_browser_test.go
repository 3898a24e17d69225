package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"barwright/batch"
)

// A whole batch on a phone, by the done area alone; every screen is measured,
// and from every one the emergency card is one tap away.
func TestBenchWholeBatchOnAPhone(t *testing.T) {
	t.Parallel()
	b := openBench(t, "wax-rind-v3")
	var seen []string
	for range 60 {
		name := b.screen()
		seen = append(seen, name)
		b.size(400, 860, len(seen)%2 == 0) // a phone of either theme
		b.measure()
		if card := js[string](b.tab, `(() => { const f = document.querySelector('.screen:not([hidden]) button.splash')?.getBoundingClientRect(); return f && f.top >= 0 && f.bottom < innerHeight ? '' : 'no way to the card'; })()`); card != "" {
			t.Errorf("%s: %s", name, card)
		}
		if strings.HasPrefix(name, "weigh.") && len(seen) < 8 || name == "read.gloves" || name == "trace" || name == "pour" || name == "temperatures" || name == "read.fats" || name == "cut" {
			b.view("phone " + name)
		}
		if name == "end" {
			break
		}
		b.tap()
	}
	b.arrived()
	if len(seen) < 24 || seen[len(seen)-1] != "end" {
		t.Errorf("%d screens: %v", len(seen), seen)
	}
	events := b.events()
	if n := len(kindsOf(events)); n != len(seen)-1 {
		t.Errorf("%d taps for %d screens", n, len(seen))
	}
	m, err := b.store.Batch(t.Context(), b.id)
	if err != nil {
		t.Fatal(err)
	}
	st, err := batch.Replay(m.Start, events)
	if err != nil || st.Cut == nil || len(st.Uncounted) > 0 || len(st.Gaps) > 0 {
		t.Errorf("%v, uncounted %v, gaps %v", err, st.Uncounted, st.Gaps)
	}
	b.clean()
}

// Taps made without the network wait on the device, survive a reload, and come
// once each when it is back.
func TestBenchOffline(t *testing.T) {
	t.Parallel()
	b := openBench(t, "wax-rind-v3")
	b.tapTo("tare.jug")
	b.arrived()
	b.wait(`'stocked' in document.body.dataset`)
	before := len(kindsOf(b.events()))
	b.cut.Store(true)
	b.tapTo("check.jug")
	if n := len(kindsOf(b.events())); n != before {
		t.Fatalf("%d taps came through a cut network", n-before)
	}
	b.wait(`document.querySelector('.screen:not([hidden]) [data-told]').textContent.includes('wait on this device')`)
	b.view("offline")
	b.open("/bench/" + b.id) // cold, from what the worker keeps
	b.wait(shownScreen + ` === 'check.jug'`)
	b.tap()
	at := b.screen()
	b.cut.Store(false)
	b.wait(`document.body.dataset.waiting === '0'`)
	b.wait(shownScreen + fmt.Sprintf(` === %q`, at))
	events := b.events()
	if got := len(kindsOf(events)) - before; got != 5 { // tare, water, alkali, mix, jug
		t.Errorf("%d taps arrived: %v", got, kindsOf(events))
	}
	ids := map[string]bool{}
	for _, e := range events {
		if ids[e.ID] {
			t.Errorf("%s came twice", e.ID)
		}
		ids[e.ID] = true
	}
	m, _ := b.store.Batch(t.Context(), b.id)
	if st, err := batch.Replay(m.Start, events); err != nil || len(st.Uncounted) > 0 || len(st.Gaps) > 0 {
		t.Errorf("%v %v %v", err, st.Uncounted, st.Gaps)
	}
	b.cleanBut("ERR_", "Failed to fetch", "Failed to load")
}

// Two taps within 0.8 s are one; Space and Enter tap too; an undo takes back.
func TestBenchKnuckleKeysUndo(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	first := b.screen()
	js[bool](b.tab, `(() => { const press = () => document.querySelector('.screen:not([hidden]) button.done').click(); press(); press(); setTimeout(press, 120); setTimeout(press, 500); return true; })()`)
	b.wait(shownScreen + ` === 'read.goggles'`)
	time.Sleep(700 * time.Millisecond)
	b.arrived()
	if n := len(kindsOf(b.events())); n != 1 || b.screen() != "read.goggles" {
		t.Errorf("%d taps of a bouncing knuckle, now %s", n, b.screen())
	}
	js[bool](b.tab, `document.activeElement.blur() || true`)
	time.Sleep(850 * time.Millisecond)
	b.do(chromedp.KeyEvent(" "))
	b.wait(shownScreen + ` === 'read.lye_into_water'`)
	time.Sleep(850 * time.Millisecond)
	b.do(chromedp.KeyEvent(kb.Enter))
	b.wait(shownScreen + ` === 'read.first_aid'`)
	js[bool](b.tab, `document.querySelector('.screen:not([hidden]) [data-undo]').click() || true`)
	b.wait(shownScreen + ` === 'read.lye_into_water'`)
	b.arrived()
	b.wait(shownScreen + ` === 'read.lye_into_water'`)
	b.wait(`document.querySelector('.screen:not([hidden]) [data-undo]').disabled || true`)
	if got := strings.Join(kindsOf(b.events()), " "); got != "acknowledged acknowledged acknowledged undone" {
		t.Error(got)
	}
	if first != "read.gloves" {
		t.Errorf("begins with %s", first)
	}
	b.clean()
}

// Another weight by the steppers: fine goes on, what is not fine is asked about.
func TestBenchOtherWeight(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.tapTo("weigh.water")
	press := func(selector string) {
		t.Helper()
		js[bool](b.tab, fmt.Sprintf(`document.querySelector('.screen:not([hidden]) %s').click() || true`, selector))
	}
	press(`[data-show="other"]`)
	b.wait(`!document.querySelector('.screen:not([hidden]) .steps').hidden`)
	b.measure()
	b.view("other weight")
	press(`[data-by="100"]`)
	b.tap()
	b.wait(shownScreen + ` === 'wrong'`)
	b.measure()
	b.view("wrong")
	time.Sleep(850 * time.Millisecond)
	js[bool](b.tab, `[...document.querySelectorAll('.ways button')].find((b) => b.textContent.includes('Weigh the water again')).click() || true`)
	b.wait(shownScreen + ` === 'weigh.water'`)
	b.tap()
	b.arrived()
	b.clean()
}

// The emergency card: its first line in view, its timer running, from a tap
// made without the network.
func TestBenchEmergencyCard(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.cut.Store(true)
	js[bool](b.tab, `document.querySelector('.screen:not([hidden]) button.splash').click() || true`)
	b.wait(shownScreen + ` === 'splash'`)
	for _, size := range [][2]int64{{400, 800}, {320, 480}, {800, 360}} {
		b.size(size[0], size[1], false)
		if low := js[float64](b.tab, `document.querySelector('.screen:not([hidden]) .first-line').getBoundingClientRect().bottom - innerHeight`); low > 0 {
			t.Errorf("%v: the first line ends %g px below the fold", size, low)
		}
	}
	b.size(400, 800, false)
	b.wait(`/^0:0[1-9]$/.test(document.querySelector('.screen:not([hidden]) [data-rinse-timer]').textContent)`)
	b.measure()
	b.view("splash")
	b.cut.Store(false)
	b.arrived()
	if got := kindsOf(b.events()); len(got) != 1 || got[0] != "emergency" {
		t.Error(got)
	}
	b.cleanBut("ERR_", "Failed to fetch", "Failed to load", "when fetching the script") // the last: a worker that the cut kept out
}

// Two devices at one batch: each sees what the other stamped.
func TestBenchTwoDevices(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.tap()
	b.arrived()
	at := time.Now().Add(time.Second).UTC().Format("2006-01-02T15:04:05.000Z")
	body := fmt.Sprintf(`{"id":"other-1","device":"other","seq":1,"at":%q,"by":"helper 2","kind":"acknowledged","data":{"what":["goggles","lye_into_water"]}}`, at)
	res, err := http.Post(b.home+"/batches/"+b.id+"/events", "application/x-ndjson", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	b.wait(shownScreen + ` === 'read.first_aid'`)
	b.tap()
	b.arrived()
	if n := len(kindsOf(b.events())); n != 3 {
		t.Errorf("%d taps", n)
	}
	b.clean()
}

// Over plain HTTP an open page works on without the network, keeps its queue,
// and says what this connection cannot do.
func TestBenchOverPlainHTTP(t *testing.T) {
	t.Parallel()
	b := serveBench(t, "oatwater-v1", kitchen())
	b.tab = openTab(t, b.home)
	b.size(400, 800, false)
	b.open("/bench/" + b.id)
	b.wait(shownScreen + ` === 'read.gloves'`)
	b.wait(`document.querySelector('[data-device-says]').textContent.includes('not secure')`)
	if js[bool](b.tab, `isSecureContext`) {
		t.Fatal("this is a secure context")
	}
	b.cut.Store(true)
	b.tapTo("weigh.water")
	if n := len(b.events()); n != 0 {
		t.Fatalf("%d taps came through", n)
	}
	b.wait(`document.querySelector('video.nudge')`) // keeps the screen awake another way
	b.cut.Store(false)
	b.arrived()
	if n := len(kindsOf(b.events())); n != 5 && n != 6 {
		t.Errorf("%d taps: %v", n, kindsOf(b.events()))
	}
	b.cleanBut("ERR_", "Failed to fetch", "Failed to load")
}

// Who comes back is told how long nobody looked, and what is warm by now.
func TestBenchAway(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.tapTo("check.jug") // the lye is hot
	b.arrived()
	js[bool](b.tab, `(() => { window.stop(); const key = 'bench.seen.`+b.id+`'; window.addEventListener('pagehide', () => localStorage.setItem(key, Date.now() - 250000)); return true; })()`)
	b.open("/bench/" + b.id)
	b.wait(`/You were away 4:1/.test(document.querySelector('.screen:not([hidden])').textContent)`)
	b.wait(`/lye (now )?about/i.test(document.querySelector('.screen:not([hidden])').textContent)`)
	b.view("away")
	b.cleanBut("ERR_")
}
