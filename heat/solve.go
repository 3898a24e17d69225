package heat

import (
	"math"
	"slices"
)

// Settings say how a case is solved.
type Settings struct {
	Grid       Resolution
	UntilS     float64 // how long to look ahead [s]
	MostStepS  float64 // the longest step, and so the widest gap of a run [s]; its multiples are met. A body that cools fast takes shorter ones, a quarter at least
	ToleranceK float64 // error of the reaction's heat allowed in one step [K], second order's
	LateS      float64 // how much too late a reaction that speeds up may be after one step [s], second order's; 0: any
	Frames     int     // how many pictures of the cross-section to keep; 0: none
	Settled    bool    // stop early, once nothing more can gel or overheat and the batch could be turned out
}

// Usual settings of the run that is shown and of the many behind a band.
var (
	Shown   = Settings{Grid: Fine, UntilS: 24 * 3600, MostStepS: 3600, ToleranceK: 0.4, LateS: 2}
	Sampled = Settings{Grid: Coarse, UntilS: 24 * 3600, MostStepS: 3600, ToleranceK: 0.4, LateS: 2}
)

// Run is the course of one case.
type Run struct {
	TimeS               []float64
	CoreC, EdgeC, MeanC []float64
	MeanX               []float64
	PeakC, PeakS        float64 // of the core
	HottestC            float64 // anywhere, at any time
	Energy              Energy
	Frames              []Frame
	Steps, Nodes        int
	grid                grid
	section             section
	reached             []float64 // highest temperature of every node [°C]
}

// Energy is the account of one run, of one whole body [J].
type Energy struct {
	ReleasedJ   float64 `json:"released_J"`
	LostJ       float64 `json:"lost_J"`   // through the faces, from the outside of the walls
	StoredJ     float64 `json:"stored_J"` // in batter and walls, above the start
	SinkJ       float64 `json:"sink_J"`   // gone into steam
	ResidualPct float64 `json:"residual_pct"`
}

// solver is a case on its grid while it is being solved.
type solver struct {
	Physics
	Settings
	reactor
	f        *field
	x, root  []float64 // conversion of every node, and the root of what is left
	weight   []float64
	lines    []line
	around   float64 // temperature of the surroundings [°C]
	now      float64 // [s]
	next     int     // stage that comes next
	dtS      float64
	longestS float64 // how long a step may be in this place [s]
	perK     float64 // heat of the whole body per kelvin [J/K]
	account  Energy
	kept     saved
	section  section
	cells
}

// saved is how a step began: what a rejected one goes back to.
type saved struct {
	body, x, root []float64
	walls         [][2][]float64
	account       Energy
}

// Solve returns the course of a case; the error is of ErrCase.
func Solve(p Physics, s Settings) (*Run, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	v := newSolver(p, s)
	r := &Run{grid: v.f.grid, section: v.section, Nodes: len(v.x), PeakC: math.Inf(-1), reached: make([]float64, len(v.x))}
	for i := range r.reached {
		r.reached[i] = math.Inf(-1)
	}
	v.enter(0)
	v.note(r)
	for v.now < s.UntilS*(1-1e-12) && !(s.Settled && v.settled(r)) {
		v.step()
		v.note(r)
		r.Steps++
	}
	if n := len(r.Frames); n > 0 && r.Frames[n-1].TimeS < v.now {
		r.Frames = append(r.Frames, v.frame())
	}
	r.HottestC = slices.Max(r.reached)
	r.Energy = v.balance()
	return r, nil
}

func newSolver(p Physics, s Settings) *solver {
	g := newGrid(p.Body, s.Grid)
	v := &solver{Physics: p, Settings: s, reactor: newReactor(p), f: newField(g), x: make([]float64, g.nodes()), root: make([]float64, g.nodes()), weight: g.weights(), dtS: 5}
	v.perK = p.DensityKgM3 * p.HeatJKgK * p.VolumeM3()
	for i := range v.x {
		v.x[i], v.root[i] = p.Start.X, v.order.root(1-p.Start.X)
		v.f.body[i] = p.Start.TC
	}
	v.buildWalls()
	v.cells = newCells(g)
	if s.Frames > 0 {
		v.section = newSection(g)
	}
	v.kept = saved{body: make([]float64, len(v.x)), x: make([]float64, len(v.x)), root: make([]float64, len(v.x)), walls: make([][2][]float64, len(g.axes))}
	for axis, ends := range v.f.walls {
		for end, wall := range ends {
			if wall != nil {
				v.kept.walls[axis][end] = make([]float64, len(wall))
			}
		}
	}
	return v
}

// enter begins a stage: temperatures are counted from the new surroundings.
func (v *solver) enter(stage int) {
	s := v.Stages[stage]
	v.f.shift(v.around - s.TC)
	v.around = s.TC
	v.lines = v.lines[:0]
	slowest := 0.0 // decay there is [1/s]
	for i, a := range v.f.axes {
		v.f.steps[i].dtS = 0
		l := newLine(a, v.ConductivityWMK/(v.DensityKgM3*v.HeatJKgK), v.faces(v.f.kinds[i], s))
		v.lines = append(v.lines, l)
		slowest += l.values[0]
	}
	v.longestS = math.Min(v.MostStepS, math.Max(v.MostStepS/4, straightFor/slowest))
	v.next = stage + 1
	v.dtS = math.Min(v.dtS, 60) // a new place changes the edge quickly
}

