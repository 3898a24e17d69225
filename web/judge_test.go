package web_test

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"barwright/demo"
)

// tapsOf is how many taps a batch has.
func (s shop) tapsOf(id string) int {
	s.t.Helper()
	events, err := s.store.Events(s.t.Context(), id)
	if err != nil {
		s.t.Fatal(err)
	}
	return len(events)
}

// The form of a tongue test is offered for sound soap only; one that is posted
// all the same is refused with its reason, and nothing is kept.
func TestTongueTestRefused(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	const form = `name="s.test" value="tongue"`
	if page := s.get(200, "/batches/b01/judge"); !strings.Contains(page, form) || strings.Index(page, "Mass balance") > strings.Index(page, "Phenolphthalein") {
		t.Error("sound soap: no tongue test, or the mass balance is not first")
	}
	for id, want := range map[string]string{"b14": "on hold or quarantined", "b12": "on hold or quarantined"} {
		page := s.get(200, "/batches/"+id+"/judge")
		if strings.Contains(page, form) || !strings.Contains(page, want) {
			t.Errorf("%s: the form is offered, or its reason is missing", id)
		}
		before := s.tapsOf(id)
		answer := s.post(422, "/batches/"+id+"/judge", url.Values{"s.test": {"tongue"}, "s.found": {"nothing"}}).Body.String()
		if !strings.Contains(answer, "Not noted") || !strings.Contains(answer, want) || s.tapsOf(id) != before {
			t.Errorf("%s: a tongue test was kept, or is refused without a reason", id)
		}
	}
}

// Of soap under 48 hours, and as soon as it is old enough.
func TestTongueTestWaits(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	state, err := c.store.Batch(t.Context(), "b11")
	if err != nil {
		t.Fatal(err)
	}
	c.now = state.MadeAt.Add(40 * time.Hour)
	tongue := url.Values{"s.test": {"tongue"}, "s.found": {"nothing"}}
	if page := c.post(422, "/batches/b11/judge", tongue).Body.String(); !strings.Contains(page, "younger than 48 hours") {
		t.Error("soap of 40 hours: the reason is missing")
	}
	c.now = state.MadeAt.Add(60 * time.Hour)
	c.post(303, "/batches/b11/judge", tongue)
	if page := c.get(200, "/batches/b11/judge"); !strings.Contains(page, "Tongue test: no sting") {
		t.Error("the result is not shown")
	}
}

// A pH without its method is refused with everything typed kept; a pink drop on
// old soap holds the batch.
func TestResultsOfTests(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	page := s.post(422, "/batches/b01/judge", url.Values{"s.test": {"ph"}, "n.ph": {"10,3"}, "n.concentration_pct": {"1"}, "n.c": {"25"}, "s.meter": {""}, "s.where": {"bar 7"}}).Body.String()
	if !strings.Contains(page, "without what it was read with") || !strings.Contains(page, `value="10,3"`) || !strings.Contains(page, `value="bar 7"`) {
		t.Error("a pH without a meter: the reason or what was typed is missing")
	}
	s.post(303, "/batches/b01/judge", url.Values{"s.test": {"ph"}, "n.ph": {"10,3"}, "n.concentration_pct": {"1"}, "n.c": {"25"}, "s.meter": {"meter, buffers 7 and 10"}})
	s.post(303, "/batches/b01/judge", url.Values{"s.test": {"drop"}, "s.found": {"pink"}, "s.where": {"bar 3, core"}})
	page = s.get(200, "/batches/b01/judge")
	for _, want := range []string{"pH of 10.3, 1", "turns pink, bar 3, core", "on hold", "Tongue: not now"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not shown", want)
		}
	}
	if page := s.get(200, "/batches/b01"); !strings.Contains(page, "No label, and no bars into stock") {
		t.Error("free alkali does not hold the batch")
	}
}

// A score that no card has is said at its question, not as an empty card.
func TestScoreOutsideTheCard(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	to := s.post(303, "/judging", url.Values{"batch": {"b01"}, "id": {"round2"}}).Header().Get("Location")
	code := whichNumber.FindStringSubmatch(s.get(200, to))[1]
	for _, score := range []string{"12", "0", "good"} {
		page := s.post(422, "/taste/round2/"+code, url.Values{"tester": {"Anna"}, "score.slip": {score}, "score.scent": {"4"}}).Body.String()
		if !strings.Contains(page, "“"+score+"” is none of the steps from 1 to 9") || !strings.Contains(page, `id="slip-fault"`) || !strings.Contains(page, `value="4" checked`) {
			t.Errorf("%s: the question is not named, or the other answer is lost", score)
		}
	}
}

var whichNumber = regexp.MustCompile(`class="big">(\d{3})</th><td><a href="/batches/(\w+)/judge">(\w+) · ([^<]+)</a>`)

