package web

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"strings"

	"barwright/chart"
	"barwright/finding"
	"barwright/formulate"
	"barwright/quantity"
)

// answerView is what came of the wishes, as the page shows it.
type answerView struct {
	*formulate.Answer
	Whole    bool // with what the wishes cost, the curve and nature
	Recipes  []offered
	Made     int // of them, how many can be made; they stand first
	Clashes  []formulate.Clash
	Ways     []wayOut
	Currency string
	BaseName string
	Proof    string
	Costs    string // what being sure costs

	trade chart.Trade
}

// offered is one recipe that fits.
type offered struct {
	formulate.Recipe
	Comes  string // its objective, in words
	Head   string
	Open   template.URL // as a new recipe
	Next   template.URL // as the next version of the one it is from, "" without
	Lye    string
	Told   []finding.Finding
	Beside []beside
	Apart  string // where it differs most from the old one, "" when nowhere by much
}

// beside is one line of how two recipes behave.
type beside struct{ Name, Was, Is string }

// wayOut is a relaxation with what its button sends.
type wayOut struct{ Words, Do string }

func viewOf(answer *formulate.Answer, p *formulatePage, whole bool) *answerView {
	v := &answerView{Answer: answer, Whole: whole, Clashes: slices.Clone(answer.Clash), Currency: p.Currency, BaseName: p.BaseName, Proof: answer.ProofWords(p.Currency)}
	for i := range answer.Recipes {
		v.Recipes = append(v.Recipes, v.offer(i, p))
		if answer.Recipes[i].Safe {
			v.Made++
		}
	}
	for i := range v.Clashes {
		v.Clashes[i].Words = p.inGrams(v.Clashes[i])
	}
	for i, r := range answer.Relaxations {
		w := wayOut{Words: p.wayInGrams(answer.Clash[i], r)} // one for each
		if r.Edits != nil {
			w.Do = fixOf(w.Words, r.Edits)
		}
		v.Ways = append(v.Ways, w)
	}
	if n := answer.Nature; n != nil && n.Costs != nil && *n.Costs > 0 {
		v.Costs = answer.ObjectiveWords(*n.Costs, p.Currency)
	}
	v.drawCurve(p)
	return v
}

// Calm reports that something told is fine as it will be weighed: it is no
// warning.
func (o offered) Calm(f finding.Finding) bool {
	return f.ID == "lye_margin" && o.Plan().Superfat.AsWeighed.Worst >= 0 && strings.HasPrefix(f.Title, "Safe as it will be weighed")
}

// offer prepares one recipe for the page.
func (v *answerView) offer(i int, p *formulatePage) offered {
	r := v.Answer.Recipes[i]
	o := offered{Recipe: r, Comes: v.ObjectiveWords(r.Objective, v.Currency), Head: firstHeads[v.Minimise]}
	switch {
	case !r.Safe:
		o.Head = "Not to be made, though it fits"
	case i > 0:
		o.Head = fmt.Sprintf("Another, %s points away", plainNumber(*r.Distance, 1))
	case v.BestIsSpoiled():
		o.Head = "One that can be made"
	}
	o.Open, o.Next = linksTo(r, p)
	for k, f := range r.Fats {
		if label, ok := p.labels[f.Lot]; ok {
			r.Fats[k].Lot = label
		}
	}
	for _, f := range r.Findings {
		if f.Severity <= finding.Caution {
			o.Told = append(o.Told, f)
		}
	}
	var lye []string
	for _, a := range r.Plan().Alkali {
		lye = append(lye, fmt.Sprintf("%s\u202fg %s", number(a.MassG, 1), lowerFirst(a.Name)))
	}
	o.Lye = fmt.Sprintf("%s in %s\u202fg water", strings.Join(lye, " and "), number(r.Plan().WaterG, 0))
	if was := v.Answer.Was; was != nil {
		o.Beside, o.Apart = besides(was.Values, r.Behaves.Values), mostApart(was.Values, r.Behaves.Values)
	}
	return o
}

var firstHeads = map[string]string{formulate.Cost: "The cheapest", formulate.Distance: "The nearest", formulate.Change: "The least change", formulate.Behaviour: "The most alike"}

// linksTo are the addresses of the planning page with the recipe written in: as
// a new one, and as the next version of the one it is from.
func linksTo(r formulate.Recipe, p *formulatePage) (open, next template.URL) {
	keys := url.Values{}
	for i, f := range r.Plan().Fats {
		keys.Set(fmt.Sprintf("%sfats.%d.material", keyPrefix, i), ownLot(r, f.Material))
		keys.Set(fmt.Sprintf("%sfats.%d.share", keyPrefix, i), plainNumber(f.SharePct, 2)+" %")
	}
	for _, key := range []string{"superfat", "lye_strength"} {
		if text := p.Draft.fields[key]; text != "" {
			keys.Set(keyPrefix+key, text)
		}
	}
	if p.BaseID != "" {
		next = template.URL("/recipes/" + url.PathEscape(p.BaseID) + "?version=" + url.QueryEscape(p.Base) + "&" + keys.Encode())
		keys.Set("of", p.Base)
	} else {
		for key, text := range p.Draft.fields {
			if strings.HasPrefix(key, "alkali.") || strings.HasPrefix(key, "combine.") {
				keys.Set(keyPrefix+key, text)
			}
		}
		keys.Set(keyPrefix+"size.fats", quantity.Grams(r.Plan().FatsG).String())
	}
	keys.Set(keyPrefix+"name", r.Name)
	return template.URL("/recipes/new?" + keys.Encode()), next
}

