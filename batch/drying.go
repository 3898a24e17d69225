package batch

import (
	"cmp"
	"math"
	"slices"

	"barwright/cure"
	"barwright/material"
	"barwright/mould"
	"barwright/plan"
)

// Bar is what the drying needs to know of the batch's bars.
func (s *State) Bar() cure.Bar {
	var b cure.Bar
	b.WaterFraction, b.DrySoapFraction = s.Sheet.Plan.FreshBar(s.Weights)
	b.SidesMM = s.sidesMM()
	if n := len(s.Rack.Places); n > 0 {
		b.RHPct, b.TC = s.Rack.Places[n-1].RHPct, s.Rack.Places[n-1].C
	}
	return b
}

// slabHeight is from which height against its narrower side a box is a loaf, cut
// across its length; below it is a slab, cut into squares.
const slabHeight = 0.7

// sidesMM are thickness, width and length of a bar, by the mould and the number
// of bars cut from it [mm]; nil where the mould does not say.
func (s *State) sidesMM() *[3]float64 {
	if s.Cut == nil {
		return nil
	}
	return sidesOf(s.Sheet.Recipe.Mould, s.Sheet.Plan.Batter.VolumeML, s.Cut.Bars)
}

func sidesOf(m *mould.Mould, batterML float64, cut int) *[3]float64 {
	if m == nil || m.Inside == nil || cut < 1 || m.Cavities() > 1 {
		return nil
	}
	bars := float64(cut)
	a, b := m.Inside.MM(0), m.Inside.MM(1)
	if m.Shape == mould.Cylinder {
		side := a * math.Sqrt(math.Pi/4) // a square of the same face
		return &[3]float64{b / bars, side, side}
	}
	long, wide := max(a, b), min(a, b)
	high := min(m.Inside.MM(2), batterML*1000/(a*b))
	if high >= slabHeight*wide {
		return &[3]float64{long / bars, wide, high}
	}
	side := math.Sqrt(a * b / bars)
	return &[3]float64{high, side, side}
}

// Series is every weighing of the marked bars, the oldest first, those of the
// cut included.
func (s *State) Series() []BarState {
	if s.Cut == nil {
		return nil
	}
	var out []BarState
	for i, g := range s.Cut.Each {
		if i < cure.MostBars && (s.isMarked(i+1) || i < usualMarked) {
			out = append(out, BarState{Bar: i + 1, G: g, At: s.Cut.At, By: s.Cut.By})
		}
	}
	if len(s.Cut.Each) == 0 && s.Cut.Mean != nil && len(s.Rack.Weighings) == 0 {
		out = append(out, BarState{Bar: 1, G: *s.Cut.Mean, At: s.Cut.At, By: s.Cut.By})
	}
	for _, w := range s.Rack.Weighings {
		if !w.At.Before(s.Cut.At) {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b BarState) int { return cmp.Or(a.At.Compare(b.At), a.Bar-b.Bar) })
	return out
}

// usualMarked is how many bars are weighed later where nobody says which.
const usualMarked = 3

func (s *State) isMarked(bar int) bool {
	return slices.ContainsFunc(s.Rack.Weighings, func(w BarState) bool { return w.Bar == bar })
}

// Marked are the marked bars by their numbers.
func (s *State) Marked() (bars []int) {
	for _, w := range s.Series() {
		if !slices.Contains(bars, w.Bar) {
			bars = append(bars, w.Bar)
		}
	}
	slices.Sort(bars)
	return bars
}

// Days is how long after the cut a weighing was.
func (s *State) Days(w BarState) float64 { return w.At.Sub(s.Cut.At).Hours() / 24 }

// Dry is what is believed of the batch's drying: from its bars, what like
// batches taught, and its own weighings. Weighings that make no series are an
// error with words.
func (s *State) Dry(h cure.Habit) (*cure.Drying, error) {
	b := s.Bar()
	if err := b.Check(); err != nil {
		return nil, err
	}
	return cure.Fit(b, b.Prior().With(h), s.Weighings())
}

// Weighings are those of Series as the drying counts them: marked bars one
// after the other from 0.
func (s *State) Weighings() []cure.Weighing {
	marked, series := s.Marked(), s.Series()
	out := make([]cure.Weighing, len(series))
	for i, w := range series {
		out[i] = cure.Weighing{Bar: slices.Index(marked, w.Bar), Day: s.Days(w), MassG: w.G}
	}
	return out
}

