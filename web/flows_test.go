package web_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// typeInto clears a field by name and types into it, key by key.
func (b *tab) typeInto(name, text string) {
	b.t.Helper()
	js[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector('[name=%q]'); f.focus(); f.select?.(); return true; })()`, name))
	b.do(chromedp.KeyEvent(text))
}

// press presses the first button whose words begin so.
func (b *tab) press(words string) {
	b.t.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll('button, a.button, .head a')].find((e) => e.textContent.trim().replaceAll('\u00a0', ' ').startsWith(%q))`, words)
	b.wait(find)
	if _, err := chromedp.Run(b, chromedp.Evaluate[bool](find+`.click() || true`)); err != nil && !betweenPages(err) {
		b.t.Fatalf("pressing %q: %v", words, err)
	}
}

// A first recipe from nothing: name, three fats by part of their names, saved,
// its batch sheet printed.
func TestFirstRecipe(t *testing.T) {
	t.Parallel()
	b := openApp(t, "")
	b.size(1360, 900, false)
	b.open("/")
	b.press("Write a first recipe")
	b.wait(`document.querySelector('[name="r.name"]')`)
	b.typeInto("r.name", "First Light")
	for i, fat := range []struct{ part, share string }{{"Beef tal", "55"}, {"Low-eru", "25"}, {"Coconut oi", "20"}} {
		b.typeInto(fmt.Sprintf("r.fats.%d.material", i), fat.part)
		b.do(chromedp.KeyEvent("\t"))
		b.wait(fmt.Sprintf(`document.querySelector('[name="r.fats.%d.material"]')`, i+1)) // the next empty line has come
		b.wait(fmt.Sprintf(`document.activeElement.name === 'r.fats.%d.share'`, i))
		b.typeInto(fmt.Sprintf("r.fats.%d.share", i), fat.share)
	}
	b.wait(`document.querySelector('[data-part="lye"] .big')?.textContent.includes('g')`)
	b.wait(`document.querySelector('.finding')`)
	if stops := js[float64](b, `document.querySelectorAll('.finding.stop').length`); stops != 0 {
		t.Errorf("%g stops", stops)
	}
	b.shoot("before saving")
	b.press("Save the recipe")
	b.wait(`document.body.textContent.includes('Version 1')`)
	if name := js[string](b, `document.querySelector('[name="r.name"]').value`); name != "First Light" {
		t.Errorf("saved as %q", name)
	}
	b.press("batch sheet")
	b.wait(`document.querySelector('.sheet h1')?.textContent === 'First Light' && [...document.querySelectorAll('.sheet .big')].some((e) => e.textContent.includes('275'))`)
	out, err := chromedp.Call(b, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: 8.27, PaperHeight: 11.69})
	if err != nil || len(onePage.FindAll(out.Data, -1)) != 1 {
		t.Errorf("its sheet prints on %d pages (%v)", len(onePage.FindAll(out.Data, -1)), err)
	}
	b.open("/recipes?q=coconut")
	b.wait(`document.body.textContent.includes('First Light')`)
	b.clean()
}

