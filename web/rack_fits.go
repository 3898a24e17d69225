package web

import (
	"fmt"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"barwright/batch"
	"barwright/cure"
)

// fits are what was worked out of weighings, by batch and number of taps: a fit
// takes a hundredth of a second, and every page of the rack asks for all of them.
type fits struct {
	mu      sync.Mutex
	lessons map[string]batch.RackLesson
	dried   map[string]fitted
	readies map[string]cure.Ready
	got     map[string][]cure.Got
}

type fitted struct {
	dry *cure.Drying
	err error
}

// mostFits is how many are kept.
const mostFits = 4000

// lesson is what a batch taught.
func (f *fits) lesson(m making) batch.RackLesson {
	key := fmt.Sprintf("%s %d", m.ID, m.Events)
	return remembered(f, &f.lessons, key, m.State.RackLesson)
}

// dry is the fit of a batch, beginning from a habit.
func (f *fits) dry(m making, h cure.Habit) (*cure.Drying, error) {
	key := fmt.Sprintf("%s %d %v", m.ID, m.Events, h)
	got := remembered(f, &f.dried, key, func() fitted {
		d, err := m.State.Dry(h)
		return fitted{d, err}
	})
	return got.dry, got.err
}

// ready is when a batch whose drying was fitted from a habit is dry by rules.
func (f *fits) ready(m making, h cure.Habit, d *cure.Drying, by cure.Rules) cure.Ready {
	key := fmt.Sprintf("%s %d %v %v", m.ID, m.Events, h, by)
	return remembered(f, &f.readies, key, func() cure.Ready { return d.Ready(by) })
}

// beside sets a batch's later weighings beside what was said before; none where
// nothing can be said.
func (f *fits) beside(d drying) []cure.Got {
	if d.Dry == nil {
		return nil
	}
	key := fmt.Sprintf("%s %d %v", d.ID, d.Events, d.Habit)
	return remembered(f, &f.got, key, func() []cure.Got {
		got, err := d.got()
		if err != nil {
			return nil
		}
		return got
	})
}

func remembered[T any](f *fits, in *map[string]T, key string, work func() T) T {
	f.mu.Lock()
	got, known := (*in)[key]
	f.mu.Unlock()
	if known {
		return got
	}
	got = work()
	f.mu.Lock()
	defer f.mu.Unlock()
	if *in == nil || len(*in) > mostFits {
		*in = map[string]T{}
	}
	(*in)[key] = got
	return got
}

// sideBySide does the same with each, on all the cores there are, and keeps
// their order.
func sideBySide[A, B any](of []A, do func(A) B) []B {
	out := make([]B, len(of))
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i := range of {
		all.Go(func() error {
			out[i] = do(of[i])
			return nil
		})
	}
	all.Wait() // nothing of it fails
	return out
}
