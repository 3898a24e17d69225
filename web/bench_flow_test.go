package web_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// clockedShop is a workshop whose clock the test moves.
type clockedShop struct {
	shop
	now time.Time
}

func openClocked(t *testing.T) *clockedShop {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := demo.Fill(t.Context(), s, demo.NinthLock, today); err != nil {
		t.Fatal(err)
	}
	c := &clockedShop{now: today}
	app, err := web.New(s, web.Options{Now: func() time.Time { return c.now }})
	if err != nil {
		t.Fatal(err)
	}
	c.shop = shop{t: t, store: s, app: app.Handler()}
	return c
}

// begin starts a batch of a version and returns its bench.
func (c *clockedShop) begin(version string, more url.Values) string {
	c.t.Helper()
	form := formOf(c.get(200, "/bench/new?version="+version), "")
	for k, v := range more {
		form[k] = v
	}
	w := c.post(303, "/bench/new", form)
	to := w.Header().Get("Location")
	if !strings.HasPrefix(to, "/bench/") {
		c.t.Fatalf("a start leads to %s", to)
	}
	return to
}

var sectionOf = regexp.MustCompile(`(?s)<section class="screen([^"]*)"([^>]*)>(.*?)</section>`)

// shown is the screen that is shown: its name and what is in it.
func shown(t *testing.T, page string) (name, body string) {
	t.Helper()
	for _, m := range sectionOf.FindAllStringSubmatch(page, -1) {
		if !strings.Contains(m[2], " hidden") {
			if name != "" {
				t.Fatalf("two screens are shown: %s and %s", name, m[2])
			}
			name, body = attr(m[2], "data-screen")+attr(m[2], "data-panel"), m[3]
		}
	}
	if name == "" {
		t.Fatal("no screen is shown")
	}
	return name, body
}

