package web

import (
	"fmt"
	"html/template"
	"math"
	"net/http"
	"slices"
	"strings"

	"barwright/batch"
	"barwright/chart"
	"barwright/judging"
)

// judgeRoutes are tests, blind judging and score cards.
func (a *App) judgeRoutes() map[string]page {
	return map[string]page{
		"GET /batches/{id}/judge":    a.judgePage,
		"POST /batches/{id}/judge":   a.saveTest,
		"GET /judging":               a.rounds,
		"POST /judging":              a.newRound,
		"GET /judging/{round}":       a.round,
		"GET /taste/{round}":         a.taste,
		"GET /taste/{round}/{code}":  a.card,
		"POST /taste/{round}/{code}": a.saveCard,
	}
}

// judgePage is what may be tested of a batch, what was found, and what testers
// said.
type judgePage struct {
	making
	Verdict, VerdictTone string
	Tests                []testPart
	Samples              *samplePlan
	Hold                 string
	NotForSkin           string
	Rounds               []judgedRound // the newest first
	Fault                *tapFault
	Of                   string            // the test a fault is of
	Typed                map[string]string // what was typed into it
}

// testPart is one test and what it found.
type testPart struct {
	judging.Test
	Done []doneTest
}

// doneTest is one result.
type doneTest struct{ When, By, Words string }

// samplePlan is how many bars to take from where.
type samplePlan struct {
	N, Of  int
	Places []string
}

// judgedRound is a round the batch takes part in, and what its testers said. The
// rounds stand apart: the soap was of another age, and the testers are the same.
type judgedRound struct {
	ID   string
	Code int
	When string
	Days int // since the pour, 0 when nobody stamped it
	Said []saidLine

	rows []chart.Score
}

// saidLine is what the testers say to a question together.
type saidLine struct{ Question, Least, Most, Words string }

// Picture shows the scores with their intervals.
func (r judgedRound) Picture() template.HTML {
	return template.HTML(chart.Scores("said-"+r.ID, r.rows))
}

func (a *App) judgeOf(r *http.Request) (*judgePage, error) {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	of := m.State.Judging(a.now())
	p := &judgePage{making: m, Hold: heldOf(m.State), NotForSkin: of.NotForSkin(), Typed: map[string]string{}}
	p.Verdict, p.VerdictTone = verdict(m.State, of)
	for _, t := range of.Tests() {
		part := testPart{Test: t}
		for _, done := range m.State.Tests {
			if done.Test == t.Key {
				part.Done = append(part.Done, doneTest{a.moment(done.At), done.By, upperFirst(done.Words())})
			}
		}
		p.Tests = append(p.Tests, part)
	}
	if of.BarsCut > 0 {
		n, places := judging.Samples(of.BarsCut, badShare)
		p.Samples = &samplePlan{n, of.BarsCut, places}
	}
	for _, c := range slices.Backward(m.State.Codes) {
		round := judgedRound{ID: c.Round, Code: c.Code, When: a.moment(c.At)}
		if poured := m.State.Marks["pour"].At; !poured.IsZero() {
			round.Days = int(c.At.Sub(poured).Hours() / 24)
		}
		round.Said, round.rows = saidOf(m.State.CardsOf(c.Round))
		p.Rounds = append(p.Rounds, round)
	}
	return p, nil
}

// badShare is the share of bars that may have what a sample did not show.
const badShare = 0.1

// verdict is what the mass balance says.
func verdict(s *batch.State, of judging.Batch) (words, tone string) {
	b := s.Judged.Superfat
	switch {
	case of.SuperfatLowPct == nil:
		return "Not everything was weighed, or not everything was stamped: no figure says that the lye is used up.", "stop"
	case !(*of.SuperfatLowPct >= 0):
		return fmt.Sprintf("By its weights lye may be left over: superfat %s\u202f%%, likely from %s to %s.", number(b.Typical, 1), number(b.Low, 1), number(b.High, 1)), "stop"
	}
	return fmt.Sprintf("By its weights the lye is used up: superfat %s\u202f%%, likely from %s to %s.", number(b.Typical, 1), number(b.Low, 1), number(b.High, 1)), "ok"
}

