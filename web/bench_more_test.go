package web_test

import (
	"fmt"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/store"
)

// events are the taps of a bench's batch.
func (c *clockedShop) events(bench string) []batch.Event {
	c.t.Helper()
	events, err := c.store.Events(c.t.Context(), strings.TrimPrefix(bench, "/bench/"))
	if err != nil {
		c.t.Fatal(err)
	}
	return events
}

func (c *clockedShop) last(bench string) batch.Event {
	c.t.Helper()
	events := c.events(bench)
	if len(events) == 0 {
		c.t.Fatal("no tap")
	}
	return events[len(events)-1]
}

// panel is one panel as it is shown.
func (c *clockedShop) panel(bench, name string) string {
	c.t.Helper()
	shows, body := shown(c.t, c.get(200, bench+"?show="+url.QueryEscape(name)))
	if shows != name && name != "lots" {
		c.t.Fatalf("%s is shown, not %s", shows, name)
	}
	return body
}

// Another lot can be named at the bench, and a weighing split between two: both
// give what they gave, and no more comes off the shelf than was weighed.
func TestBenchLots(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	strong := c.add("/stock/new", "of", "naoh", "name", "SH-5", "on_hand", "2 kg", "purity", "99.8")
	weak := c.add("/stock/new", "of", "naoh", "name", "SH-6", "on_hand", "2 kg", "purity", "97")
	eight := c.add("/stock/new", "of", "Beef tallow", "name", "TLW-8", "on_hand", "2 kg", "received", "20 Nov 2026", "best_before", "1 Dec 2028")
	bench := c.begin("wax-rind-v3", url.Values{"lot.weigh.fats.2": {"tlw_7"}})
	c.to(bench, "weigh.alkali.0")
	if body := c.panel(bench, "lots"); strings.Contains(body, `value="`+strong+`"`) || !strings.Contains(body, `value="`+weak+`"`) {
		t.Errorf("an alkali stronger than planned is offered, or a weaker one is not:\n%s", body)
	}
	c.to(bench, "weigh.fats.2")
	if body := c.panel(bench, "lots"); !strings.Contains(body, "TLW-8 · 2") || !strings.Contains(body, "Both: TLW-7 gave") {
		t.Fatalf("no choice of lots:\n%s", body)
	}
	// 120 g of the first, the rest of 170 g from the second.
	name, body := shown(t, c.get(200, bench+"?of=weigh.fats.2&first_lot=tlw_7&n.first=120&lot="+eight))
	if name != "weigh.fats.2" || !strings.Contains(body, "120\u202fg of TLW-7 and the rest of TLW-8") {
		t.Fatalf("%s:\n%s", name, body)
	}
	c.post(303, bench, formAt(t, body, "weighed"))
	w := c.last(bench).Do.(batch.Weighed)
	got := map[string]float64{}
	for _, p := range w.From {
		got[p.Lot] = *p.G
	}
	if len(got) != 2 || got["tlw_7"] != 120 || got[eight] != 50 {
		t.Fatalf("%+v", w)
	}
	if had := c.onHand(eight); !strings.Contains(had, "1.95 kg") {
		t.Error(had)
	}
	if had := c.onHand("tlw_7"); !strings.Contains(had, "14.08 kg") {
		t.Error(had)
	}
	// More than was weighed cannot have come of the first.
	form := formAt(t, body, "weighed")
	form.Set("id", "x1")
	form.Set("f.tlw_7", "900")
	c.post(422, bench, form)
	// Where nothing is weighed, nothing is offered.
	c.now = c.now.Add(2 * time.Second)
	c.to(bench, "melt")
	if body := c.panel(bench, "lots"); !strings.Contains(body, "There is no other lot") {
		t.Error(body)
	}
}

