package web_test

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"

	"barwright/demo"
)

// What a batch took is not offered again: of 200 g of tallow 170 g go into Wax
// Rind, and of a kilo of fats no more than the 30 g left, 3 %, can be tallow.
func TestFormulateCountsWhatWasTaken(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	c.post(303, "/stock/tlw_7", c.form("/stock/tlw_7", "on_hand", "200 g"))
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "weigh.fats.2")
	c.done(bench, nil)
	page := c.get(200, "/formulate")
	i := c.fatNumber(page, "Beef tallow")
	if row := regexp.MustCompile(`(?s)name="r\.fats\.` + i + `\.max".*?</tr>`).FindString(page); !strings.Contains(row, "30\u202fg at 4.20") {
		t.Errorf("the shelf is told as %s", row)
	}
	most := 0.0
	for _, o := range offers(c.wish(200, "/formulate", "all", "r.fats."+i+".use", "must")) {
		for k := 0; k < 4; k++ {
			if o.Get(fmt.Sprintf("r.fats.%d.material", k)) == "tallow_beef" {
				var share float64
				fmt.Sscanf(o.Get(fmt.Sprintf("r.fats.%d.share", k)), "%g", &share)
				most = max(most, share)
			}
		}
	}
	if most < 1 || most > 3 {
		t.Errorf("%g %% tallow", most)
	}
}

// So many grams of a fat are a wish too: of the batch they are a share.
func TestFormulateGrams(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	i := s.fatNumber(s.get(200, "/formulate"), "Beeswax")
	page := s.wish(200, "/formulate", "all", "r.batch", "10 kg", "r.fats."+i+".use", "must", "r.fats."+i+".min", "200 g")
	if !strings.Contains(page, `value="200 g"`) || len(offers(page)) == 0 {
		t.Fatal("200 g of wax in 10 kg are no wish")
	}
	for _, o := range offers(page) {
		wax := ""
		for k := 0; o.Get(fmt.Sprintf("r.fats.%d.material", k)) != ""; k++ {
			if slices.Contains([]string{"beeswax", "wxo_25a"}, o.Get(fmt.Sprintf("r.fats.%d.material", k))) {
				wax = o.Get(fmt.Sprintf("r.fats.%d.share", k))
			}
		}
		if wax != "2 %" {
			t.Errorf("200 g of wax in 10 kg: %q", wax)
		}
	}
	page = s.wish(200, "/formulate", "all", "r.batch", "1 kg", "r.fats."+i+".use", "must", "r.fats."+i+".min", "200 g")
	if !strings.Contains(page, "No recipe fits") || !strings.Contains(page, "Beeswax from 200 g on") || !regexp.MustCompile(`Let beeswax be used from [0-9.]+.g on instead of 200.g\. In a batch of [0-9.]+.kg 200.g are no more`).MatchString(page) {
		t.Error("a fifth of wax is not said to clash in grams")
	}
	if page = s.wish(200, "/formulate", "all", "r.limits.0.quantity", "own", "r.limits.0.min", "20 g", "r.limits.0.max", ""); !strings.Contains(page, "our own, counted as free") {
		t.Error("20 g of our own do not bring our own wax in")
	}
	if page = s.wish(422, "/formulate", "all", "r.batch", "a pot", "r.fats."+i+".min", "20 g"); !strings.Contains(page, "is not a share") {
		t.Error("grams of an unknown batch are taken")
	}
}

// A recipe with wax of our own opens in planning with that very lot, so that it
// costs there what it was said to cost.
func TestFormulateTakesOwnWaxAlong(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	i := s.fatNumber(s.get(200, "/formulate"), "Beeswax")
	page := s.wish(200, "/formulate", "all", "r.fats."+i+".use", "must", "r.fats."+i+".min", "2 %")
	m := regexp.MustCompile(`href="(/recipes/new\?[^"]*)">Open it`).FindStringSubmatch(page)
	if m == nil || !strings.Contains(page, "our own, counted as free") {
		t.Fatal("no recipe with wax of our own")
	}
	planned := html.UnescapeString(s.get(200, m[1]))
	if !strings.Contains(planned, "Beeswax, lot WXO-25A") {
		t.Error("planning does not take our own wax")
	}
}
