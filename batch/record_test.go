package batch_test

import (
	"bytes"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/window"
)

// made is a whole batch of Plain Tow, tapped step by step.
func made(t failer) (batch.Start, *phone) {
	start := loaf(t)
	start.Lots = map[string]string{"weigh.fats.0": "tlw_7", "weigh.alkali.0": "sh_3"}
	p := newPhone("a")
	p.upTo(t, start, "temperatures", map[string]float64{"weigh.fats.0": 485})
	p.do(time.Minute, batch.Reading{Of: "fats", C: 40})
	p.do(time.Second, batch.Reading{Of: "lye", C: 37})
	p.upTo(t, start, "", nil)
	p.do(time.Minute, batch.Noted{Text: "smells of <nothing> & is white"})
	return start, p
}

// Times stand beside what the maker was told when she began: with what her
// batches had taught by then.
func TestRecordToldTimes(t *testing.T) {
	t.Parallel()
	start, p := made(t)
	plain := with(t, start, p)
	before := plain.Record().Times[0]
	landing := *plain.Sheet.Plan.Combine.LandingC
	for range 6 {
		start.Taught = append(start.Taught, window.Observation{Conditions: plain.Sheet.Plan.WindowConditions(landing), ToTraceMin: 3, ToUnpourableMin: 9})
	}
	after := with(t, start, p).Record().Times[0]
	if *after.Planned > 3 || *after.PlannedTo < 3 || *after.PlannedTo-*after.Planned > 0.6*(*before.PlannedTo-*before.Planned) {
		t.Errorf("six batches of 3 min: trace told in %.1f to %.1f min, %.1f to %.1f without them", *after.Planned, *after.PlannedTo, *before.Planned, *before.PlannedTo)
	}
}

// The record has plan beside actual, the lots that were used, who did what, and
// the true superfat: 1 g more tallow by hand 197/56106/3.24672·0.95 = 0.103
// points more than planned.
func TestRecord(t *testing.T) {
	t.Parallel()
	start, p := made(t)
	st := with(t, start, p)
	r := st.Record()
	if b := r.Weights[slices.IndexFunc(r.Weights, func(b batch.Beside) bool { return b.What == "Beef tallow" })]; *b.Planned != 484 || *b.Had != 485 || b.By != "lead maker" {
		t.Errorf("%+v", b)
	}
	if *r.Temps[0].Had != 40 || *r.Temps[1].Had != 37 {
		t.Errorf("%+v", r.Temps)
	}
	if off := r.Superfat[1].Typical - r.Superfat[0].Typical; math.Abs(off-0.103) > 0.003 {
		t.Errorf("superfat %.3f points more", off)
	}
	if d := r.Times[0]; d.What != "trace" || math.Abs(*d.Had-50.0/60) > 1e-6 {
		t.Errorf("%+v", d)
	}
	if len(r.Lots) != 2 || r.Lots[0].Lot != "sh_3" || r.Lots[0].G != st.Sheet.Plan.Alkali[0].WeighG || r.Lots[1].Lot != "tlw_7" || r.Lots[1].G != 485 {
		t.Errorf("%+v", r.Lots)
	}
	if len(r.Lines) != len(st.Events) || r.Hold != "" || len(r.Curves["fats"]) != 1 {
		t.Errorf("%d lines of %d events, %q", len(r.Lines), len(st.Events), r.Hold)
	}
	if !slices.IsSortedFunc(r.Lines, func(a, b batch.Line) int { return a.At.Compare(b.At) }) {
		t.Error("the story is out of order")
	}
}

// Two weighings of one step: the shelf lost the second. Two lots in one
// weighing: each lost its part.
func TestTakenFromLots(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.do(time.Minute, batch.Weighed{Step: "weigh.fats.0", G: g(480), From: []batch.Part{{Lot: "old"}}})
	p.do(time.Minute, batch.Weighed{Step: "weigh.fats.0", G: g(484), From: []batch.Part{{Lot: "old", G: g(84)}, {Lot: "new", G: g(400)}}})
	got := map[string]float64{}
	for _, x := range with(t, start, p).Taken() {
		got[x.Lot] += x.G
	}
	if len(got) != 2 || got["old"] != 84 || got["new"] != 400 {
		t.Errorf("%v", got)
	}
}

var (
	cue    = regexp.MustCompile(`^(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3}) --> (\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})$`)
	noCues = []string{"-->", "<", ">"}
)

