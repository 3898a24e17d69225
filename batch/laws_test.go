package batch_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"barwright/batch"
)

var stateParts = cmp.Options{cmpopts.IgnoreUnexported(batch.State{}), cmpopts.IgnoreFields(batch.State{}, "Sheet")}

// drawTaps lets two devices do things to one batch, in any order and at any
// clock.
func drawTaps(t *rapid.T, sh *batch.Sheet) []batch.Event {
	var events []batch.Event
	for _, device := range []string{"phone", "tablet"} {
		p := newPhone(device)
		p.by = device
		p.now = nine.Add(time.Duration(rapid.IntRange(-90, 90).Draw(t, "ahead")) * time.Second)
		for range rapid.IntRange(0, 14).Draw(t, "taps") {
			after := time.Duration(rapid.SampledFrom([]int{100, 500, 799, 800, 3000, 11000, 60000, -5000}).Draw(t, "after")) * time.Millisecond
			p.do(after, drawAction(t, sh, events, p))
		}
		events = append(events, p.events...)
	}
	return events
}

func drawAction(t *rapid.T, sh *batch.Sheet, others []batch.Event, p *phone) batch.Action {
	step := rapid.SampledFrom(sh.Steps).Draw(t, "step")
	earlier := append(slices.Clone(others), p.events...)
	switch n := rapid.IntRange(0, 15).Draw(t, "what"); {
	case step.Weigh != nil && n < 7:
		return weighed(step.ID, step.Weigh.G*rapid.SampledFrom([]float64{1, 1, 1, 1.19, 0.9, 0.0353}).Draw(t, "times"))
	case step.Type == batch.Check && n < 7:
		return batch.Gross{Vessel: step.Vessel, G: float64(rapid.IntRange(300, 4000).Draw(t, "gross"))}
	case step.Type == batch.Tare && n < 7:
		return batch.Tared{Vessel: step.Vessel, G: 200}
	case n < 7:
		return batch.Stamped{Step: step.ID}
	case n == 7:
		return batch.Reading{Of: rapid.SampledFrom([]string{"lye", "fats", "batter", "room"}).Draw(t, "of"), C: float64(rapid.IntRange(15, 90).Draw(t, "c"))}
	case n == 8 && len(earlier) > 0:
		return batch.Undone{Of: rapid.SampledFrom(earlier).Draw(t, "of").ID}
	case n == 9 && len(earlier) > 0:
		return batch.Corrected{Of: rapid.SampledFrom(earlier).Draw(t, "of").ID, G: g(200), Why: "misread"}
	case n == 10:
		return batch.Chose{Choice: rapid.SampledFrom([]string{"more_lye", "more_fat", "lye_again", "stop", "keep.weigh.fats.0", "weigh_again.weigh.fats.0"}).Draw(t, "choice")}
	case n == 11:
		return batch.WentOn{Why: "because"}
	case n == 12:
		return batch.Cut{Bars: 11, Each: []float64{111, 110.4}}
	case n == 13:
		return batch.BarWeighed{Bar: rapid.IntRange(1, 3).Draw(t, "bar"), G: float64(rapid.IntRange(90, 115).Draw(t, "weighs"))}
	case n == 14:
		return batch.Racked{Place: "the rack", RHPct: g(float64(rapid.IntRange(40, 80).Draw(t, "rh")))}
	}
	return batch.Noted{Text: "a note"}
}

// The law of the queues: however two devices' events arrive, in whatever
// order, chunks and repetitions, the state is the same; so is that of a copy
// that went through its file form.
func TestAnyArrivalSameState(t *testing.T) {
	t.Parallel()
	sh, err := batch.New(started(t, "plain-tow"))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		events := drawTaps(t, sh)
		want := sh.Replay(events)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 0))
		arrived := slices.Clone(events)
		for range r.IntN(10) {
			if len(events) > 0 {
				arrived = append(arrived, events[r.IntN(len(events))])
			}
		}
		r.Shuffle(len(arrived), func(i, j int) { arrived[i], arrived[j] = arrived[j], arrived[i] })
		back, err := batch.ParseEvents(batch.PrintEvents(arrived))
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, sh.Replay(back), stateParts); d != "" {
			t.Fatal(d)
		}
		if n := len(want.Events) + len(want.Uncounted); n != len(events) {
			t.Fatalf("%d events, %d are told of", len(events), n)
		}
		checkOwnOrder(t, want.Events)
		checkSafe(t, want)
	})
}

