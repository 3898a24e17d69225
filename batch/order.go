package batch

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"
)

// Limits of counting.
const (
	twiceMS = 800              // two taps of one device closer than this count once
	UndoFor = 10 * time.Second // so long an event can be taken back
	jumpMS  = 2000             // a wall clock that differs from the device's own counter by more has jumped
)

// told is an event with the instant it counts from: its wall clock, put right
// where the device's clock jumped or was ahead.
type told struct {
	Event
	when time.Time
}

// Uncounted is an event that is kept and does not count, and why.
type Uncounted struct {
	Event
	Why string
}

// ClockJump is a device's clock that changed while the batch was made.
type ClockJump struct {
	Device string
	After  string // id of the first event on the new time
	By     time.Duration
}

// Gap is a device's events that have not arrived yet.
type Gap struct {
	Device      string
	First, Last int64 // numbers of the missing events
}

// merged is every event once, in the one order that counts: each device's in
// its own, the devices' among each other by the instants.
type merged struct {
	events []told
	jumps  []ClockJump
	gaps   []Gap
	ahead  map[string]time.Duration
	twins  []Uncounted // another event with an id or a number that is taken
}

func merge(events []Event) merged {
	var m merged
	m.ahead = map[string]time.Duration{}
	byDevice, ids := map[string][]Event{}, map[string]bool{}
	sorted := slices.SortedFunc(slices.Values(events), func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.Device, b.Device), cmp.Compare(a.Seq, b.Seq), cmp.Compare(a.ID, b.ID), cmp.Compare(string(PrintEvents([]Event{a})), string(PrintEvents([]Event{b}))))
	})
	for i, e := range sorted {
		switch {
		case i > 0 && slices.Equal(PrintEvents([]Event{e}), PrintEvents(sorted[i-1:i])): // the same tap again
		case ids[e.ID], len(byDevice[e.Device]) > 0 && byDevice[e.Device][len(byDevice[e.Device])-1].Seq == e.Seq:
			m.twins = append(m.twins, Uncounted{e, "another event has its id or its number"})
		default:
			ids[e.ID] = true
			byDevice[e.Device] = append(byDevice[e.Device], e)
		}
	}
	for _, device := range slices.Sorted(maps.Keys(byDevice)) {
		m.device(device, byDevice[device])
	}
	slices.SortStableFunc(m.events, func(a, b told) int {
		return cmp.Or(a.when.Compare(b.when), cmp.Compare(a.Device, b.Device), cmp.Compare(a.Seq, b.Seq))
	})
	return m
}

// device adds the events of one device, which come in its order. What is true
// is the time that passed between them: by its own counter within one run of
// it, else by its wall clock, which cannot run backwards. The whole is set to
// the newest clock, or to the workshop's where the device was last compared
// with it.
func (m *merged) device(device string, events []Event) {
	passed := make([]time.Duration, len(events)) // since the first
	for i := 1; i < len(events); i++ {
		a, b := events[i-1], events[i]
		step := b.At.Sub(a.At)
		if a.Run != "" && a.Run == b.Run && b.TickMS >= a.TickMS {
			byCounter := time.Duration(b.TickMS-a.TickMS) * time.Millisecond
			if off := step - byCounter; off > jumpMS*time.Millisecond || off < -jumpMS*time.Millisecond {
				m.jumps = append(m.jumps, ClockJump{device, b.ID, off})
			}
			step = byCounter
		} else if step < 0 {
			m.jumps = append(m.jumps, ClockJump{device, b.ID, step})
			step = twiceMS * time.Millisecond // how long nobody knows, but they are two taps
		}
		passed[i] = passed[i-1] + step
		if b.Seq > a.Seq+1 {
			m.gaps = append(m.gaps, Gap{device, a.Seq + 1, b.Seq - 1})
		}
	}
	if events[0].Seq > 1 {
		m.gaps = append(m.gaps, Gap{device, 1, events[0].Seq - 1})
	}
	anchor := len(events) - 1
	for i, e := range events {
		if c, ok := e.Do.(Clock); ok {
			anchor, m.ahead[device] = i, time.Duration(c.AheadMS)*time.Millisecond
		}
	}
	zero := events[anchor].At.Add(-passed[anchor] - m.ahead[device])
	for i, e := range events {
		m.events = append(m.events, told{e, zero.Add(passed[i])})
	}
}

// tapClass names the taps that a knuckle could do twice by one movement, ""
// for what is typed. An undo or a call for the rinse timer is never taken for
// the second half of another tap.
func tapClass(a Action) string {
	switch a.(type) {
	case Began, Acknowledged, Tared, Weighed, Stamped, Rested, Chose, Handled:
		return "done"
	case Undone, WentOn, Emergency:
		return a.Kind()
	}
	return ""
}

// counted leaves out second taps and what was undone, and says why.
func (m merged) counted() (events []told, left []Uncounted) {
	last := map[[2]string]time.Time{} // instant of each device's last tap of a class that counted
	at := map[string]told{}
	gone := map[string]bool{}
	left = m.twins
	for _, e := range m.events {
		class := [2]string{e.Device, tapClass(e.Do)}
		if since, ok := last[class]; ok && class[1] != "" && e.when.Sub(since) < twiceMS*time.Millisecond {
			left = append(left, Uncounted{e.Event, "a second tap within 0.8 s"})
			continue
		}
		last[class] = e.when
		at[e.ID] = e
		if u, ok := e.Do.(Undone); ok {
			if why := m.cannotUndo(e, u, at, gone); why != "" {
				left = append(left, Uncounted{e.Event, why})
				continue
			}
			gone[u.Of] = true
		}
		events = append(events, e)
	}
	events = slices.DeleteFunc(events, func(e told) bool {
		if gone[e.ID] {
			left = append(left, Uncounted{e.Event, "undone"})
		}
		return gone[e.ID]
	})
	return events, left
}

func (m merged) cannotUndo(e told, u Undone, at map[string]told, gone map[string]bool) string {
	of, ok := at[u.Of]
	switch _, isUndo := of.Do.(Undone); {
	case !ok:
		return "there is no such event before it"
	case gone[u.Of]:
		return "it was undone before"
	case isUndo:
		return "an undo is not undone: do it again"
	case e.when.Sub(of.when) > UndoFor:
		return fmt.Sprintf("%.0f s had passed, more than 10: correct it instead", e.when.Sub(of.when).Seconds())
	}
	return ""
}