// The chapters are WebVTT: the header, blocks parted by empty lines, an
// identifier, times of which each begins where the one before ended, one line
// of text without a tag. Counted from the film's start, stamps before it left
// out.
func TestChapters(t *testing.T) {
	t.Parallel()
	start, p := made(t)
	st := with(t, start, p)
	film := st.Marks["combine"].At.Add(-90 * time.Second)
	text := string(st.Chapters(film, p.now.Add(time.Minute)))
	blocks := strings.Split(strings.TrimSpace(text), "\n\n")
	if blocks[0] != "WEBVTT" || len(blocks) < 8 || strings.Contains(text, "\r") {
		t.Fatalf("%s", text)
	}
	end := ""
	for _, b := range blocks[1:] {
		lines := strings.Split(b, "\n")
		if len(lines) != 3 || !cue.MatchString(lines[1]) {
			t.Fatalf("the block %q", b)
		}
		from, to, _ := strings.Cut(lines[1], " --> ")
		if to <= from || end != "" && from != end {
			t.Errorf("%s begins at %s, the one before ended at %s", lines[2], from, end)
		}
		end = to
		for _, bad := range noCues {
			if strings.Contains(lines[2], bad) {
				t.Errorf("the text %q", lines[2])
			}
		}
	}
	if !strings.Contains(text, "\n00:01:30.000 --> 00:02:20.000\nlye and fats together\n") || !strings.Contains(text, "smells of &lt;nothing&gt; &amp; is white") || strings.Contains(text, "Beef tallow") {
		t.Errorf("%s", text)
	}
}

// The sheet on paper has every step in the order of the work, with the running
// weight of the vessel; what is filled in is typed in later and gives the state
// that tapping gives.
func TestPaper(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	sh, err := batch.New(start)
	if err != nil {
		t.Fatal(err)
	}
	lines := sh.Paper()
	var entries []batch.Entry
	reads := 0.0
	for i, l := range lines {
		if l.Step.ID != sh.Steps[i].ID || len(l.Blanks) == 0 {
			t.Fatalf("line %d is %s", i, l.Step.ID)
		}
		e := batch.Entry{Step: l.Step.ID, By: "helper 1"}
		switch {
		case l.Step.Vessel == "pot" && l.Step.Type == batch.Weigh:
			if reads += l.Step.Weigh.G; l.Reads != sh.Plan.Scale.Fats.Show(reads) {
				t.Errorf("the pot reads %s, want %g", l.Reads, reads)
			}
			e.G = &l.Step.Weigh.G
		case l.Step.Type == batch.Weigh:
			e.G = &l.Step.Weigh.G
		case l.Step.ID == "check.jug":
			e.G = g(tareJugG + sh.Plan.JugG())
		case l.Step.ID == "check.pot":
			e.G = g(tarePotG + 880)
		case l.Step.Type == batch.Tare:
			e.G = g(map[string]float64{"jug": tareJugG, "pot": tarePotG}[l.Step.Vessel])
		case l.Step.ID == "temperatures":
			e.FatsC, e.LyeC = g(40), g(38)
		case l.Step.ID == "trace":
			e.At = nine.Add(90 * time.Minute)
		}
		entries = append(entries, e)
	}
	if reads != 880 {
		t.Errorf("the pot ends at %g g", reads)
	}
	slices.Reverse(entries)
	events, err := sh.Typed(entries, "paper", nine)
	if err != nil {
		t.Fatal(err)
	}
	back, err := batch.ParseEvents(batch.PrintEvents(events))
	if err != nil {
		t.Fatal(err)
	}
	st := sh.Replay(back)
	if st.Current() != nil || len(st.Uncounted) != 0 || !st.Marks["trace"].At.Equal(nine.Add(90*time.Minute)) || st.Hold != nil {
		t.Errorf("open %+v, uncounted %v", st.Current(), st.Uncounted)
	}
	if math.Abs(st.Weighed.Superfat.Typical-sh.Plan.Superfat.AsWeighed.Typical) > 1e-9 {
		t.Errorf("superfat %.3f", st.Weighed.Superfat.Typical)
	}
	if _, err := sh.Typed([]batch.Entry{{Step: "weigh.fats.9", G: g(1)}}, "paper", nine); err == nil {
		t.Error("an entry of another sheet")
	}
	if _, err := sh.Typed([]batch.Entry{{Step: "weigh.fats.0"}}, "paper", nine); err == nil {
		t.Error("an entry without its weight")
	}
}