// step takes one step that is accurate enough.
func (v *solver) step() {
	dt := v.length()
	for {
		missed := v.advance(dt, v.reactAll)
		grow := 0.9 / math.Cbrt(math.Max(missed, 1e-12))
		if missed <= 3 || dt <= shortestS {
			// It may have been short for the clock's sake only.
			v.dtS = math.Max(shortestS, math.Min(dt*math.Max(0.3, grow), 1.5*math.Max(dt, v.dtS)))
			break
		}
		v.restore()
		dt *= math.Max(0.2, grow)
		v.dtS = dt
	}
	v.now += dt
	if v.next < len(v.Stages) && v.now >= v.Stages[v.next].FromS*(1-1e-12) {
		v.now = v.Stages[v.next].FromS
		v.enter(v.next)
	}
}

// straightFor is the longest step as a share of the time in which the body cools to
// 1/e: between its ends a straight line stands for the course.
const straightFor = 0.2

// shortestS is a step that is taken whatever its error [s].
const shortestS = 0.1

// length returns the length of the next step [s]: no longer than is accurate,
// and such that stages and the multiples of MostStepS are met.
func (v *solver) length() float64 {
	mark := v.MostStepS * math.Floor(v.now/v.MostStepS*(1+1e-12)+1)
	until := math.Min(v.UntilS, math.Max(mark, v.now+1))
	if v.next < len(v.Stages) {
		until = math.Min(until, v.Stages[v.next].FromS)
	}
	left, dtS := until-v.now, math.Min(v.dtS, v.longestS)
	switch {
	case dtS > left*(1-1e-9):
		return left
	case dtS > left/2:
		return left / 2
	}
	return dtS
}

// advance takes a step of dtS: half of the conduction, all that happens at the
// nodes by local, the other half of the conduction, axes in the other order
// (Strang). It returns the largest error local reports, as a multiple of what is
// allowed.
func (v *solver) advance(dtS float64, local func(dtS float64) float64) (missed float64) {
	v.save()
	v.sharpen()
	for i, l := range v.lines {
		l.over(dtS/2, &v.f.steps[i])
	}
	lost := 0.0
	for i, l := range v.lines {
		lost += v.f.conduct(i, l)
	}
	missed = local(dtS)
	for i := len(v.lines) - 1; i >= 0; i-- {
		lost += v.f.conduct(i, v.lines[i])
	}
	v.account.LostJ += lost * v.f.times * v.DensityKgM3 * v.HeatJKgK
	return missed
}

// reactAll lets every node react for dtS, and boil. Conduction changes its
// temperature meanwhile: by twice what it did in the half step just taken. It
// returns how many times as far off as allowed the worst node would be by a rule of
// second order: in heat and, where the reaction speeds up, in how late it comes. An
// error made then grows with the reaction; one made where it slows down does not.
func (v *solver) reactAll(dtS float64) (missed float64) {
	limit, around := v.Boiling.TC-v.around, v.around
	released, sunk, off, lateS := 0.0, 0.0, 0.0, 0.0
	body, start := v.f.body, v.kept.body[:len(v.f.body)]
	x, root, weight, ramps := v.x[:len(body)], v.root[:len(body)], v.weight[:len(body)], v.ramps[:len(body)]
	for i, t := range body {
		if before := x[i]; before < 1 {
			var middle, more float64
			root[i], x[i], middle, more = v.react(root[i], before, around+start[i], 2*(t-start[i]), dtS, ramps[i])
			if more > lateS*middle {
				lateS = more / middle
			}
			if more = min(math.Abs(more), 1) * (1 - before); more > off {
				off = more
			}
			t += v.riseK * (x[i] - before)
			released += weight[i] * (x[i] - before)
		}
		if t > limit {
			sunk += weight[i] * (t - limit)
			t = limit
		}
		body[i] = t
	}
	v.account.ReleasedJ += released * v.riseK * v.perK
	v.account.SinkJ += sunk * v.perK
	if missed = off * v.riseK / v.ToleranceK; v.LateS > 0 {
		missed = math.Max(missed, lateS/v.LateS)
	}
	return missed
}

func (v *solver) save() {
	copy(v.kept.body, v.f.body)
	copy(v.kept.x, v.x)
	copy(v.kept.root, v.root)
	v.copyWalls(v.kept.walls, v.f.walls)
	v.kept.account = v.account
}

func (v *solver) restore() {
	copy(v.f.body, v.kept.body)
	copy(v.x, v.kept.x)
	copy(v.root, v.kept.root)
	v.copyWalls(v.f.walls, v.kept.walls)
	v.account = v.kept.account
}

func (v *solver) copyWalls(dst, src [][2][]float64) {
	for axis := range src {
		for end := range src[axis] {
			copy(dst[axis][end], src[axis][end])
		}
	}
}

// note writes down where the run stands.
func (v *solver) note(r *Run) {
	core := v.around + v.f.body[v.f.core()]
	for i, t := range v.f.body {
		if t += v.around; t > r.reached[i] {
			r.reached[i] = t
		}
	}
	r.TimeS = append(r.TimeS, v.now)
	r.CoreC = append(r.CoreC, core)
	r.EdgeC = append(r.EdgeC, v.around+v.f.body[v.f.edge()])
	r.MeanC = append(r.MeanC, v.around+dot(v.weight, v.f.body))
	r.MeanX = append(r.MeanX, dot(v.weight, v.x))
	if core > r.PeakC {
		r.PeakC, r.PeakS = core, v.now
	}
	if v.Frames > 0 && v.now >= v.frameTime(len(r.Frames)) {
		r.Frames = append(r.Frames, v.frame())
	}
}

// balance closes the account.
func (v *solver) balance() Energy {
	e := v.account
	for i, w := range v.weight {
		e.StoredJ += w * (v.around + v.f.body[i] - v.Start.TC) * v.perK
	}
	e.StoredJ += v.wallJ()
	if e.ReleasedJ > 0 {
		e.ResidualPct = 100 * math.Abs(e.ReleasedJ-e.LostJ-e.StoredJ-e.SinkJ) / e.ReleasedJ
	}
	return e
}
