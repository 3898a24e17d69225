package heat

// Enough is the chance from which on an outcome counts as reached, and
// mayOverheat the most a change toward full gel may overheat.
const (
	Enough      = 0.80
	mayOverheat = 0.20
)

// Suggestion is the least change that reaches a goal or, when none does, the
// one that leans to it and leaves the least chance of gelling halfway.
type Suggestion struct {
	Goal    Outcome `json:"goal"` // none or full
	Reached bool    `json:"reached"`
	Planned bool    `json:"planned"` // the plan as it is does it
	Words   string  `json:"words"`
	StartC  float64 `json:"start_c"`
	Rests   []Rest  `json:"-"`
	Chance  Chance  `json:"chance"`
}

// TooHot reports a change that gels fully as often as it should and overheats
// too often to be advised.
func (s Suggestion) TooHot() bool {
	return s.Goal == FullGel && s.Chance.Full >= Enough && s.Chance.Overheat > mayOverheat
}

// Advice is a suggestion for each goal and, where there is sugar, what an oven
// would do.
type Advice struct {
	Now         Chance       `json:"now"`
	Suggestions []Suggestion `json:"suggestions"`
	Oven        *Suggestion  `json:"oven"` // nil without sugar
	Runs        int          `json:"runs"` // behind every chance that is told
}

// Runs behind a glance, which only passes over what is far off, behind a first
// look, and behind a chance that is told.
const (
	glanceRuns = 4
	quickRuns  = 16
	sureRuns   = 96
)

// quick are the settings of runs that only count outcomes.
var quick = Settings{Grid: 3, MostStepS: 1800, ToleranceK: 0.8, Settled: true}

// Advise returns the least change for no gel and for full gel.
func Advise(c Case, l Limits, o Options) (Advice, error) {
	d := newDealer(o)
	var a Advice
	a.Runs = sureRuns
	a.Now = d.chance(c, sureRuns)
	for _, goal := range []Outcome{NoGel, FullGel} {
		a.Suggestions = append(a.Suggestions, d.suggest(c, goal, l, a.Now))
	}
	if c.sugarJ > 0 {
		oven := d.tell(c, change{Way{Words: "put it in an oven of 60 °C for 1 h, switch it off and leave it in", Rests: c.oven(1)}, c.Start.TC}, FullGel)
		a.Oven = &oven
	}
	return a, d.err
}

// dealer runs cases over one draw of nature, the same for all of them, so that
// chances differ by the cases and not by luck.
type dealer struct {
	points  map[int][][draws]float64 // by how many
	workers int
	done    <-chan struct{}
	err     error
}

func newDealer(o Options) *dealer {
	d := &dealer{points: map[int][][draws]float64{}, workers: o.Workers, done: o.Done}
	for i, n := range []int{sureRuns, quickRuns, glanceRuns} {
		d.points[n] = hypercube(n, o.Seed+uint64(i))
	}
	return d
}

// chance returns the chances of a case over n runs, one of the three numbers.
func (d *dealer) chance(c Case, n int) Chance {
	points := d.points[n]
	s := quick
	s.UntilS = c.UntilS()
	out, errs := make([]sample, n), make([]error, n)
	if d.err == nil {
		d.err = sideBySide(n, d.workers, d.done, func(i int) { out[i], errs[i] = c.sample(points[i], s) })
	}
	if d.err != nil {
		return Chance{Partial: 1}
	}
	for _, err := range errs {
		if err != nil && d.err == nil {
			d.err = err
		}
	}
	return chances(out)
}

func (d *dealer) with(c Case, ch change, n int) Chance {
	next, err := c.With(ch.startC, ch.Rests)
	if err != nil {
		d.err = err
		return Chance{Partial: 1}
	}
	return d.chance(next, n)
}

func (d *dealer) tell(c Case, ch change, goal Outcome) Suggestion {
	s := Suggestion{Goal: goal, Words: ch.Words, StartC: ch.startC, Rests: ch.Rests, Chance: d.with(c, ch, sureRuns)}
	s.Reached = s.Chance.reaches(goal)
	return s
}

// suggest tries the changes in the order of their effort.
func (d *dealer) suggest(c Case, goal Outcome, l Limits, now Chance) Suggestion {
	asPlanned := Suggestion{Goal: goal, Reached: true, Planned: true, Words: "leave it as planned", StartC: c.Start.TC, Rests: c.Rests, Chance: now}
	if now.reaches(goal) {
		return asPlanned
	}
	var best *change
	bestChance := d.chance(c, quickRuns)
	for _, ch := range c.changes(goal, l) {
		if q := d.with(c, ch, glanceRuns); q.Of(goal) == 0 && !bestChance.burns(goal) {
			continue // far off
		}
		q := d.with(c, ch, quickRuns) // as many runs as the best so far: they differ by the change and not by luck
		if q.Of(goal) >= Enough-0.1 && !q.burns(goal) {
			if s := d.tell(c, ch, goal); s.Reached {
				return s
			}
		}
		if q.betterThan(bestChance, goal) {
			best, bestChance = &ch, q
		}
	}
	if best != nil {
		if s := d.tell(c, *best, goal); s.Chance.betterThan(now, goal) {
			return s
		}
	}
	asPlanned.Reached, asPlanned.Planned = false, false
	return asPlanned
}

// burns reports a way to full gel that overheats too often to look at.
func (c Chance) burns(goal Outcome) bool { return goal == FullGel && c.Overheat > mayOverheat+0.1 }

// betterThan ranks chances that do not reach a goal: first those that lean to
// it, the less halfway the better; else the more likely it is. Toward full gel
// what may overheat comes last, and of two that do the one that does so less.
func (c Chance) betterThan(other Chance, goal Outcome) bool {
	away := map[Outcome]Outcome{NoGel: FullGel, FullGel: NoGel}[goal]
	leans := func(c Chance) bool { return c.Of(goal) > c.Of(away) && c.Of(goal) > c.Partial }
	switch {
	case c.burns(goal) != other.burns(goal):
		return other.burns(goal)
	case c.burns(goal):
		return c.Overheat < other.Overheat-1e-9
	case leans(c) != leans(other):
		return leans(c)
	case leans(c):
		return c.Partial < other.Partial-1e-9
	}
	return c.Of(goal) > other.Of(goal)+1e-9
}

// Of returns the chance of an outcome.
func (c Chance) Of(o Outcome) float64 {
	switch o {
	case NoGel:
		return c.None
	case FullGel:
		return c.Full
	}
	return c.Partial
}

// reaches reports whether an outcome has chance enough, without overheating.
func (c Chance) reaches(goal Outcome) bool {
	return c.Of(goal) >= Enough && (goal == NoGel || c.Overheat <= mayOverheat)
}

// Likeliest returns the outcome with the greatest chance.
func (c Chance) Likeliest() Outcome {
	best := PartialGel
	for _, o := range []Outcome{NoGel, FullGel} {
		if c.Of(o) > c.Of(best) {
			best = o
		}
	}
	return best
}
