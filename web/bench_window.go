package web

import (
	"encoding/json"
	"strings"
	"time"

	"barwright/batch"
)

// countOf counts to the end of the window: from the state where it is open, and
// as planned for a device on its own.
func (p *benchPage) countOf(st *batch.StepState) *count {
	c := &count{After: "trace"}
	if st.ID == "trace" {
		c.After = "combine"
	}
	c.Span = p.spans()[c.After]
	if w := p.Moment.Window; w != nil && (w.Of == "trace") == (st.ID == "trace") {
		c.ToMS, c.LowMS, c.HighMS = w.Typical.UnixMilli(), w.Low.UnixMilli(), w.High.UnixMilli()
		c.Text, c.Range = clockMinutes(w.Left), clockMinutes(w.LeftLow)+" to "+clockMinutes(w.LeftHigh)
	}
	return c
}

// spans are the windows for a device on its own [s]: from combining to the trace,
// and from the trace to where it no longer pours, by the temperatures that were
// read, where they were.
func (p *benchPage) spans() map[string][]float64 {
	plan, meet := p.State.Sheet.Plan, p.Moment.Now
	if combined, ok := p.State.Marks["combine"]; ok {
		meet = combined.At
	}
	landing := p.State.LandsAt(meet)
	to := plan.WindowAt(landing, p.State.Sheet.Model()).ToTrace
	out := map[string][]float64{"combine": {60 * to.Low, 60 * to.Typical, 60 * to.High}}
	after := plan.AfterTrace(landing, max(to.Typical, 1.0/60), p.State.Sheet.Model())
	out["trace"] = []float64{60 * after.Low, 60 * after.Typical, 60 * after.High}
	if own := p.Start.AfterTrace; own != nil {
		out["trace"] = []float64{own.Low, own.Typical, own.High}
	}
	return out
}

func (p *benchPage) restCount(st *batch.StepState) *count {
	for _, t := range p.Moment.Timers {
		if t.ID == st.ID {
			return &count{ToMS: t.Until.UnixMilli(), Text: clockMinutes(t.Left(p.Moment.Now)), Over: !t.Until.After(p.Moment.Now), Range: "until " + t.Until.In(p.Moment.Now.Location()).Format("2 January, 15:04")}
		}
	}
	return nil
}

// mostTiming is how far ahead the window is told for a device on its own.
const mostTiming = 15 * time.Minute

// timed is what to do from an instant on.
type timed struct {
	FromMS  int64  `json:"from_ms"`
	Urgency string `json:"urgency"`
	Say     string `json:"say"`
}

// fillTiming tells what to do at every second of an open window, where it
// changes: the countdown itself runs on the device.
func (p *benchPage) fillTiming() {
	if p.Moment.Window == nil || p.Moment.Window.Of != "pour" {
		p.Timing = "[]"
		return
	}
	out := []timed{}
	last := ""
	end := min(p.Moment.Window.High.Add(time.Minute).Sub(p.Moment.Now), mostTiming)
	for d := time.Duration(0); d <= end; d += time.Second {
		w := p.State.At(p.Moment.Now.Add(d)).Window
		say := w.Say
		if i := strings.LastIndex(say, ". "); i >= 0 && strings.HasSuffix(say, ")") && strings.Contains(say[i:], " left (") {
			say = say[:i] // the device counts that down itself
		}
		if key := say + string(w.Urgency); key != last {
			out, last = append(out, timed{p.Moment.Now.Add(d).UnixMilli(), string(w.Urgency), say}), key
		}
	}
	text, err := json.Marshal(out)
	if err != nil {
		panic(err) // of numbers and words
	}
	p.Timing = string(text)
}
