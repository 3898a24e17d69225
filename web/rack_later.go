package web

import (
	"fmt"
	"math"
	"net/url"
	"strings"
	"time"

	"barwright/cure"
	"barwright/quantity"
)

// laterWords are a bar on a later day.
type laterWords struct {
	Date    string // as typed
	On      string
	Day     string
	Bars    []laterBar
	Kept    string
	Water   string
	Shorter string
	Fault   string
}

type laterBar struct{ Bar, G string }

// mostLater is how far ahead a bar is foretold [days].
const mostLater = 3 * 365

// later tells the bars on a day; without one, a year after the cut.
func (p *batchRackPage) later(date string, now time.Time) laterWords {
	on := p.on(365)
	out := laterWords{Date: date}
	if date != "" {
		at, err := time.ParseInLocation(time.DateOnly, date, now.Location())
		if err != nil {
			out.Fault = "“" + cutTo(date, 20) + "” is no day, like 2027-03-14"
			return out
		}
		on = at.Add(12 * time.Hour)
	}
	day := p.day(on)
	if day < 0 && day > -1 {
		day, on = 0, p.State.Cut.At
	}
	if day < 0 || day > mostLater {
		out.Fault = "a day from the cut on, three years ahead at most"
		return out
	}
	out.Date, out.On, out.Day = on.Format(time.DateOnly), on.Format("2 January 2006"), number(day, 0)
	for i, bar := range p.State.Marked() {
		out.Bars = append(out.Bars, laterBar{fmt.Sprint(bar), rangeG(p.Dry.MassG(i, day))})
	}
	kept, water, shorter := p.Dry.Kept(day), p.Dry.Water(day), p.Dry.Shrinkage(day)
	out.Kept, out.Water, out.Shorter = rangePct(kept), rangePct(water), rangePct(shorter)
	return out
}

func rangePct(r cure.Range) string {
	return fmt.Sprintf("%s\u202f%% (%s to %s)", number(100*r.Middle, 1), number(100*r.Low, 1), number(100*r.High, 1))
}

// netWords are what may be printed, as a net weight that stays true.
type netWords struct {
	Place, Months, Wish string // as typed
	Fault               string // why nothing can be said
	Print               string // the most that stays true
	Until               string
	Because             []string
	Rule                string
	Refused             string
	Needs               string // at the cut, for the wish
	Fine                string // the wish stays true
}

// usualMonths is the shelf time where none is typed [months].
const usualMonths, mostMonths = 12.0, 60.0

const daysPerMonth = 365.25 / 12

func (p *batchRackPage) net(form url.Values) (n netWords) {
	n = netWords{Place: form.Get("sold"), Months: form.Get("months"), Wish: strings.TrimSpace(form.Get("label"))}
	if n.Place == "" {
		n.Place = cure.Places[0].Key
	}
	if n.Months == "" {
		n.Months = bare(usualMonths, 0)
	}
	place, known := cure.PlaceOf(n.Place)
	months, err := numberTyped(n.Months)
	switch {
	case !known:
		n.Fault = "Choose where it is sold."
		return n
	case err != nil || !(months >= 0.5 && months <= mostMonths):
		n.Fault = "The shelf time is half a month to 60 months."
		return n
	case len(p.State.Cut.Each) == 0:
		n.Rule = "No bars were weighed one by one at the cut, so nothing bounds the lightest. Weigh ten of the next batch and write them down with its cut."
		return n
	}
	got, err := p.Dry.Net(cure.Cuts{EachG: p.State.Cut.Each, Every: len(p.State.Cut.Each) == p.State.Cut.Bars, ScaleG: stepOf(p.State.Cut.Each)}, place, months*daysPerMonth, 1)
	if err != nil {
		n.Fault = upperFirst(err.Error()) + "."
		return n
	}
	n.Rule = place.Rule
	n.tell(got, p)
	n.wish(got, p)
	return n
}

