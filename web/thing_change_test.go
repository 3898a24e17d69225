package web_test

import (
	"html"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"barwright/demo"
)

// changesIn are the changes that a page tells, the newest first.
func changesIn(page string) (out []string) {
	list := page[strings.Index(page, `<ol class="history">`)+1:]
	for _, m := range regexp.MustCompile(`(?s)<li><ul>(.*?)</ul><p class="quiet small">(.*?)</p>`).FindAllStringSubmatch(list, -1) {
		what := strings.NewReplacer("</li><li>", "; ", "<li>", "", "</li>", "").Replace(m[1])
		out = append(out, html.UnescapeString(what+" | "+m[2]))
	}
	return out
}

// Every change is a revision with who and when, told in words; nothing is
// overwritten.
func TestHistoryOfAThing(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	const path = "/stock/olv_9"
	first := s.body("lot", "olv_9")
	for _, typed := range [][]string{
		{"on_hand", "5,1 kg", "by", "helper 2"},
		{"price", "9,20 / kg", "best_before", "30 June 2027", "own", "true", "by", "helper 1"},
		{"of", "Castor oil", "own", "", "note", "it was\nmislabelled"},
	} {
		s.post(303, path, s.form(path, typed...))
	}
	got := changesIn(s.ask(200, httptest.NewRequest("GET", path, nil)).Body.String())
	want := []string{
		"What it is: Olive oil → Castor oil; no longer of our own making; Note: it was mislabelled | 25 November 2026, 12:00",
		"Price: 8.90 / kg → 9.20 / kg; of our own making; Best before: 23 Jun 2027 → 30 Jun 2027 | 25 November 2026, 12:00 · helper 1",
		"On hand: 5.5 kg → 5.1 kg | 25 November 2026, 12:00 · helper 2",
		"On hand: 8 kg → 5.5 kg | 16 November 2026, 12:00 · helper 1",
		"added | 19 April 2026, 12:00 · lead maker",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("it tells\n%s", strings.Join(got, "\n"))
	}
	revisions, err := s.store.History(t.Context(), "lot", "olv_9")
	if err != nil || len(revisions) != 5 || revisions[3].Body != first {
		t.Errorf("%d revisions (%v)", len(revisions), err)
	}
}

// Of two who edit one thing the second is told who was first and what differs;
// what only the first changed is taken over, and what both changed is theirs
// to decide. Saved again, both are in the history.
func TestTwoPeopleOneThing(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind, id, path string
		first, second  []string
		taken, rows    []string
		still, keeps   []string
	}{
		{"lot", "sun_2", "/stock/sun_2",
			[]string{"price", "3.60 / kg", "on_hand", "7.5 kg"}, []string{"on_hand", "7,2 kg", "note", "from the <back>"},
			[]string{"Price: 3.30 / kg → 3.60 / kg"}, []string{"On hand|7.5 kg|7.2 kg", "Note|–|from the <back>"},
			[]string{"f.price|3.60 / kg", "f.on_hand|7,2 kg", "f.note|from the <back>"}, []string{"price = '3.6 / kg'", "on_hand = '7.2 kg'", "from the <back>"}},
		{"mould", "m1", "/things/mould/m1",
			[]string{"learned", "1310 ml"}, []string{"learned", "1320 g", "bars", "12"},
			nil, []string{"Bars usually cut from it|11|12", "True volume, by a water fill|1310 ml|1320 ml"},
			[]string{"f.learned|1320 g", "f.bars|12"}, []string{"learned = '1320 ml'"}},
		{"workshop", "workshop", "/things/workshop/new",
			[]string{"hour", "16"}, []string{"overhead", "0,40"},
			[]string{"An hour's work: 15.00 → 16.00"}, []string{"Overhead of a bar|0.35|0.40"},
			[]string{"f.hour|16.00", "f.overhead|0,40"}, []string{"hour = '16 each'", "overhead = '0.4 each'"}},
	} {
		s := openShop(t, demo.NinthLock)
		form := s.form(c.path, append(c.second, "by", "helper 3")...)
		s.post(303, c.path, s.form(c.path, append(c.first, "by", "helper 2")...))
		page := s.post(409, c.path, form).Body.String()
		text := html.UnescapeString(page)
		if !strings.Contains(text, "helper 2 saved it on 25 November 2026, 12:00, after you had opened it. What you typed is all still here.") {
			t.Errorf("%s: it does not say who was first", c.id)
		}
		var taken, rows []string
		alert := page[strings.Index(page, `class="wrong"`):strings.Index(page, `<div class="thing">`)]
		for _, m := range regexp.MustCompile(`<li>(.*?)</li>`).FindAllStringSubmatch(alert, -1) {
			taken = append(taken, html.UnescapeString(m[1]))
		}
		for _, m := range regexp.MustCompile(`<th scope="row">(.*?)</th><td>(.*?)</td><td>(.*?)</td>`).FindAllStringSubmatch(alert, -1) {
			rows = append(rows, html.UnescapeString(strings.Join(m[1:], "|")))
		}
		if strings.Join(taken, "\n") != strings.Join(c.taken, "\n") || strings.Join(rows, "\n") != strings.Join(c.rows, "\n") {
			t.Errorf("%s: taken over %q, differing %q", c.id, taken, rows)
		}
		again := formIn(page)
		for _, want := range c.still {
			name, text, _ := strings.Cut(want, "|")
			if again.Get(name) != text {
				t.Errorf("%s: %s is now %q", c.id, name, again.Get(name))
			}
		}
		if again.Get("by") != "helper 3" {
			t.Errorf("%s: saved by %q", c.id, again.Get("by"))
		}
		s.post(303, c.path, again)
		for _, want := range c.keeps {
			if body := s.body(c.kind, c.id); !strings.Contains(body, want) {
				t.Errorf("%s: no %s in\n%s", c.id, want, body)
			}
		}
		if revisions, err := s.store.History(t.Context(), c.kind, c.id); err != nil || revisions[0].MadeBy != "helper 3" || revisions[1].MadeBy != "helper 2" {
			t.Errorf("%s: %+v (%v)", c.id, revisions, err)
		}
	}
}