// What one types stays where it was typed, however late the answers come.
func TestNothingTypedIsLost(t *testing.T) {
	t.Parallel()
	for _, delay := range []time.Duration{0, 40 * time.Millisecond, 250 * time.Millisecond} {
		t.Run(delay.String(), func(t *testing.T) {
			t.Parallel()
			s, err := store.Open(t.Context(), t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { s.Close() })
			app, err := web.New(s, web.Options{})
			if err != nil {
				t.Fatal(err)
			}
			b := openSlow(t, app, delay)
			b.size(1360, 900, false)
			b.open("/recipes/new")
			b.typeInto("r.name", "First Light")
			for i, fat := range []struct{ name, share string }{{"Beef tal", "55"}, {"Low-eru", "25"}, {"Coconut oi", "20"}} {
				b.wait(fmt.Sprintf(`document.querySelector('[name="r.fats.%d.material"]')`, i))
				js[bool](b, fmt.Sprintf(`document.querySelector('[name="r.fats.%d.material"]').focus() || true`, i))
				for _, key := range fat.name + "\t" + fat.share {
					b.do(chromedp.KeyEvent(string(key)))
				}
			}
			b.wait(`document.querySelector('[data-part="sum"]').textContent.trim() === '100'`)
			got := js[[]string](b, `[...document.querySelectorAll('[name^="r.fats"]')].map((f) => f.value)`)
			if want := []string{"Beef tallow", "55", "Low-erucic rapeseed oil (canola)", "25", "Coconut oil", "20", "", ""}; !slices.Equal(got, want) {
				t.Errorf("%q", got)
			}
			// A button's answer, too, leaves alone what is typed meanwhile.
			js[bool](b, `(() => { document.querySelector('[value="by-mass"]').click(); const f = document.querySelector('[name="r.superfat"]'); f.focus(); f.select(); return true; })()`)
			for _, key := range "7,5" {
				b.do(chromedp.KeyEvent(string(key)))
			}
			b.wait(`document.querySelector('[name="r.fats.0.amount"]')?.value === '275 g'`)
			b.wait(`document.querySelector('[data-part="lye"]').textContent.includes('exactly 6')`)
			if v := js[string](b, `document.activeElement.name + '=' + document.activeElement.value`); v != "r.superfat=7,5" {
				t.Errorf("typed %s", v)
			}
			b.clean()
		})
	}
}

// Choosing a mould by keys leaves the caret where it was.
func TestPickByKeys(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/wax-rind")
	js[bool](b, `document.querySelector('[name="pick.mould"]').focus() || true`)
	b.do(chromedp.KeyEvent(kb.ArrowDown))
	b.wait(`document.querySelector('.finding.done')?.textContent.includes('filled in from the workshop')`)
	if name := js[string](b, `document.activeElement.name`); name != "pick.mould" {
		t.Errorf("the focus went to %q", name)
	}
	b.press("Take it back")
	b.wait(`document.querySelector('[name="pick.mould"]').selectedOptions[0].textContent.includes('relief')`)
	b.clean()
}

// A fix is applied by one tap and taken back by one.
func TestFixAndUndo(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	b.press("Set the superfat to 6 %")
	b.wait(`document.querySelector('[name="r.superfat"]').value === '6 %'`)
	b.wait(`![...document.querySelectorAll('.finding h3')].some((h) => h.textContent.includes('worst case'))  || true`)
	b.press("Take it back")
	b.wait(`document.querySelector('[name="r.superfat"]').value === '5 %'`)
	b.clean()
}

// Two people edit one recipe: the second is told, sees everything typed still
// there, and can keep it as the next version.
func TestTwoPeople(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/oatwater")
	b.typeInto("r.superfat", "7 %")
	b.typeInto("reason", "mine")
	js[any](b, `fetch('/recipes/oatwater', {method: 'POST', body: (() => { const f = new URLSearchParams(new FormData(document.querySelector('form[data-live]'))); f.set('do', 'save'); f.set('r.superfat', '8 %'); return f; })()}).then((r) => { window.otherSaved = r.status; }) && true`)
	b.wait(`window.otherSaved === 200`)
	b.press("Save as version")
	b.wait(`document.body.textContent.includes('somebody saved a newer version')`)
	if v := js[string](b, `document.querySelector('[name="r.superfat"]').value`); v != "7 %" {
		t.Errorf("the superfat typed is now %q", v)
	}
	b.press("Save mine as the next version")
	b.wait(`document.body.textContent.includes('Version 5')`)
	b.clean()
}