// Every trouble has two questions, and every pair of answers one instruction
// and one stamp; a pair that is none is refused. Of the design's table each row
// of the making day is there.
func TestTriage(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	seen := ""
	for _, trouble := range batch.Troubles {
		if len(trouble.First.Answers) != 2 || len(trouble.Second) != 2 {
			t.Errorf("%s: %d and %d answers", trouble.ID, len(trouble.First.Answers), len(trouble.Second))
		}
		for _, first := range trouble.First.Answers {
			for _, second := range trouble.Second[first.ID].Answers {
				if second.Remedy == nil || second.Remedy.Do == "" || second.Remedy.Stamp == "" || second.Remedy.What == "" {
					t.Fatalf("%s, %s, %s: %+v", trouble.ID, first.ID, second.ID, second.Remedy)
				}
				seen += second.Remedy.What + ": " + second.Remedy.Do + "\n"
				p := newPhone("a")
				of := p.do(time.Minute, batch.Triaged{Trouble: trouble.ID, First: first.ID, Second: second.ID}).ID
				if st := with(t, start, p); len(st.Troubles) != 1 || st.Troubles[0].Done != nil || st.Troubles[0].Remedy.Do != second.Remedy.Do {
					t.Errorf("%+v", st.Troubles)
				}
				p.do(time.Minute, batch.Handled{Of: of})
				if st := with(t, start, p); st.Troubles[0].Done == nil || !st.Troubles[0].Done.At.Equal(p.now) {
					t.Errorf("%s is not handled", trouble.ID)
				}
				if _, err := batch.ParseEvent(bytes.TrimSpace(batch.PrintEvents(p.events[:1]))); err != nil {
					t.Error(err)
				}
			}
		}
	}
	for _, want := range []string{"ricing: Blender out. Whisk by hand 60 to 90 s", "seizing: Stop blending. Spoon it into the mould and press", "false trace: Stop blending. Warm the pot in a water bath to 4 to 8 °C over the cloud point",
		"overheating: Uncover it, tray under it, onto a cold surface, fan on it. No water", "separation: Gloves. Back into the pot, warm, blend to a trace, pour again"} {
		if !strings.Contains(seen, want) {
			t.Errorf("no %q", want)
		}
	}
}

// The rinse timer runs from its stamp for 15 minutes at least; the first line
// of each card is a thing to do now; a spill has no rinse.
func TestEmergency(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.do(0, batch.Emergency{What: "eye"})
	p.do(time.Second, batch.Emergency{What: "spill"})
	timers := with(t, start, p).At(nine.Add(4 * time.Minute)).Timers
	if len(timers) != 1 || timers[0].Left(nine.Add(4*time.Minute)) != 11*time.Minute || !timers[0].Least {
		t.Errorf("%+v", timers)
	}
	for _, what := range []string{"splash", "eye", "breath", "spill"} {
		if c := batch.EmergencyCard(what); c.ID != what || !strings.Contains(c.First, "now") && what != "spill" || len(c.Then) == 0 {
			t.Errorf("%+v", c)
		}
	}
}

// Batter and fresh soap are corrosive from the lye on until cut and 48 hours.
func TestCorrosive(t *testing.T) {
	t.Parallel()
	start := loaf(t)
	p := newPhone("a")
	p.upTo(t, start, "mix", nil)
	if with(t, start, p).At(p.now).Corrosive {
		t.Error("before there is lye")
	}
	p.upTo(t, start, "cut", nil)
	if m := with(t, start, p).At(p.now.Add(300 * time.Hour)); !m.Corrosive {
		t.Error("uncut soap is not")
	}
	p.do(time.Hour, batch.Cut{Bars: 11})
	for after, want := range map[time.Duration]bool{0: true, 48*time.Hour - time.Second: true, 48 * time.Hour: false} {
		if m := with(t, start, p).At(p.now.Add(after)); m.Corrosive != want || (len(m.Timers) == 1) != want {
			t.Errorf("%v after the cut: %v, %+v", after, m.Corrosive, m.Timers)
		}
	}
}

// The same start and events tell the same story next year, also after the
// start went through its file form.
func TestStartReadsBack(t *testing.T) {
	t.Parallel()
	start, p := made(t)
	back, err := batch.ParseStart(start.Print())
	if err != nil {
		t.Fatal(err)
	}
	if string(back.Print()) != string(start.Print()) {
		t.Error("it prints otherwise")
	}
	a, b := with(t, start, p), with(t, back, p)
	if a.Weighed.Superfat.Low != b.Weighed.Superfat.Low || len(a.Events) != len(b.Events) {
		t.Error("another story")
	}
	for _, bad := range []string{`{}`, `{"name":"x"}`, strings.Replace(string(start.Print()), `"name"`, `"nome"`, 1), strings.Replace(string(start.Print()), "880 g", "880 q", 1)} {
		if _, err := batch.ParseStart([]byte(bad)); err == nil {
			t.Errorf("%.60s was read", bad)
		}
	}
}