// Two people at one phone: who taps is who stands in the record, and a switch
// stamps nothing.
func TestBenchTwoPeople(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	c.done(bench, nil)
	before := len(c.events(bench))
	w := c.post(303, bench, url.Values{"kind": {"who"}, "name": {"helper 2"}})
	if n := len(c.events(bench)); n != before {
		t.Errorf("the switch stamped %d", n-before)
	}
	tap := formAt(t, func() string { _, body := shown(t, c.get(200, bench)); return body }(), "acknowledged")
	r := httptest.NewRequest("POST", bench, strings.NewReader(tap.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for _, cookie := range w.Result().Cookies() {
		r.AddCookie(cookie)
	}
	c.ask(303, r)
	if by := c.last(bench).By; by != "helper 2" {
		t.Errorf("by %q", by)
	}
	if first := c.events(bench)[0].By; first != "this computer" {
		t.Errorf("first by %q", first)
	}
	if body := c.panel(bench, "who"); !strings.Contains(body, "<button>helper 2</button>") || !strings.Contains(body, "<button>this computer</button>") {
		t.Error(body)
	}
	for _, bad := range []string{"", strings.Repeat("x", 61), "a\x01b"} {
		c.post(422, bench, url.Values{"kind": {"who"}, "name": {bad}})
	}
}

// The call for help is on every screen and on every panel but the cards
// themselves.
func TestBenchSplashOnEveryPanel(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	page := c.get(200, c.begin("wax-rind-v3", nil))
	panels := 0
	for _, m := range sectionOf.FindAllStringSubmatch(page, -1) {
		if strings.Contains(m[1], "alarm") {
			continue
		}
		panels++
		if !strings.Contains(m[3], `value="splash"><button class="splash">`) {
			t.Errorf("no call for help: %s", m[2])
		}
	}
	if panels < 40 {
		t.Errorf("%d screens and panels", panels)
	}
}

// Marks at any time, how it rests and what was cut are stamped by taps; the
// record tells them, and the chapters begin with the film.
func TestBenchMarksRestCut(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "combine")
	c.post(303, bench, url.Values{"kind": {"stamped"}, "s.step": {"camera"}})
	c.now = c.now.Add(30 * time.Second)
	c.done(bench, nil)
	c.post(303, bench, url.Values{"kind": {"stamped"}, "s.step": {"stable"}})
	c.now = c.now.Add(2 * time.Second)
	c.to(bench, "rest.0")
	c.post(303, bench, merged(formAt(t, c.panel(bench, "rest"), "rested"), url.Values{"s.place": {"fridge"}, "s.cover": {"film"}, "n.c": {"6"}, "b.fan": {"true"}}))
	if _, body := shown(t, c.get(200, bench)); !strings.Contains(body, "Stamped: rests in the fridge at 6 °C, cover: film, with a fan") {
		t.Error(body)
	}
	c.now = c.now.Add(2 * time.Second)
	c.to(bench, "cut")
	c.post(303, bench, merged(formAt(t, c.panel(bench, "cut"), "cut"), url.Values{"n.bars": {"9"}, "n.aside": {"1"}, "n.marked": {"2"}, "n.mean_g": {"98,5"}, "n.trimmed_g": {"40"}}))
	cut := c.last(bench).Do.(batch.Cut)
	if cut.Bars != 9 || cut.Aside != 1 || cut.Marked != 2 || *cut.Mean != 98.5 || *cut.TrimG != 40 {
		t.Errorf("%+v", cut)
	}
	record := c.get(200, strings.Replace(bench, "/bench/", "/batches/", 1))
	// 9 × 98.5 + 40 = 926.5, by hand.
	for _, want := range []string{"It holds together", "9 bars, 1 set aside", "Into stock: 8.", "98.5\u202fg (of 2)", "Off-cuts 40\u202fg", "926.5", "rests in the fridge"} {
		if !strings.Contains(strings.ToLower(record), strings.ToLower(want)) {
			t.Errorf("the record does not say %q", want)
		}
	}
	vtt := c.get(200, strings.Replace(bench, "/bench/", "/batches/", 1)+"/chapters")
	if !strings.HasPrefix(vtt, "WEBVTT\n\n1\n00:00:00.000 --> 00:00:30.000\na film begins\n") {
		t.Errorf("the chapters begin\n%.120s", vtt)
	}
}

func merged(a, b url.Values) url.Values {
	for k, v := range b {
		a[k] = v
	}
	return a
}

// A clock that was set while the phone worked is told at the bench, and moves
// no time.
func TestBenchTellsAClockJump(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	at := c.now
	line := func(seq int, at time.Time, tick int64, what string) string {
		return fmt.Sprintf(`{"id":"p-%d","device":"p","seq":%d,"at":%q,"run":"r1","tick_ms":%d,"kind":"acknowledged","data":{"what":[%q]}}`, seq, seq, at.UTC().Format(time.RFC3339Nano), tick, what)
	}
	body := line(1, at, 1000, "gloves") + "\n" + line(2, at.Add(time.Hour+5*time.Second), 6000, "goggles")
	r := httptest.NewRequest("POST", strings.Replace(bench, "/bench/", "/batches/", 1)+"/events", strings.NewReader(body))
	c.ask(200, r)
	c.now = c.now.Add(10 * time.Second)
	if page := c.get(200, bench); !strings.Contains(page, "The clock of a device was put on by 1:00:00") {
		t.Error("the jump is not told")
	}
}

// A scale that shows ounces is stepped in ounces, and what is kept is grams.
// Source: NIST SP 811, 1 oz = 28.349523125 g.
func TestBenchInOunces(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	file := regexp.MustCompile(`(?s)\[scale\].*`).ReplaceAllString(recipeFile(t, "plain-tow"), "[scale]\nfats = \"0.05 oz\"\nalkali = \"0.05 oz\"\n")
	version := "ounces-1"
	if err := c.store.NewRecipe(t.Context(), store.Recipe{ID: "ounces", Name: "Ounces"}, store.Version{ID: version, Recipe: "ounces", Body: file, Reason: "first", MadeAt: c.now}, ""); err != nil {
		t.Fatal(err)
	}
	bench := c.begin(version, nil)
	c.to(bench, "weigh.fats.0")
	name, body := shown(t, c.get(200, bench))
	form := formAt(t, body, "weighed")
	if form.Get("oz.g") == "" || !strings.Contains(body, `<span class="unit">oz</span>`) {
		t.Fatalf("%s: %v\n%s", name, form, body)
	}
	form.Set("oz.g", "6.8")
	c.post(303, bench, form)
	if got := *c.last(bench).Do.(batch.Weighed).G; got < 6.8*28.349523125-1e-9 || got > 6.8*28.349523125+1e-9 {
		t.Errorf("%g g", got)
	}
}

// The maker's own times shape the window: story 4 at the bench of the app.
func TestBenchOwnTimes(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	form := formOf(c.get(200, "/bench/new?version=wax-rind-v3"), "")
	form["after.low"], form["after.typical"], form["after.high"], form["room"] = []string{"100"}, []string{"130"}, []string{"90"}, []string{"20"}
	if page := c.post(422, "/bench/new", form).Body.String(); !strings.Contains(page, "the shortest first") || !strings.Contains(page, `value="130"`) {
		t.Error("what was typed, or what is wrong with it, is not there")
	}
	form["need.pour"] = []string{"soon"}
	if page := c.post(422, "/bench/new", form).Body.String(); !strings.Contains(page, "whole seconds") {
		t.Error("soon is no number")
	}
	bench := c.begin("wax-rind-v3", url.Values{"after.low": {"100"}, "after.typical": {"130"}, "after.high": {"180"}, "need.pour": {"45"}})
	m, err := c.store.Batch(t.Context(), strings.TrimPrefix(bench, "/bench/"))
	if err != nil || m.Start.AfterTrace == nil || *m.Start.AfterTrace != (batch.Seconds{Low: 100, Typical: 130, High: 180}) || m.Start.Needs["pour"] != 45 {
		t.Errorf("%+v %v", m.Start.AfterTrace, m.Start.Needs)
	}
	c.to(bench, "trace")
	c.done(bench, nil) // and 40 s pass
	if _, body := shown(t, c.get(200, bench)); !strings.Contains(body, "1:30") {
		t.Errorf("130 s less 40 are not on the screen:\n%s", body)
	}
}
