package judging

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func f(x float64) *float64 { return &x }

func tongueOf(b Batch) Test {
	all := b.Tests()
	return all[slices.IndexFunc(all, func(t Test) bool { return t.Key == "tongue" })]
}

// No tongue test for quarantined, unweighed, pocketed or young soap, nor where
// lye may be left over; the mass balance comes first.
func TestWhoMayTongueTest(t *testing.T) {
	t.Parallel()
	sound := Batch{SuperfatLowPct: f(3), HoursOld: 60, BarsCut: 10}
	if got := tongueOf(sound); !got.Allowed {
		t.Errorf("sound soap: %s", got.Why)
	}
	for name, spoil := range map[string]func(*Batch){
		"quarantined": func(b *Batch) { b.Quarantined = true },
		"unweighed":   func(b *Batch) { b.SuperfatLowPct = nil },
		"lye-heavy":   func(b *Batch) { b.SuperfatLowPct = f(-0.1) },
		"no number":   func(b *Batch) { b.SuperfatLowPct = f(math.NaN()) },
		"pocketed":    func(b *Batch) { b.Pocketed = true },
		"alkali":      func(b *Batch) { b.Alkali = true },
		"young":       func(b *Batch) { b.HoursOld = 47.9 },
		"age unknown": func(b *Batch) { b.HoursOld = math.NaN() },
	} {
		b := sound
		spoil(&b)
		if got := tongueOf(b); got.Allowed || got.Why == "" {
			t.Errorf("%s: a tongue test is offered", name)
		}
		if err := b.Check(Result{Test: "tongue", Found: "nothing"}); err == nil {
			t.Errorf("%s: the result of a tongue test is taken", name)
		}
		if b.Tests()[0].Key != "balance" {
			t.Errorf("%s: the mass balance is not first", name)
		}
	}
}

// The tongue and the drop are blind below about 0.1 % NaOH and the limit is
// 0.05 % (K. Dunn; national limits): both must say so.
func TestBlindnessIsTold(t *testing.T) {
	t.Parallel()
	for _, test := range (Batch{}).Tests() {
		if test.Key != "tongue" && test.Key != "drop" {
			continue
		}
		if !strings.Contains(test.Blind, "0.1 %") || !strings.Contains(test.Blind, "0.05 %") {
			t.Errorf("%s: %q", test.Key, test.Blind)
		}
	}
}

// What a test can find, and which of it means free alkali: phenolphthalein turns
// pink above pH 8.2 to 10 (any handbook of indicators); the limit is 0.05 %.
func TestSignsOfAlkali(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		r     Result
		taken bool
		sign  bool
	}{
		{Result{Test: "drop", Found: "pink"}, true, true}, {Result{Test: "drop", Found: "clear"}, true, false}, {Result{Test: "drop", Found: "blue"}, false, false},
		{Result{Test: "tongue", Found: "sting"}, true, true}, {Result{Test: "tongue"}, false, false}, {Result{Test: "balance", Found: "clear"}, false, false},
		{Result{Test: "laboratory", Found: "lab, 17", FreeAlkaliPct: f(0.04)}, true, false}, {Result{Test: "laboratory", Found: "lab, 17", FreeAlkaliPct: f(0.06)}, true, true},
		{Result{Test: "laboratory", FreeAlkaliPct: f(0.04)}, false, false}, {Result{Test: "laboratory", Found: "x", FreeAlkaliPct: f(math.NaN())}, false, false},
	} {
		if err := c.r.Check(); (err == nil) != c.taken {
			t.Errorf("%+v: %v", c.r, err)
		}
		if c.r.SaysAlkali() != c.sign {
			t.Errorf("%+v is a sign: %v", c.r, !c.sign)
		}
	}
}

func TestPHNeedsItsMethod(t *testing.T) {
	t.Parallel()
	b := Batch{}
	whole := Result{Test: "ph", PH: f(10.1), ConcentrationPct: f(1), TC: f(25), Meter: "meter, buffers 7 and 10"}
	if err := b.Check(whole); err != nil {
		t.Error(err)
	}
	for i, part := range []func(*Result){func(r *Result) { r.PH = nil }, func(r *Result) { r.ConcentrationPct = nil }, func(r *Result) { r.TC = nil }, func(r *Result) { r.Meter = "" }, func(r *Result) { r.PH = f(15) }} {
		r := whole
		part(&r)
		if b.Check(r) == nil {
			t.Errorf("case %d was taken", i)
		}
	}
}

