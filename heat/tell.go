package heat

import (
	"math"
	"slices"
	"sort"

	"barwright/internal/numeric"
	"barwright/source"
)

// Options say how much is computed and how.
type Options struct {
	Samples int             // runs behind bands and chances; 0: usualSamples
	Seed    uint64          // of the draw
	Workers int             // cores; 0: all there are
	Done    <-chan struct{} // closed when nobody waits any more: ErrStopped; nil: never
	Frames  int             // pictures of the cross-section
}

const usualSamples = 200

// Forecast is what a batch will do after the pour. Every low and high is a 5 %
// and a 95 % point over the draw.
type Forecast struct {
	Physics Physics      `json:"physics"`
	Series  Series       `json:"series"`
	Bands   Bands        `json:"bands"`
	Peak    Peak         `json:"peak"`
	Gel     Gel          `json:"gel"`
	TurnOut *Span        `json:"turn_out_s"` // nil: not within the time looked ahead
	Energy  Energy       `json:"energy"`
	Section Section      `json:"section"`
	Learned Learned      `json:"learned"`
	Grade   source.Grade `json:"grade"`
}

// Series is the likely course.
type Series struct {
	TimeS []float64 `json:"t_s"`
	CoreC []float64 `json:"core_c"`
	EdgeC []float64 `json:"edge_c"`
	MeanC []float64 `json:"mean_c"`
	MeanX []float64 `json:"mean_x"`
}

// Bands are the 5 % and 95 % points of every time by itself.
type Bands struct {
	CoreLowC  []float64 `json:"core_low_c"`
	CoreHighC []float64 `json:"core_high_c"`
}

// Peak is the highest temperature of the core and when.
type Peak struct {
	CoreC float64 `json:"core_c"`
	TimeS float64 `json:"t_s"`
	C     Span    `json:"c"`
	S     Span    `json:"s"`
}

// Span is a likely value between its 5 % and 95 % points.
type Span struct {
	Low     float64 `json:"low"`
	Typical float64 `json:"typical"`
	High    float64 `json:"high"`
}

// Gel is what gels.
type Gel struct {
	TemperatureC Span    `json:"temperature_c"`
	Chance       Chance  `json:"chance"`
	Likely       Outcome `json:"likely"`      // of the likely course
	SharePct     float64 `json:"share_pct"`   // of the volume, in the likely course
	FromS        float64 `json:"from_s"`      // when the core passes the line, in the likely course; 0: never
	OverheatC    float64 `json:"overheat_c"`  // what counts as overheated
	PartC        float64 `json:"part_c"`      // what a twentieth of the volume passes, in the likely course
	PartChance   float64 `json:"part_chance"` // of that part passing OverheatC
}

// Chance is how often each outcome came up in the draw, 0 to 1. The first
// three sum to 1; overheating stands apart.
type Chance struct {
	None     float64 `json:"none"`
	Partial  float64 `json:"partial"`
	Full     float64 `json:"full"`
	Overheat float64 `json:"overheat"`
}

// Section is the cross-section that the frames show, and where its points lie.
type Section struct {
	Across string    `json:"across"` // "width" of a box, "radius" of a cylinder
	OutM   []float64 `json:"out_m"`  // from the middle outward
	UpM    []float64 `json:"up_m"`   // from the bottom, or from the middle along a level cylinder
	Lying  bool      `json:"lying"`  // a level cylinder: seen from above, and half of its length
	Frames []Frame   `json:"frames"`
}

// Learned says what the forecast was drawn from.
type Learned struct {
	Batches int    `json:"batches"`
	Words   string `json:"words"` // "your last 6 batches", or that there are none
}

