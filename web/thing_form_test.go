package web_test

import (
	"bytes"
	"html"
	"mime/multipart"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"barwright/demo"
)

// fill is a form of a thing as typed: pairs of a key and its text.
func fill(pairs ...string) url.Values {
	form := url.Values{"rev": {"0"}, "do": {"save"}}
	for i := 0; i < len(pairs); i += 2 {
		name := pairs[i]
		if name != "rev" && name != "do" && name != "by" {
			name = "f." + name
		}
		form.Set(name, pairs[i+1])
	}
	return form
}

// add saves a new thing and returns its id.
func (s shop) add(path string, pairs ...string) string {
	s.t.Helper()
	to := s.post(303, path, fill(pairs...)).Header().Get("Location")
	_, mark, _ := strings.Cut(to, "#")
	_, id, ok := strings.Cut(mark, "-")
	if !ok {
		s.t.Fatalf("saved, and went to %s", to)
	}
	return id
}

// form is the whole form of a thing as a browser would send it back, with some
// of its fields typed anew.
func (s shop) form(path string, pairs ...string) url.Values {
	s.t.Helper()
	form := formIn(s.ask(200, httptest.NewRequest("GET", path, nil)).Body.String())
	for name, values := range fill(pairs...) {
		if name != "rev" {
			form[name] = values
		}
	}
	return form
}

// formIn is the form that a page answers with, its lists to choose from and
// all.
func formIn(page string) url.Values {
	form := formOf(page, "f.")
	for _, name := range []string{"rev", "by"} {
		form.Set(name, formOf(page, name).Get(name))
	}
	for _, m := range regexp.MustCompile(`(?s)<select[^>]* name="([^"]*)".*?</select>`).FindAllStringSubmatch(page, -1) {
		if chosen := regexp.MustCompile(`value="([^"]*)" selected`).FindStringSubmatch(m[0]); chosen != nil {
			form.Set(m[1], html.UnescapeString(chosen[1]))
		}
	}
	return form
}

// body is the newest TOML of a thing.
func (s shop) body(kind, id string) string {
	s.t.Helper()
	t, err := s.store.Thing(s.t.Context(), kind, id)
	if err != nil {
		s.t.Fatal(err)
	}
	return t.Body
}