// ownLot is the lot of our own that all of a fat comes from, which planning would
// not take by itself; else the fat.
func ownLot(r formulate.Recipe, fat string) string {
	lot := fat
	for _, f := range r.Fats {
		switch {
		case f.Material != fat:
		case f.Free && f.Lot != "" && lot == fat:
			lot = f.Lot
		default:
			return fat // some of it is bought
		}
	}
	return lot
}

// besides compares how two recipes behave; what is next to nothing in both is
// left out.
func besides(was, is []formulate.Behaves) (out []beside) {
	for i, now := range is {
		if i >= len(was) || was[i].Name != now.Name {
			continue
		}
		if small(was[i].Value) && small(now.Value) {
			continue
		}
		out = append(out, beside{upperFirst(now.Name), behavesWords(was[i]), behavesWords(now)})
	}
	return out
}

// apartBy is how many per cent of the fatty acids two recipes differ by before it
// is told.
const apartBy = 3

// mostApart says in which kinds of fatty acids two recipes differ most, two at most.
func mostApart(was, is []formulate.Behaves) string {
	type gap struct {
		by    float64
		words string
	}
	var gaps []gap
	for i, now := range is {
		if i < len(was) && now.Unit == "%" && strings.Contains(now.Name, "acid") && was[i].Value != nil && now.Value != nil {
			if by := math.Abs(*now.Value - *was[i].Value); by >= apartBy {
				gaps = append(gaps, gap{by, fmt.Sprintf("%s %s instead of %s", now.Name, behavesWords(now), behavesWords(was[i]))})
			}
		}
	}
	slices.SortStableFunc(gaps, func(a, b gap) int { return cmp.Compare(b.by, a.by) })
	var words []string
	for _, g := range gaps[:min(2, len(gaps))] {
		words = append(words, g.words)
	}
	return strings.Join(words, ", ")
}

func small(v *float64) bool { return v == nil || math.Abs(*v) < 0.05 }

func behavesWords(b formulate.Behaves) string {
	if b.Value == nil {
		return "none"
	}
	text := number(*b.Value, 1)
	if b.Unit == "" {
		return text
	}
	return text + "\u202f" + b.Unit
}

// Offered reports whether there is something to show.
func (v *answerView) Offered() bool { return len(v.Recipes) > 0 }

// Kept says in how many of nature's draws the best recipe meets every wish.
func (v *answerView) Kept() string { return number(100*v.Nature.Kept, 0) + "\u202f%" }

// keptLine is one limit with how often it holds.
type keptLine struct{ Words, Kept string }

// KeptLines are the limits that nature has a say in.
func (v *answerView) KeptLines() (out []keptLine) {
	for _, l := range v.Nature.Limits {
		out = append(out, keptLine{upperFirst(l.Words), number(100*l.Kept, 0) + "\u202f%"})
	}
	return out
}

// Unsure reports a best recipe that nature breaks more than once in twenty.
func (v *answerView) Unsure() bool {
	return !v.Nature.Robust && v.Nature.Kept < 0.95 && len(v.Nature.Limits) > 0
}

// SureDo is what the button for the robust option sends.
func (v *answerView) SureDo() string {
	return fixOf("sure in 95 % of nature's draws", []finding.Edit{{Key: "robust", Value: "95 %"}})
}

// drawCurve prepares the picture of the trade-off.
func (v *answerView) drawCurve(p *formulatePage) {
	if len(v.Curve) == 0 {
		return
	}
	of := p.Draft.fields["curve.quantity"]
	v.trade = chart.Trade{Name: "What one wish costs", Limit: upperFirst(v.CurveOf), Comes: curveComes(v.Minimise, v.Currency)}
	for _, q := range formulate.Quantities() {
		if q.Name == of {
			v.trade.Unit = q.Unit
		}
	}
	for _, c := range v.Curve {
		point := chart.TradePoint{Value: c.Value}
		if c.Objective != nil {
			point.Objective, point.Fits = *c.Objective, true
		}
		v.trade.Points = append(v.trade.Points, point)
	}
}

func curveComes(minimise, currency string) string {
	switch minimise {
	case formulate.Cost:
		return currency + " a kilo of fats"
	case formulate.Change:
		return "points of change"
	case formulate.Behaviour:
		return "points apart in behaviour"
	}
	return "distance from the targets"
}

// Trade and TradeNarrow are the curve. The chart package escapes what it
// writes.
func (v *answerView) Trade() template.HTML { return template.HTML(chart.TradeCurve(v.trade)) }

// TradeNarrow is the same for the width of a phone.
func (v *answerView) TradeNarrow() template.HTML {
	return template.HTML(chart.TradeCurveNarrow(v.trade))
}

// curveLine is one point of the curve as a line of its table.
type curveLine struct{ At, Comes string }

// CurveLines are the points in words.
func (v *answerView) CurveLines() (out []curveLine) {
	for _, q := range v.trade.Points {
		l := curveLine{strings.TrimSpace(plainNumber(q.Value, 3) + " " + v.trade.Unit), "nothing fits"}
		if q.Fits {
			l.Comes = v.ObjectiveWords(q.Objective, v.Currency)
		}
		out = append(out, l)
	}
	return out
}