// Tell returns the forecast of a case. Its likely course is one run on the
// finer grid; bands and chances come from many on the coarser one.
func Tell(c Case, o Options) (*Forecast, error) {
	s := Shown
	s.UntilS, s.Frames = c.UntilS(), o.Frames
	likely := c.learned([moves]float64{})
	r, err := Solve(likely, s)
	if err != nil {
		return nil, err
	}
	f := &Forecast{Physics: likely, Energy: r.Energy, Grade: c.Grade(), Section: r.sectionOf(c), Learned: c.Belief.words()}
	f.Series = r.series()
	samples, err := c.samples(o)
	if err != nil {
		return nil, err
	}
	f.fillBands(samples)
	f.Peak = Peak{r.PeakC, r.PeakS, spanOf(r.PeakC, samples, func(s sample) float64 { return s.peakC }), spanOf(r.PeakS, samples, func(s sample) float64 { return s.peakS })}
	gelC := likely.Rate.GelC
	gelled := r.Gelled(gelC)
	spread := 1.645 * math.Hypot(c.Belief.settled()*deviation(GelSpread), c.ownGelSD)
	f.Gel = Gel{TemperatureC: Span{gelC - spread, gelC, gelC + spread}, Chance: chances(samples), Likely: outcomeOf(gelled), SharePct: 100 * gelled,
		FromS: firstOver(r, gelC), OverheatC: OverheatC(gelC), PartC: r.partC(), PartChance: share(samples, func(s sample) bool { return s.partOver })}
	f.TurnOut = turnOut(r.turnOutS(), samples)
	return f, nil
}

// sample is what is kept of one run of a draw.
type sample struct {
	timeS, coreC []float64
	peakC, peakS float64
	outcome      Outcome
	overheats    bool
	partOver     bool    // a part of it overheats
	turnOutS     float64 // +Inf: not in time
}

// samples runs the draw side by side.
func (c Case) samples(o Options) ([]sample, error) {
	n := o.Samples
	if n <= 0 {
		n = usualSamples
	}
	s := Sampled
	s.UntilS = c.UntilS()
	s.MostStepS = math.Max(s.MostStepS, s.UntilS/400)
	points := hypercube(n, o.Seed)
	out := make([]sample, n)
	err := o.each(n, func(i int) (err error) {
		out[i], err = c.sample(points[i], s)
		return err
	})
	return out, err
}

func (c Case) sample(point [draws]float64, s Settings) (sample, error) {
	p := c.drawn(point)
	r, err := Solve(p, s)
	if err != nil {
		return sample{}, err
	}
	limit := OverheatC(p.Rate.GelC)
	return sample{r.TimeS, r.CoreC, r.PeakC, r.PeakS, outcomeOf(r.Gelled(p.Rate.GelC)), r.PeakC > limit, r.HottestC > limit && r.Gelled(limit) > hotPart, r.turnOutS()}, nil
}

// turnOutS returns when core and conversion allow turning out [s], +Inf when
// not within the run.
func (r *Run) turnOutS() float64 {
	warm := len(r.TimeS) // the first time after which the core stays cool
	for warm > 0 && r.CoreC[warm-1] <= TurnOutC {
		warm--
	}
	done := sort.SearchFloat64s(r.MeanX, TurnOutX)
	if max(warm, done) == len(r.TimeS) {
		return math.Inf(1)
	}
	return max(r.meetsS(r.CoreC, warm, TurnOutC), r.meetsS(r.MeanX, done, TurnOutX))
}

// meetsS returns when values come to a level on the straight way to point i [s].
func (r *Run) meetsS(values []float64, i int, level float64) float64 {
	if i == 0 {
		return r.TimeS[0]
	}
	share := (level - values[i-1]) / (values[i] - values[i-1])
	return r.TimeS[i-1] + share*(r.TimeS[i]-r.TimeS[i-1])
}

func firstOver(r *Run, tC float64) float64 {
	i := slices.IndexFunc(r.CoreC, func(c float64) bool { return c > tC })
	if i < 0 {
		return 0
	}
	return r.TimeS[i]
}