// A recipe with a hostile name is just odd.
func TestHostileName(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/saltern")
	evil := `<script>document.title='pwned'</script>"><img src=x onerror=alert(1)>`
	b.typeInto("r.name", evil)
	b.press("Save as version")
	b.wait(`document.body.textContent.includes('Version 3')`)
	if title := js[string](b, `document.title`); !strings.Contains(title, "<script>") {
		t.Errorf("the title is %q", title)
	}
	b.open("/recipes")
	b.wait(`[...document.querySelectorAll('.list a.name')].some((a) => a.textContent.includes('<script>'))`)
	if n := js[float64](b, `document.querySelectorAll('main img, main script').length`); n != 0 {
		t.Errorf("%g elements came out of the name", n)
	}
	b.clean()
}

// Shares that do not come to 100 are said beside the list, and balanced by one
// button that leaves the locked ones alone.
func TestBalance(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	b.typeInto("r.fats.2.share", "30")
	b.wait(`document.querySelector('.finding.waiting')?.textContent.includes('110')`)
	js[bool](b, `document.querySelector('[name="lock.2"]').click() || true`)
	b.press("Balance to 100 %")
	b.wait(`document.querySelector('[data-part="sum"]').textContent.trim() === '100'`)
	if v := js[string](b, `document.querySelector('[name="r.fats.2.share"]').value`); v != "30" {
		t.Errorf("the locked share is %q", v)
	}
	b.wait(`!document.querySelector('.finding.waiting')`)
	b.clean()
}

// The same batch can be written in other ways and back: fats by mass, the lye
// as found in grams, two alkalis.
func TestOtherWaysToWriteIt(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	b.press("Write the fats by mass")
	b.wait(`document.querySelector('[name="r.fats.0.amount"]')?.value === '192.5 g'`)
	b.press("Judge the lye")
	b.wait(`document.querySelector('[name="r.alkali.0.amount"]')?.value === '49 g'`)
	b.typeInto("r.alkali.0.amount", "62")
	b.wait(`[...document.querySelectorAll('.finding.stop h3')].some((h) => h.textContent.includes('ye-heavy'))`)
	b.press("Weigh ")
	b.wait(`!document.querySelector('.finding.stop')`)
	b.press("Plan the lye for me")
	b.wait(`document.querySelector('[name="r.superfat"]')`)
	b.press("Write the fats as shares")
	b.wait(`document.querySelector('[name="r.fats.0.share"]')?.value === '55'`)
	b.press("Mix two alkalis")
	b.wait(`document.querySelector('[name="r.alkali.1.share"]')?.value === '10 %'`)
	b.wait(`[...document.querySelectorAll('[data-part="lye"] dt')].some((e) => e.textContent.includes('Potassium'))`)
	b.clean()
}

// While a button that moves lines is answered, nothing can land in another
// line.
func TestNothingLandsInAnotherLine(t *testing.T) {
	t.Parallel()
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
	b := openSlow(t, app, 400*time.Millisecond)
	b.size(1360, 900, false)
	b.open("/recipes/plain-tow")
	js[bool](b, `(() => { document.querySelector('[value="remove:fats.0"]').click(); const f = document.querySelector('[name="r.fats.2.share"]'); f.focus(); f.select(); return true; })()`)
	b.do(chromedp.KeyEvent("4"), chromedp.KeyEvent("4"))
	b.wait(`document.querySelectorAll('[name$=".material"][name^="r.fats"]').length === 3`)
	b.wait(`!document.querySelector('[name="r.fats.0.share"]').readOnly`)
	got := js[[]string](b, `[...document.querySelectorAll('[name^="r.fats"]')].map((f) => f.value)`)
	if want := []string{"Low-erucic rapeseed oil (canola)", "25", "Coconut oil", "20", "", ""}; !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	b.press("Take it back")
	b.wait(`document.querySelectorAll('[name$=".material"][name^="r.fats"]').length === 4`)
	if got := js[string](b, `document.querySelector('[name="r.fats.0.material"]').value`); got != "Beef tallow" {
		t.Errorf("back is %q", got)
	}
	b.clean()
}
