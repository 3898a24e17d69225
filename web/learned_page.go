package web

import (
	"context"
	"net/http"
	"slices"
)

// learnedPage is what was learned, predicted beside got.
type learnedPage struct {
	Lessons []lesson
	Within  int // of those with a forecast, how many peaks lay in its range
	Told    int
	Away    []lesson
	Whole   bool // also how each was told and met, which takes some seconds
}

func (a *App) learnedPage(w http.ResponseWriter, r *http.Request) error {
	lessons, err := a.lessons(r.Context())
	if err != nil {
		return err
	}
	p := learnedPage{Lessons: slices.Clone(lessons), Whole: r.FormValue("part") == "lessons"}
	if p.Whole {
		if err := a.tell(r.Context(), p.Lessons); err != nil {
			return err
		}
	}
	if p.Away, err = a.curvesAway(r.Context()); err != nil {
		return err
	}
	lessons = slices.Clone(p.Lessons)
	slices.Reverse(p.Lessons)
	for _, l := range lessons {
		if l.Told != nil {
			p.Told++
			if l.Told.C.Low <= l.GotC && l.GotC <= l.Told.C.High {
				p.Within++
			}
		}
	}
	return a.show(w, r, http.StatusOK, "learned", "workshop", "What your batches taught", p)
}

// putCurves puts every curve away, so that the forecast is that of any maker
// again, or takes every curve back that was put away.
func (a *App) putCurves(w http.ResponseWriter, r *http.Request) error {
	back := r.PostFormValue("do") == doBack
	of := a.store.Things
	if back {
		of = a.store.ThingsAway
	}
	things, err := of(r.Context(), kindCurve)
	if err != nil {
		return err
	}
	for _, t := range things {
		if err := a.putCurve(r.Context(), t.ID, !back); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

// putOneCurve puts one curve away, or takes it back.
func (a *App) putOneCurve(w http.ResponseWriter, r *http.Request) error {
	if err := a.putCurve(r.Context(), r.PathValue("curve"), r.PostFormValue("do") != doBack); err != nil {
		return err
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

// doBack is the button that takes something back that was put away.
const doBack = "back"

func (a *App) putCurve(ctx context.Context, id string, away bool) error {
	t, err := a.store.Thing(ctx, kindCurve, id)
	if err != nil || t.Gone == away {
		return err
	}
	t.Gone, t.MadeAt, t.MadeBy = away, a.now(), ""
	_, err = a.store.SaveThing(ctx, t)
	return err
}

// curvesAway are the curves that were put away, the newest pour first.
func (a *App) curvesAway(ctx context.Context) ([]lesson, error) {
	things, err := a.store.ThingsAway(ctx, kindCurve)
	if err != nil {
		return nil, err
	}
	lessons, err := a.lessonsOf(ctx, things)
	slices.Reverse(lessons)
	return lessons, err
}