// turnOut is nil when more than half of the draw, or the likely run, is not
// ready in time.
func turnOut(likely float64, samples []sample) *Span {
	late := 0
	for _, s := range samples {
		if math.IsInf(s.turnOutS, 1) {
			late++
		}
	}
	if math.IsInf(likely, 1) || 2*late > len(samples) {
		return nil
	}
	var times []float64
	for _, s := range samples {
		times = append(times, s.turnOutS)
	}
	slices.Sort(times)
	low, high := times[len(times)/20], times[len(times)-1-len(times)/20]
	if math.IsInf(high, 1) {
		last := samples[0].timeS
		high = last[len(last)-1] // not ready by then: at least that
	}
	return &Span{math.Min(low, likely), likely, math.Max(high, likely)}
}

func spanOf(likely float64, samples []sample, of func(sample) float64) Span {
	values := make([]float64, len(samples))
	for i, s := range samples {
		values[i] = of(s)
	}
	low := numeric.Quantile(values, 0.05)
	high := numeric.Quantile(values, 0.95)
	return Span{math.Min(low, likely), likely, math.Max(high, likely)}
}

func chances(samples []sample) Chance {
	of := func(o Outcome) float64 { return share(samples, func(s sample) bool { return s.outcome == o }) }
	return Chance{of(NoGel), of(PartialGel), of(FullGel), share(samples, func(s sample) bool { return s.overheats })}
}

func share(samples []sample, is func(sample) bool) float64 {
	n := 0
	for _, s := range samples {
		if is(s) {
			n++
		}
	}
	return float64(n) / float64(len(samples))
}

func (f *Forecast) fillBands(samples []sample) {
	n := len(f.Series.TimeS)
	f.Bands = Bands{make([]float64, n), make([]float64, n)}
	values, from := make([]float64, len(samples)), make([]int, len(samples))
	for i, t := range f.Series.TimeS {
		for j, s := range samples {
			for from[j] < len(s.timeS)-2 && s.timeS[from[j]+1] < t {
				from[j]++
			}
			values[j] = straight(s.timeS, s.coreC, from[j], t)
		}
		low := numeric.Quantile(values, 0.05)
		high := numeric.Quantile(values, 0.95)
		f.Bands.CoreLowC[i], f.Bands.CoreHighC[i] = math.Min(low, f.Series.CoreC[i]), math.Max(high, f.Series.CoreC[i])
	}
}

// straight returns the value at t between entries i and i+1.
func straight(times, values []float64, i int, t float64) float64 {
	share := (t - times[i]) / (times[i+1] - times[i])
	return values[i] + share*(values[i+1]-values[i])
}

// widestS is the widest gap in a series that is told [s].
const widestS = 300.0

// series returns the courses of a run, its wide gaps filled at the multiples of
// widestS: straight, since the run takes long steps only where little bends.
func (r *Run) series() (s Series) {
	add := func(i int, t float64) {
		s.TimeS = append(s.TimeS, t)
		s.CoreC = append(s.CoreC, straight(r.TimeS, r.CoreC, i, t))
		s.EdgeC = append(s.EdgeC, straight(r.TimeS, r.EdgeC, i, t))
		s.MeanC = append(s.MeanC, straight(r.TimeS, r.MeanC, i, t))
		s.MeanX = append(s.MeanX, straight(r.TimeS, r.MeanX, i, t))
	}
	for i := range len(r.TimeS) - 1 {
		from, to := r.TimeS[i], r.TimeS[i+1]
		add(i, from)
		for t := widestS * math.Floor(from/widestS+1); to-from > widestS && t < to; t += widestS {
			add(i, t)
		}
		if i == len(r.TimeS)-2 {
			add(i, to)
		}
	}
	return s
}

// sectionOf says where the points of the frames lie.
func (r *Run) sectionOf(c Case) Section {
	s := Section{Across: "radius", OutM: r.section.outM, UpM: r.section.upM, Lying: c.Axis == Level, Frames: r.Frames}
	if c.Shape == Box {
		s.Across = "width"
	}
	return s
}