// formAt is the form of a screen that sends this kind of tap.
func formAt(t *testing.T, body, kind string) url.Values {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?s)<form[^>]*data-stamp="`+kind+`".*?</form>`).FindAllString(body, -1) {
		return formOf(m, "")
	}
	t.Fatalf("no form of kind %q", kind)
	return nil
}

// done presses the done area of the screen that is shown.
func (c *clockedShop) done(bench string, change url.Values) (was string) {
	c.t.Helper()
	name, body := shown(c.t, c.get(200, bench))
	m := regexp.MustCompile(`(?s)<form class="do".*?</form>`).FindString(body)
	if m == "" {
		c.t.Fatalf("%s has no done area", name)
	}
	form := formOf(m, "")
	for k, v := range change {
		form[k] = v
	}
	c.post(303, bench, form)
	c.now = c.now.Add(40 * time.Second)
	return name
}

// to presses on until a screen.
func (c *clockedShop) to(bench, until string) (seen []string) {
	c.t.Helper()
	for range 80 {
		name, _ := shown(c.t, c.get(200, bench))
		if name == until {
			return seen
		}
		if len(seen) > 0 && seen[len(seen)-1] == name {
			c.t.Fatalf("%s stays", name)
		}
		c.done(bench, nil)
		seen = append(seen, name)
	}
	c.t.Fatalf("never came to %s: %v", until, seen)
	return nil
}

// A whole batch by forms alone: every step is one screen, in the order of the
// work, and the record tells it.
func TestBenchWholeBatchByForms(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	seen := c.to(bench, "end")
	order := []string{"read.gloves", "read.goggles", "read.lye_into_water", "read.first_aid", "tare.jug", "weigh.water", "weigh.alkali.0", "mix", "check.jug", "tare.pot", "melt", "check.pot", "read.fats", "read.lye", "temperatures", "combine", "trace", "pour", "finish", "rest.0", "turn_out", "cut"}
	at := 0
	for _, name := range seen {
		if at < len(order) && name == order[at] {
			at++
		}
	}
	if at != len(order) {
		t.Errorf("after %s: %v", order[:at], seen)
	}
	record := c.get(200, strings.Replace(bench, "/bench/", "/batches/", 1))
	for _, want := range []string{"marks stay", "poured", "cut into", "Planned, and had", "Superfat", "this computer", "Lots used"} {
		if !strings.Contains(record, want) {
			t.Errorf("the record lacks %q", want)
		}
	}
	if strings.Contains(record, "do not count") {
		t.Error("some taps do not count")
	}
	list := c.get(200, "/batches")
	if !strings.Contains(list, "cut into") {
		t.Error("the list does not say that it was cut")
	}
	if strings.Contains(c.get(200, "/bench"), bench) {
		t.Error("it is still at the bench")
	}
}

// A version with a stop cannot be started, neither from its page nor by a form.
func TestBenchStopCannotBeStarted(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	page := c.get(200, "/recipes/plain-tow")
	form := formOf(page, "")
	form.Set("r.superfat", "0 %")
	form.Set("reason", "too lean")
	form.Set("do", "save")
	c.post(303, "/recipes/plain-tow", form)
	page = c.get(200, "/recipes/plain-tow")
	if !strings.Contains(page, `disabled>Start a batch`) || !strings.Contains(page, "Not while a stop stands") || strings.Contains(page, "/bench/new") {
		t.Error("the page of a version with a stop offers to start it")
	}
	version := attr(regexp.MustCompile(`<input[^>]*name="version"[^>]*>`).FindString(page), "value")
	if told := c.get(200, "/bench/new?version="+version); !strings.Contains(told, "It cannot be started") || strings.Contains(told, "<button") {
		t.Error("the start page does not say so")
	}
	before, _ := c.store.Batches(t.Context())
	c.post(422, "/bench/new", url.Values{"version": {version}, "room": {"20"}})
	if after, _ := c.store.Batches(t.Context()); len(after) != len(before) {
		t.Error("it was started all the same")
	}
	if page := c.get(200, "/recipes/oatwater"); !strings.Contains(page, "/bench/new?version=") {
		t.Error("a version without a stop cannot be started")
	}
	c.get(404, "/bench/new?version=none")
	w := c.post(422, "/bench/new", url.Values{"version": {"oatwater-v1"}, "room": {"warm"}})
	if !strings.Contains(w.Body.String(), "degrees Celsius") {
		t.Error("a room of no number is taken")
	}
}

// 24 g of alkali too much: the stop holds, the ways on are offered, going on
// quarantines, and only a written release ends that.
func TestBenchHoldQuarantineRelease(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("plain-tow-v2", nil)
	record := strings.Replace(bench, "/bench/", "/batches/", 1)
	c.to(bench, "weigh.alkali.0")
	_, body := shown(t, c.get(200, bench))
	target := attr(regexp.MustCompile(`<input[^>]*name="n.g"[^>]*>`).FindString(body), "value")
	c.done(bench, url.Values{"n.g": {target + "0"}}) // a digit too many
	name, body := shown(t, c.get(200, bench))
	if name != "wrong" || !strings.Contains(body, "weigh_again.weigh.alkali.0") || !strings.Contains(body, "Go on all the same") {
		t.Fatalf("after ten times the alkali: %s", name)
	}
	c.post(303, bench, formAt(t, body, "went_on"))
	c.now = c.now.Add(time.Minute)
	page := c.get(200, record)
	if !strings.Contains(page, "Quarantined") || strings.Contains(page, "Release it") {
		t.Error("going on does not quarantine, or it can be released before there is soap")
	}
	c.post(422, record, url.Values{"kind": {"released"}, "s.laboratory": {"Weir"}, "s.reference": {"1"}, "s.result": {"fine"}})
	c.post(422, record, url.Values{"kind": {"released"}, "s.laboratory": {"Weir"}})
	if page := c.get(200, record); strings.Contains(page, "Weir, 1") {
		t.Error("it was released without soap")
	}
	c.to(bench, "end")
	page = c.get(200, record)
	if !strings.Contains(page, "No label, and no bars into stock") || !strings.Contains(page, "Into stock: 0.") || !strings.Contains(page, "Release it, in writing") {
		t.Error("soap of a quarantined batch is free, or cannot be released")
	}
	c.post(303, record, url.Values{"kind": {"released"}, "s.laboratory": {"Weir Laboratory"}, "s.reference": {"W 17"}, "s.result": {"free alkali under 0.05 %"}})
	page = c.get(200, record)
	if !strings.Contains(page, "Released") || !strings.Contains(page, "W 17") || strings.Contains(page, "no bars into stock") || strings.Contains(page, "Into stock: 0.") {
		t.Error("it is not released by a laboratory's result")
	}
}

// What forms refuse.
func TestBenchFormsRefuse(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("oatwater-v1", nil)
	for _, f := range []url.Values{
		{}, {"kind": {"nonsense"}}, {"kind": {"weighed"}, "s.step": {"weigh.water"}}, {"kind": {"weighed"}, "s.step": {"weigh.water"}, "n.g": {"lots"}},
		{"kind": {"weighed"}, "s.step": {"weigh.water"}, "n.g": {"-4"}}, {"kind": {"tared"}, "s.vessel": {"bucket"}, "n.g": {"4"}}, {"kind": {"reading"}, "s.of": {"lye"}, "n.c": {"500"}},
		{"kind": {"acknowledged"}}, {"kind": {"emergency"}, "s.what": {"flood"}}, {"kind": {"stamped"}, "s.step": {"Pour it"}}, {"kind": {"undone"}}, {"kind": {"stamped"}, "s.step": {"mix"}, "id": {"not an id"}},
	} {
		c.post(422, bench, f)
	}
	c.post(404, "/bench/none", url.Values{"kind": {"began"}})
	c.get(404, "/bench/none")
	c.get(404, "/batches/none")
	c.post(404, "/batches/none/events", nil)
	record := strings.Replace(bench, "/bench/", "/batches/", 1)
	c.post(422, record, url.Values{"kind": {"stamped"}, "s.step": {"mix"}})
	events, err := c.store.Events(t.Context(), strings.TrimPrefix(bench, "/bench/"))
	if err != nil || len(events) != 0 {
		t.Errorf("%d taps were kept, %v", len(events), err)
	}
}

// A form sent twice counts once, two within 0.8 s count once, and an undo takes
// the last one back for ten seconds.
func TestBenchTwiceAndUndo(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("oatwater-v1", nil)
	name, body := shown(t, c.get(200, bench))
	form := formAt(t, body, "acknowledged")
	c.post(303, bench, form)
	c.post(303, bench, form) // the same tap again
	second, body := shown(t, c.get(200, bench))
	if name == second {
		t.Fatal("it was not taken")
	}
	c.now = c.now.Add(300 * time.Millisecond)
	c.post(303, bench, formAt(t, body, "acknowledged")) // the knuckle bounced
	if now, _ := shown(t, c.get(200, bench)); now != second {
		t.Errorf("a bounce went on to %s", now)
	}
	_, body = shown(t, c.get(200, bench))
	c.now = c.now.Add(5 * time.Second)
	c.post(303, bench, formAt(t, body, "undone"))
	if now, _ := shown(t, c.get(200, bench)); now != name {
		t.Errorf("after an undo: %s, want %s", now, name)
	}
	c.now = c.now.Add(time.Minute)
	if _, body = shown(t, c.get(200, bench)); !strings.Contains(body, "data-undo disabled") {
		t.Error("after a minute it can still be undone")
	}
}

// Every screen has the way to the emergency card; the card begins with what to
// do and runs a timer.
func TestBenchEmergencyFromEveryScreen(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	for range 80 {
		name, body := shown(t, c.get(200, bench))
		form := formAt(t, body, "emergency")
		if form.Get("s.what") != "splash" || form.Get("show") != "splash" {
			t.Fatalf("%s: %v", name, form)
		}
		if name == "end" {
			break
		}
		c.done(bench, nil)
	}
	_, body := shown(t, c.get(200, bench))
	w := c.post(303, bench, formAt(t, body, "emergency"))
	name, body := shown(t, c.get(200, w.Header().Get("Location")))
	if name != "splash" || !strings.Contains(body, "Running lukewarm water, now") || !strings.Contains(body, "data-rinse-timer") {
		t.Errorf("it leads to %s", name)
	}
	if page := c.get(200, "/bench/emergency"); !strings.Contains(page, "Hold the eye open") {
		t.Error("the card is not there without a batch")
	}
}

// Trouble is two questions and one instruction, whose stamp ends it.
func TestBenchTriage(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "trace")
	name, body := shown(t, c.get(200, bench+"?show=trouble"))
	if name != "trouble" || strings.Count(body, `data-show="trouble.`) < 4 {
		t.Fatalf("%s", name)
	}
	c.get(200, bench+"?show=trouble.thickening")
	_, body = shown(t, c.get(200, bench+"?show=trouble.thickening.runs"))
	c.post(303, bench, formAt(t, body, "triaged"))
	c.now = c.now.Add(5 * time.Second)
	name, body = shown(t, c.get(200, bench))
	if name != "trouble" || !strings.Contains(body, "Stop blending") || !strings.Contains(body, "Smooth again") {
		t.Fatalf("then %s: %s", name, body)
	}
	c.done(bench, nil)
	if name, _ := shown(t, c.get(200, bench)); name != "trace" {
		t.Errorf("and then %s", name)
	}
}
