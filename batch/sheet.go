package batch

import (
	"fmt"
	"math"
	"slices"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
	"barwright/window"
)

// Sheet is the run sheet of one batch: what is done, in order.
type Sheet struct {
	Start  Start
	Plan   *plan.Plan
	Recipe recipe.Recipe
	Steps  []Step

	model *window.Model
}

// StepType is how a step is done.
type StepType string

// The types of steps.
const (
	Read  StepType = "read"  // things to acknowledge
	Tare  StepType = "tare"  // an empty vessel on the scale
	Weigh StepType = "weigh" // something into a vessel
	Check StepType = "check" // the whole vessel on the scale
	Act   StepType = "act"   // anything else, one stamp
)

// Step is one job: one screen, one number, one done.
type Step struct {
	ID     string
	Type   StepType
	Part   string   // lye, fats, cups, together, mould or rest: the unit procedure
	Vessel string   // pot, jug, mix or cup, for what is weighed
	Do     string   // what is done, in words
	Warn   []string // what to beware of right here
	Read   []Item   // of a Read step
	Weigh  *Target  // of a Weigh step
	NeedS  int      // how long it takes [s], where minutes count; common practice, no source
	Scent  bool     // can be left out when there is no time
}

// Item is one thing to acknowledge.
type Item struct{ ID, Text string }

// Target is what one weighing is to show.
type Target struct {
	List     string // fats, alkali, additions or water
	Index    int
	Name     string
	Material string
	Lot      string     // of the shelf, "" when none was meant
	G        float64    // target
	LowG     float64    // fine from
	HighG    float64    // to: for alkali the target itself
	Scale    plan.Steps // it is shown in
}

// Parts of a sheet, in the order of the work.
const (
	ready    = "ready"
	theLye   = "lye"
	theFats  = "fats"
	cups     = "cups"
	together = "together"
	theMould = "mould"
	theRest  = "rest"
)

// Seconds that a step takes where minutes count. Common practice, no source:
// each workshop has its own (Start.Needs).
const (
	needSugar  = 25
	needScent  = 20
	needPowder = 30
	needSalt   = 40
	needOther  = 20
	needPour   = 60
)

// New returns the sheet of a batch. The error is a *StopError for a plan that
// must not be started; one that was recorded from paper may be told whatever it
// was.
func New(s Start) (*Sheet, error) {
	p, r, err := s.plan()
	if err != nil {
		return nil, err
	}
	if stops := slices.DeleteFunc(slices.Clone(p.Findings), func(f finding.Finding) bool { return f.Severity != finding.Stop }); len(stops) > 0 && !s.Recorded {
		return nil, &StopError{stops}
	}
	sh := &Sheet{Start: s, Plan: p, Recipe: r}
	if len(s.Taught) > 0 {
		sh.model = window.Prior().Learn(s.Taught)
	}
	for _, add := range []func(){sh.addReady, sh.addLye, sh.addFats, sh.addCups, sh.addCooled, sh.addTogether, sh.addRest} {
		add()
	}
	for i := range sh.Steps {
		if n, ok := s.Needs[sh.Steps[i].ID]; ok {
			sh.Steps[i].NeedS = n
		}
	}
	return sh, nil
}

func (sh *Sheet) add(s Step) { sh.Steps = append(sh.Steps, s) }

// Index returns the place of a step, -1 when there is none.
func (sh *Sheet) Index(id string) int {
	return slices.IndexFunc(sh.Steps, func(s Step) bool { return s.ID == id })
}

// addReady is what must be read before the first weighing: the kit, and every
// caution of the plan.
func (sh *Sheet) addReady() {
	s := Step{ID: "ready", Type: Read, Part: ready, Do: "Before anything else", Read: []Item{
		{"gloves", "Long gloves on, sleeves down, closed shoes"},
		{"goggles", "Sealed goggles on; not off until everything is washed"},
		{"lye_into_water", "Lye goes into water, little by little; never water onto lye"},
		{"first_aid", "First aid read: running lukewarm water at once, 15 minutes and more, then call for help. Water runs nearby; no children, no pets"},
	}}
	for i, f := range sh.Plan.Findings {
		if f.Severity == finding.Caution {
			s.Read = append(s.Read, Item{fmt.Sprintf("caution.%d.%s", i, f.ID), f.Title + ". " + f.Because})
		}
	}
	sh.add(s)
}

