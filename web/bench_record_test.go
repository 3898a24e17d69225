package web_test

import (
	"encoding/json"
	"html"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// Taps of a device: taken once however often they come, one that is wrong keeps
// none out, and a twin is told.
func TestBatchEventsAreTakenOnce(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("oatwater-v1", nil)
	path := strings.Replace(bench, "/bench/", "/batches/", 1) + "/events"
	line := func(id, seq, kind, data string) string {
		return `{"id":"` + id + `","device":"d","seq":` + seq + `,"at":"2026-11-25T12:00:0` + seq + `.000Z","by":"x","kind":"` + kind + `","data":` + data + "}\n"
	}
	send := func(body string) string {
		r := httptest.NewRequest("POST", path, strings.NewReader(body))
		r.Header.Set("Content-Type", "application/x-ndjson")
		return c.ask(200, r).Body.String()
	}
	one, two := line("a", "1", "acknowledged", `{"what":["gloves"]}`), line("b", "3", "acknowledged", `{"what":["goggles"]}`)
	if got := send(one + line("x", "2", "dance", `{}`) + two); !strings.Contains(got, `"added":2`) || !strings.Contains(got, `"id":"x"`) {
		t.Error(got)
	}
	if got := send(two + one); !strings.Contains(got, `"added":0,"refused":[]`) {
		t.Error(got)
	}
	if got := send(line("c", "3", "noted", `{"text":"twin"}`)); !strings.Contains(got, `"why":"other"`) {
		t.Error(got)
	}
	if name, _ := shown(t, c.get(200, bench)); name != "read.lye_into_water" {
		t.Errorf("then %s", name)
	}
	out := c.ask(200, httptest.NewRequest("GET", path, nil)).Body.String()
	if strings.Count(out, "\n") != 2 || !strings.Contains(out, `"goggles"`) {
		t.Error(out)
	}
}

// What was filled in on paper can be typed in, and makes the same record.
func TestBatchFromPaper(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("plain-tow-v2", nil)
	record := strings.Replace(bench, "/bench/", "/batches/", 1)
	paper := c.get(200, record+"/paper")
	if strings.Count(paper, `<i class="blank`) < 15 || !strings.Contains(paper, "together") {
		t.Error("the printed sheet has no blanks")
	}
	page := c.get(200, record+"/typed")
	form := formOf(page, "")
	form.Set("began", "9:00")
	c.post(422, record+"/typed", form) // nothing filled in
	form.Set("g.weigh.water", "viel")
	w := c.post(422, record+"/typed", form)
	if !strings.Contains(html.UnescapeString(w.Body.String()), "“viel” is no number") || !strings.Contains(w.Body.String(), `value="viel"`) {
		t.Error("what is wrong is not told beside what was typed")
	}
	form.Set("g.weigh.water", "121,5")
	form.Set("tick.ready", "1")
	form.Set("time.combine", "9:50")
	c.post(303, record+"/typed", form)
	told := c.get(200, record)
	for _, want := range []string{"Water 121.5 g", "lye and fats together", "read: long gloves on"} {
		if !strings.Contains(told, want) {
			t.Errorf("the record lacks %q", want)
		}
	}
}

// A record takes notes and corrections, and goes out as files.
func TestBatchRecordWritesAndExports(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("plain-tow-v2", nil)
	record := strings.Replace(bench, "/bench/", "/batches/", 1)
	c.to(bench, "weigh.alkali.0")
	c.post(303, record, url.Values{"kind": {"noted"}, "s.text": {"the film began late"}})
	page := c.get(200, record)
	of := attr(regexp.MustCompile(`<option value="[^"]*">[^<]*Water`).FindString(page), "value")
	c.post(303, record, url.Values{"kind": {"corrected"}, "s.of": {of}, "n.g": {"119"}, "s.why": {"misread"}})
	c.post(422, record, url.Values{"kind": {"corrected"}, "s.of": {"none"}, "n.g": {"119"}, "s.why": {"misread"}})
	page = c.get(200, record)
	if !strings.Contains(page, "the film began late") || !strings.Contains(page, "corrected: 119 g") {
		t.Error("note or correction is not told")
	}
	c.post(303, record, url.Values{"kind": {"held"}, "s.why": {"a smell"}})
	if name, body := shown(t, c.get(200, bench)); name != "wrong" || !strings.Contains(body, "a smell") {
		t.Errorf("on hold the bench shows %s", name)
	}
	csv := c.get(200, record+"/record")
	if !strings.Contains(csv, "Water,g,") || !strings.Contains(csv, "superfat,%") {
		t.Error(csv)
	}
	marks := c.get(200, record+"/chapters?began=2026-11-25T12:00")
	if !strings.HasPrefix(marks, "WEBVTT\n") || !strings.Contains(marks, "-->") {
		t.Error(marks)
	}
	c.get(422, record+"/chapters?began=noon")
	if code := regexp.MustCompile(`<h1>(\S+) ·`).FindStringSubmatch(page); code == nil || !strings.Contains(c.get(200, "/batches/"+strings.ToLower(code[1])), code[1]) {
		t.Error("a batch is not found by its code")
	}
}

// "Marks stay" opens the window; what to do is told for every second of it, and
// changes as it shrinks (story 4).
func TestBenchWindowReplans(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("dark-heather-v1", nil)
	c.to(bench, "trace")
	c.done(bench, nil)
	page := c.get(200, bench)
	name, body := shown(t, page)
	if !strings.HasPrefix(name, "add.additions.") || !strings.Contains(body, "data-to=") || !strings.Contains(body, " left (") {
		t.Fatalf("%s: %s", name, body)
	}
	var timing []struct {
		FromMS  int64  `json:"from_ms"`
		Urgency string `json:"urgency"`
		Say     string `json:"say"`
	}
	if err := json.Unmarshal([]byte(attr(c.ask(200, httptest.NewRequest("GET", bench, nil)).Body.String(), "data-timing")), &timing); err != nil {
		t.Fatal(err)
	}
	if len(timing) < 2 || !strings.Contains(timing[0].Say, "now") {
		t.Fatalf("%+v", timing)
	}
	last := timing[len(timing)-1]
	for i := 1; i < len(timing); i++ {
		if timing[i].FromMS <= timing[i-1].FromMS {
			t.Errorf("%+v", timing[i])
		}
	}
	if !strings.Contains(last.Say, "Leave out") || last.Urgency != "act now" {
		t.Errorf("at the end: %+v", last)
	}
}