// Like says which batches dry alike: those of one mould, whose bars are of one
// size. The kind of oil hardly matters (docs/model/cure.md).
func (s *State) Like() cure.Like { return LikeOf(s.Sheet.Recipe.Mould) }

// LikeOf says which batches dry like one in a mould, nil for none.
func LikeOf(m *mould.Mould) cure.Like {
	if m == nil {
		return "no mould"
	}
	return cure.Like(cmp.Or(m.Name, m.Shape))
}

// RackLesson is what one batch taught: of its drying, once that is finished, and
// of turning out and cutting.
type RackLesson struct {
	Dried         *cure.Finished
	In            Setting
	TurnOut, Wire []cure.Tried
}

// RackLessons are those of several batches.
type RackLessons []RackLesson

// LearnRack gathers what batches taught.
func LearnRack(states []*State) (out RackLessons) {
	for _, s := range states {
		out = append(out, s.RackLesson())
	}
	return out
}

// RackLesson is what the batch taught. One that was left out, or whose series
// cannot be read, teaches nothing.
func (s *State) RackLesson() (l RackLesson) {
	if s.Rack.LeftOut {
		return l
	}
	set := s.Setting()
	l.In = set
	for _, c := range s.Rack.Came {
		switch c.Of {
		case "turn_out":
			l.TurnOut = append(l.TurnOut, cure.Tried{Prior: set.TurnOut(), Hours: c.AfterH, Past: c.How == "clean"})
		case "cut":
			l.Wire = append(l.Wire, cure.Tried{Prior: set.TooLate(), Hours: c.AfterH, Past: c.How == "crumbled"})
		}
	}
	if s.Cut == nil {
		return l
	}
	if d, err := s.Dry(cure.Habit{}); err == nil {
		if f, done := d.Finished(s.Like()); done {
			l.Dried = &f
		}
	}
	return l
}

// Habit is what they taught of bars that are alike.
func (l RackLessons) Habit(of cure.Like) cure.Habit {
	var found []cure.Finished
	for _, one := range l {
		if one.Dried != nil && one.Dried.Of == of {
			found = append(found, *one.Dried)
		}
	}
	return cure.Learn(found)
}

// Hours after the pour from which it comes out clean, and from which it crumbles
// under the wire. A relief mould teaches relief moulds, a salt bar salt bars: what
// one of them does by days or hours says little of a plain loaf.
func (l RackLessons) Hours(s Setting) (out, tooLate cure.Range) {
	var turned, cut []cure.Tried
	for _, one := range l {
		if one.In.Relief != s.Relief || one.In.HighSalt != s.HighSalt {
			continue
		}
		turned, cut = append(turned, one.TurnOut...), append(cut, one.Wire...)
	}
	return cure.TurningHours(s.TurnOut(), turned), cure.TurningHours(s.TooLate(), cut)
}

// Setting is what decides how soon a batch comes out and is cut.
type Setting = cure.Setting

// Shares that make a batch a case of its own: half the fats' weight of salt; and
// an iodine value from which a fat is liquid in a room. Common practice, no
// source.
const (
	highSalt     = 0.5
	liquidIodine = 75.0
)

// Setting reads it off the plan.
func (s *State) Setting() Setting { return SettingOf(s.Sheet.Plan, s.Sheet.Recipe.Mould) }

// SettingOf is what decides how soon a batch of a plan comes out of a mould, nil
// for any, and is cut.
func SettingOf(p *plan.Plan, m *mould.Mould) (out Setting) {
	share := func(g float64) float64 { return min(100, 100*g/p.FatsG) }
	for i, f := range p.Fats {
		switch m := p.FatMaterial(i); {
		case m.Kind == material.Wax:
			out.WaxPct += share(f.MassG)
		case m.Kind == material.Triglyceride && m.Iodine.Typical >= liquidIodine:
			out.SoftPct += share(f.MassG)
		}
	}
	saltG := 0.0
	for i, a := range p.Additions {
		switch p.AdditionMaterial(i).Kind {
		case material.Sugar:
			out.HoneyPct += share(a.MassG)
		case material.Salt:
			saltG += a.MassG
		}
	}
	out.WaxPct, out.SoftPct, out.HoneyPct = min(100, out.WaxPct), min(100, out.SoftPct), min(100, out.HoneyPct)
	out.HighSalt = saltG >= highSalt*p.FatsG
	out.Relief = m != nil && m.Volume != nil && m.Cavities() > 2
	return out
}
