package web_test

import (
	"fmt"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"barwright/batch"
	"barwright/store"
	"barwright/web"
)

// pagesOfPDF counts the pages of a PDF file: objects of type Page. Source: ISO
// 32000-1, 7.7.3.3.
var pagesOfPDF = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// The run sheet of every example recipe is one printed page, A4 and US letter.
func TestBenchPaperIsOnePage(t *testing.T) {
	t.Parallel()
	s, err := store.Open(t.Context(), t.TempDir()) // an empty workshop: no lot's own paper stops a recipe
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	app, err := web.New(s, web.Options{})
	if err != nil {
		t.Fatal(err)
	}
	server := serve(t, app.Handler())
	b := &benchTab{tab: openTab(t, server.URL), store: s}
	files, err := filepath.Glob("../recipes/*.toml")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".toml")
		id := "paper-" + name
		if err := b.store.NewRecipe(t.Context(), store.Recipe{ID: id, Name: name}, store.Version{ID: id + "-1", Recipe: id, Body: recipeFile(t, name), Reason: "first", MadeAt: today}, ""); err != nil {
			t.Fatal(err)
		}
		made := b.start(id + "-1")
		if made == "" {
			t.Errorf("%s cannot be started", name)
			continue
		}
		b.open("/batches/" + made + "/paper")
		b.wait(`document.querySelector('.run')`)
		for _, paper := range [][2]float64{{8.27, 11.69}, {8.5, 11}} {
			pdf, err := chromedp.Call(b, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: paper[0], PaperHeight: paper[1]})
			if err != nil {
				t.Fatal(err)
			}
			if n := len(pagesOfPDF.FindAll(pdf.Data, -1)); n != 1 {
				t.Errorf("%s on %g by %g inches: %d pages", name, paper[0], paper[1], n)
			}
		}
	}
	b.clean()
}

// At 200 % text every screen still has its done area in the window, nothing
// scrolls sideways, and the card's first line is in view. WCAG 2.2, 1.4.4.
func TestBenchTextTwiceAsLarge(t *testing.T) {
	t.Parallel()
	b := openBench(t, "wax-rind-v3")
	// Each text gets twice its size, as a browser's text-only zoom does; the key
	// number has the width of the window for its bound.
	js[bool](b.tab, `(() => { const texts = [...document.querySelectorAll('#bench *')].filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || e.matches('input')); const sizes = texts.map((e) => parseFloat(getComputedStyle(e).fontSize)); texts.forEach((e, i) => { if (sizes[i] < 70) e.style.fontSize = 2 * sizes[i] + 'px'; }); return true; })()`)
	bad := js[[]string](b.tab, `(() => { const out = [], all = [...document.querySelectorAll('#bench .screen')], was = all.map((s) => s.hidden);
		for (const s of all) {
			all.forEach((x) => { x.hidden = x !== s; });
			const name = s.dataset.screen ?? s.dataset.panel, wide = document.documentElement.scrollWidth - innerWidth;
			if (wide > 0) out.push(name + ': ' + wide + ' px too wide: ' + [...document.querySelectorAll('body *')].filter((e) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 1 && e.offsetParent).slice(-2).map((e) => e.outerHTML.slice(0, 80)).join(' '));
			const done = s.querySelector('button.done')?.getBoundingClientRect();
			if (done && (done.bottom > innerHeight + 1 || done.height < innerHeight / 3 && !s.querySelector('.instead'))) out.push(name + ': its done area ends at ' + Math.round(done.bottom) + ', is ' + Math.round(done.height) + ' high');
			if (s.matches('.alarm') && s.querySelector('.first-line').getBoundingClientRect().top > innerHeight) out.push(name + ': its first line is below the fold');
		}
		all.forEach((x, i) => { x.hidden = was[i]; });
		return out; })()`)
	for _, text := range bad {
		t.Error(text)
	}
	b.view("twice")
}