// Every form saves what it is given, in the numbers and days of any country,
// and its lines show it.
func TestThingsAreAdded(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	for _, c := range []struct {
		path         string
		typed        []string
		home         string
		shown, keeps []string
	}{
		{"/things/workshop/new", []string{"name", "Kiln Row", "currency", "CHF", "hour", "18,50", "overhead", "CHF 0.4", "by", "helper 2"}, "/workshop",
			[]string{"Kiln Row", "18.50\u202fCHF an hour's work · 0.40\u202fCHF overhead of a bar"}, []string{"hour = '18.5 each'", "overhead = '0.4 each'"}},
		{"/things/mould/new", []string{"name", "Loaf", "bars", "11", "mould.shape", "box", "mould.inside", "34,9 x 6,2 x 6,2 cm", "learned", "1320 g", "mould.wall", "softwood 12 mm", "mould.fill", "97"}, "/workshop",
			[]string{"box 34.9\u202f×\u202f6.2\u202f×\u202f6.2\u202fcm · 1\u202f320\u202fml by a water fill (\u22121.6\u202f%) · 11 bars · softwood 12\u202fmm"}, []string{"learned = '1320 ml'", "fill = '97 %'"}},
		{"/things/mould/new", []string{"name", "Tube", "mould.shape", "cylinder", "mould.inside", "68 x 253 mm", "mould.axis", "level"}, "/workshop", []string{"cylinder 68\u202f×\u202f253\u202fmm · 919\u202fml"}, nil},
		{"/things/mould/new", []string{"name", "Rounds", "mould.shape", "cavity", "mould.volume", "0,085 kg", "mould.count", "6"}, "/workshop", []string{"6 cavities · 510\u202fml"}, []string{"volume = '85 ml'"}},
		{"/things/place/new", []string{"name", "Attic", "place", "room", "temperature", "21,5", "rh", "55", "fan", "true"}, "/workshop", []string{"room · 21.5\u202f°C · 55\u202f% humidity · fan"}, nil},
		{"/things/place/new", []string{"name", "Chest", "place", "freezer", "temperature", "\u221218 °C"}, "/workshop", []string{"freezer · \u221218\u202f°C"}, nil},
		{"/things/scale/new", []string{"name", "Pocket", "step", "0,01", "capacity", "200 g", "repeatability", "0.02"}, "/workshop", []string{"steps of 0.01\u202fg · up to 200\u202fg · repeats itself to 0.02\u202fg"}, nil},
		{"/stock/new", []string{"of", "beef tal", "name", "TLW-8", "on_hand", "2½ kg", "price", "12,90 CHF / 500 g", "from", "the <butcher>", "packed", "1.11.2026", "received", "5 Nov 2026", "best_before", "2027-06-30", "sap.typical", "197,6 mg KOH/g", "paper", "certificate 4711"}, "/stock",
			[]string{"TLW-8", "2.5\u202fkg", "12.90 / 500 g", "5 Nov 2026", "30 Jun 2027", "the <butcher>", "certificate, 197.6\u202fmg KOH/g"}, []string{"price = '12.9 / 500 g'", "packed = '2026-11-01'", "received = '2026-11-05'", "low = 196.6", "high = 198.6", "locator = 'certificate 4711'"}},
		{"/stock/new", []string{"of", "Sodium hydroxide", "name", "SH-4", "on_hand", "1 kg", "price", "6,5 /kg", "purity", "98,5"}, "/stock", []string{"assay 98.5\u202f%", "6.50 / kg"}, nil},
		{"/stock/new", []string{"of", "clove_leaf_oil", "name", "EOC-2", "on_hand", "90 g", "price", "54 per kg", "limit", "0,7", "hurries", "true", "rices", "true"}, "/stock", []string{"at most 0.7\u202f% of bar", "makes grains", "thickens quickly"}, nil},
		{"/stock/new", []string{"of", "Honey", "name", "HNO-B", "on_hand", "6 kg", "own", "true", "from", "Osier", "water.typical", "19.6", "water.low", "19,4", "water.high", "19.8", "density.typical", "1,42"}, "/stock", []string{"own", "Osier", "19.6\u202f% water"}, []string{"at_c = 20"}},
		{"/stock/new", []string{"of", "Beeswax", "name", "WXO", "on_hand", "0 g", "own", "true"}, "/stock", []string{"used up"}, nil},
	} {
		id := s.add(c.path, c.typed...)
		page := strings.ReplaceAll(s.get(200, c.home), "&#39;", "'")
		for _, want := range c.shown {
			if !strings.Contains(page, want) {
				t.Errorf("%v: %s shows no %q", c.typed, c.home, want)
			}
		}
		kind, path := strings.Split(c.path, "/")[2], strings.Replace(c.path, "new", id, 1)
		if c.home == "/stock" {
			kind = "lot"
		}
		for _, want := range c.keeps {
			if body := s.body(kind, id); !strings.Contains(body, want) {
				t.Errorf("%v: no %s in\n%s", c.typed, want, body)
			}
		}
		// Its own form, saved as it comes, changes nothing.
		s.post(303, path, s.form(path))
		if history, err := s.store.History(t.Context(), kind, id); err != nil || len(history) != 1 {
			t.Errorf("%v: saved again as it was, it has %d revisions (%v)", c.typed, len(history), err)
		}
	}
}