// saidOf sums up cards, each question with its interval.
func saidOf(cards []judging.Card) (lines []saidLine, rows []chart.Score) {
	for _, q := range judging.Questions {
		if s, ok := judging.Summary(cards, q.Key); ok {
			lines = append(lines, saidLine{q.Text, q.Least, q.Most, scoreWords(s, "")})
			rows = append(rows, chart.Score{Name: q.Text, Least: q.Least, Most: q.Most, Said: s})
		}
	}
	if s, ok := judging.WashedAway(cards); ok {
		lines = append(lines, saidLine{Question: "Washed away in 20 washes", Words: scoreWords(s, "\u202fg")})
	}
	return lines, rows
}

// scoreWords says a mean with its interval.
func scoreWords(s judging.Said, unit string) string {
	of := fmt.Sprintf("%d testers", s.N)
	if s.N == 1 {
		of = "one tester, who speaks for nobody else"
	}
	if math.IsInf(s.High, 1) {
		return fmt.Sprintf("%s%s (%s)", number(s.Mean, 1), unit, of)
	}
	return fmt.Sprintf("%s%s, likely %s to %s (%s)", number(s.Mean, 1), unit, number(s.Low, 1), number(s.High, 1), of)
}

func (a *App) judgePage(w http.ResponseWriter, r *http.Request) error {
	p, err := a.judgeOf(r)
	if err != nil {
		return err
	}
	return a.showJudge(w, r, http.StatusOK, p)
}

func (a *App) showJudge(w http.ResponseWriter, r *http.Request, status int, p *judgePage) error {
	return a.show(w, r, status, "judge", "batches", p.Code+", tests and judging", p)
}

// saveTest keeps the result of a test. One that may not be done now is refused
// with its reason, and nothing is kept.
func (a *App) saveTest(w http.ResponseWriter, r *http.Request) error {
	p, err := a.judgeOf(r)
	if err != nil {
		return err
	}
	p.Of = r.PostFormValue("s.test")
	for key := range r.PostForm {
		p.Typed[key] = strings.TrimSpace(r.PostForm.Get(key))
	}
	if p.Fault = a.testFault(r, p); p.Fault != nil {
		return a.showJudge(w, r, http.StatusUnprocessableEntity, p)
	}
	r.PostForm.Set("kind", "tested")
	if err := a.stampForm(r, p.Batch, r.PostForm); err != nil {
		return err
	}
	http.Redirect(w, r, "/batches/"+p.ID+"/judge", http.StatusSeeOther)
	return nil
}

// testFault is what is wrong with a result that was typed, nil when it is fine.
func (a *App) testFault(r *http.Request, p *judgePage) *tapFault {
	data, err := dataOf(r.PostForm)
	if err != nil {
		return faultOf(err)
	}
	word := func(key string) string { s, _ := data[key].(string); return s }
	figure := func(key string) *float64 {
		if v, ok := data[key].(float64); ok {
			return &v
		}
		return nil
	}
	done := batch.Tested{Test: word("test"), Found: word("found"), Where: word("where"), FreeAlkaliPct: figure("free_alkali_pct"), PH: figure("ph"),
		ConcentrationPct: figure("concentration_pct"), C: figure("c"), Meter: word("meter")}
	if err := p.State.Judging(a.now()).Check(done.Result()); err != nil {
		return faultOf(err)
	}
	return nil
}

// faultOf is an error as a page tells it beside a form.
func faultOf(err error) *tapFault {
	if f, ok := err.(*tapFault); ok {
		return f
	}
	return badTap(err).(*tapFault)
}

// Text and Advice are what a page says of it.
func (f *tapFault) Text() string   { return upperFirst(f.text) }
func (f *tapFault) Advice() string { return upperFirst(f.advice) }