func (sh *Sheet) addLye() {
	p := sh.Plan
	sh.add(Step{ID: "tare.jug", Type: Tare, Part: theLye, Vessel: "jug", Do: "Empty jug on the scale"})
	water := Step{ID: "weigh.water", Type: Weigh, Part: theLye, Vessel: "jug", Do: "Water into the jug", Weigh: sh.target("water", 0)}
	if p.IceG > 0 {
		water.Warn = append(water.Warn, fmt.Sprintf("%.0f g of it as ice", p.IceG))
	}
	sh.add(water)
	for i, a := range p.Additions {
		if a.When == string(recipe.InLye) && !p.AdditionMaterial(i).Foams {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theLye, Vessel: "jug", Do: "Into the water, and dissolve it", Weigh: sh.target("additions", i)})
		}
	}
	for i, a := range p.Alkali {
		s := Step{ID: fmt.Sprintf("weigh.alkali.%d", i), Type: Weigh, Part: theLye, Vessel: "mix", Do: "Weigh it dry, in its own cup", Weigh: sh.target("alkali", i),
			Warn: []string{"Not a step more than this"}}
		if a.Stock {
			s.Do = "Stock lye, into its own cup"
		}
		sh.add(s)
	}
	sh.add(Step{ID: "mix", Type: Act, Part: theLye, Vessel: "jug", Do: "Lye into the water, little by little, stirring", Warn: sh.mixWarnings()})
	sh.add(Step{ID: "check.jug", Type: Check, Part: theLye, Vessel: "jug", Do: "Jug on the scale: is everything in it, and nothing more?"})
}

func (sh *Sheet) mixWarnings() []string {
	p := sh.Plan
	warn := []string{"Goggles on, window open, face away from the steam"}
	if p.Lye.PeakC != nil {
		warn = append(warn, fmt.Sprintf("It can reach %.0f °C", *p.Lye.PeakC))
	} else {
		warn = append(warn, "How hot it gets is not known: stop and wait when it steams")
	}
	for i, a := range p.Additions {
		m := p.AdditionMaterial(i)
		if a.When == string(recipe.InLye) && m.Foams && m.Water.Typical > 50 {
			warn = append(warn, fmt.Sprintf("%s goes in when the lye is cool: have it ice-cold", a.Name))
		}
	}
	return warn
}

// solidFromC is the melting point from which a fat counts as solid in the room
// [°C].
const solidFromC = 23

// addFats puts what is solid first, waxes and free acids into what is molten,
// and the oils last: they cool the pot.
func (sh *Sheet) addFats() {
	p := sh.Plan
	var hard, stiff, oils []int
	for i := range p.Fats {
		m := p.FatMaterial(i)
		switch {
		case m.Melting.Known() && m.Melting.Low > 45 || m.Crystal.Known() && m.Crystal.MeltC > 45:
			stiff = append(stiff, i)
		case m.Melting.Known() && m.Melting.Typical > solidFromC:
			hard = append(hard, i)
		default:
			oils = append(oils, i)
		}
	}
	if len(hard) == 0 && len(stiff) > 0 && len(oils) > 0 { // something must carry the wax
		hard, oils = oils[:1], oils[1:]
	}
	sh.add(Step{ID: "tare.pot", Type: Tare, Part: theFats, Vessel: "pot", Do: "Empty pot on the scale"})
	weigh := func(i int, warn ...string) {
		sh.add(Step{ID: fmt.Sprintf("weigh.fats.%d", i), Type: Weigh, Part: theFats, Vessel: "pot", Do: "Into the pot", Weigh: sh.target("fats", i), Warn: warn})
	}
	for _, i := range hard {
		weigh(i)
	}
	for _, i := range stiff {
		weigh(i, fmt.Sprintf("Melt it into the %s first. It must look clear before the other fats go in", lowerFirst(p.Fats[slices.Concat(hard, stiff)[0]].Name)))
	}
	if len(hard)+len(stiff) > 0 {
		warn := []string{}
		if c := p.Combine.ClearC; c != nil {
			warn = append(warn, fmt.Sprintf("Clear means above %.0f °C, without a cloud or a grain", *c))
		}
		sh.add(Step{ID: "melt", Type: Act, Part: theFats, Vessel: "pot", Do: "Melt until it is clear", Warn: warn})
	}
	for _, i := range oils {
		weigh(i)
	}
	for i, a := range p.Additions {
		if a.When == string(recipe.InFats) {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theFats, Vessel: "pot", Do: "Into the fats", Weigh: sh.target("additions", i)})
		}
	}
	sh.add(Step{ID: "check.pot", Type: Check, Part: theFats, Vessel: "pot", Do: "Pot on the scale: is every fat in it?"})
}