// Both typed the same: there is nothing to decide. One put it away meanwhile,
// or wants to: that is said. A form without its revision overwrites nothing.
func TestOtherConflicts(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	const path = "/stock/sun_2"
	form, late := s.form(path, "on_hand", "7 kg"), s.form(path, "on_hand", "6 kg")
	away := s.form(path, "do", "away", "by", "helper 1")
	s.post(303, path, form)
	s.post(303, path, form)
	if revisions, err := s.store.History(t.Context(), "lot", "sun_2"); err != nil || len(revisions) != 3 {
		t.Errorf("%d revisions (%v)", len(revisions), err)
	}
	page := s.post(409, path, away).Body.String()
	if !strings.Contains(page, "You were putting it away.") || !strings.Contains(page, "On hand: 8 kg → 7 kg") {
		t.Error("who puts away what somebody changed is not told")
	}
	s.post(303, path, s.form(path, "do", "away", "by", "helper 1"))
	page = s.post(409, path, late).Body.String()
	if !strings.Contains(page, "helper 1 put it away on") || !strings.Contains(page, `value="6 kg"`) {
		t.Error("who changes what was put away is not told")
	}
	for _, rev := range []string{"", "x", "-1", "0", "99", "1e9"} {
		s.post(303, "/things/scale/new", fill("rev", rev, "name", "Scale "+rev, "step", "1 g")) // a new one has none
		bare := s.form(path, "on_hand", "5 kg")
		bare.Set("rev", rev)
		s.post(409, path, bare)
	}
	if body := s.body("lot", "sun_2"); !strings.Contains(body, "'7 kg'") {
		t.Errorf("overwritten:\n%s", body)
	}
	// A material file is not merged: theirs is shown whole.
	s.add("/things/material/new", "text", "id = 'mine'\nof = 'olive'\nname = 'Olive of the hill'\n")
	const file = "/things/material/mine"
	mine := s.form(file, "text", "id = 'mine'\nof = 'olive'\nname = 'Olive of the hill'\nnote = 'mine'\n")
	s.post(303, file, s.form(file, "text", "id = 'mine'\nof = 'olive'\nname = 'Olive of the hill'\nnote = 'theirs'\n"))
	page = html.UnescapeString(s.post(409, file, mine).Body.String())
	for _, want := range []string{"Their file", "note = 'theirs'", "note = 'mine'", `<th scope="row">note</th><td>theirs</td><td>mine</td>`} {
		if !strings.Contains(page, want) {
			t.Errorf("the file: no %q", want)
		}
	}
}

