package batch

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// The actions. Masses are in grams, temperatures in °C.

// Began starts the work. RoomC is the room's temperature, when somebody read it.
type Began struct {
	RoomC  *float64 `json:"room_c,omitempty"`
	RoomRH *float64 `json:"room_rh_pct,omitempty"`
}

// Acknowledged says that things were read and are so: the kit, the cautions.
type Acknowledged struct {
	What []string `json:"what"`
}

// Tared is the weight of an empty vessel.
type Tared struct {
	Vessel string  `json:"vessel"`
	G      float64 `json:"g"`
}

// Weighed is what was put in at a step: net, or as the scale shows the whole
// vessel. From says of which lots; none means the lot of the plan. A second
// weighing of a step that is not an addition to the first takes its place.
type Weighed struct {
	Step   string   `json:"step"`
	G      *float64 `json:"g,omitempty"`
	GrossG *float64 `json:"gross_g,omitempty"`
	From   []Part   `json:"from,omitempty"`
}

// Part is what came from one lot; without grams the lot gave all of it.
type Part struct {
	Lot string   `json:"lot"`
	G   *float64 `json:"g,omitempty"`
}

// ReadBack is the reading of the scale by a second person.
type ReadBack struct {
	Step string  `json:"step"`
	G    float64 `json:"g"`
}

// Gross is a whole vessel on the scale, to check what is in it.
type Gross struct {
	Vessel string  `json:"vessel"`
	G      float64 `json:"g"`
}

// Stamped is a step done, or a mark of the batter seen.
type Stamped struct {
	Step string `json:"step"`
	Text string `json:"text,omitempty"`
}

// Reading is a temperature.
type Reading struct {
	Of string  `json:"of"` // lye, fats, batter, core, edge or room
	C  float64 `json:"c"`
}

// Rested is how the batch was put to rest, or moved while it rests.
type Rested struct {
	Place string   `json:"place"` // room, fridge, freezer or oven
	Cover string   `json:"cover,omitempty"`
	Fan   bool     `json:"fan,omitempty"`
	C     *float64 `json:"c,omitempty"`
}

// Cut is the bars that came of it.
type Cut struct {
	Bars   int       `json:"bars"`
	Aside  int       `json:"aside,omitempty"`     // kept back: testers, seconds
	Each   []float64 `json:"each_g,omitempty"`    // weights of marked bars
	Mean   *float64  `json:"mean_g,omitempty"`    // or their mean
	Marked int       `json:"marked,omitempty"`    // how many the mean is of
	Reason string    `json:"reason,omitempty"`    // why some were set aside
	TrimG  *float64  `json:"trimmed_g,omitempty"` // off-cuts
}

// Chose is one of the ways on that the state offered.
type Chose struct {
	Choice string `json:"choice"`
}

// Triaged is the two answers about a trouble.
type Triaged struct {
	Trouble string `json:"trouble"`
	First   string `json:"first"`
	Second  string `json:"second"`
}

// Handled says that the instruction for a trouble was carried out.
type Handled struct {
	Of string `json:"of"` // id of the Triaged event
}

// Noted is anything worth knowing.
type Noted struct {
	Text string `json:"text"`
}

// Undone takes an event back, within ten seconds.
type Undone struct {
	Of string `json:"of"`
}

// Corrected puts an earlier event right: its weight, its temperature or its
// time.
type Corrected struct {
	Of  string     `json:"of"`
	G   *float64   `json:"g,omitempty"`
	C   *float64   `json:"c,omitempty"`
	At  *time.Time `json:"at,omitempty"`
	Why string     `json:"why"`
}

// Held puts the batch on hold by hand.
type Held struct {
	Why string `json:"why"`
}

// WentOn goes on in spite of a hold: the batch is quarantined from here.
type WentOn struct {
	Why string `json:"why"`
}

// Stopped gives the batch up.
type Stopped struct {
	Why string `json:"why"`
}

// Released ends a quarantine, in writing: which laboratory, its reference, what
// it found.
type Released struct {
	Laboratory string `json:"laboratory"`
	Reference  string `json:"reference"`
	Result     string `json:"result"`
}

// Emergency starts the rinse timer of a card.
type Emergency struct {
	What string `json:"what"` // splash, eye, breath or spill
}

// Clock is how far a device's clock is ahead of the workshop's, as measured
// when it last spoke to it.
type Clock struct {
	AheadMS int64 `json:"ahead_ms"`
}

