package web_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"barwright/demo"
)

// textOf is what a part of the page says.
func (b *tab) textOf(selector string) string {
	b.t.Helper()
	return js[string](b, fmt.Sprintf(`document.querySelector(%q)?.textContent ?? ''`, selector))
}

// unfold opens what is folded away under some words.
func (b *tab) unfold(words string) {
	b.t.Helper()
	js[bool](b, fmt.Sprintf(`[...document.querySelectorAll('summary')].find((e) => e.textContent.trim() === %q).click() || true`, words))
}

// A lot with its certificate is typed in and found by a part of its name in a
// recipe, whose band it narrows.
func TestALotWithItsCertificate(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/stock")
	b.press("New lot")
	b.wait(`document.querySelector('[name="f.of"]')`)
	b.typeInto("f.of", "beef tal")
	b.typeInto("f.name", "TLW-9")
	b.typeInto("f.on_hand", "5")
	b.typeInto("f.price", "4,20 / kg")
	b.typeInto("f.best_before", "30.6.2027")
	b.unfold("Certificate")
	b.typeInto("f.sap.typical", "199,5")
	b.typeInto("f.sap.low", "199")
	b.typeInto("f.sap.high", "200")
	b.press("Save")
	b.wait(`document.querySelector('#f-on_hand[aria-invalid=true]')`) // 5 of what?
	b.look("told")
	if v := js[string](b, `document.querySelector('[name="f.sap.typical"]').value`); v != "199,5" {
		t.Errorf("the certificate typed is now %q", v)
	}
	b.typeInto("f.on_hand", "5 kg")
	b.press("Save")
	b.wait(`location.pathname === '/stock' && document.querySelector('#lot-tlw_9')`)
	if row := b.textOf("#lot-tlw_9"); !strings.Contains(row, "30 Jun 2027") || !strings.Contains(row, "199.5\u202fmg KOH/g") || !strings.Contains(row, "4.20 / kg") {
		t.Errorf("its line reads %q", row)
	}
	b.open("/recipes/plain-tow")
	width := func() float64 {
		return js[float64](b, `(() => { const m = document.querySelector('[data-part=lye]').textContent.match(/as weighed · ([\d.]+) to ([\d.]+)/); return m[2] - m[1]; })()`)
	}
	before := width()
	b.typeInto("r.fats.0.material", "Beef tallow, lot TLW-9")
	b.do(chromedp.KeyEvent("\t"))
	b.wait(`document.querySelector('[data-part=sap-0]').textContent.includes('takes 199.5 mg KOH/g (199 to 200)')`)
	b.wait(`document.querySelector('[data-part=shelf-0]').textContent.includes('TLW-9')`)
	if after := width(); after > before-1 {
		t.Errorf("the band was %.1f points wide, and is %.1f with the certificate", before, after)
	}
	b.clean()
}

// A lot is held from its page, and not taken from then on.
func TestHoldALot(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	b.wait(`document.querySelector('[data-part=shelf-0]').textContent.includes('14\u202f200')`)
	b.open("/stock/tlw_7")
	b.unfold("Hold it back")
	b.typeInto("f.held", "smells of paint")
	b.press("Hold it")
	b.wait(`document.querySelector('#lot-tlw_7 .held')?.textContent.includes('held: smells of paint')`)
	b.open("/recipes/plain-tow")
	b.wait(`document.querySelector('[data-part=shelf-0]').textContent.includes('TLW-7 is held')`)
	if shelf := b.textOf("[data-part=shelf-0]"); !strings.HasPrefix(strings.TrimSpace(shelf), "none") {
		t.Errorf("the shelf reads %q", shelf)
	}
	b.clean()
}

