// Package judging says which tests a batch may have, in what order and on which
// bars, what each can show and what it cannot; and what the scores of several
// testers say together.
//
// Start with Tests, whose first entry is always the mass balance, and with
// Summary for score cards. It does not decide what a batch is: scores are of
// soap, never of the person who made it.
package judging

import (
	"fmt"
	"math"
	"strings"

	"barwright/quantity"
)

// Batch is what the tests need to know of a batch. What is not known counts
// against a test that touches skin.
type Batch struct {
	SuperfatLowPct *float64 // low end by what was weighed; nil: the weighing is not whole
	Quarantined    bool
	Pocketed       bool // pockets of lye or oil seen, or a separation
	Alkali         bool // a test found free alkali, and none has cleared it since
	HoursOld       float64
	BarsCut        int
}

// Where the tongue stops seeing, and the limit it is asked about, as NaOH in the
// bar [%]. The first is published by one author, the second a national limit.
const (
	TongueBlindPct = 0.1
	LimitPct       = 0.05
	youngH         = 48.0
)

// Test is one thing that may be done.
type Test struct {
	Key     string
	Name    string
	Allowed bool
	Why     string // why it is not allowed
	Shows   string
	Blind   string // what it cannot show
	How     string
	Finds   []Find // what it can find, where that is one of a few things
}

// Find is one thing a test can find.
type Find struct {
	Key, Text string
	Alkali    bool // it is a sign of free alkali
}

// Tests returns the tests of a batch in the order they are done: the figures
// first, then what touches a bar, what touches skin last.
func (b Batch) Tests() []Test {
	all := []Test{b.balance(), drop, ph}
	tongue := tongueTest
	tongue.Why = b.NotForSkin()
	tongue.Allowed = tongue.Why == ""
	return append(all, tongue, laboratory)
}

func (b Batch) balance() Test {
	t := Test{Key: "balance", Name: "Mass balance", Allowed: true,
		Shows: "the superfat that was weighed out, with its range", Blind: "what was not mixed in: pockets",
		How: "nothing to do: it follows from the weights"}
	if b.SuperfatLowPct == nil {
		t.Allowed, t.Why = false, "not everything was weighed, so no figure says that the lye is used up"
	}
	return t
}

var drop = Test{Key: "drop", Name: "Phenolphthalein drop", Allowed: true,
	Shows: "pink on a fresh cut: free alkali there",
	Blind: fmt.Sprintf("clear does not show the limit of %g %% NaOH is kept: below about %g %% nothing is seen", LimitPct, TongueBlindPct),
	How:   "gloves on; cut a bar through, one drop on the core, one at the edge, one on any spot",
	Finds: []Find{{"clear", "stays clear", false}, {"pink", "turns pink", true}}}

var ph = Test{Key: "ph", Name: "pH", Allowed: true,
	Shows: "about 9.5 to 11 for any soap of sodium, whatever its superfat",
	Blind: "free alkali below a few tenths of a per cent; strips read 2 to 3 units low",
	How:   "1 g in 99 g of boiled water, 25 °C, a meter set at two buffers; note concentration, temperature and meter"}

var tongueTest = Test{Key: "tongue", Name: "Tongue",
	Shows: "a sting: lye-heavy there",
	Blind: fmt.Sprintf("no sting is no proof: the tongue is blind below about %g %% NaOH, the limit is %g %%", TongueBlindPct, LimitPct),
	How:   "wet a finger, rub the bar, touch the finger to the tip of the tongue; rinse",
	Finds: []Find{{"nothing", "no sting", false}, {"sting", "a sting", true}}}

var laboratory = Test{Key: "laboratory", Name: "Laboratory", Allowed: true,
	Shows: "free alkali against the limit, by ISO 456 or its like", Blind: "bars that were not sent",
	How: "send bars picked by the sampling plan"}

// NotForSkin is why no tongue and no tester's skin may touch the batch; "" when
// they may.
func (b Batch) NotForSkin() string {
	switch {
	case b.Quarantined:
		return "the batch is on hold or quarantined: drop test with gloves on, or a laboratory"
	case b.Alkali:
		return "a test found free alkali: gloves on, and ask a laboratory"
	case b.SuperfatLowPct == nil:
		return "not everything was weighed: drop test with gloves on"
	case !(*b.SuperfatLowPct >= 0):
		return "by its weights lye may be left over: drop test with gloves on"
	case b.Pocketed:
		return "pockets were seen: a tongue finds the next one; drop test with gloves on"
	case !(b.HoursOld >= youngH):
		return fmt.Sprintf("it is younger than %g hours: lye is still being used up", youngH)
	}
	return ""
}