// Kind is each action's word.
func (Began) Kind() string        { return "began" }
func (Acknowledged) Kind() string { return "acknowledged" }
func (Tared) Kind() string        { return "tared" }
func (Weighed) Kind() string      { return "weighed" }
func (ReadBack) Kind() string     { return "read_back" }
func (Gross) Kind() string        { return "gross" }
func (Stamped) Kind() string      { return "stamped" }
func (Reading) Kind() string      { return "reading" }
func (Rested) Kind() string       { return "rested" }
func (Cut) Kind() string          { return "cut" }
func (Chose) Kind() string        { return "chose" }
func (Triaged) Kind() string      { return "triaged" }
func (Handled) Kind() string      { return "handled" }
func (Noted) Kind() string        { return "noted" }
func (Undone) Kind() string       { return "undone" }
func (Corrected) Kind() string    { return "corrected" }
func (Held) Kind() string         { return "held" }
func (WentOn) Kind() string       { return "went_on" }
func (Stopped) Kind() string      { return "stopped" }
func (Released) Kind() string     { return "released" }
func (Emergency) Kind() string    { return "emergency" }
func (Clock) Kind() string        { return "clock" }

// kinds reads each kind of action.
var kinds = map[string]func([]byte) (Action, error){}

func register[A Action]() {
	var zero A
	kinds[zero.Kind()] = func(data []byte) (Action, error) {
		var a A
		err := decode(data, &a, zero.Kind())
		return a, err
	}
}

func init() {
	register[Began]()
	register[Acknowledged]()
	register[Tared]()
	register[Weighed]()
	register[ReadBack]()
	register[Gross]()
	register[Stamped]()
	register[Reading]()
	register[Rested]()
	register[Cut]()
	register[Chose]()
	register[Triaged]()
	register[Handled]()
	register[Noted]()
	register[Undone]()
	register[Corrected]()
	register[Held]()
	register[WentOn]()
	register[Stopped]()
	register[Released]()
	register[Emergency]()
	register[Clock]()
}

func sortedKinds() []string { return slices.Sorted(maps.Keys(kinds)) }

// What a scale and a thermometer of a workshop can show.
const (
	mostG           = 200_000.0
	coldestC, hotC  = -40.0, 160.0
	mostText        = 2000
	mostLine        = 200
	mostAheadMS     = 400 * 24 * 3600 * 1000
	mostBars        = 10_000
	mostThings      = 100
	places          = "room fridge freezer oven"
	readingsOf      = "lye fats batter core edge room"
	emergencyWhats  = "splash eye breath spill"
	vesselsAndCups  = "a vessel: pot, jug, mix or cup"
	vesselWords     = "pot jug mix cup"
	lotAdvice       = "the id of a lot on the shelf"
	whyAdvice       = "say why in a few words"
	gramsAdvice     = "grams, as the scale shows them"
	oneWeightAdvice = "either g, what was put in, or gross_g, what the scale shows with the vessel"
)

func (a Began) check() error {
	if a.RoomRH != nil && (*a.RoomRH < 0 || *a.RoomRH > 100) {
		return fault("per cent", "room_rh_pct: %g", *a.RoomRH)
	}
	return checkC("room_c", a.RoomC)
}

func (a Acknowledged) check() error {
	if len(a.What) == 0 || len(a.What) > mostThings {
		return fault("name what was read", "%d things were acknowledged", len(a.What))
	}
	for _, w := range a.What {
		if !isStep(w) {
			return fault("the words of the sheet", "what: %.40q", w)
		}
	}
	return nil
}

func (a Tared) check() error {
	if err := checkWord("vessel", a.Vessel, vesselWords, vesselsAndCups); err != nil {
		return err
	}
	return checkG("g", &a.G)
}

func (a Weighed) check() error {
	if (a.G == nil) == (a.GrossG == nil) {
		return fault(oneWeightAdvice, "one weight is needed")
	}
	if len(a.From) > 20 {
		return fault(lotAdvice, "from %d lots", len(a.From))
	}
	for _, p := range a.From {
		if !isID(p.Lot) {
			return fault(lotAdvice, "from: %.40q is not a lot", p.Lot)
		}
		if p.G == nil && len(a.From) > 1 {
			return fault("how much came from each", "from: %s without its grams", p.Lot)
		}
		if err := checkG("from", p.G); err != nil {
			return err
		}
	}
	if err := checkG("g", a.G); err != nil {
		return err
	}
	if err := checkG("gross_g", a.GrossG); err != nil {
		return err
	}
	return checkStep(a.Step)
}

func (a ReadBack) check() error {
	if err := checkG("g", &a.G); err != nil {
		return err
	}
	return checkStep(a.Step)
}

func (a Gross) check() error {
	if err := checkWord("vessel", a.Vessel, vesselWords, vesselsAndCups); err != nil {
		return err
	}
	return checkG("g", &a.G)
}

func (a Stamped) check() error {
	if err := checkStep(a.Step); err != nil {
		return err
	}
	return checkText("text", a.Text, mostText)
}

func (a Reading) check() error {
	if err := checkWord("of", a.Of, readingsOf, "what was measured: lye, fats, batter, core, edge or room"); err != nil {
		return err
	}
	return checkC("c", &a.C)
}