// atTrace lists the additions at trace in the order they go in: what must be
// spread first, what hurries last.
func (sh *Sheet) atTrace() (order []int) {
	rank := func(i int) int {
		m := sh.Plan.AdditionMaterial(i)
		switch {
		case m.Kind == "scent" && m.Hurries:
			return 3
		case m.Kind == "scent":
			return 2
		case m.Kind == "sugar":
			return 1
		}
		return 0
	}
	for i, a := range sh.Plan.Additions {
		if a.When == string(recipe.AtTrace) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return rank(a) - rank(b) })
	return order
}

func (sh *Sheet) addCups() {
	for _, i := range sh.atTrace() {
		s := Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: cups, Vessel: "cup", Do: "Ready in its own cup", Weigh: sh.target("additions", i)}
		if m := sh.Plan.AdditionMaterial(i); m.Kind == "scent" && (m.Hurries || m.Rices) {
			s.Warn = []string{"It hurries the batter: mould, film and cover must stand ready before lye and fats meet"}
		}
		sh.add(s)
	}
}

// addCooled is what goes into the lye once it is cool: honey, sugar, milk.
func (sh *Sheet) addCooled() {
	for i, a := range sh.Plan.Additions {
		if a.When == string(recipe.InLye) && sh.Plan.AdditionMaterial(i).Foams {
			sh.add(Step{ID: fmt.Sprintf("weigh.additions.%d", i), Type: Weigh, Part: theLye, Vessel: "jug", Do: "Cold, a little at a time, into lye below 35 °C", Weigh: sh.target("additions", i),
				Warn: []string{"It foams and heats the lye again: a jug of twice the volume, and wait afterwards"}})
		}
	}
}

func (sh *Sheet) addTogether() {
	p, r := sh.Plan, sh.Recipe
	temps := Step{ID: "temperatures", Type: Act, Part: together, Do: "Read both temperatures"}
	if m := r.Combine; m != nil {
		temps.Do = fmt.Sprintf("Fats at %s, lye at %s: read both", m.FatsTemperature, m.LyeTemperature)
	}
	combine := Step{ID: "combine", Type: Act, Part: together, Do: "Lye into the fats in a thin stream"}
	if p.FreeAcidShare() > 0.10 {
		combine.Warn = append(combine.Warn, "The free acids turn to soap on contact: it sets at once and is cooked soft again")
	}
	if p.HardWaxShare() > 0 {
		combine.Warn = append(combine.Warn, "Thickening by cooling is the wax, not a trace: warm it, do not blend it")
	}
	sh.add(temps)
	sh.add(combine)
	sh.add(Step{ID: "trace", Type: Act, Part: together, Do: "Blend in short bursts. Marks stay?"})
	if r.Hot() {
		sh.add(Step{ID: "cook", Type: Act, Part: together, Do: "Cook it, lid on, until it is one clear paste"})
	}
	for _, i := range sh.atTrace() {
		sh.add(sh.addition(i))
	}
	sh.add(Step{ID: "pour", Type: Act, Part: theMould, Do: "Pour", NeedS: needPour})
	sh.add(Step{ID: "finish", Type: Act, Part: theMould, Do: "Smooth the top; film touching the surface keeps ash away"})
}

func (sh *Sheet) addition(i int) Step {
	m, line := sh.Plan.AdditionMaterial(i), sh.Recipe.Additions[i]
	s := Step{ID: fmt.Sprintf("add.additions.%d", i), Type: Act, Part: together, NeedS: needOther}
	how := "by hand"
	if line.Stir == recipe.Blender {
		how = "with the blender"
	}
	s.Do = fmt.Sprintf("%s in, %s", m.Name, how)
	switch m.Kind {
	case "sugar":
		s.NeedS = needSugar
	case "scent":
		s.NeedS, s.Scent = needScent, true
		if m.Rices || m.Hurries {
			s.Warn = []string{"By hand only, blender out; pour at once"}
		}
	case "powder":
		s.NeedS = needPowder
	case "salt":
		s.NeedS = needSalt
	}
	return s
}