// checkOwnOrder: every device's events stay in the order it gave them.
func checkOwnOrder(t *rapid.T, events []batch.Event) {
	last := map[string]int64{}
	for _, e := range events {
		if e.Seq <= last[e.Device] {
			t.Fatalf("%s came after number %d", e.ID, last[e.Device])
		}
		last[e.Device] = e.Seq
	}
}

// checkSafe: whatever was tapped, a batch that was judged lye-heavy and is not
// held is quarantined, and a batch that is either has no bars and no label.
func checkSafe(t *rapid.T, s *batch.State) {
	if s.Judged.TooMuchLye != "" && s.Hold == nil && s.Quarantined == nil && s.Stopped == nil {
		t.Fatalf("too much lye and nothing holds it: %s", s.Judged.TooMuchLye)
	}
	if (s.Hold != nil || s.Quarantined != nil && s.Released == nil) && (s.MayLabel() || s.Bars() > 0) {
		t.Fatal("a label for a batch on hold")
	}
	for _, c := range s.Choices {
		if _, combined := s.Marks["combine"]; c.ID == "more_lye" && (s.Judged.TooMuchLye != "" || combined) {
			t.Fatal("more lye was offered to a batch with too much of it, or after combining")
		}
	}
}

// Every kind of event reads back as it was printed, byte for byte.
func TestEventsReadBack(t *testing.T) {
	t.Parallel()
	at := nine.Add(5 * time.Minute)
	actions := []batch.Action{
		batch.Began{RoomC: g(19.5), RoomRH: g(64)}, batch.Began{}, batch.Acknowledged{What: []string{"gloves"}}, batch.Tared{Vessel: "jug", G: 210},
		weighed("weigh.fats.0", 484), batch.Weighed{Step: "weigh.fats.0", GrossG: g(1964), From: []batch.Part{{Lot: "tlw_7", G: g(400)}, {Lot: "tlw_8", G: g(84)}}},
		batch.ReadBack{Step: "weigh.alkali.0", G: 125}, batch.Gross{Vessel: "pot", G: 2360}, batch.Stamped{Step: "trace", Text: "line stays 3 s"},
		batch.Reading{Of: "lye", C: 48.5}, batch.Rested{Place: "fridge", Cover: "lid", Fan: true, C: g(4)},
		batch.Cut{Bars: 11, Aside: 1, Each: []float64{111.1, 111.4}, Mean: g(111.2), Marked: 3, Reason: "a corner", TrimG: g(20)},
		batch.Chose{Choice: "more_fat"}, batch.Triaged{Trouble: "ricing", First: "scent", Second: "flows"}, batch.Handled{Of: "a-1"}, batch.Pictured{Photo: "ph-1", Text: "the cut"}, batch.Noted{Text: "a\nnote «ü»"},
		batch.Undone{Of: "a-1"}, batch.Corrected{Of: "a-1", G: g(12), Why: "misread"}, batch.Corrected{Of: "a-1", At: &at, Why: "late"}, batch.Held{Why: "spots"},
		batch.WentOn{Why: "to see"}, batch.Stopped{Why: "spilt"}, batch.Released{Laboratory: "a lab", Reference: "17", Result: "no free alkali"},
		batch.Emergency{What: "eye"}, batch.Clock{AheadMS: -90000},
		batch.Racked{Place: "top of the rack", C: g(18), RHPct: g(62)}, batch.BarWeighed{Bar: 2, G: 104.6, At: &at}, batch.CameOut{Of: "turn_out", How: "torn", Hours: g(20)},
		batch.ReadyBy{WeeklyPct: 0.5, LeastWeeks: 4}, batch.RackTeaches{Counts: true},
		batch.Tested{Test: "drop", Found: "clear", Where: "bar 3, core"}, batch.Tested{Test: "ph", PH: g(10.1), ConcentrationPct: g(1), C: g(25), Meter: "meter, buffers 7 and 10"},
		batch.Tested{Test: "laboratory", Found: "a lab, 17", FreeAlkaliPct: g(0.02)}, batch.Coded{Round: "r-1", Code: 417, Of: 3},
		batch.Scored{Round: "r-1", Code: 417, Tester: "A", Scores: map[string]int{"slip": 7, "amount": 5}, LostG: g(16), Washes: 20, Comment: "soft"},
	}
	seen := map[string]bool{}
	for i, a := range actions {
		e := batch.Event{ID: "id-1", Device: "phone", Seq: int64(i + 1), At: nine, Run: "r1", TickMS: 5, By: "helper 2", Do: a}
		seen[a.Kind()] = true
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		back, err := batch.ParseEvent(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		again, err := json.Marshal(back)
		if err != nil || !bytes.Equal(text, again) {
			t.Errorf("%s\nreads back as\n%s (%v)", text, again, err)
		}
		if d := cmp.Diff(e, back); d != "" {
			t.Error(d)
		}
	}
	if len(seen) != 31 {
		t.Errorf("%d kinds are tried", len(seen))
	}
}

const goodEvent = `{"id":"a","device":"p","seq":1,"at":"2026-11-25T09:00:00.000Z","kind":"reading","data":{"of":"lye","c":48}}`

// Every error has words and a hint, and names what is wrong.
func TestEventErrors(t *testing.T) {
	t.Parallel()
	change := func(old, new string) string {
		return string(bytes.Replace([]byte(goodEvent), []byte(old), []byte(new), 1))
	}
	for text, want := range map[string]string{
		change(`"reading"`, `"raeding"`):         `"raeding" is not a kind of event`,
		change(`"c":48`, `"c":48,"grams":3`):     `unknown field "grams"`,
		change(`"c":48`, `"c":48,"c":50`):        `the key "c"`,
		change(`"c":48`, `"C":48`):               `the key "C"`,
		change(`"c":48`, `"c":480`):              `480 °C`,
		change(`"c":48`, `"c":"48"`):             `c cannot be string`,
		change(`"of":"lye"`, `"of":"soup"`):      `of: "soup"`,
		change(`"seq":1`, `"seq":0`):             `seq: 0`,
		change(`"seq":1`, `"seq":1,"tick_ms":4`): `tick_ms: 4`,
		change(`"id":"a"`, `"id":"../a"`):        `id: "../a" is not an id`,
		change(`09:00:00.000Z`, `9 o'clock`):     `is not a time`,
		change(`2026`, `1970`):                   `the year 1970`,
		change(`}}`, `}}{}`):                     `something follows`,
		change(`}}`, `}`):                        `no whole JSON object`,
		change(`"reading","data":{"of":"lye","c":48}`, `"released","data":{"laboratory":"a","reference":"b","result":" "}`): `result is missing`,
		change(`"reading","data":{"of":"lye","c":48}`, `"weighed","data":{"step":"x","g":1,"gross_g":2}`):                   `one weight`,
		change(`"reading","data":{"of":"lye","c":48}`, `"weighed","data":{"step":"x","g":-1}`):                              `-1 g`,
		change(`"reading","data":{"of":"lye","c":48}`, `"noted","data":{"text":"a\u0000b"}`):                                `text cannot be kept`,
		change(`"reading","data":{"of":"lye","c":48}`, `"triaged","data":{"trouble":"riceing","first":"a","second":"b"}`):   `"riceing"`,
		"[]": "an event", "": "no whole JSON object", "\xff": "UTF-8",
	} {
		_, err := batch.ParseEvent([]byte(text))
		var h interface{ Hint() string }
		if err == nil || !bytes.Contains([]byte(err.Error()), []byte(want)) || !asHint(err, &h) || h.Hint() == "" {
			t.Errorf("%s: %v, want %q and a hint", text, err, want)
		}
	}
	if _, err := batch.ParseEvents([]byte(goodEvent + "\n\n{}\n")); err == nil || !bytes.HasPrefix([]byte(err.Error()), []byte("line 3: ")) {
		t.Errorf("%v", err)
	}
}