func (a Rested) check() error {
	if err := checkWord("place", a.Place, places, "room, fridge, freezer or oven"); err != nil {
		return err
	}
	if err := checkText("cover", a.Cover, mostLine); err != nil {
		return err
	}
	return checkC("c", a.C)
}

func (a Cut) check() error {
	switch {
	case a.Bars < 0 || a.Bars > mostBars || a.Aside < 0 || a.Aside > a.Bars || a.Marked < 0 || a.Marked > a.Bars:
		return fault("how many bars there are, and how many of them are kept back", "%d bars, %d of them aside", a.Bars, a.Aside)
	case len(a.Each) > mostBars:
		return fault("as many as there are bars", "%d weights", len(a.Each))
	}
	for _, g := range a.Each {
		if err := checkG("each_g", &g); err != nil {
			return err
		}
	}
	if err := checkG("mean_g", a.Mean); err != nil {
		return err
	}
	if err := checkG("trimmed_g", a.TrimG); err != nil {
		return err
	}
	return checkText("reason", a.Reason, mostText)
}

func (a Chose) check() error {
	if !isStep(a.Choice) {
		return fault("one of the ways on that were offered", "choice: %.40q", a.Choice)
	}
	return nil
}

func (a Triaged) check() error {
	_, err := a.leaf()
	return err
}

func (a Handled) check() error { return checkOf(a.Of) }
func (a Undone) check() error  { return checkOf(a.Of) }
func (a Noted) check() error   { return checkWhy("text", a.Text) }
func (a Held) check() error    { return checkWhy("why", a.Why) }
func (a WentOn) check() error  { return checkWhy("why", a.Why) }
func (a Stopped) check() error { return checkWhy("why", a.Why) }
func (a Emergency) check() error {
	return checkWord("what", a.What, emergencyWhats, "splash, eye, breath or spill")
}

func (a Corrected) check() error {
	given := 0
	for _, has := range []bool{a.G != nil, a.C != nil, a.At != nil} {
		if has {
			given++
		}
	}
	if given != 1 {
		return fault("g, c or at: one of them", "a correction puts one thing right")
	}
	if a.At != nil && (a.At.Year() < 1990 || a.At.Year() > 2200) {
		return fault("when it really was", "at: the year %d", a.At.Year())
	}
	if err := checkG("g", a.G); err != nil {
		return err
	}
	if err := checkC("c", a.C); err != nil {
		return err
	}
	if err := checkWhy("why", a.Why); err != nil {
		return err
	}
	return checkOf(a.Of)
}

func (a Released) check() error {
	for _, t := range []struct{ key, text string }{{"laboratory", a.Laboratory}, {"reference", a.Reference}, {"result", a.Result}} {
		if err := checkText(t.key, t.text, mostText); err != nil {
			return err
		}
		if strings.TrimSpace(t.text) == "" {
			return fault("a release names the laboratory, its reference and what it found", "%s is missing", t.key)
		}
	}
	return nil
}

func (a Clock) check() error {
	if a.AheadMS > mostAheadMS || a.AheadMS < -mostAheadMS {
		return fault("set the device's clock", "ahead_ms: %d", a.AheadMS)
	}
	return nil
}

func checkG(key string, g *float64) error {
	if g != nil && !(*g >= 0 && *g <= mostG) {
		return fault(gramsAdvice, "%s: %g g", key, *g)
	}
	return nil
}

func checkC(key string, c *float64) error {
	if c != nil && !(*c >= coldestC && *c <= hotC) {
		return fault("is it °C or °F?", "%s: %g °C", key, *c)
	}
	return nil
}

func checkStep(step string) error {
	if !isStep(step) {
		return fault("the step's name on the sheet", "step: %.40q", step)
	}
	return nil
}

func checkOf(id string) error {
	if !isID(id) {
		return fault("the id of an earlier event", "of: %.60q is not an id", id)
	}
	return nil
}

func checkWord(key, word, words, advice string) error {
	if !slices.Contains(strings.Fields(words), word) {
		return fault(advice, "%s: %.40q", key, word)
	}
	return nil
}

func checkWhy(key, text string) error {
	if strings.TrimSpace(text) == "" {
		return fault(whyAdvice, "%s is empty", key)
	}
	return checkText(key, text, mostText)
}

// checkText refuses what cannot be kept or printed.
func checkText(key, text string, most int) error {
	plain := strings.NewReplacer("\n", "", "\t", "").Replace(text)
	if utf8.RuneCountInString(text) > most || !utf8.ValidString(text) || strings.ContainsFunc(plain, unicode.IsControl) {
		return fault(fmt.Sprintf("plain text of at most %d letters", most), "%s cannot be kept", key)
	}
	return nil
}