// A mould is measured by the water it takes, and a batch is made to fill it.
func TestAMouldByItsWater(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/workshop")
	b.press("New mould")
	b.wait(`document.querySelector('[name="f.mould.inside"]')`)
	b.typeInto("f.name", "Bulging loaf")
	b.typeInto("f.bars", "10")
	b.typeInto("f.mould.inside", "300 x 70 x 60 mm")
	b.typeInto("f.learned", "1340 g") // its sides say 1260
	b.typeInto("f.mould.fill", "90")
	b.press("Save")
	b.wait(`document.querySelector('#mould-bulging_loaf')?.textContent.includes('1\u202f340\u202fml by a water fill (+6.3\u202f%)')`)
	b.open("/recipes/plain-tow")
	choose := func(name, value string) {
		js[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector('[name=%q]'); f.value = %q; f.dispatchEvent(new Event('input', {bubbles: true})); f.dispatchEvent(new Event('change', {bubbles: true})); return true; })()`, name, value))
	}
	choose("pick.mould", "bulging_loaf")
	b.wait(`document.querySelector('[name="r.mould.holds"]').value === '1340 ml'`)
	choose("size.by", "mould")
	b.wait(`document.querySelector('[data-part=make]').textContent.includes('batter, 1\u202f206\u202fml; fills 1\u202f340\u202fml to 90\u202f%')`)
	b.wait(`/[\d.]+ for each of 10 bars/.test(document.querySelector('[data-part=bar]').textContent)`)
	b.shoot("filled")
	b.clean()
}

// A new scale with the keyboard alone: Tab from field to field, Enter to open
// and to save; where one is can be seen all along.
func TestAScaleByKeys(t *testing.T) {
	t.Parallel()
	b := openApp(t, "")
	b.size(1360, 900, false)
	b.open("/workshop")
	tabTo := func(what string) {
		t.Helper()
		for range 40 {
			b.do(chromedp.KeyEvent(kb.Tab))
			if js[bool](b, `(() => { const e = document.activeElement; return e !== document.body && (e.name === `+fmt.Sprintf("%q", what)+` || e.textContent.trim() === `+fmt.Sprintf("%q", what)+`); })()`) {
				if !js[bool](b, `(() => { const s = getComputedStyle(document.activeElement); return s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2; })()`) {
					t.Errorf("%s: the focus cannot be seen", what)
				}
				return
			}
		}
		t.Fatalf("Tab never comes to %s", what)
	}
	tabTo("New scale")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.wait(`document.querySelector('[name="f.step"]')`)
	tabTo("f.name")
	b.do(chromedp.KeyEvent("Pocket scale"))
	b.do(chromedp.KeyEvent(kb.Enter)) // saved too early
	b.wait(`document.querySelector('#f-step[aria-invalid=true]')`)
	tabTo("Smallest step it shows") // the fault on top leads to its field
	b.do(chromedp.KeyEvent(kb.Enter))
	b.wait(`location.hash === '#f-step'`)
	tabTo("f.step")
	b.do(chromedp.KeyEvent("0,01"))
	tabTo("f.capacity")
	b.do(chromedp.KeyEvent("200 g"))
	tabTo("by")
	b.do(chromedp.KeyEvent("helper 2"))
	tabTo("Save")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.wait(`document.querySelector('#scale-pocket_scale')?.textContent.includes('steps of 0.01\u202fg · up to 200\u202fg')`)
	b.clean()
}

// Two people and one lot, in the browser: the second sees what differs and
// saves on purpose.
func TestTwoPeopleOneLot(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/stock/sun_2")
	b.typeInto("f.on_hand", "7.2 kg")
	js[any](b, `fetch('/stock/sun_2', {method: 'POST', body: (() => { const f = new FormData(document.querySelector('.thing form')); f.set('f.on_hand', '7.5 kg'); f.set('f.price', '3.60 / kg'); f.set('by', 'helper 2'); return f; })()}).then((r) => { window.otherSaved = r.status; }) && true`)
	b.wait(`window.otherSaved === 200`)
	b.press("Save")
	b.wait(`document.querySelector('.wrong')?.textContent.includes('helper 2 saved it')`)
	b.look("told")
	b.press("Save mine")
	b.wait(`document.querySelector('#lot-sun_2')?.textContent.includes('7.2\u202fkg') && document.querySelector('#lot-sun_2').textContent.includes('3.60 / kg')`)
	b.clean()
}

// Text of twice the size scrolls in one direction only: as letters of 30 px,
// and as the zoom of a browser does it.
func TestTextOfTwiceTheSize(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	for _, path := range []string{"/stock", "/stock/new", "/stock/lrd_2", "/stock/eoc_1", "/workshop", "/things/mould/m1", "/things/mould/new", "/things/place/new", "/things/scale/new", "/things/workshop/new", "/things/material/new", "/materials", "/materials/beeswax"} {
		for _, how := range []string{"letters", "zoom"} {
			b.size(map[string]int64{"letters": 1360, "zoom": 680}[how], 900, false)
			b.open(path)
			if how == "letters" {
				js[bool](b, `(() => { document.documentElement.style.fontSize = '30px'; return true; })()`)
			}
			if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s by %s: scrolls %g px sideways", path, how, over)
			}
			for _, cut := range js[[]string](b, cutOff) {
				t.Errorf("%s by %s: cut off: %s", path, how, cut)
			}
			b.shoot(path + " " + how)
		}
	}
	b.clean()
}

// cutOff lists texts that stick out of what holds them.
const cutOff = `[...document.querySelectorAll('main td, main th, main label, main li, main p, main .button, main button, main legend, main summary')]
  .filter((e) => e.checkVisibility() && !e.closest('.first, .scroll') && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline')
  .map((e) => e.textContent.trim().slice(0, 60)).slice(0, 6)`
