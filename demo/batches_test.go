package demo

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/cure"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/stock"
	"barwright/store"
)

var today = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// young is how many batches beside the design's fourteen are still drying.
const young = 2

// told replays every batch of the demo, by its id.
func told(t *testing.T) (map[string]*batch.State, map[string]store.Batch) {
	t.Helper()
	ctx := t.Context()
	s, err := store.Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if err := Fill(ctx, s, NinthLock, today); err != nil {
		t.Fatal(err)
	}
	all, err := s.Batches(ctx)
	if err != nil || len(all) != 14+young {
		t.Fatalf("%d batches, %v", len(all), err)
	}
	states, kept := map[string]*batch.State{}, map[string]store.Batch{}
	for _, b := range all {
		events, err := s.Events(ctx, b.ID)
		if err != nil {
			t.Fatal(err)
		}
		if states[b.ID], err = batch.Replay(b.Start, events); err != nil {
			t.Fatalf("%s: %v", b.ID, err)
		}
		kept[b.ID] = b
	}
	return states, kept
}

// The fourteen batches as the design's table has them, replayed: every event
// counts, the times and temperatures are those of the table, and only B12 is in
// quarantine (B10, whose chance of being lye-heavy is over one in a hundred, was
// tested): 1880 g of fats bind 6.9361 mol, 291 g of 98.5 % are 7.1665, so
// its superfat is −3.3 %.
func TestFourteenBatches(t *testing.T) {
	t.Parallel()
	states, kept := told(t)
	table := map[string]struct {
		day                     int
		fats, naoh, water       float64
		trace, poured, thick    float64
		fatsC, lyeC, room, mean float64
		bars                    int
		hold                    string
	}{
		"b01": {0, 880, 125, 250, 210, 540, 900, 38, 37, 17, 111.2, 11, ""},
		"b02": {7, 880, 123, 257, 240, 600, 1000, 34, 33, 16, 113.3, 11, ""},
		"b03": {14, 1880, 268, 535, 160, 420, 720, 40, 38, 18, 111.3, 18, ""},
		"b04": {28, 870, 122, 268, 130, 330, 480, 42, 41, 19, 112.8, 11, ""},
		"b05": {35, 870, 122, 268, 180, 480, 700, 36, 35, 19, 112.8, 11, ""},
		"b06": {49, 630, 83, 145, 900, 1500, 2600, 36, 34, 17, 93.0, 9, ""},
		"b07": {56, 270, 39, 90, 150, 300, 390, 40, 38, 20, 91.2, 5, ""},
		"b08": {70, 680, 95, 181, 0, 260, 300, 52, 30, 20, 77.7, 8, ""},
		"b09": {77, 680, 95, 181, 40, 170, 260, 58, 50, 21, 77.7, 12, ""},
		"b10": {91, 220, 32, 64, 15, 3120, 20, 74, 30, 22, 102.6, 3, "released"},
		"b11": {105, 1870, 260, 545, 200, 380, 430, 33, 32, 23, 108.7, 0, ""},
		"b12": {126, 1880, 291, 534, 95, 260, 380, 36, 35, 24, 109.9, 0, "quarantined"},
		"b13": {147, 880, 123, 257, 190, 480, 800, 35, 33, 27, 113.3, 0, "on hold"},
		"b14": {182, 890, 126, 241, 60, 200, 320, 50, 46, 20, 112.2, 0, "on hold"},
	}
	for id, want := range table {
		s := states[id]
		if len(s.Uncounted) > 0 || s.Current() != nil && id != "b08" && id != "b12" {
			t.Errorf("%s: uncounted %v, open %+v", id, s.Uncounted, s.Current())
		}
		fats := 0.0
		for _, g := range s.Weights.Fats {
			fats += g
		}
		if math.Abs(fats-want.fats) > 1.5 || s.Weights.Alkali[0] != want.naoh || s.Weights.WaterG != want.water { // shares round to the gram
			t.Errorf("%s: %g g fats, %v alkali, %g water", id, fats, s.Weights.Alkali, s.Weights.WaterG)
		}
		for mark, seconds := range map[string]float64{"trace": want.trace, "pour": want.poured, "thick": want.thick} {
			if m, ok := s.Marks[mark]; ok != (seconds > 0) || ok && m.At.Sub(s.Marks["combine"].At).Seconds() != seconds {
				t.Errorf("%s: %s after %v", id, mark, m.At.Sub(s.Marks["combine"].At))
			}
		}
		r := s.Record()
		if *r.Temps[0].Had != want.fatsC || *r.Temps[1].Had != want.lyeC || s.RoomC != want.room || *s.Cut.Mean != want.mean {
			t.Errorf("%s: %v %v in %g, bars of %g", id, *r.Temps[0].Had, *r.Temps[1].Had, s.RoomC, *s.Cut.Mean)
		}
		if s.Bars() != want.bars || r.Hold != want.hold {
			t.Errorf("%s: %d bars, %q because %s", id, s.Bars(), r.Hold, r.Why)
		}
		if got := int(today.Truncate(24*time.Hour).Sub(kept[id].MadeAt.Truncate(24*time.Hour)).Hours() / 24); got != 222-want.day {
			t.Errorf("%s: %d days ago", id, got)
		}
	}
	b12 := states["b12"]
	capacity := (1034*197 + 470*189 + 376*257) / 56106.0
	if byHand := 100 * (1 - 291*0.985/39.997/capacity); math.Abs(b12.Weighed.Superfat.Typical-byHand) > 0.01 || math.Abs(byHand+3.3) > 0.05 {
		t.Errorf("superfat %.2f, by hand %.2f", b12.Weighed.Superfat.Typical, byHand)
	}
	if states["b08"].Marks["false_trace"].At.IsZero() || len(states["b11"].Troubles) != 1 || states["b11"].Troubles[0].Remedy.What != "ricing" || states["b11"].Troubles[0].Done == nil {
		t.Error("the stories are not in the events")
	}
}

