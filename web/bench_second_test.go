package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"barwright/batch"
)

// secondLine is a second reading of the alkali as another device sends it.
func secondLine(g float64, at time.Time) string {
	return fmt.Sprintf(`{"id":"second-1","device":"second","seq":1,"at":%q,"by":"helper 2","kind":"read_back","data":{"step":"weigh.alkali.0","g":%g}}`, at.UTC().Format(time.RFC3339Nano), g)
}

// A second person reads the alkali, where the start asks for it, and is not shown
// what the first one read: a form under the first one's name is refused with its
// reason; another name's counts, from another device or this one.
func TestBenchSecondReader(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("oatwater-v1", url.Values{"second": {"1"}})
	c.to(bench, "weigh.alkali.0")
	c.done(bench, nil)
	name, body := shown(t, c.get(200, bench))
	if name != "second.weigh.alkali.0" || !strings.Contains(body, "Under another name") {
		t.Fatalf("then %s", name)
	}
	before := len(c.events(bench))
	again := formAt(t, body, "read_back")
	if w := c.post(422, bench, again); !strings.Contains(w.Body.String(), "gave the first reading") {
		t.Errorf("under the first one's name: %s", w.Body)
	}
	if n := len(c.events(bench)); n != before {
		t.Errorf("%d refused readings are kept", n-before)
	}
	again.Set("by", "helper 2")
	c.post(303, bench, again)
	if name, _ := shown(t, c.get(200, bench)); name != "mix" {
		t.Errorf("then %s", name)
	}
}

// Under the name that gave the first reading the tap is refused at once, and
// with the reason; a reading of another phone under another name goes on.
func TestBenchSecondPhone(t *testing.T) {
	t.Parallel()
	b := openBenchWith(t, "oatwater-v1", url.Values{"second": {"1"}})
	b.tapTo("weigh.alkali.0")
	b.tap()
	b.wait(shownScreen + ` === 'second.weigh.alkali.0'`)
	b.arrived()
	before := len(b.events())
	b.measure()
	b.view("second reading")
	time.Sleep(850 * time.Millisecond) // sooner it is the same knuckle
	js[bool](b.tab, `document.querySelector('.screen:not([hidden]) button.done').click() || true`)
	why := `document.querySelector('.screen:not([hidden]) [data-told]').textContent.includes('gave the first reading')`
	b.wait(why)
	if js[bool](b.tab, `(() => { const at = (e) => document.querySelector('.screen:not([hidden]) ' + e).getBoundingClientRect(); return at('[data-told]').bottom > at('.job').bottom + 1; })()`) {
		t.Error("the reason is out of sight")
	}
	b.asked()
	if !js[bool](b.tab, why) {
		t.Error("the next look at the workshop takes the reason away")
	}
	if n := len(b.events()); n != before || b.screen() != "second.weigh.alkali.0" {
		t.Errorf("%d taps more, at %s", n-before, b.screen())
	}
	first := b.events()[before-1]
	// Now, not a moment after the first: what the phone's clock is found to be
	// ahead by, some hundred milliseconds on a busy machine, is taken off.
	body := secondLine(*first.Do.(batch.Weighed).G, time.Now())
	res, err := http.Post(b.home+"/batches/"+b.id+"/events", "application/x-ndjson", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusOK {
		t.Fatal(res.Status)
	}
	js[bool](b.tab, `window.dispatchEvent(new Event('online'))`) // it asks every so often by itself
	b.wait(shownScreen + ` === 'mix'`)
	b.clean()
}
