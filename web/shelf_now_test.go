package web_test

import (
	"regexp"
	"strings"
	"testing"
	"time"
)

// onHand is the line of the stock page that tells of a lot.
func (c *clockedShop) onHand(lot string) string {
	c.t.Helper()
	m := regexp.MustCompile(`(?s)<tr id="lot-` + lot + `".*?</tr>`).FindString(c.get(200, "/stock"))
	if m == "" {
		c.t.Fatalf("%s is not on the stock page", lot)
	}
	return strings.Join(strings.Fields(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(m, " ")), " ")
}

// What a batch weighs out is gone from the shelf at once: on the stock page, on
// the lot's own and where the next batch is started; counting the lot anew
// begins anew, writing something else of it does not. The sums are done by
// hand: 14.2 kg less 170 g are 14.03 kg.
func TestWhatBatchesTookIsGone(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	if got := c.onHand("tlw_7"); !strings.Contains(got, "14.2 kg") {
		t.Fatal(got)
	}
	bench := c.begin("wax-rind-v3", nil)
	c.to(bench, "weigh.fats.2")
	c.done(bench, nil)
	gone := func(want string) {
		t.Helper()
		if got := c.onHand("tlw_7"); !strings.Contains(got, want) {
			t.Errorf("%s, wanted %s", got, want)
		}
	}
	gone("14.03 kg")
	if page := c.get(200, "/stock/tlw_7"); !strings.Contains(page, "weighed 170\u202fg out of it since") || !strings.Contains(page, "14 030\u202fg are left") && !strings.Contains(page, "14,030\u202fg are left") && !strings.Contains(page, "14\u202f030\u202fg are left") {
		t.Error(regexp.MustCompile(`Batches weighed[^<]*`).FindString(page))
	}
	c.now = c.now.Add(time.Hour)
	c.post(303, "/stock/tlw_7", c.form("/stock/tlw_7", "note", "on the upper shelf"))
	gone("14.03 kg")
	c.post(303, "/stock/tlw_7", c.form("/stock/tlw_7", "on_hand", "14 kg"))
	gone("14 kg")
	c.post(303, "/stock/tlw_7", c.form("/stock/tlw_7", "on_hand", "100 g"))
	second := c.begin("wax-rind-v3", nil)
	c.to(second, "weigh.fats.2")
	c.done(second, nil)
	if page := c.get(200, "/stock"); !strings.Contains(page, "70 g more were weighed out of TLW-7 than it had") {
		t.Error("nobody is told that a lot gave more than it had")
	}
}
