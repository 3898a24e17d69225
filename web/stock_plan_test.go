package web_test

import (
	"html"
	"math"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"barwright/demo"
	"barwright/material"
	"barwright/recipe"
)

// plan is the planning page of a recipe file with some of its keys, or of the
// page's own, set; "" takes a key away.
func (s shop) plan(file string, set map[string]string) string {
	s.t.Helper()
	rec, err := recipe.Parse(file, []byte(recipeFile(s.t, file)), material.Builtin())
	if err != nil {
		s.t.Fatal(err)
	}
	form := url.Values{"do": {"work"}}
	for key, text := range rec.Fields() {
		form.Set("r."+key, text)
	}
	for key, text := range set {
		if !strings.HasPrefix(key, "pick.") && key != "size.by" && key != "do" {
			key = "r." + key
		}
		form.Set(key, text)
		if text == "" {
			form.Del(key)
		}
	}
	page := html.UnescapeString(s.post(200, "/recipes/new", form).Body.String())
	return strings.ReplaceAll(page, "\u00a0", " ") // which keeps numbers and units together
}

// numbersIn are the numbers that a pattern finds in a page.
func numbersIn(t *testing.T, page, pattern string) (out []float64) {
	t.Helper()
	m := regexp.MustCompile(strings.ReplaceAll(pattern, "N", `([\d\x{202f}.\x{2212}]+)`)).FindStringSubmatch(page)
	if m == nil {
		t.Fatalf("nothing like %s", pattern)
	}
	for _, text := range m[1:] {
		v, err := strconv.ParseFloat(strings.NewReplacer("\u202f", "", "\u2212", "-").Replace(text), 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// superfat is the width of the band as weighed.
func bandWidth(t *testing.T, page string) float64 {
	t.Helper()
	band := numbersIn(t, page, `superfat as weighed · N to N`)
	return band[1] - band[0]
}

// A lot's certificate narrows the superfat of a recipe that names the lot, and
// only of that: Beef tallow alone keeps the range of all tallows.
func TestCertificateIntoThePlan(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	id := s.add("/stock/new", "of", "Beef tallow", "name", "TLW-9", "on_hand", "5 kg", "price", "4.20 / kg", "sap.typical", "199,5", "sap.low", "199", "sap.high", "200")
	any, own := s.plan("plain-tow", nil), s.plan("plain-tow", map[string]string{"fats.0.material": "Beef tallow, lot TLW-9"})
	if !strings.Contains(any, "takes 197.0 mg KOH/g (190 to 202)") || !strings.Contains(own, "takes 199.5 mg KOH/g (199 to 200)") {
		t.Error("the certificate is not what the plan takes")
	}
	if a, b := bandWidth(t, any), bandWidth(t, own); b > a-1 {
		t.Errorf("the band is %.1f points wide without the certificate and %.1f with it", a, b)
	}
	if strings.Contains(own, "get the certificate of the beef tallow") || !strings.Contains(any, "get the certificate of the beef tallow") {
		t.Error("the certificate is asked for although it is there, or not asked for")
	}
	if page := s.get(200, "/materials/"+id); !strings.Contains(page, "199 to 200") || !strings.Contains(page, "a lot of") {
		t.Error("its page does not show the certificate")
	}
}

// The assay of an alkali lot and the limit of a scent lot count in a recipe
// that names the lot and writes none, and those of the shelf in one that names
// the material alone; what the recipe writes wins.
func TestPapersIntoThePlan(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	lye := s.add("/stock/new", "of", "naoh", "name", "SH-5", "on_hand", "2 kg", "purity", "96")
	exactly := `Sodium hydroxide, lot SH-5 at N %; exactly N`
	unsaid := numbersIn(t, s.plan("plain-tow", map[string]string{"alkali.0.material": lye, "alkali.0.purity": ""}), exactly)
	written := numbersIn(t, s.plan("plain-tow", map[string]string{"alkali.0.material": lye}), exactly)
	if unsaid[0] != 96 || written[0] != 98.5 || math.Abs(unsaid[1]*96-written[1]*98.5) > 1 { // both hold the same pure alkali; 0.01 g of 49.81 printed
		t.Errorf("without an assay of its own %v, with one %v", unsaid, written)
	}
	// Reed Bed has 1.2 % clove leaf oil of the fats, 0.8 % of the bar.
	over := "over its limit"
	stop := func(set map[string]string) bool {
		page := s.plan("reed-bed", set)
		for _, h := range regexp.MustCompile(`(?s)class="finding stop">\s*<h3>(.*?)</h3>`).FindAllStringSubmatch(page, -1) {
			if strings.Contains(strings.ToLower(h[1]), "clove") {
				return true
			}
		}
		return false
	}
	if !stop(map[string]string{"additions.1.limit": ""}) {
		t.Errorf("%s: the limit of the shelf does not count", over)
	}
	s.post(303, "/stock/eoc_1", s.form("/stock/eoc_1", "on_hand", ""))
	if stop(map[string]string{"additions.1.limit": ""}) {
		t.Error("the limit of a lot that is used up counts")
	}
	if !stop(map[string]string{"additions.1.material": "eoc_1", "additions.1.limit": ""}) {
		t.Errorf("%s: the lot's own limit of 0.7 %% does not count", over)
	}
	if stop(map[string]string{"additions.1.material": "eoc_1", "additions.1.limit": "3 % of bar"}) {
		t.Error("the limit that the recipe writes does not win")
	}
}

// A mould is filled to what a water fill says, not to its sides: 9 % less
// batter, as 1221 ml of 1341.6.
func TestWaterFillIntoThePlan(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	sides := []string{"name", "By its sides", "mould.shape", "box", "mould.inside", "349 x 62 x 62 mm", "mould.fill", "95 %"}
	plain := s.add("/things/mould/new", sides...)
	filled := s.add("/things/mould/new", append(sides, "name", "By water", "learned", "1221 g")...)
	batter := func(mould string) []float64 {
		page := s.plan("plain-tow", map[string]string{"pick.mould": mould, "size.by": "mould", "size.fats": ""})
		return numbersIn(t, page, `batter, N`+"\u202f"+`ml; fills N`+"\u202f"+`ml to N`)
	}
	a, b := batter(plain), batter(filled)
	if a[1] != 1342 || b[1] != 1221 || a[2] != 95 || b[2] != 95 || math.Abs(b[0]-0.95*1221) > 1 || math.Abs(a[0]-0.95*1341.6) > 1 {
		t.Errorf("by its sides %v, by its water fill %v", a, b)
	}
	if page := s.get(200, "/things/mould/"+filled); !strings.Contains(page, "The water fill says 9.0\u202f% less, and plans use it.") {
		t.Error("its page does not say what the water fill does")
	}
}

// Two tester tubs of Plain Tow: 193 g tallow at 4.20, 88 g rapeseed at 2.60,
// 70 g coconut at 5.10 and 49 g lye at 6.50 a kilo make 1.71, for three bars.
func TestCostPerBar(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	page := s.plan("plain-tow", map[string]string{"pick.mould": "m6"})
	if got := numbersIn(t, page, `cost N EUR: N for each of N bars, N with the overhead of a bar`); len(got) != 4 || got[0] != 1.71 || got[1] != 0.57 || got[2] != 3 || got[3] != 0.92 {
		t.Errorf("%v", got)
	}
	for _, want := range []string{">0.81<", ">0.23<", ">0.36<", ">from TLW-7<", ">from RAP-5<", ">from COC-4<", ">1.40 EUR<"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %s", want)
		}
	}
	s.post(303, "/things/workshop/new", s.form("/things/workshop/new", "currency", "NOK"))
	if page := s.plan("plain-tow", map[string]string{"pick.mould": "m6"}); !strings.Contains(page, "cost 1.71 NOK: 0.57 for each of 3 bars") {
		t.Error("not in the workshop's own money")
	}
	if page := s.get(200, "/stock"); !strings.Contains(page, "Price, NOK") || !strings.Contains(page, "NOK paid for what is left") {
		t.Error("the shelf is not in the workshop's own money")
	}
	page = s.plan("plain-tow", map[string]string{"size.fats": "30 kg"}) // 16.5 kg of tallow, and 14.2 are there
	if !strings.Contains(page, "short 2\u202f300\u202fg") || !strings.Contains(page, "as far as they are on the shelf and priced") {
		t.Error("what is short is not said")
	}
}

// A held lot is never taken, and the recipe names it; released, it is.
func TestHeldIsNotTaken(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	lard := func() string {
		page := s.plan("oatwater", nil)
		return page[strings.Index(page, `data-part="shelf-0"`):strings.Index(page, `data-part="cost-0"`)]
	}
	if cell := lard(); !strings.Contains(cell, "LRD-2 is held") || !strings.Contains(cell, ">none<") {
		t.Errorf("held: %s", cell)
	}
	s.post(303, "/stock/lrd_2", s.form("/stock/lrd_2", "do", "release", "by", "helper 2"))
	if cell := lard(); strings.Contains(cell, "is held") || !strings.Contains(cell, "6\u202f100\u202fg") {
		t.Errorf("released: %s", cell)
	}
	page := s.post(422, "/stock/lrd_2", s.form("/stock/lrd_2", "do", "hold", "note", "sniff it")).Body.String()
	if !strings.Contains(page, "say why, for whoever finds it held") || !strings.Contains(page, "sniff it") {
		t.Error("held without a reason")
	}
	s.post(303, "/stock/lrd_2", s.form("/stock/lrd_2", "do", "hold", "held", "rancid", "by", "helper 3"))
	if page := s.get(200, "/stock"); !strings.Contains(page, "held: rancid") {
		t.Error("the shelf does not say that it is held")
	}
	if page := s.get(200, "/stock/lrd_2"); !strings.Contains(page, "Held, because: rancid") || !strings.Contains(page, "· helper 3") || !strings.Contains(page, "Held, because taken away, was spots on five of nine bars of Oatwater on day 74") || !strings.Contains(page, "· helper 2") {
		t.Error("its history does not say who held and released it")
	}
}

// A recipe that names a lot or a material that was put away says so in words,
// and stands again when it is taken back.
func TestPutAwayIsSaid(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	named := map[string]string{"fats.0.material": "tlw_7", "alkali.0.material": "sh_3"}
	if page := s.plan("plain-tow", named); !strings.Contains(page, "superfat as weighed") {
		t.Fatal("a plan by its lots")
	}
	for _, id := range []string{"tlw_7", "sh_3"} {
		s.post(303, "/stock/"+id, s.form("/stock/"+id, "do", "away", "by", "helper 1"))
	}
	page := s.plan("plain-tow", named)
	for _, want := range []string{`lot TLW-7 of beef tallow was put away on 25 November 2026`, `Take it back under Stock, or write "Beef tallow"`, `lot SH-3 of sodium hydroxide was put away on 25 November 2026`, "Waiting for the recipe"} {
		if !strings.Contains(page, want) {
			t.Errorf("the recipe does not say %q", want)
		}
	}
	page = s.get(200, "/stock")
	if strings.Contains(page, `id="lot-tlw_7"`) || !strings.Contains(page, "lot, since 25 November 2026, 12:00") {
		t.Error("it stands on the shelf, or not among what was put away")
	}
	s.post(303, "/stock/tlw_7", s.form("/stock/tlw_7"))
	s.post(303, "/stock/sh_3", s.form("/stock/sh_3"))
	if page := s.plan("plain-tow", named); !strings.Contains(page, "superfat as weighed") {
		t.Error("taken back, it is not planned with")
	}
	if page := s.get(200, "/stock/tlw_7"); !strings.Contains(page, "<li>taken back</li>") || !strings.Contains(page, "<li>put away</li>") {
		t.Error("its history does not say so")
	}
}

// Fitted to the small scale, which carries 500 g, a batch with more lye than
// that is told; a recipe file that says what its scale carries is, too.
func TestScaleCarriesTooLittle(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	form := formOf(s.upload(200, [2]string{"plain-tow.toml", recipeFile(t, "plain-tow")}), "f.")
	form.Set("f.0.alkali", "small")
	form.Set("f.0.size", "fats")
	form.Set("f.0.much", "4 kg")
	form.Set("do", "save")
	to := s.post(303, "/import", form).Header().Get("Location")
	if page := s.get(200, to); !strings.Contains(page, "Too much for the scale: the alkali weighs") || !strings.Contains(page, "it carries 500 g") {
		t.Error("the small scale carries it all")
	}
	if page := s.plan("plain-tow", map[string]string{"size.fats": "5001 g", "pick.scale.fats": "kitchen"}); !strings.Contains(page, "Too much for the scale: the fats weigh 5001 g, and it carries 5000 g") {
		t.Error("5001 g on the kitchen scale")
	}
	bare := s.add("/things/scale/new", "name", "Old beam", "step", "1 g")
	if page := s.plan("plain-tow", map[string]string{"size.fats": "5001 g", "scale.fats_capacity": "5 kg", "pick.scale.fats": bare}); strings.Contains(page, "Too much for the scale") {
		t.Error("a scale that does not say what it carries keeps what another one does")
	}
	if page := s.plan("plain-tow", map[string]string{"size.fats": "5001 g", "scale.fats_capacity": "5 kg"}); !strings.Contains(page, "Too much for the scale: the fats weigh 5001 g, and it carries 5000 g") {
		t.Error("5001 g on a scale for 5 kg")
	}
}