// From lot to bar: the lard lots name their batches and no others.
func TestLotsOfBatches(t *testing.T) {
	t.Parallel()
	states, _ := told(t)
	of := map[string][]string{}
	for id, s := range states {
		for _, taken := range s.Taken() {
			if !slices.Contains(of[taken.Lot], id) {
				of[taken.Lot] = append(of[taken.Lot], id)
			}
			if taken.G <= 0 || taken.At.IsZero() {
				t.Errorf("%s: %+v", id, taken)
			}
		}
	}
	for lot, want := range map[string]string{"lrd_1": "b02 b03", "lrd_2": "b13 b14", "wxb_2": "b08 b09", "wxo_25a": "b14", "hno_a": "b14", "hnb_1": "b04 b05", "eoc_1": "b11"} {
		slices.Sort(of[lot])
		if got := strings.Join(of[lot], " "); got != want {
			t.Errorf("%s is in %q, want %q", lot, got, want)
		}
	}
	if len(of["sh_3"]) != 14+young {
		t.Errorf("%d batches of the lye", len(of["sh_3"]))
	}
}

// What is on hand is what the design's list has: every lot that a batch used
// came in before it, and was counted after the last batch that used it, so that
// nothing is taken off twice.
func TestShelfAfterBatches(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s, err := store.Open(ctx, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := Fill(ctx, s, NinthLock, today); err != nil {
		t.Fatal(err)
	}
	var taken []batch.Taken
	all, err := s.Batches(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range all {
		events, err := s.Events(ctx, b.ID)
		if err != nil {
			t.Fatal(err)
		}
		st, err := batch.Replay(b.Start, events)
		if err != nil {
			t.Fatal(err)
		}
		taken = append(taken, st.Taken()...)
	}
	things, err := s.Things(ctx, "lot")
	if err != nil {
		t.Fatal(err)
	}
	var shelf stock.Shelf
	counted := map[string]time.Time{}
	for _, th := range things {
		var l stock.Lot
		if _, err := tomldoc.Decode(th.ID, []byte(th.Body), &l); err != nil {
			t.Fatal(err)
		}
		shelf = append(shelf, l)
		history, err := s.History(ctx, "lot", th.ID)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(history)
		var bodies []string
		var at []time.Time
		for _, h := range history {
			bodies, at = append(bodies, h.Body), append(at, h.MadeAt)
		}
		counted[th.ID] = stock.CountedAt(bodies, at)
		for _, x := range taken {
			if x.Lot == th.ID && l.Received != nil && x.At.Before(l.Received.Time()) {
				t.Errorf("%s was used on %v, before it came in on %v", th.ID, x.At, l.Received)
			}
		}
	}
	now, over := shelf.Less(taken, counted)
	for i, l := range now {
		if l.LeftG() != shelf[i].LeftG() {
			t.Errorf("%s: %g g instead of %g", l.ID, l.LeftG(), shelf[i].LeftG())
		}
	}
	if len(over) > 0 || len(taken) < 70 {
		t.Errorf("over %v, %d weighings", over, len(taken))
	}
}

// Acceptance story 3: honey two ways. Every change is named, several changed
// at once, so no cause is proven. Of a batch with itself nothing differs.
func TestHoneyTwoWays(t *testing.T) {
	t.Parallel()
	states, _ := told(t)
	lib := material.Builtin()
	d := batch.Differ(states["b04"], states["b05"], lib)
	text := strings.Join(d.Done, "\n")
	for _, c := range d.Recipe {
		text += "\n" + c.Text
	}
	for _, want := range []string{"fats combined at 42 → 36 °C", "lye combined at 41 → 35 °C", "cover: lid and blanket → rests in the room, with a fan", "honey goes into the lye instead of in at trace", "treated for overheating → not"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not told in\n%s", want, text)
		}
	}
	if !d.Confounded || d.Causes < 4 || !strings.Contains(d.Says, "confounded") {
		t.Errorf("%d causes: %s", d.Causes, d.Says)
	}
	if !slices.ContainsFunc(d.Outcomes, func(s string) bool { return strings.HasPrefix(s, "trace after 2.2 → 3 min") }) {
		t.Errorf("outcomes %v", d.Outcomes)
	}
	if d := batch.Differ(states["b04"], states["b04"], lib); d.Causes != 0 || d.Confounded || len(d.Outcomes) > 0 {
		t.Errorf("with itself: %+v", d)
	}
	if d := batch.Differ(states["b08"], states["b09"], lib); !d.Confounded || !slices.Contains(d.Done, "fats combined at 52 → 58 °C") || !slices.Contains(d.Done, "lye combined at 30 → 50 °C") {
		t.Errorf("%+v", d)
	}
}

// The demo's rack: the one mistyped weighing is named, alone, and no other
// batch's; three days are forgotten; the weights are those of the law.
func TestRackOfTheDemo(t *testing.T) {
	t.Parallel()
	states, _ := told(t)
	weighed, named := 0, 0
	for id, s := range states {
		d, err := s.Dry(batch.LearnRack(nil).Habit(s.Like()))
		if err != nil {
			t.Fatalf("%s: %v", id, err)
		}
		weighed += len(s.Rack.Weighings)
		named += len(d.Mistyped)
		for _, m := range d.Mistyped {
			w := s.Series()[m.Index]
			if id != "b06" || w.G != 58.4 || w.Bar != 1 || math.Abs(s.Days(w)-28) > 0.1 || math.Abs(m.ExpectedG.Middle-85.35) > 0.5 { // by hand: 93 g less 8.23 %
				t.Errorf("%s names %+v, expected %v", id, w, m.ExpectedG)
			}
		}
	}
	if named != 1 {
		t.Errorf("%d weighings are named", named)
	}
	if weighed < 300 {
		t.Errorf("%d weighings on the rack", weighed)
	}
	for id, day := range map[string]float64{"b02": 21, "b05": 60, "b11": 14} {
		for _, w := range states[id].Series() {
			if math.Abs(states[id].Days(w)-day) < 1 {
				t.Errorf("%s was weighed on day %g", id, day)
			}
		}
	}
}

// Something is still drying: the young batches lose more than half a per cent a
// week, one of them is due to be weighed, and none was weighed on a day to come.
func TestSomethingStillDries(t *testing.T) {
	t.Parallel()
	states, _ := told(t)
	for id, next := range map[string]float64{"b15": 21, "b16": 14} {
		s := states[id]
		d, err := s.Dry(cure.Habit{})
		if err != nil {
			t.Fatal(err)
		}
		series := s.Series()
		age, last := today.Sub(s.Cut.At).Hours()/24, s.Days(series[len(series)-1])
		if ready := d.Ready(cure.UsualRules).Day; ready.Middle < age || last > age || last >= next || len(d.Mistyped) > 0 {
			t.Errorf("%s: %.1f days old, last weighed on day %.1f, dry on day %.0f", id, age, last, ready.Middle)
		}
	}
	for _, c := range states["b06"].Rack.Came { // its note: soft to day 5
		if c.Of == "turn_out" && (c.How != "clean" || c.AfterH < 4*24) {
			t.Errorf("Slow Olive came out %s after %g h", c.How, c.AfterH)
		}
	}
}