// Chapter marks are read by a browser, which takes WebVTT by its own parser
// (W3C WebVTT, 5): as many cues as there are lines of the story, each after the
// one before.
func TestChaptersAreReadByABrowser(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "trace")
	file := c.get(200, strings.Replace(bench, "/bench/", "/batches/", 1)+"/chapters")
	server := serve(t, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/marks.vtt" {
			w.Header().Set("Content-Type", "text/vtt")
			fmt.Fprint(w, file)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprint(w, `<link rel=icon href=data:,><video><track default kind=chapters src=/marks.vtt></video>`)
	}))
	b := openTab(t, server.URL)
	b.open("/")
	js[bool](b, `document.querySelector('video').textTracks[0].mode = 'hidden', true`)
	b.wait(`document.querySelector('track').readyState === 2`)
	cues := js[[]struct {
		From, To float64
		Text     string
	}](b, `[...document.querySelector('video').textTracks[0].cues].map((c) => ({from: c.startTime, to: c.endTime, text: c.text}))`)
	if want := strings.Count(file, " --> "); len(cues) != want || want < 15 {
		t.Fatalf("%d cues of %d", len(cues), want)
	}
	for i, cue := range cues {
		if cue.To <= cue.From || i > 0 && cue.From < cues[i-1].To || cue.Text == "" {
			t.Errorf("%d: %+v", i, cue)
		}
	}
	b.clean()
}

// Panels work without a network as with one: another lot for a weighing, split,
// through a reload; who is at it; a mark; and the bars with their weights.
func TestBenchPanelsOffline(t *testing.T) {
	t.Parallel()
	b := openBench(t, "wax-rind-v3")
	b.tapTo("weigh.fats.1")
	b.arrived()
	for b.screen() != "weigh.fats.3" { // beeswax, of which there are two lots
		b.tap()
	}
	b.arrived()
	b.wait(`'stocked' in document.body.dataset`)
	b.cut.Store(true)
	press := func(selector string) {
		t.Helper()
		js[bool](b.tab, fmt.Sprintf(`document.querySelector(%q).click() || true`, ".screen:not([hidden]) "+selector))
	}
	press(`[data-show="more"]`)
	b.wait(shownScreen + ` === 'more'`)
	press(`[data-show="lots"]`)
	b.wait(shownScreen + ` === 'lots.weigh.fats.3'`)
	press(`.split button[data-by="-1"]`)
	press(`.split button[name="lot"]`)
	b.wait(`document.querySelector('[data-screen="weigh.fats.3"] h2').textContent.includes('and the rest of')`)
	b.view("split")
	b.open("/bench/" + b.id) // cold
	b.wait(`document.querySelector('[data-screen="weigh.fats.3"] h2').textContent.includes('and the rest of')`)
	press(`[data-show="more"]`)
	b.wait(shownScreen + ` === 'more'`)
	press(`[data-show="who"]`)
	b.wait(shownScreen + ` === 'who'`)
	js[bool](b.tab, `(() => { const f = document.querySelector('.newhand'); f.elements.name.value = 'helper 2'; f.requestSubmit(); return true; })()`)
	b.wait(shownScreen + ` === 'weigh.fats.3'`)
	b.tap()
	b.cut.Store(false)
	b.arrived()
	b.wait(`document.getElementById('bench').dataset.by === 'helper 2'`)
	var w batch.Weighed
	by := ""
	for _, e := range b.events() {
		if x, ok := e.Do.(batch.Weighed); ok {
			w, by = x, e.By
		}
	}
	if len(w.From) != 2 || w.From[0].G == nil || *w.From[0].G+*w.From[1].G != *w.G || by != "helper 2" {
		t.Errorf("%+v by %s", w, by)
	}
	b.cleanBut("ERR_", "Failed to fetch", "Failed to load")
}