func (n *netWords) tell(got cure.Net, p *batchRackPage) {
	n.Until = p.on(got.ShelfDays).Format("January 2006")
	weighed := len(p.State.Cut.Each)
	every := weighed == p.State.Cut.Bars
	bars := fmt.Sprintf("%d of %d bars weighed at the cut: with 95\u202f%% confidence they average %s\u202fg at least, and 95 of 100 weigh %s\u202fg at least", weighed, p.State.Cut.Bars, number(got.MeanG, 1), number(got.OneG, 1))
	if every {
		bars = fmt.Sprintf("every one of the %d bars was weighed at the cut: they average %s\u202fg, and the lightest weighs %s\u202fg", weighed, number(got.MeanG, 1), number(got.OneG, 1))
	}
	n.Because = []string{bars, fmt.Sprintf("at the end of the shelf time a bar has kept %s\u202f%% at least", number(100*got.KeptLow, 1))}
	if got.PrintG <= 0 {
		n.Because = append(n.Because, "no whole gram stays true by that")
		return
	}
	n.Print = number(got.PrintG, 0) + "\u202fg"
	if n.Place == "us" {
		n.Print += " (" + number(math.Floor(100*got.PrintG/28.349523125)/100, 2) + "\u202foz)"
	}
	who := "nearly every one"
	if every {
		who = "the lightest"
	}
	n.Because = append(n.Because, fmt.Sprintf("a single bar may lack %s\u202fg of that there, and %s still weighs %s\u202fg", number(got.TolerableG, 1), who, number(got.NearlyEveryG, 1)))
	if weighed < 8 && !every {
		n.Because = append(n.Because, fmt.Sprintf("%d weights bound the lightest bar loosely; ten at the next cut would allow more", weighed))
	}
}

// wish judges the weight that the maker would like to print.
func (n *netWords) wish(got cure.Net, p *batchRackPage) {
	if n.Wish == "" {
		return
	}
	m, err := quantity.ParseMass(n.Wish)
	g := 0.0
	if err == nil {
		g = m.G()
	} else if g, err = numberTyped(n.Wish); err != nil {
		n.Fault = "“" + cutTo(n.Wish, 30) + "” is no weight, like 95 g."
		return
	}
	if !(g > 0 && g <= 5000) {
		n.Fault = "A bar weighs more than nothing and less than 5\u202fkg."
		return
	}
	refusal := got.Refuse(g)
	if refusal == nil {
		n.Fine = fmt.Sprintf("%s\u202fg stays true until %s.", bare(g, 1), n.Until)
		return
	}
	n.Refused = fmt.Sprintf("%s\u202fg is refused: it would become untrue in %s.", bare(g, 1), p.on(refusal.FromDay).Format("January 2006"))
	if refusal.FromDay <= 0 {
		n.Refused = fmt.Sprintf("%s\u202fg is refused: it would be untrue from the cut on, in %s.", bare(g, 1), p.State.Cut.At.Format("January 2006"))
	}
	n.Refused += " " + upperFirst(strings.TrimSuffix(refusal.Why, ".")) + "."
	times, known := got.ThicknessTimes(g)
	switch {
	case !known:
		n.Needs = "The rule says nothing of bars of such a weight."
	case p.State.Bar().SidesMM != nil:
		n.Needs = fmt.Sprintf("For it cut the next bars %s\u202fmm thick, where these were %s\u202fmm.", number(p.State.Bar().SidesMM[0]*times, 1), number(p.State.Bar().SidesMM[0], 1))
	default:
		n.Needs = fmt.Sprintf("For it the next bars have to be %s times as thick, or %s\u202fg at the cut.", number(times, 2), number(got.MeanG*times, 0))
	}
}

// stepOf is the step of the scale that bars were weighed on, as their weights
// show it [g]: tenths, or whole grams.
func stepOf(each []float64) float64 {
	for _, g := range each {
		if g != math.Trunc(g) {
			return 0.1
		}
	}
	return 1
}
