// Package curve reads the temperatures somebody logged: typed lines or the CSV
// of any thermometer, with odd clocks, gaps, °F and a probe that fell out, and
// says what it made of them.
//
// Start with Read. What it does not do: judge the batch; package heat learns
// from the readings.
package curve

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"barwright/quantity"
)

// Reading is one temperature.
type Reading struct {
	TimeS float64 // since the first reading, or since the time the text counts from
	C     float64
}

// Curve is what was read, in the order of time, and what had to be put right.
type Curve struct {
	Readings []Reading
	Notes    []string
}

// Limits of what is read.
const (
	MaxBytes    = 4 << 20
	mostLines   = 200000
	leastC      = -40.0
	mostC       = 130.0
	longestS    = 30 * 24 * 3600.0
	gapS        = 3600.0
	fallK       = 8.0 // a drop by more than this within fallS is a probe, not soap
	fallS       = 600.0
	returnShare = 0.5
)

// Error says what is wrong with a logged curve and what to do.
type Error struct {
	Line   int // 0: the whole
	Text   string
	Advice string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return e.Text
	}
	return fmt.Sprintf("line %d: %s", e.Line, e.Text)
}

// Hint returns what to do about it.
func (e *Error) Hint() string { return e.Advice }

const form = `one reading a line, time and temperature, like "0:15  41.5" or "90 min; 58,2 °C"`

// Read reads a logged curve. Times may be clock times, dates with times, spans
// ("90 min") or plain numbers, whose unit the head line says or the numbers
// themselves give away; temperatures are °C unless they, the head line or
// their size say °F. Lines without a reading are passed over. The error, an
// *Error, names line and remedy.
func Read(text []byte) (Curve, error) {
	if len(text) > MaxBytes {
		return Curve{}, &Error{Text: fmt.Sprintf("more than %d bytes", MaxBytes), Advice: "send the log of one batch"}
	}
	t, err := scan(string(text))
	if err != nil {
		return Curve{}, err
	}
	var c Curve
	if err := c.fill(t); err != nil {
		return Curve{}, err
	}
	c.order(t.clock.seen)
	c.dropSpikes()
	c.dropFallen()
	c.tellGaps()
	if len(c.Readings) < 2 {
		return Curve{}, &Error{Text: fmt.Sprintf("a curve takes two readings at least, %d can be used", len(c.Readings)), Advice: form}
	}
	return c, nil
}

func (c *Curve) note(format string, args ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, args...))
}

// fill turns rows into readings.
func (c *Curve) fill(t table) error {
	fahrenheit := t.fahrenheit
	if !fahrenheit && !t.celsius && t.looksFahrenheit() {
		fahrenheit = true
		c.note("temperatures of %.0f to %.0f are taken as °F", t.least(), t.most())
	}
	perUnit, unit := t.timeUnit()
	if unit != "" {
		c.note("times are taken as %s", unit)
	}
	odd := 0
	for i, r := range t.rows {
		tC := r.temperature
		if r.fahrenheit || (fahrenheit && !r.celsius) {
			tC = (tC - 32) / 1.8
		}
		timeS := r.time
		if r.plain {
			timeS *= perUnit
		}
		if !(tC >= leastC && tC <= mostC) || tC == 85 && t.jumps(i) {
			odd++ // 85 is what some probes say when they have just been switched on
			continue
		}
		c.Readings = append(c.Readings, Reading{timeS, tC})
	}
	if odd > 0 {
		c.note("%s that no batch can have left out", plural(odd, "reading"))
	}
	if t.skipped > 0 {
		c.note("%s without a reading passed over", plural(t.skipped, "line"))
	}
	return nil
}

