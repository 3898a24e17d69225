package demo

import (
	"fmt"
	"math/rand/v2"

	"barwright/batch"
	"barwright/curve"
	"barwright/heat"
	"barwright/quantity"
)

// curved is a batch whose core was logged overnight.
type curved struct {
	Version string `toml:"version"`
	Batch   string `toml:"batch"`
	DaysAgo int    `toml:"days_ago"`
	Note    string `toml:"note"`
}

// The demo's maker, whom the forecast does not know: her batter reacts faster
// than any maker's and her room takes less heat away, each batch a little
// otherwise; her probe reads to half a degree. Invented.
const (
	hiddenRate    = 1.6
	hiddenLoss    = 0.8
	hiddenScatter = 0.03
	hiddenProbeK  = 0.25
)

// curves writes what she logged, a reading every ten minutes for ten hours.
func (w *writer) curves(of []curved) {
	for i, c := range of {
		if w.err != nil {
			return
		}
		l, err := w.log(i, c)
		if err != nil {
			w.err = fmt.Errorf("curve of %s: %w", c.Version, err)
			return
		}
		l.ID = "batch-" + c.Batch
		l.Version, l.Batch, l.Note = c.Version, c.Batch, c.Note
		l.Poured = quantity.DateOf(w.now.AddDate(0, 0, -c.DaysAgo))
		w.thing("curve", l.ID, l, 0, c.DaysAgo, "lead maker")
	}
}

// log is the core of one batch as her thermometer saw it.
func (w *writer) log(i int, c curved) (curve.Log, error) {
	s, err := w.madeAs(c.Batch)
	if err != nil {
		return curve.Log{}, err
	}
	at, missing, err := s.Sheet.Plan.HeatCaseOf(s.Poured())
	if err != nil || len(missing) > 0 {
		return curve.Log{}, fmt.Errorf("no forecast: %v %w", missing, err)
	}
	random := rand.New(rand.NewPCG(20261125, uint64(i)))
	scatter := func() float64 { return 1 + hiddenScatter*random.NormFloat64() }
	rate, loss := hiddenRate*scatter(), hiddenLoss*scatter()
	at.Rate.K1, at.Rate.K2 = at.Rate.K1*rate, at.Rate.K2*rate
	for j := range at.Stages {
		s := &at.Stages[j]
		s.USide, s.UTop, s.UBottom = s.USide*loss, s.UTop*loss, s.UBottom*loss
	}
	settings := heat.Shown
	settings.UntilS, settings.MostStepS = 10*3600, 300
	run, err := heat.Solve(at.Physics, settings)
	if err != nil {
		return curve.Log{}, err
	}
	var read curve.Curve
	for j, t := range run.TimeS {
		if len(read.Readings) == 0 || t-read.Readings[len(read.Readings)-1].TimeS >= 599 {
			read.Readings = append(read.Readings, curve.Reading{TimeS: t, C: run.CoreC[j] + hiddenProbeK*random.NormFloat64()})
		}
	}
	return curve.NewLog(read), nil
}

// madeAs is a batch as it was made.
func (w *writer) madeAs(id string) (*batch.State, error) {
	b, err := w.store.Batch(w.ctx, id)
	if err != nil {
		return nil, err
	}
	events, err := w.store.Events(w.ctx, id)
	if err != nil {
		return nil, err
	}
	return batch.Replay(b.Start, events)
}
