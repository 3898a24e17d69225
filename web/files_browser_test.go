package web_test

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"barwright/demo"
)

// look checks the page that is open at two widths, light and dark, and keeps
// its picture.
func (b *tab) look(name string) {
	b.t.Helper()
	for _, width := range []int64{1360, 400} {
		for _, dark := range []bool{false, true} {
			b.size(width, 900, dark)
			at := fmt.Sprintf("%s %d dark %v", name, width, dark)
			if over := js[float64](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				b.t.Errorf("%s: scrolls %g px sideways", at, over)
			}
			for _, fault := range append(js[[]string](b, faintTexts), js[[]string](b, namelessControls)...) {
				b.t.Errorf("%s: %s", at, fault)
			}
			if width == 400 {
				for _, small := range js[[]string](b, smallTargets) {
					b.t.Errorf("%s: under 44 px: %s", at, small)
				}
			}
			b.shoot(at)
		}
	}
	b.size(1360, 900, false)
}

// smallTargets lists buttons, fields and boxes that a thumb misses. A box is as
// big as its label; links inside a text are left alone.
const smallTargets = `[...document.querySelectorAll('main button, main select, main input:not([type=hidden]), main .links a')]
  .filter((e) => e.checkVisibility())
  .map((e) => [e, (['checkbox', 'radio'].includes(e.type) ? e.closest('label') : e).getBoundingClientRect()])
  .filter(([e, r]) => r.height < 43.5)
  .map(([e, r]) => r.height.toFixed(0) + ' px ' + e.outerHTML.slice(0, 80)).slice(0, 8)`

// drop drops files on the page, as a hand would.
func (b *tab) drop(files map[string]string) {
	b.t.Helper()
	list, err := json.Marshal(files)
	if err != nil {
		b.t.Fatal(err)
	}
	js[bool](b, `(() => { const d = new DataTransfer(); for (const [name, text] of Object.entries(`+string(list)+`)) d.items.add(new File([text], name));
		document.body.dispatchEvent(new DragEvent('drop', {dataTransfer: d, bubbles: true, cancelable: true})); return true; })()`)
}

// Files are dropped on the page, looked at, fitted and saved; what is wrong has
// its line.
func TestDropAndFit(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/import")
	bad := strings.NewReplacer(`"olive"`, `"oliv"`).Replace(recipeFile(t, "saltern"))
	b.drop(map[string]string{"plain-tow.toml": recipeFile(t, "plain-tow"), "saltern.toml": bad})
	b.wait(`document.querySelector('.incoming')`)
	b.look("read")
	b.press("Check again")
	b.wait(`document.querySelectorAll('.incoming .figures').length === 2`)
	b.wait(`!document.querySelector('.faults')`)
	js[bool](b, `(() => { document.querySelector('[name="f.0.mould"]').value = 'm2'; document.querySelector('[name="f.0.size"]').value = 'fill'; return true; })()`)
	b.press("Check again")
	b.wait(`document.body.textContent.includes('Differs from the file')`)
	b.look("fitted")
	b.press("Save all 2")
	b.wait(`location.pathname === '/recipes' && [...document.querySelectorAll('.list a.name')].filter((a) => a.textContent === 'Plain Tow').length === 2`)
	b.clean()
}

// A whole workshop comes in by its zip.
func TestBringAWorkshop(t *testing.T) {
	t.Parallel()
	b := openApp(t, "")
	b.size(1360, 900, false)
	zip := openShop(t, demo.NinthLock).ask(200, httptest.NewRequest("GET", "/export", nil)).Body.Bytes()
	b.open("/import")
	js[bool](b, fmt.Sprintf(`(() => { const raw = atob(%q); const bytes = Uint8Array.from(raw, (c) => c.charCodeAt(0)); const d = new DataTransfer(); d.items.add(new File([bytes], 'shop.zip'));
		document.body.dispatchEvent(new DragEvent('drop', {dataTransfer: d, bubbles: true, cancelable: true})); return true; })()`, base64.StdEncoding.EncodeToString(zip)))
	b.wait(`document.body.textContent.includes('10 recipes would come in')`)
	b.look("workshop")
	b.press("Bring it in")
	b.wait(`location.pathname === '/recipes' && document.querySelectorAll('.list a.name').length === 10`)
	b.clean()
}

