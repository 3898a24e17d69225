package judging

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Questions of the score card, each answered from 1 to 9; the same ones every
// time, so that batches can be set side by side.
var Questions = []Question{
	{"amount", "Amount of lather", "hardly any", "more than needed"},
	{"fineness", "Fineness of lather", "large bubbles", "cream"},
	{"slip", "Slip on wet skin", "drags", "glides"},
	{"after", "Skin a quarter of an hour later", "tight", "as before or better"},
	{"scent", "Scent", "none or wrong", "as meant"},
}

// Question is one line of the card.
type Question struct{ Key, Text, Least, Most string }

// Card is what one tester said of one blind code.
type Card struct {
	Tester  string
	Scores  map[string]int // by question; what is missing was not answered
	LostG   *float64       // washed away
	Washes  int            // in how many washes
	Comment string
}

// Scale of a score.
const least, most = 1, 9

// Check returns what is wrong with a card.
func (c Card) Check() error {
	if strings.TrimSpace(c.Tester) == "" {
		return wrong("initials will do", "the card does not say whose it is")
	}
	if len(c.Scores) == 0 && c.LostG == nil {
		return wrong("answer one question at least", "the card is empty")
	}
	for key, s := range c.Scores {
		if !slices.ContainsFunc(Questions, func(q Question) bool { return q.Key == key }) {
			return wrong("amount, fineness, slip, after, scent", "%q is no question", key)
		}
		if s < least || s > most {
			return wrong("1 to 9", "%s: %d", key, s)
		}
	}
	if c.LostG != nil && (!(*c.LostG >= 0 && *c.LostG < 1000) || c.Washes < 1) {
		return wrong("grams, and in how many washes", "washed away: %g g in %d washes", *c.LostG, c.Washes)
	}
	return nil
}

// Said is what several testers said together: their mean and a 90 % interval of
// what many more such testers would say. With one tester the interval is the
// whole scale: one nose is one nose.
type Said struct {
	N               int
	Mean, Low, High float64
}

// Summary returns what the cards say to a question; false when nobody answered.
func Summary(cards []Card, question string) (Said, bool) {
	var x []float64
	for _, c := range cards {
		if s, ok := c.Scores[question]; ok {
			x = append(x, float64(s))
		}
	}
	if len(x) == 0 {
		return Said{}, false
	}
	return said(x, least, most), true
}

// WashedAway returns the grams lost in twenty washes; false when nobody weighed.
func WashedAway(cards []Card) (Said, bool) {
	const washes = 20
	var x []float64
	for _, c := range cards {
		if c.LostG != nil && c.Washes > 0 {
			x = append(x, *c.LostG*washes/float64(c.Washes))
		}
	}
	if len(x) == 0 {
		return Said{}, false
	}
	return said(x, 0, math.Inf(1)), true
}

// rounded is the standard deviation that whole scores hide: a step over √12.
const rounded = 0.2886751345948129

// said is Student's interval within the scale's ends.
func said(x []float64, low, high float64) Said {
	mean := stat.Mean(x, nil)
	s := Said{N: len(x), Mean: mean, Low: low, High: high}
	if n := float64(len(x)); n > 1 {
		sd := math.Hypot(stat.StdDev(x, nil), rounded)
		half := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.95) * sd / math.Sqrt(n)
		s.Low, s.High = max(low, mean-half), min(high, mean+half)
	}
	return s
}

// Codes returns n blind codes for a round of judging: three figures each, no two
// alike, none beginning with 0, the same for the same seed and in no order.
// That testers are given three figures is the practice of sensory tests.
func Codes(n int, seed uint64) []int {
	const first, count = 101, 899
	if n < 0 || n > count {
		panic("judging: more bars than codes")
	}
	all := make([]int, count)
	for i := range all {
		all[i] = first + i
	}
	for i := range n {
		seed = mixed(seed)
		j := i + int(seed%uint64(count-i))
		all[i], all[j] = all[j], all[i]
	}
	return all[:n]
}

// mixed is the next number of SplitMix64.
func mixed(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
