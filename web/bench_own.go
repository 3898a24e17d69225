package web

import (
	"net/http"
	"strconv"
	"strings"

	"barwright/batch"
)

// ownTimes are the maker's own times, asked before a batch begins: how long the
// batter pours from the trace on, and how long she takes for a step. Empty
// fields leave it to the forecast and to common practice.
type ownTimes struct {
	Low, Typical, High string // [s]
	Steps              []ownStep
}

// ownStep is a step whose seconds count.
type ownStep struct{ ID, Do, Usual, Typed string }

// ownSteps lists the steps of a sheet whose seconds count.
func ownSteps(sh *batch.Sheet) (out []ownStep) {
	for _, s := range sh.Steps {
		if s.NeedS > 0 {
			out = append(out, ownStep{ID: s.ID, Do: upperFirst(strings.SplitN(s.Do, ",", 2)[0]), Usual: strconv.Itoa(s.NeedS)})
		}
	}
	return out
}

// The longest window and the longest step that are taken [s].
const (
	mostWindowS = 6 * 3600
	mostStepS   = 3600
)

// read takes what was typed; what cannot be read is told in faults.
func (o *ownTimes) read(r *http.Request, faults map[string]string) (after *batch.Seconds, needs map[string]int) {
	o.Low, o.Typical, o.High = strings.TrimSpace(r.PostFormValue("after.low")), strings.TrimSpace(r.PostFormValue("after.typical")), strings.TrimSpace(r.PostFormValue("after.high"))
	if o.Low+o.Typical+o.High != "" {
		var v [3]float64
		for i, text := range []string{o.Low, o.Typical, o.High} {
			s, err := numberTyped(text)
			if err != nil || !(s > 0 && s <= mostWindowS) {
				faults["after"] = "three times in seconds, shortest first, like 100, 130, 180; or none"
			}
			v[i] = s
		}
		if v[0] > v[1] || v[1] > v[2] {
			faults["after"] = "the shortest first, then the usual one, then the longest"
		}
		after = &batch.Seconds{Low: v[0], Typical: v[1], High: v[2]}
	}
	for i := range o.Steps {
		s := &o.Steps[i]
		s.Typed = strings.TrimSpace(r.PostFormValue("need." + s.ID))
		if s.Typed == "" || s.Typed == s.Usual {
			continue
		}
		n, err := strconv.Atoi(s.Typed)
		if err != nil || n < 1 || n > mostStepS {
			faults["need."+s.ID] = "whole seconds, 1 to 3600"
			continue
		}
		if needs == nil {
			needs = map[string]int{}
		}
		needs[s.ID] = n
	}
	return after, needs
}