// The tree with its branches, and two versions compared from it.
func TestTreeAndCompare(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	for i, from := range []string{"wax-rind-v1", "wax-rind-v2"} {
		b.open("/recipes/wax-rind?version=" + from)
		b.typeInto("reason", fmt.Sprintf("another way, from the %s, with a reason long enough to wrap on a phone and to show that the line goes on beside it", []string{"first", "second"}[i]))
		b.typeInto("r.superfat", "7 %")
		b.wait(`document.body.textContent.includes('not the newest')`)
		b.press("Save as version")
		b.wait(fmt.Sprintf(`document.body.textContent.includes('Version %d')`, 4+i))
	}
	b.open("/recipes/wax-rind/versions")
	b.look("tree")
	js[bool](b, `document.querySelector('[name=a][value=wax-rind-v1]').click() || document.querySelector('[name=b][value=wax-rind-v3]').click() || true`)
	b.press("Compare the two")
	b.wait(`document.body.textContent.includes('3 things changed at once')`)
	b.look("compared")
	b.clean()
}

// onePage finds the pages of a PDF file.
var onePage = regexp.MustCompile(`/Type\s*/Page\b`)

// Every sheet prints on one page, of A4 and of letter, and so does one with
// many lines and cautions.
func TestSheetsPrintOnOnePage(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(1360, 900, false)
	b.open("/import")
	b.drop(map[string]string{"crowded.toml": crowded})
	b.wait(`document.querySelector('.incoming .figures')`)
	b.press("Save as a new recipe")
	b.wait(`location.pathname.startsWith('/recipes/f')`)
	paths := []string{js[string](b, `location.pathname`) + "/sheet"}
	for _, name := range []string{"plain-tow", "reed-bed", "dark-heather", "cooks-grit", "slow-olive", "saltern", "lather-puck", "oatwater", "wax-rind", "hive-reserve"} {
		paths = append(paths, "/recipes/"+name+"/sheet")
	}
	for _, path := range paths {
		b.open(path)
		for name, size := range map[string][2]float64{"A4": {8.27, 11.69}, "letter": {8.5, 11}} {
			out, err := chromedp.Call(b, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: size[0], PaperHeight: size[1]})
			if err != nil {
				t.Fatal(err)
			}
			pages := onePage.FindAll(out.Data, -1)
			if len(pages) != 1 {
				t.Errorf("%s prints on %d pages of %s", path, len(pages), name)
			}
		}
	}
	// How it looks on paper, 190 mm wide.
	for i, path := range paths[:4] {
		b.open(path)
		b.do(chromedp.EmulateViewport(718, 1000))
		if _, err := chromedp.Call(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
			t.Fatal(err)
		}
		b.shoot(fmt.Sprintf("print %d", i))
	}
	b.clean()
}

// crowded is a recipe with more in it than anybody weighs.
const crowded = `format = 1
name = "Everything at once"
superfat = "6 %"
lye_strength = "33 %"
size = { fats = "1000 g" }
combine = { fats_temperature = "45 °C", lye_temperature = "40 °C", stir = "blender" }
scale = { fats = "1 g", alkali = "0.1 g" }
alkali = [{ material = "naoh", share = "95 %" }, { material = "koh", share = "5 %" }]
fats = [{ material = "tallow_beef", share = "20 %" }, { material = "lard", share = "15 %" }, { material = "coconut", share = "15 %" }, { material = "olive", share = "10 %" },
 { material = "rapeseed_low_erucic", share = "10 %" }, { material = "sunflower_high_oleic", share = "10 %" }, { material = "castor", share = "5 %" }, { material = "shea", share = "5 %" },
 { material = "cocoa_butter", share = "5 %" }, { material = "rice_bran", share = "3 %" }, { material = "beeswax", share = "2 %" }]
additions = [{ material = "honey", amount = "1 %", when = "lye" }, { material = "salt", amount = "1 %", when = "lye" }, { material = "kaolin", amount = "1 %", when = "fats" },
 { material = "oat_flour", amount = "1 %", when = "trace" }, { material = "lavender_oil", amount = "1 %", when = "trace" }, { material = "coffee", amount = "1 %", when = "trace" }]
rest = [{ place = "room", temperature = "20 °C", cover = "towel 10 mm", for = "6 h" }, { place = "fridge", temperature = "4 °C", for = "12 h" }, { place = "room", temperature = "20 °C", for = "24 h" }]
`