// What cannot be saved is told once on top and once at its field, says what to
// do, and everything that was typed is still there.
func TestFaultsOfForms(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	const mould, place, scale, lot, material, workshop = "/things/mould/new", "/things/place/new", "/things/scale/new", "/stock/new", "/things/material/new", "/things/workshop/new"
	loaf := func(more ...string) []string {
		return append([]string{"name", "Loaf", "mould.shape", "box", "mould.inside", "349 x 62 x 62 mm"}, more...)
	}
	of := func(id string, more ...string) []string { return append([]string{"of", id, "name", "T <b>&"}, more...) }
	long := strings.Repeat("x", 201)
	for _, c := range []struct {
		path  string
		typed []string
		label string
		want  string
	}{
		{mould, nil, "Name", "give it a name"},
		{mould, []string{"name", "Loaf", "mould.shape", "box"}, "Inside", "a box needs its inside length x width x height"},
		{mould, []string{"name", "Tube", "mould.shape", "cylinder", "mould.inside", "6 x 6 x 6 cm"}, "Inside", "a cylinder needs its inside diameter x length"},
		{mould, []string{"name", "Rounds", "mould.shape", "cavity"}, "or volume of one cavity", "a cavity needs its volume"},
		{mould, []string{"name", "Loaf", "mould.shape", "heart"}, "Shape", `"heart" is not a shape`},
		{mould, loaf("mould.volume", "85 ml"), "or volume of one cavity", "a box has its size in inside"},
		{mould, loaf("learned", "132 ml"), "True volume, by a water fill", "a water fill of 132 ml is far from the 1342 ml that the mould's sides say"},
		{mould, loaf("learned", "-3"), "True volume, by a water fill", `"-3"`},
		{mould, loaf("learned", "NaN"), "True volume, by a water fill", "write a plain number with its unit"},
		{mould, loaf("bars", "3.5"), "Bars usually cut from it", "it must be a whole number"},
		{mould, loaf("bars", "-3"), "Bars usually cut from it", "-3 is not a number of bars"},
		{mould, loaf("mould.count", "1e9"), "How many cavities", "it must be a whole number"},
		{mould, loaf("mould.wall", "softwod 12 mm"), "Wall", `did you mean "softwood"?`},
		{mould, loaf("mould.fill", "120"), "Filled to", "at most 100 %, not 120 %"},
		{mould, []string{"name", "Sea", "mould.shape", "box", "mould.inside", "9 x 9 x 9 m"}, "Inside", "use one of"},
		{mould, []string{"name", "m1 WOOD loaf", "mould.shape", "box", "mould.inside", "9 x 9 x 9 cm"}, "Name", "another mould is called so"},
		{place, []string{"place", "room"}, "Name", "give it a name"},
		{place, []string{"name", "Shed", "place", "shed"}, "What it is", "the places are room"},
		{place, []string{"name", "Sun", "place", "room", "temperature", "500 °F"}, "Temperature", "is it °C or °F?"},
		{place, []string{"name", "Sun", "place", "room", "temperature", "1.000,5 °C"}, "Temperature", "write 1000.5 or 1000,5"},
		{place, []string{"name", "Sun", "place", "room", "rh", "120"}, "Humidity", "relative humidity lies between 0 and 100 %"},
		{scale, nil, "Name", "give it a name"},
		{scale, []string{"name", "Old"}, "Smallest step it shows", "say the smallest difference it shows"},
		{scale, []string{"name", "Old", "step", "1 kg"}, "Smallest step it shows", "a scale that shows steps of 1 kg"},
		{scale, []string{"name", "Old", "step", "1", "capacity", "5"}, "Carries up to", "5 of what? write g, kg, oz or lb after it"},
		{scale, []string{"name", "Old", "step", "1", "capacity", "0.5 g"}, "Carries up to", "less than its own step of 1 g"},
		{scale, []string{"name", "Old", "step", "1", "repeatability", "1 kg"}, "Repeats itself to", "a scale that repeats itself to 1 kg"},
		{workshop, []string{"name", " "}, "Name", "give it a name"},
		{workshop, []string{"name", "W", "currency", "gold of the realm"}, "Currency", "a currency is a short word"},
		{workshop, []string{"name", "W", "hour", "15 / kg"}, "An hour's work", `write it like "15 each"`},
		{workshop, []string{"name", "W", "hour", "$ 15"}, "An hour's work", "prices are kept in EUR here, and this one is in $"},
		{lot, nil, "What it is", "say what it is a lot of"},
		{lot, of("moonshine"), "What it is", `no material is called "moonshine"`},
		{lot, of("stearic"), "What it is", "several are called so: Stearic acid 50 (triple pressed), Stearic acid 70, Stearic acid 95"},
		{lot, []string{"of", "lard", "name", long}, "Name or code of the lot", "it must be one line of at most 200 letters"},
		{lot, []string{"of", "lard", "name", "lrd-2"}, "Name or code of the lot", "another lot is called so"},
		{lot, of("lard", "on_hand", "2.5"), "On hand", "2.5 of what? write g, kg, oz or lb after it"},
		{lot, of("lard", "on_hand", "1.000,5 g"), "On hand", "write 1000.5 or 1000,5"},
		{lot, of("lard", "on_hand", "1,040 g"), "On hand", "can be read two ways"},
		{lot, of("lard", "on_hand", "-3"), "On hand", "there cannot be less than nothing"},
		{lot, of("lard", "on_hand", "1e9"), "On hand", "use one of: g, kg, oz, lb, mg"},
		{lot, of("lard", "on_hand", "NaN"), "On hand", `"NaN" has no number`},
		{lot, of("lard", "on_hand", "99999999999 kg"), "On hand", "is beyond any batch"},
		{lot, of("lard", "price", "-3 / kg"), "Price", `"-3 / kg" is not a price`},
		{lot, of("lard", "price", "1e9 / kg"), "Price", `"e" is not a currency known here`},
		{lot, of("lard", "price", "NaN / kg"), "Price", `"NaN" is not a currency known here`},
		{lot, of("lard", "price", "1.000,50 / kg"), "Price", "write 1000.50 or 1000,50"},
		{lot, of("lard", "price", "9"), "Price", "does not say per what"},
		{lot, of("lard", "price", "4 each"), "Price", "a lot has a price by mass"},
		{lot, of("lard", "price", "4 / litre"), "Price", "is not a unit of mass"},
		{lot, of("lard", "packed", "5/11/2026"), "Packed", "write 5 Nov 2026 or 11 May 2026"},
		{lot, of("lard", "best_before", "11/2026"), "Best before", "a label that gives a month means its last day: 30 Nov 2026"},
		{lot, of("lard", "received", "5 Nov 206"), "Received", "0206-11-05 is no day of a label"},
		{lot, of("lard", "packed", "5 Nov 2026", "received", "4 Nov 2026"), "Received", "before it was packed on 2026-11-05"},
		{lot, of("lard", "sap.typical", "NaN"), "Saponification value, mg KOH/g", `"NaN" is not one number in mg KOH/g; write it like 197.6`},
		{lot, of("lard", "sap.typical", "-3"), "Saponification value, mg KOH/g", "must be 1 to 660 mg KOH/g"},
		{lot, of("lard", "sap.typical", "1e9"), "Saponification value, mg KOH/g", `"1e9" is not one number`},
		{lot, of("lard", "sap.typical", "0,1976"), "Saponification value, mg KOH/g", "must be 1 to 660 mg KOH/g"},
		{lot, of("lard", "sap.low", "196"), "Saponification value, mg KOH/g", "the likely value is missing"},
		{lot, of("lard", "sap.typical", "197", "sap.low", "198"), "Saponification value, mg KOH/g, at least", "at least 198 is more than the likely 197"},
		{lot, of("lard", "sap.typical", "197", "sap.high", "196"), "Saponification value, mg KOH/g, at most", "at most 196 is less than the likely 197"},
		{lot, of("lard", "purity", "98"), "Assay on the label", "only an alkali has an assay"},
		{lot, of("lard", "limit", "1"), "Most in the bar, from its own document", "only a scent has a limit in the bar"},
		{lot, of("lard", "water.typical", "10"), "Water, %", "only honey, milk and other additions have a share of water"},
		{lot, of("naoh", "purity", "40"), "Assay on the label", "must be 50 to 100 %"},
		{lot, of("honey", "sap.typical", "197"), "Saponification value, mg KOH/g", "only a fat, a wax or a fatty acid has a saponification value"},
		{lot, of("lard", "held", "a\x00b"), "Held, because", "it must be one line"},
		{lot, of("lard", "note", "\x07"), "Note", "letters that cannot be printed"},
		{lot, of("lard", "by", strings.Repeat("h", 61)), "Saved by", "a name is one short line"},
		{material, nil, "Material file", "paste a material file here, or choose one"},
		{material, []string{"text", "id = 'x"}, "Material file", `line 1, "id = 'x": a closing quote is missing`},
		{material, []string{"text", "id = 'x'\nof = 'tallow'\n"}, "Material file", `line 2, "of = 'tallow'": "tallow" is not a known material`},
		{material, []string{"text", "id = 'tlw_7'\nof = 'tallow_beef'\nname = 'Mine'\n"}, "Material file", `a lot has the id "tlw_7"`},
		{material, []string{"text", "id = 'mine'\nof = 'tallow_beef'\nname = 'Lard'\n"}, "Material file", `another material, "lard", is called "Lard"`},
		{material, []string{"text", "id = 'Mine!'\nof = 'tallow_beef'\nname = 'Mine'\n"}, "Material file", `id`},
		{material, []string{"text", "id = 'mine'\nof = 'tallow_beef'\nname = 'Mine'\n[sap]\ntypical = 197\n"}, "Material file", `sap: no low`},
	} {
		page := s.post(422, c.path, fill(c.typed...)).Body.String()
		text := html.UnescapeString(page)
		top, _, _ := strings.Cut(text, `<div class="thing">`)
		if !strings.Contains(top, `role="alert"`) || !strings.Contains(top, "Not saved.") || !strings.Contains(top, c.label) || !strings.Contains(top, c.want) {
			t.Errorf("%q: on top stands %q, no %s: %s", c.typed, top[strings.Index(top, "<h1>"):], c.label, c.want)
		}
		if beside := told(page); !strings.Contains(strings.Join(beside, "\n"), c.want) {
			t.Errorf("%q: at its field %q, no %q", c.typed, beside, c.want)
		}
		if !strings.Contains(page, `aria-invalid="true"`) {
			t.Errorf("%q: no field is marked", c.typed)
		}
		got := formOf(page, "f.")
		for i := 0; i < len(c.typed); i += 2 {
			key, typed := c.typed[i], c.typed[i+1]
			switch field := got.Get("f." + key); {
			case key == "by", strings.ContainsAny(typed, "\x00\x07"), strings.HasSuffix(key, "shape"), key == "place", key == "of":
			case field != strings.ReplaceAll(typed, "\n", "\r\n"):
				t.Errorf("%q: %s is now %q", c.typed, key, field)
			}
		}
	}
}