// Put away with something typed, both are saved; what cannot be read is told
// and nothing is lost. Saved again, the thing is taken back. Two of one name
// cannot stand side by side even so.
func TestPutAwayAndBack(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	for _, c := range []struct{ kind, id, path, home string }{
		{"lot", "cas_1", "/stock/cas_1", "/stock"}, {"mould", "m2", "/things/mould/m2", "/workshop"},
		{"place", "oven", "/things/place/oven", "/workshop"}, {"scale", "small", "/things/scale/small", "/workshop"},
	} {
		line := `id="` + c.kind + "-" + c.id + `"`
		if to := s.post(303, c.path, s.form(c.path, "do", "away", "note", "sold", "by", "helper 1")).Header().Get("Location"); to != c.home {
			t.Errorf("%s: went to %s", c.id, to)
		}
		page := s.get(200, c.home)
		if strings.Contains(page, line) || !strings.Contains(page, `href="`+c.path+`"`) || !strings.Contains(page, c.kind+", since 25 November 2026, 12:00") {
			t.Errorf("%s is still in the list, or not among what was put away", c.id)
		}
		page = s.get(200, c.path)
		if !strings.Contains(page, "Put away. Saving it takes it back.") || !strings.Contains(page, "Save and take it back") || strings.Contains(page, ">Put it away<") || !strings.Contains(page, "sold") {
			t.Errorf("%s: its page does not say so, or what was typed is lost", c.id)
		}
		if got := changesIn(page); got[0] != "put away; Note: sold | 25 November 2026, 12:00 · helper 1" {
			t.Errorf("%s: %q", c.id, got[0])
		}
		if to := s.post(303, c.path, s.form(c.path)).Header().Get("Location"); to != c.home+"#"+c.kind+"-"+c.id {
			t.Errorf("%s: went to %s", c.id, to)
		}
		if page := s.get(200, c.home); !strings.Contains(page, line) {
			t.Errorf("%s was not taken back", c.id)
		}
	}
	page := s.post(422, "/stock/cas_1", s.form("/stock/cas_1", "do", "away", "on_hand", "some")).Body.String()
	if !strings.Contains(page, `value="some"`) || strings.Contains(s.get(200, "/stock/cas_1"), "Saving it takes it back") {
		t.Error("put away with something that cannot be read")
	}
	s.post(303, "/stock/cas_1", s.form("/stock/cas_1", "do", "away"))
	s.add("/stock/new", "of", "castor", "name", "CAS-1", "on_hand", "1 kg")
	if page := s.post(422, "/stock/cas_1", s.form("/stock/cas_1")).Body.String(); !strings.Contains(page, "another lot is called so") {
		t.Error("two lots of one name")
	}
}

// A lot of a material that was put away is still there: it is shown apart, it
// can be put away, and saving it says what is wrong.
func TestLotWithoutItsMaterial(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	s.add("/things/material/new", "text", strings.Replace(strings.Replace(s.form("/things/material/new?from=castor").Get("f.text"), `"castor"`, `"ricin"`, 1), `"Castor oil"`, `"Castor of the hill"`, 1))
	lot := s.add("/stock/new", "of", "castor of the", "name", "RIC-9", "on_hand", "1 kg", "price", "7 / kg")
	path := "/stock/" + lot
	if page := s.get(200, "/stock/new?of=ricin"); !strings.Contains(page, `value="Castor of the hill"`) || strings.Contains(page, "Assay of an alkali") {
		t.Error("a new lot of it does not begin with it")
	}
	s.post(303, "/things/material/ricin", s.form("/things/material/ricin", "do", "away"))
	if page := s.get(200, "/stock"); !strings.Contains(page, "Of materials that are not here") || !strings.Contains(page, "RIC-9") {
		t.Error("it is not on the shelf")
	}
	if page := s.get(200, path); !strings.Contains(page, "Its material is not here: nothing can be planned with it.") {
		t.Error("its page does not say so")
	}
	if page := s.plan("plain-tow", map[string]string{"fats.0.material": lot, "fats.1.material": "ricin"}); !strings.Contains(page, `lot RIC-9 is of "ricin", which is not here`) || !strings.Contains(page, "Castor of the hill was put away on 25 November 2026") {
		t.Error("a recipe that names it does not say so")
	}
	if page := s.post(422, path, s.form(path, "on_hand", "2 kg")).Body.String(); !strings.Contains(html.UnescapeString(page), `no material is called "ricin"`) {
		t.Error("saved without its material")
	}
	s.post(303, path, s.form(path, "do", "away"))
}