// A tester's pages tell nothing of the batch behind a code, neither when all
// goes well nor when a card is refused; cards come back beside the batch.
func TestBlindJudging(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	if page := s.post(422, "/judging", url.Values{"batch": {"b01", "b14"}}).Body.String(); !strings.Contains(page, "may not be judged") || !strings.Contains(page, `value="b01" checked`) {
		t.Error("soap on hold got a number, or the choice was lost")
	}
	s.post(422, "/judging", url.Values{})
	if page := s.get(200, "/judging"); !strings.Contains(page, "no drop test yet: do it first") {
		t.Error("untested soap goes to testers' skin without a word")
	}
	to := s.post(303, "/judging", url.Values{"batch": {"b01", "b09", "b11"}, "id": {"round1"}}).Header().Get("Location")
	s.post(303, "/judging", url.Values{"batch": {"b01", "b09", "b11"}, "id": {"round1"}}) // sent twice
	codes := whichNumber.FindAllStringSubmatch(s.get(200, to), -1)
	if len(codes) != 3 {
		t.Fatalf("%d codes", len(codes))
	}
	taste := strings.Replace(to, "/judging/", "/taste/", 1)
	pages := []string{s.get(200, taste)}
	for _, c := range codes {
		card := taste + "/" + c[1]
		pages = append(pages, s.get(200, card), s.post(422, card, url.Values{"tester": {"Anna"}}).Body.String(), s.post(422, card, url.Values{"score.slip": {"7"}}).Body.String(),
			s.post(422, card, url.Values{"tester": {"Anna"}, "score.slip": {"12"}}).Body.String())
		for i, tester := range []string{"Anna", "Ben", "Cem"} {
			s.post(303, card, url.Values{"tester": {tester}, "score.slip": {fmt.Sprint(6 + i)}, "lost": {"16,5"}, "washes": {"20"}})
		}
	}
	for _, page := range pages {
		for _, c := range codes {
			for _, secret := range []string{c[2], c[3], c[4], "Ninth Lock"} {
				if strings.Contains(page, secret) {
					t.Errorf("a tester reads %q", secret)
				}
			}
		}
	}
	for _, path := range []string{taste + "/100", "/taste/none"} {
		if page := s.get(404, path); !strings.Contains(page, "no such bar in this tasting") || strings.Contains(page, "recipes") {
			t.Errorf("%s: a tester is told of something else", path)
		}
	}
	// Student's 90 % interval of 6, 7, 8 by any table of t, rounded by a step over
	// the root of 12: 7 ± 1.8.
	for _, path := range []string{to, "/batches/b01/judge"} {
		if page := s.get(200, path); !strings.Contains(page, "7.0, likely 5.2 to 8.8 (3 testers)") || !strings.Contains(page, "16.5\u202fg") || strings.Contains(page, "Anna") {
			t.Errorf("%s: scores without their interval, or with a tester's name", path)
		}
	}
}

// On a phone: a score card is filled in by tapping, with targets of 44 px and
// nothing cut off; the calendar is a list there and a picture on a laptop.
func TestScoreCardAndCalendarOnAPhone(t *testing.T) {
	t.Parallel()
	b := openApp(t, "ninth-lock")
	b.size(400, 800, false)
	b.open("/judging?batch=b01")
	b.do(chromedp.Click(`form button.main`))
	b.wait(`location.pathname.startsWith('/judging/') && document.querySelector('a[href^="/taste/"]')`)
	b.do(chromedp.Click(`a[href^="/taste/"]`))
	b.wait(`document.querySelector('.codes a')`)
	b.do(chromedp.Click(`.codes a`))
	b.wait(`document.querySelector('form.scorecard')`)
	if small := js[float64](b, `Math.min(...[...document.querySelectorAll('.nine label, form button, input[name="tester"]')].map((e) => e.getBoundingClientRect().height))`); small < 44 {
		t.Errorf("a target of %g px", small)
	}
	if over := js[float64](b, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
		t.Errorf("scrolls %g px sideways", over)
	}
	if fault := js[string](b, `[...document.querySelectorAll('.nine')].map((e) => e.scrollWidth > e.clientWidth ? 'cut off' : '').join('')`); fault != "" {
		t.Error("steps are cut off")
	}
	b.do(chromedp.SendKeys(`input[name="tester"]`, "Anna"), chromedp.Click(`input[name="score.slip"][value="7"]`), chromedp.Click(`form.scorecard button`))
	b.wait(`document.querySelector('[role="status"]')?.textContent.includes('Thank you')`)
	for _, faults := range [][]string{js[[]string](b, faintTexts), js[[]string](b, namelessControls)} {
		for _, f := range faults {
			t.Error(f)
		}
	}
	b.open("/calendar")
	shown := `getComputedStyle(document.querySelector('.due-strip')).display !== 'none'`
	if js[bool](b, shown) || js[float64](b, `document.querySelectorAll('.days section').length`) < 3 {
		t.Error("a phone shows the picture, or no list")
	}
	b.size(1360, 900, false)
	b.wait(shown)
	b.clean()
}

// What testers said of younger soap is not what they say of older: rounds stand
// apart, the newest first, with the soap's age.
func TestRoundsStandApart(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	page := s.get(200, "/batches/b06/judge")
	newest, older := strings.Index(page, "59 days old"), strings.Index(page, "35 days old")
	if newest < 0 || older < newest || strings.Contains(page, "7 testers") {
		t.Fatalf("rounds at %d and %d", newest, older)
	}
	// Lather 3, 4, 3, 4: mean 3.5; deviation √(1/3 + 1/12), the second for whole scores; Student's t
	// of 3, 95 %: 2.353 (any table of it). 2.353 · 0.645/√4 = 0.76.
	if want := "3.5, likely 2.7 to 4.3 (4 testers)"; !strings.Contains(page[newest:older], want) || strings.Contains(page[older:], want) {
		t.Errorf("not %q", want)
	}
}