// Success runs: with no failure in 59 of very many, 95 % are sure that at most
// 5 % fail (ln 0.05 / ln 0.95 = 58.4; the textbook's 59); 29 for 10 %.
func TestSamplesOfManyBars(t *testing.T) {
	t.Parallel()
	for share, want := range map[float64]int{0.05: 59, 0.10: 29} {
		if n, _ := Samples(10_000_000, share); n != want {
			t.Errorf("%g: %d bars, want %d", share, n, want)
		}
	}
	if n, _ := Samples(1, 0.1); n != 1 {
		t.Errorf("of one bar %d", n)
	}
}

// The count is enough, and one fewer is not, by drawing from small batches.
func TestSamplesByDrawing(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(59, 29))
	missed := func(bars, bad, n int) float64 {
		const draws = 20000
		count := 0
		for range draws {
			hit := false
			for _, i := range r.Perm(bars)[:n] {
				hit = hit || i < bad
			}
			if !hit {
				count++
			}
		}
		return float64(count) / draws
	}
	for _, bars := range []int{10, 24, 40} {
		n, _ := Samples(bars, 0.1)
		bad := bars/10 + 1
		if p := missed(bars, bad, n); p > 0.056 {
			t.Errorf("%d of %d bars miss %d bad ones with %.3f", n, bars, bad, p)
		}
		if p := missed(bars, bad, n-1); p < 0.044 {
			t.Errorf("%d of %d bars would do: %.3f", n-1, bars, p)
		}
	}
}

// Student's 90 % interval of 6, 7, 8: mean 7, t(0.95, 2) = 2.920 (any table),
// standard deviation 1 joined with a step over √12.
func TestSummaryByHand(t *testing.T) {
	t.Parallel()
	var cards []Card
	for _, s := range []int{6, 7, 8} {
		cards = append(cards, Card{Tester: "x", Scores: map[string]int{"slip": s}})
	}
	got, ok := Summary(cards, "slip")
	half := 2.920 * math.Hypot(1, math.Sqrt(1.0/12)) / math.Sqrt(3)
	if !ok || got.Mean != 7 || math.Abs(got.Low-(7-half)) > 1e-3 || math.Abs(got.High-(7+half)) > 1e-3 {
		t.Errorf("%+v, want 7 ± %.3f", got, half)
	}
	if one, _ := Summary(cards[:1], "slip"); one.Low != 1 || one.High != 9 {
		t.Errorf("one tester: %+v, want the whole scale", one)
	}
	if _, ok := Summary(cards, "scent"); ok {
		t.Error("a question nobody answered has an answer")
	}
	cards[0].LostG, cards[0].Washes = f(8), 10
	if w, ok := WashedAway(cards); !ok || w.Mean != 16 {
		t.Errorf("8 g in 10 washes: %+v, want 16 in 20", w)
	}
}

func TestCodes(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, seed := rapid.IntRange(0, 899).Draw(t, "n"), rapid.Uint64().Draw(t, "seed")
		codes := Codes(n, seed)
		if !slices.Equal(codes, Codes(n, seed)) {
			t.Fatal("another order for the same seed")
		}
		sorted := slices.Clone(codes)
		slices.Sort(sorted)
		if len(slices.Compact(sorted)) != n {
			t.Fatal("two bars with one code")
		}
		for _, c := range codes {
			if c < 101 || c > 999 {
				t.Fatalf("code %d", c)
			}
		}
	})
	if slices.Equal(Codes(20, 1), Codes(20, 2)) {
		t.Error("every round has the same codes")
	}
}

func TestCards(t *testing.T) {
	t.Parallel()
	for _, bad := range []Card{{}, {Tester: "a"}, {Tester: "a", Scores: map[string]int{"slip": 0}}, {Tester: "a", Scores: map[string]int{"slip": 10}},
		{Tester: "a", Scores: map[string]int{"colour": 5}}, {Tester: "a", LostG: f(-1), Washes: 20}, {Tester: "a", LostG: f(5)}} {
		if bad.Check() == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
	if err := (Card{Tester: "a", Scores: map[string]int{"slip": 9}}).Check(); err != nil {
		t.Error(err)
	}
}