// Every panel has controls of 48 px, contrast 7:1 and nothing sideways.
func TestBenchPanelsAreMeasured(t *testing.T) {
	t.Parallel()
	b := openBench(t, "wax-rind-v3")
	panels := js[[]string](b.tab, `[...document.querySelectorAll('[data-panel]')].map((p) => p.dataset.panel)`)
	if len(panels) < 20 {
		t.Fatalf("%d panels", len(panels))
	}
	for _, name := range panels {
		js[bool](b.tab, fmt.Sprintf(`(() => { for (const s of document.querySelectorAll('.screen')) s.hidden = s.dataset.panel !== %q; return true; })()`, name))
		b.measure()
	}
}

// The worker keeps so many pages and files and no more, the newest.
func TestBenchCacheIsTrimmed(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.wait(`'stocked' in document.body.dataset`)
	js[bool](b.tab, `(async () => { const c = await caches.open('bench-1'); for (let i = 0; i < 80; i++) { await c.put('/static/old' + i + '.js', new Response('x')); await c.put('/bench/old' + i, new Response('x')); } delete document.body.dataset.stocked; return true; })() && true`)
	b.wait(`true`)
	js[int](b.tab, `(window.filled = 0, caches.open('bench-1').then(async (c) => { while ((await c.keys()).length < 160) await new Promise((r) => setTimeout(r, 20)); window.filled = 1; }), 0)`)
	b.wait(`window.filled === 1`)
	b.open("/bench/" + b.id)
	b.wait(`'stocked' in document.body.dataset`)
	js[int](b.tab, `(caches.open('bench-1').then((c) => c.keys()).then((k) => { window.kept = k.map((r) => new URL(r.url).pathname); }), 0)`)
	b.wait(`window.kept`)
	kept := js[[]string](b.tab, `window.kept`)
	pages, files := 0, 0
	for _, path := range kept {
		if strings.HasPrefix(path, "/static/") {
			files++
		} else {
			pages++
		}
	}
	if files > 90 || pages > 16 {
		t.Errorf("%d files and %d pages are kept", files, pages)
	}
	if !strings.Contains(strings.Join(kept, " "), "/bench/"+b.id) {
		t.Error("the page itself was thrown away")
	}
	b.clean()
}

// Without a network the device says what is not fine in what the scale shows.
func TestBenchOfflineInOunces(t *testing.T) {
	t.Parallel()
	b := serveBench(t, "oatwater-v1", "")
	file := regexp.MustCompile(`(?s)\[scale\].*`).ReplaceAllString(recipeFile(t, "plain-tow"), "[scale]\nfats = \"0.05 oz\"\nalkali = \"0.05 oz\"\n")
	if err := b.store.NewRecipe(t.Context(), store.Recipe{ID: "ounces", Name: "Ounces"}, store.Version{ID: "ounces-1", Recipe: "ounces", Body: file, Reason: "first", MadeAt: today}, ""); err != nil {
		t.Fatal(err)
	}
	b.id = b.start("ounces-1")
	b.tab = openTab(t, b.home)
	b.size(400, 860, false)
	b.touches()
	b.open("/bench/" + b.id)
	b.wait(`document.documentElement.classList.contains('js') && document.querySelector('.screen:not([hidden])')`)
	b.tapTo("weigh.fats.0")
	b.arrived()
	b.deaf.Store(true)
	time.Sleep(850 * time.Millisecond) // sooner it is the same knuckle
	js[bool](b.tab, `(() => {
		const form = document.querySelector('.screen:not([hidden]) form.do'), input = form.querySelector('.value input');
		input.value = 1;
		input.dispatchEvent(new Event('input', {bubbles: true}));
		form.requestSubmit();
		return true;
	})()`)
	b.wait(`document.querySelector('.screen:not([hidden]) [data-told]').textContent.includes('is not fine')`)
	if told := js[string](b.tab, `document.querySelector('.screen:not([hidden]) [data-told]').textContent`); !regexp.MustCompile(`^1\x{202f}oz is not fine: [0-9.]+\x{202f}oz to [0-9.]+\x{202f}oz is`).MatchString(told) {
		t.Error(told)
	}
}
