package web_test

import (
	"fmt"
	"strings"
	"testing"

	"barwright/demo"
)

// In the demo: Plain Tow without coconut at no higher price, opened in planning
// and saved; then the impossible, and why; then a way out.
func TestFormulateFlow(t *testing.T) {
	t.Parallel()
	for _, width := range []int64{1360, 400} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			t.Parallel()
			b := openApp(t, demo.NinthLock)
			b.size(width, 900, false)
			b.open("/recipes/plain-tow")
			js[bool](b, `document.querySelector('.head a[href^="/formulate"]').click() || true`)
			b.wait(`document.querySelector('.offer') && document.documentElement.classList.contains('js')`)
			if name := js[string](b, `document.querySelector('[name="r.limits.0.max"]').value`); name != "3.98 / kg" {
				t.Errorf("it asks for %q at most", name)
			}
			js[bool](b, `(() => {
				const line = [...document.querySelectorAll('.choice tbody tr')].find((r) => r.querySelector('td.what input').value === 'Coconut oil');
				const use = line.querySelector('select'); use.value = 'never';
				use.dispatchEvent(new Event('input', {bubbles: true})); use.dispatchEvent(new Event('change', {bubbles: true})); return true; })()`)
			b.wait(`!document.querySelector('#answers').textContent.includes('Coconut oil lot') && document.querySelector('.offer a.button')`)
			b.wait(`document.querySelector('#answers').textContent.includes('What the wishes cost')`) // the slower part has come
			b.shoot("without coconut")
			b.wait(`location.search.includes('never')`)
			if beside := js[bool](b, `[...document.querySelectorAll('.offer summary')].some((s) => s.textContent.includes('beside the old one'))`); !beside {
				t.Error("how it behaves beside the old one is not told")
			}
			b.press("Open it in planning")
			b.wait(`document.querySelector('form.plan .finding') && document.querySelector('[name="r.fats.0.material"]').value === 'Beef tallow'`)
			if fats := js[string](b, `[...document.querySelectorAll('[name$=".material"]')].map((f) => f.value).join(', ')`); strings.Contains(fats, "Coconut") {
				t.Errorf("planning opens %s", fats)
			}
			b.press("Save the recipe")
			b.wait(`document.body.textContent.includes('Version 1')`)

			b.open("/formulate?recipe=plain-tow&without=coconut")
			b.wait(`document.querySelector('.offer') && document.documentElement.classList.contains('js')`)
			js[bool](b, `(() => { const s = document.querySelector('[name="r.limits.3.quantity"]'); s.value = 'c12_c14'; s.dispatchEvent(new Event('input', {bubbles: true})); return true; })()`)
			b.typeInto("r.limits.3.min", "60")
			b.wait(`document.querySelector('#answers h2').textContent === 'No recipe fits'`)
			why := js[string](b, `document.querySelector('#answers').textContent`)
			for _, want := range []string{"At least 60 % lauric and myristic acid", "A price of the fats up to 3.98 EUR / kg"} {
				if !strings.Contains(why, want) {
					t.Errorf("it does not say %q", want)
				}
			}
			b.shoot("the impossible")
			b.press("Be content with")
			b.wait(`document.querySelector('.offer')`)
			if v := js[string](b, `document.querySelector('[name="r.limits.3.min"]').value`); v == "60" || v == "" {
				t.Errorf("the wish is still %q", v)
			}
			if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("it scrolls %g px sideways", over)
			}
			b.clean()
		})
	}
}

// What is wrong in a line of fats is told beside it as it is typed, and a fat
// that is typed makes room for another.
func TestFormulateLines(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/formulate")
	b.wait(`document.querySelector('.offer') && document.documentElement.classList.contains('js')`)
	b.typeInto("r.fats.1.min", "many")
	b.wait(`document.querySelector('[data-part="weigh-1"]').textContent.includes('many')`)
	b.wait(`document.querySelector('#answers h2').textContent === 'Waiting for the wishes'`)
	b.typeInto("r.fats.1.min", "5")
	b.wait(`document.querySelector('.offer') && document.querySelector('[data-part="weigh-1"]').textContent === ''`)
	rows := js[float64](b, `document.querySelectorAll('.choice tbody tr').length`)
	b.typeInto(fmt.Sprintf("r.fats.%.0f.material", rows-1), "Palm oil")
	b.wait(fmt.Sprintf(`document.querySelectorAll('.choice tbody tr').length === %.0f`, rows+1))
	b.typeInto(fmt.Sprintf("r.fats.%.0f.price", rows-1), "1")
	b.wait(`document.querySelector('.offer').textContent.includes('Palm oil')`)
	b.clean()
}

// Come back to from planning, the wishes are as they were.
func TestFormulateComesBack(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/formulate")
	b.wait(`document.querySelector('.offer') && document.documentElement.classList.contains('js')`)
	b.typeInto("r.max_fats", "3")
	b.wait(`location.search.includes('max_fats=3')`)
	b.wait(`document.querySelector('.offer') && !document.querySelector('#answers').textContent.includes('Searching')`)
	b.press("Open it in planning")
	b.wait(`document.querySelector('form.plan')`)
	js[bool](b, `history.back() || true`)
	b.wait(`document.querySelector('[name="r.max_fats"]')?.value === '3'`)
	b.clean()
}