// YoungH is the age up to which lye is still being used up [h]. Common practice,
// no source.
const YoungH = youngH

// Result is what a test found, with the method where the figure needs one.
type Result struct {
	Test, Found, Where string
	FreeAlkaliPct      *float64 // of a laboratory, as NaOH
	PH                 *float64
	ConcentrationPct   *float64
	TC                 *float64
	Meter              string
}

// Check returns what is wrong with a result of this batch: a test that is not
// allowed has no result, and a pH says how it was measured.
func (b Batch) Check(r Result) error {
	if err := r.Check(); err != nil {
		return err
	}
	for _, t := range b.Tests() {
		if t.Key == r.Test && !t.Allowed {
			return wrong("it is not noted, so that nobody copies it", "%s: %s", t.Name, t.Why)
		}
	}
	return nil
}

// Check returns what is wrong with a result of any batch.
func (r Result) Check() error {
	t, ok := testOf(r.Test)
	switch {
	case !ok || r.Test == "balance":
		return wrong("the tests are drop, ph, tongue and laboratory; the mass balance follows from the weights", "%.40q is no test", r.Test)
	case r.Test == "ph":
		return r.checkPH()
	case r.Test == "laboratory":
		return r.checkLaboratory()
	}
	if _, found := t.find(r.Found); !found {
		return wrong(t.Finds[0].Key+" or "+t.Finds[1].Key, "%s: %.40q is nothing it can find", t.Name, r.Found)
	}
	return nil
}

// SaysAlkali reports a result that is a sign of free alkali.
func (r Result) SaysAlkali() bool {
	t, _ := testOf(r.Test)
	f, _ := t.find(r.Found)
	return f.Alkali || r.FreeAlkaliPct != nil && *r.FreeAlkaliPct > LimitPct
}

func testOf(key string) (Test, bool) {
	for _, t := range (Batch{}).Tests() {
		if t.Key == key {
			return t, true
		}
	}
	return Test{}, false
}

func (t Test) find(key string) (Find, bool) {
	for _, f := range t.Finds {
		if f.Key == key {
			return f, true
		}
	}
	return Find{}, false
}

func (r Result) checkLaboratory() error {
	if strings.TrimSpace(r.Found) == "" {
		return wrong("which laboratory, its reference, and what it found", "a laboratory's result without its words")
	}
	if r.FreeAlkaliPct != nil && !(*r.FreeAlkaliPct >= 0 && *r.FreeAlkaliPct <= 20) {
		return wrong("per cent NaOH of the bar", "%g %% free alkali", *r.FreeAlkaliPct)
	}
	return nil
}

func (r Result) checkPH() error {
	switch {
	case r.PH == nil || !(*r.PH >= 0 && *r.PH <= 14):
		return wrong("0 to 14", "a pH is missing or out of its range")
	case r.ConcentrationPct == nil || !(*r.ConcentrationPct > 0 && *r.ConcentrationPct <= 50):
		return wrong("usual is 1 %", "a pH without the solution's concentration says nothing")
	case r.TC == nil || !(*r.TC >= 0 && *r.TC <= 100):
		return wrong("usual is 25 °C", "a pH without the solution's temperature says nothing")
	case r.Meter == "":
		return wrong("a meter with its buffers, or a strip", "a pH without what it was read with says nothing")
	}
	return nil
}

// Samples returns how many bars, picked without choosing, have to be free of
// something so that with 95 % confidence no more than badShare [0..1) of the
// batch has it, and which places of the mould to take them from first. With few
// bars that is every bar: the count is hypergeometric, exact. A share outside
// its range or no bars panic.
func Samples(bars int, badShare float64) (n int, places []string) {
	if bars < 1 || !(badShare >= 0 && badShare < 1) {
		panic("judging: no plan for this")
	}
	const sure = 0.95
	bad := int(math.Floor(badShare*float64(bars)+1e-9)) + 1
	missed := 1.0
	for n = 0; n < bars && missed > 1-sure; n++ {
		missed *= max(0, float64(bars-bad-n)) / float64(bars-n)
	}
	return n, []string{"poured first", "poured last", "middle of the mould, core", "a corner", "any bar with a spot"}
}

func wrong(advice, format string, args ...any) error {
	return &quantity.Error{Text: fmt.Sprintf(format, args...), Advice: advice}
}