// Odd names are just odd: no tag of theirs comes alive, and each thing has an
// address of its own.
func TestHostileThings(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	for _, name := range []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "new", "../../etc", "日本", "§§§", "Recipe", `{{.}}`, "a & b", "\u202ekcab", "con"} {
		for _, c := range [][]string{{"/stock/new", "of", "lard", "name", name, "on_hand", "1 kg", "from", name, "held", name}, {"/things/scale/new", "name", name, "step", "1 g"}} {
			id := s.add(c[0], c[1:]...)
			if id == "" || id == "new" || strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
				t.Errorf("%q has the id %q", name, id)
			}
			for _, path := range []string{strings.Replace(c[0], "new", id, 1), "/stock", "/workshop"} {
				page := s.ask(200, httptest.NewRequest("GET", path, nil)).Body.String()
				if strings.Contains(page, "<script>alert") || strings.Contains(page, "<img src=x") {
					t.Errorf("%s: %q came alive", path, name)
				}
			}
			if page := s.get(200, strings.Replace(c[0], "new", id, 1)); !strings.Contains(page, name) {
				t.Errorf("%q is not shown by its name", name)
			}
		}
	}
}

// What is not there, and what is too much.
func TestNoSuchThing(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	for _, path := range []string{"/stock/no_such", "/things/mould/no_such", "/things/place/no_such", "/things/scale/no_such", "/things/material/no_such", "/things/workshop/no_such", "/things/lot/tlw_7", "/things/cat/new"} {
		s.get(404, path)
		s.post(404, path, fill("name", "x"))
	}
	s.get(404, "/materials/no_such")
	for _, path := range []string{"/stock/new", "/things/mould/new", "/things/material/new"} {
		page := s.post(413, path, fill("name", strings.Repeat("x", 10<<20))).Body.String()
		if !strings.Contains(page, "Nothing was saved") {
			t.Errorf("%s: %s", path, page)
		}
		r := httptest.NewRequest("POST", path, strings.NewReader("garbage"))
		r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
		s.ask(400, r)
	}
}

