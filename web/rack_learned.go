package web

import (
	"fmt"
	"html/template"
	"math"
	"net/http"
	"slices"

	"barwright/batch"
	"barwright/chart"
	"barwright/cure"
)

// WeeklyPct, GonePct and LeastWeeks are the rules as they stand in the form, ""
// for one that is off.
func (p *batchRackPage) WeeklyPct() string  { return offOr(p.Rules.WeeklyPct) }
func (p *batchRackPage) GonePct() string    { return offOr(p.Rules.GonePct) }
func (p *batchRackPage) LeastWeeks() string { return offOr(p.Rules.LeastWeeks) }

func offOr(v float64) string {
	if v == 0 {
		return ""
	}
	return bare(v, 2)
}

// rackLearnedPage is what the rack taught, and how well it foretold.
type rackLearnedPage struct {
	Likes           []likeLine
	Batches         []taughtLine
	Calibration     template.HTML
	CalibrationThin template.HTML
	Inside, Of      int
	Turned          int
	AllOut, AnyOut  bool
}

// likeLine is what bars of one mould taught.
type likeLine struct{ Name, Words string }

// taughtLine is a batch that teaches, or could.
type taughtLine struct {
	ID, Name, Words string
	Out             bool
}

func (a *App) rackLearned(w http.ResponseWriter, r *http.Request) error {
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return err
	}
	p := rackLearnedPage{AllOut: true}
	var told []chart.Told
	likes := map[cure.Like]bool{}
	for i, m := range l.all {
		lesson := l.lessons[i]
		if len(lesson.TurnOut)+len(lesson.Wire) > 0 {
			p.Turned++
		}
		if lesson.Dried != nil || m.State.Rack.LeftOut {
			p.Batches = append(p.Batches, taughtOf(m, lesson))
			p.AllOut, p.AnyOut = p.AllOut && m.State.Rack.LeftOut, p.AnyOut || m.State.Rack.LeftOut
		}
		if like := m.State.Like(); lesson.Dried != nil && !likes[like] {
			likes[like] = true
			p.Likes = append(p.Likes, likeLine{string(like), seriesWords(l.lessons.Habit(like))})
		}
	}
	for i, got := range sideBySide(sideBySide(l.all, l.dry), a.fits.beside) {
		m := l.all[i]
		for _, g := range got {
			told = append(told, chart.Told{Name: m.Code, SaidG: g.Predicted, GotG: g.GotG, DaysAhead: g.Day - g.FromDay})
			if !g.Missed() {
				p.Inside++
			}
		}
	}
	slices.Reverse(p.Batches)
	if p.Of = len(told); p.Of > 0 {
		p.Calibration, p.CalibrationThin = template.HTML(chart.Calibration(told)), template.HTML(chart.CalibrationNarrow(told))
	}
	return a.show(w, r, http.StatusOK, "racklearned", "rack", "What the rack taught", p)
}

func taughtOf(m making, lesson batch.RackLesson) taughtLine {
	t := taughtLine{ID: m.ID, Name: m.Code + " · " + m.Start.Name, Out: m.State.Rack.LeftOut}
	if f := lesson.Dried; f != nil {
		t.Words = taughtWords(f.LossTimes, f.Ln)
	}
	return t
}

// habitWords say what like bars taught a batch.
func habitWords(h cure.Habit, like cure.Like) string {
	if h.Series == 0 {
		return "The forecast begins from any maker's bars: no finished series of such bars yet."
	}
	return fmt.Sprintf("Sharpened by your bars of the same mould, %s: %s.", like, seriesWords(h))
}

func seriesWords(h cure.Habit) string {
	return fmt.Sprintf("%d finished series; they %s", h.Series, taughtWords(h.LossTimes, h.Ln))
}

// taughtWords say how bars dried against what would be expected of any maker's,
// no finer than it is known: what is less than its own doubt is no difference.
func taughtWords(times, ln cure.Belief) string {
	loss := "lost about as much water as expected of any maker's"
	if off := times.Mean - 1; math.Abs(off) > times.SD && math.Abs(off) >= 0.015 {
		loss = fmt.Sprintf("lost some %s\u202f%% %s water than expected of any maker's", number(100*math.Abs(off), 0), moreOr(off, "more", "less"))
	}
	ratio := math.Exp(ln.Mean)
	switch tenths := math.Round(10 * math.Abs(ratio-1)); {
	case tenths < 1 || math.Abs(ln.Mean) < ln.SD:
		return loss + ", in about the usual time"
	case ratio > 1.95:
		return loss + fmt.Sprintf(", and took some %s times as long", bare(math.Round(2*ratio)/2, 1))
	default:
		return loss + fmt.Sprintf(", some %s\u202f%% %s", number(10*tenths, 0), moreOr(ratio-1, "slower", "sooner"))
	}
}

func moreOr(off float64, more, less string) string {
	if off > 0 {
		return more
	}
	return less
}

// putRackLessons leaves every batch out, so that the forecast is that of any
// maker again, or takes them all back.
func (a *App) putRackLessons(w http.ResponseWriter, r *http.Request) error {
	back := r.PostFormValue("do") == doBack
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return err
	}
	for i, m := range l.all {
		teaches := l.lessons[i].Dried != nil || len(l.lessons[i].TurnOut)+len(l.lessons[i].Wire) > 0
		if m.State.Rack.LeftOut == back && (back || teaches) {
			if err := a.letTeach(r, m, back); err != nil {
				return err
			}
		}
	}
	http.Redirect(w, r, "/rack/learned", http.StatusSeeOther)
	return nil
}

// putRackLesson leaves one batch out, or takes it back.
func (a *App) putRackLesson(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	if err := a.letTeach(r, m, r.PostFormValue("do") == doBack); err != nil {
		return err
	}
	http.Redirect(w, r, "/rack/learned", http.StatusSeeOther)
	return nil
}

func (a *App) letTeach(r *http.Request, m making, counts bool) error {
	form := map[string][]string{"kind": {"rack_teaches"}, "b.counts": {fmt.Sprint(counts)}}
	return a.stampForm(r, m.Batch, form)
}
