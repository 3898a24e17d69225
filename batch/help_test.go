package batch_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"barwright/batch"
	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

// The drawn events are the same in every run; -rapid.seed=N draws others.
func TestMain(m *testing.M) {
	flag.Parse()
	for name, value := range map[string]string{"rapid.seed": "20", "rapid.nofailfile": "true"} {
		if f := flag.Lookup(name); f.Value.String() == f.DefValue {
			if err := flag.Set(name, value); err != nil {
				panic(err)
			}
		}
	}
	os.Exit(m.Run())
}

type failer interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// nine is when batches begin here.
var nine = time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)

// started freezes a recipe of this repository with changes like "superfat=6 %".
func started(t failer, name string, changes ...string) batch.Start {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "recipes", name+".toml"))
	if err != nil {
		t.Fatalf("%v", err)
	}
	r, err := recipe.Parse(name, data, material.Builtin())
	if err != nil {
		t.Fatalf("%v", err)
	}
	var edits []finding.Edit
	for _, c := range changes {
		key, value, _ := strings.Cut(c, "=")
		edits = append(edits, finding.Edit{Key: key, Value: value})
	}
	if r, err = r.With(edits...); err != nil {
		t.Fatalf("%v", err)
	}
	s, err := batch.NewStart(r, material.Builtin())
	if err != nil {
		t.Fatalf("%v", err)
	}
	return s
}

// phone stamps events, one after the other.
type phone struct {
	name   string
	by     string
	now    time.Time
	events []batch.Event
}

func newPhone(name string) *phone { return &phone{name: name, by: "lead maker", now: nine} }

// do stamps an action some time after the last one.
func (p *phone) do(after time.Duration, a batch.Action) batch.Event {
	p.now = p.now.Add(after)
	n := int64(len(p.events) + 1)
	e := batch.Event{ID: fmt.Sprintf("%s-%d", p.name, n), Device: p.name, Seq: n, At: p.now, By: p.by, Do: a}
	p.events = append(p.events, e)
	return e
}

func g(v float64) *float64 { return &v }

func weighed(step string, grams float64) batch.Weighed { return batch.Weighed{Step: step, G: g(grams)} }

// with replays what a phone stamped.
func with(t failer, s batch.Start, phones ...*phone) *batch.State {
	t.Helper()
	var events []batch.Event
	for _, p := range phones {
		events = append(events, p.events...)
	}
	st, err := batch.Replay(s, events)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return st
}

// allRead acknowledges everything of the first step.
func (p *phone) allRead(sh *batch.Sheet) {
	var what []string
	for _, item := range sh.Steps[0].Read {
		what = append(what, item.ID)
	}
	p.do(time.Minute, batch.Began{RoomC: g(20)})
	p.do(time.Minute, batch.Acknowledged{What: what})
}

// upTo does every step as the sheet says, up to one that stays undone; grams
// changes what is weighed at some.
func (p *phone) upTo(t failer, start batch.Start, stop string, grams map[string]float64) {
	t.Helper()
	for range 100 {
		st := with(t, start, p)
		now := st.Current()
		if now == nil || now.ID == stop {
			return
		}
		p.step(t, st, now, grams)
		if after := with(t, start, p).Current(); after != nil && after.ID == now.ID {
			t.Fatalf("step %s is not done: %+v, %v", now.ID, with(t, start, p).Step(now.ID), with(t, start, p).Findings)
		}
	}
	t.Fatalf("never came to %s", stop)
}

const tareJugG, tarePotG = 210.0, 1480.0

func (p *phone) step(t failer, st *batch.State, now *batch.StepState, grams map[string]float64) {
	switch now.Type {
	case batch.Read:
		p.allRead(st.Sheet)
	case batch.Tare:
		p.do(30*time.Second, batch.Tared{Vessel: now.Vessel, G: map[string]float64{"jug": tareJugG, "pot": tarePotG}[now.Vessel]})
	case batch.Weigh:
		v, ok := grams[now.ID]
		if !ok {
			v = now.Weigh.G
		}
		p.do(40*time.Second, weighed(now.ID, v))
	case batch.Check:
		tare := map[string]float64{"jug": tareJugG, "pot": tarePotG}[now.Vessel]
		p.do(30*time.Second, batch.Gross{Vessel: now.Vessel, G: tare + st.NetG(now.Vessel)})
	case batch.Act:
		if now.ID == "cut" {
			p.do(20*time.Hour, batch.Cut{Bars: 11})
			return
		}
		p.do(50*time.Second, batch.Stamped{Step: now.ID})
	}
}

func ids(fs []finding.Finding) (out []string) {
	for _, f := range fs {
		out = append(out, f.ID)
	}
	return out
}

func choices(s *batch.State) (out []string) {
	for _, c := range s.Choices {
		out = append(out, c.ID)
	}
	return out
}
