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

// startOver puts every curve away: the forecast is that of any maker again.
func (a *App) startOver(w http.ResponseWriter, r *http.Request) error {
	lessons, err := a.lessons(r.Context())
	if err != nil {
		return err
	}
	for _, l := range lessons {
		if err := a.putAwayCurve(r.Context(), l.ID); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

func (a *App) putCurveAway(w http.ResponseWriter, r *http.Request) error {
	if err := a.putAwayCurve(r.Context(), r.PathValue("curve")); err != nil {
		return err
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

func (a *App) putAwayCurve(ctx context.Context, id string) error {
	t, err := a.store.Thing(ctx, kindCurve, id)
	if err != nil || t.Gone {
		return err
	}
	t.Gone, t.MadeAt, t.MadeBy = true, a.now(), ""
	_, err = a.store.SaveThing(ctx, t)
	return err
}