// order puts the clock right: past midnight the day goes on, what jumps back
// is sorted, what stands twice is one, and the first reading is time 0 unless
// the times count from the pour; clocks reports times like 5:30, which may be
// either.
func (c *Curve) order(clocks bool) {
	r := c.Readings
	if len(r) == 0 {
		return
	}
	if !slices.IsSortedFunc(r, byTime) {
		sort.SliceStable(r, func(i, j int) bool { return r[i].TimeS < r[j].TimeS })
		c.note("times ran backward somewhere: put in order")
	}
	once := r[:1]
	for _, x := range r[1:] {
		if x.TimeS > once[len(once)-1].TimeS {
			once = append(once, x)
		}
	}
	if twice := len(r) - len(once); twice > 0 {
		c.note("%s at the same time as another left out", plural(twice, "reading"))
	}
	first := once[0].TimeS
	if first >= 3600 && first <= 6*3600 && clocks {
		c.note("%d:%02d is taken as the hours since the pour, not as a clock", int(first)/3600, int(first)%3600/60)
	}
	if first < 0 || first > 6*3600 { // a clock, not a time since the pour
		for i := range once {
			once[i].TimeS -= first
		}
	}
	last := len(once)
	for last > 1 && once[last-1].TimeS > longestS {
		last--
	}
	if last < len(once) {
		c.note("%s later than 30 days left out", plural(len(once)-last, "reading"))
	}
	c.Readings = once[:last]
}

func byTime(a, b Reading) int {
	switch {
	case a.TimeS < b.TimeS:
		return -1
	case a.TimeS > b.TimeS:
		return 1
	}
	return 0
}

// dropFallen takes out stretches in which the probe was out of the soap: the
// reading falls faster than soap can cool, and comes back as fast, or stays low
// to the end.
func (c *Curve) dropFallen() {
	var kept []Reading
	out, outC := false, 0.0
	fallen := 0
	for i, r := range c.Readings {
		if !out && len(kept) > 0 {
			last := kept[len(kept)-1]
			back := last.C - returnShare*(last.C-r.C)
			if fell(last, r) && (r.TimeS-last.TimeS <= fallS || comesBack(c.Readings[i:], back)) {
				out, outC = true, back
			}
		} else if out && r.C >= outC {
			out = false
		}
		if out {
			fallen++
			continue
		}
		kept = append(kept, r)
	}
	if fallen > 0 {
		c.note("the probe seems to have been out of the soap for %s: left out", plural(fallen, "reading"))
	}
	c.Readings = kept
}

// fell reports a fall that is faster than soap can cool between two readings no
// more than an hour apart.
func fell(from, to Reading) bool {
	gap := to.TimeS - from.TimeS
	return gap <= gapS && from.C-to.C > fallK+coolingKPerS*math.Max(0, gap-fallS)
}

// coolingKPerS is faster than any soap cools: 30 K an hour. An estimate.
const coolingKPerS = 30.0 / 3600

// comesBack reports readings that rise to a temperature again within three hours.
func comesBack(r []Reading, toC float64) bool {
	for _, x := range r {
		if x.TimeS-r[0].TimeS <= 3*3600 && x.C >= toC {
			return true
		}
	}
	return false
}

// dropSpikes takes out single readings that stand above those before and after
// them, as when the probe touched something hot, and a first one in the hot pot.
func (c *Curve) dropSpikes() {
	var kept []Reading
	for i, r := range c.Readings {
		if !c.isSpike(i) {
			kept = append(kept, r)
		}
	}
	if n := len(c.Readings) - len(kept); n > 0 {
		c.note("%s far above those beside it left out", plural(n, "reading"))
	}
	c.Readings = kept
}

func (c *Curve) isSpike(i int) bool {
	r := c.Readings
	if i+1 >= len(r) || !fell(r[i], r[i+1]) {
		return false
	}
	if i > 0 {
		return r[i].C-r[i-1].C > fallK
	}
	// The first one: what follows holds together and does not come back to it.
	return len(r) > 2 && math.Abs(r[2].C-r[1].C) < fallK && !comesBack(r[1:], r[0].C-returnShare*(r[0].C-r[1].C))
}

func (c *Curve) tellGaps() {
	gaps, longest := 0, 0.0
	for i := 1; i < len(c.Readings); i++ {
		if d := c.Readings[i].TimeS - c.Readings[i-1].TimeS; d > gapS {
			gaps++
			longest = math.Max(longest, d)
		}
	}
	if gaps > 0 {
		c.note("%s of more than an hour, the longest %.1f h", plural(gaps, "gap"), longest/3600)
	}
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// celsiusOf reads a temperature with its unit, for a cell like "41.5 °C".
func celsiusOf(text string) (tC float64, ok bool) {
	t, err := quantity.ParseTemperature(text)
	if err != nil {
		return 0, false
	}
	return t.C(), true
}