// A material of one's own comes as text or as a file, stands in for a built-in
// one, and starts with the file of that one.
func TestOwnMaterial(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	start := s.form("/things/material/new?from=beeswax").Get("f.text")
	if !strings.Contains(start, `id = "beeswax"`) || !strings.Contains(start, `source = "ph_eur"`) {
		t.Fatalf("the start is %q", start)
	}
	if page := s.get(200, "/things/material/new?from=../secret"); !strings.Contains(page, `grade = "measured"`) {
		t.Error("no example of a file")
	}
	mine := strings.Replace(start, "typical = 20\r\nhigh = 24", "typical = 19\r\nhigh = 24", 1)
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, text := range map[string]string{"rev": "0", "do": "save", "f.text": "this text gives way to the file"} {
		if err := m.WriteField(name, text); err != nil {
			t.Fatal(err)
		}
	}
	w, err := m.CreateFormFile("f.text", "beeswax.toml")
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte(mine))
	m.Close()
	r := httptest.NewRequest("POST", "/things/material/new", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	if to := s.ask(303, r).Header().Get("Location"); to != "/workshop#material-beeswax" {
		t.Errorf("went to %s", to)
	}
	if page := s.get(200, "/workshop"); !strings.Contains(page, "in place of the built-in one") {
		t.Error("the workshop does not say that it stands in for another")
	}
	page := s.get(200, "/materials/beeswax")
	if !strings.Contains(page, "your own, in place of the built-in one") || !strings.Contains(page, `<span class="big">19</span>`) {
		t.Error("its figures are not those of the file")
	}
	if page := s.plan("wax-rind", nil); !strings.Contains(page, "takes 19.0 mg KOH/g") {
		t.Error("the plan does not use it")
	}
	if page := s.post(422, "/things/material/new", fill("text", mine)).Body.String(); !strings.Contains(html.UnescapeString(page), `a material with the id "beeswax" is here already`) {
		t.Error("a second file of the same id")
	}
	if page := s.post(422, "/things/material/beeswax", s.form("/things/material/beeswax", "text", strings.Replace(mine, `"beeswax"`, `"my_wax"`, 1))).Body.String(); !strings.Contains(html.UnescapeString(page), `its id stays "beeswax"`) {
		t.Error("another id in the same file")
	}
	s.post(303, "/things/material/beeswax", s.form("/things/material/beeswax", "do", "away"))
	if page := s.plan("wax-rind", nil); !strings.Contains(page, "takes 20.0 mg KOH/g") {
		t.Error("put away, the built-in one does not stand again")
	}
}