func (sh *Sheet) addRest() {
	for i, r := range sh.Recipe.Rest {
		s := Step{ID: fmt.Sprintf("rest.%d", i), Type: Act, Part: theRest, Do: "Rest: " + restWords(r)}
		if i == 0 {
			s.Warn = []string{"The batter stays corrosive: gloves for everything that touches it"}
		}
		sh.add(s)
	}
	if len(sh.Recipe.Rest) == 0 {
		sh.add(Step{ID: "rest.0", Type: Act, Part: theRest, Do: "Rest"})
	}
	sh.add(Step{ID: "turn_out", Type: Act, Part: theRest, Do: "Turn out, gloves on"})
	sh.add(Step{ID: "cut", Type: Act, Part: theRest, Do: "Cut, gloves on", Warn: []string{"Gloves until 48 hours after this"}})
}

func restWords(r recipe.Rest) string {
	text := r.Place
	if r.Temperature != nil {
		text += " at " + r.Temperature.String()
	}
	if r.Cover != nil && r.Cover.Name != "none" {
		text += ", under " + r.Cover.String()
	}
	if r.Fan {
		text += ", with a fan"
	}
	if r.For != nil {
		text += ", for " + r.For.String()
	}
	return text
}

// target makes the target of one weighing with its tolerance.
func (sh *Sheet) target(list string, i int) *Target {
	p := sh.Plan
	t := &Target{List: list, Index: i, Scale: p.Scale.Fats}
	step := "weigh." + list
	switch list {
	case "water":
		t.Name, t.Material, t.G = "Water", "water", p.WaterWeighG
	case "alkali":
		t.Name, t.Material, t.G, t.Scale = p.Alkali[i].Name, p.Alkali[i].Material, p.Alkali[i].WeighG, p.Scale.Alkali
	case "fats":
		t.Name, t.Material, t.G = p.Fats[i].Name, p.Fats[i].Material, p.Fats[i].WeighG
	case "additions":
		t.Name, t.Material, t.G = p.Additions[i].Name, p.Additions[i].Material, p.Additions[i].WeighG
	}
	if list != "water" {
		step = fmt.Sprintf("%s.%d", step, i)
	}
	t.Lot = sh.Start.Lots[step]
	if m := t.Material; t.Lot == "" && sh.isLot(list, i) {
		t.Lot = m
	}
	sh.tolerate(t)
	return t
}

// isLot reports a line whose material is a lot itself.
func (sh *Sheet) isLot(list string, i int) bool {
	switch list {
	case "fats":
		return sh.Plan.FatMaterial(i).Of != ""
	case "additions":
		return sh.Plan.AdditionMaterial(i).Of != ""
	case "alkali":
		return sh.Plan.AlkaliMaterial(i).Of != ""
	}
	return false
}

// bandShare is how much of the superfat's band one kind of weighing may use up:
// so little that the doubt that is there anyway hides it.
const bandShare = 0.1

// otherShare is how far an addition may be off. Common practice, no source.
const otherShare = 0.02

// tolerate sets what is fine around a target. Alkali is never over it; how far
// it may be under, and the fats to either side, follows the width of the band.
func (sh *Sheet) tolerate(t *Target) {
	as := sh.Plan.Superfat.AsWeighed
	points := bandShare * (as.High - as.Low)
	step := t.Scale.StepG
	down := func(g float64) float64 { return math.Max(step, math.Floor(g/step+1e-9)*step) }
	t.HighG = t.G
	switch t.List {
	case "alkali":
		t.LowG = t.G - down(points/sh.Plan.PointsPerGram()[t.Index])
	case "fats":
		off := down(points / 100 * t.G)
		t.LowG, t.HighG = t.G-off, t.G+off
	case "water":
		off := checkTolerance(t.G)
		t.LowG, t.HighG = t.G-off, t.G+off
	case "additions":
		off := down(otherShare * t.G)
		t.LowG = t.G - off
		if sh.Recipe.Additions[t.Index].Limit == nil && sh.Plan.AdditionMaterial(t.Index).Limit == nil {
			t.HighG = t.G + off
		}
	}
	t.LowG = math.Max(0, t.LowG)
}

// checkTolerance is how far water, and a whole vessel, may be off [g]: 2 g or
// 0.5 %, the larger.
func checkTolerance(g float64) float64 { return math.Max(2, 0.005*g) }
