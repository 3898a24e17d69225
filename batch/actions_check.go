package batch

import "strings"

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
	if err := a.checkParts(); err != nil {
		return err
	}
	if err := checkG("g", a.G); err != nil {
		return err
	}
	if err := checkG("gross_g", a.GrossG); err != nil {
		return err
	}
	return checkStep(a.Step)
}

// checkParts refuses lots that gave another weight together than was weighed.
func (a Weighed) checkParts() error {
	if a.G == nil || len(a.From) < 2 {
		return nil
	}
	sum := 0.0
	for _, p := range a.From {
		sum += *p.G
	}
	if d := sum - *a.G; d > 0.01 || d < -0.01 {
		return fault("the grams of all lots together are g", "from: %g g of the lots, %g g weighed", sum, *a.G)
	}
	return nil
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

func (a Pictured) check() error {
	if !isID(a.Photo) {
		return fault("the id of a photo that was kept", "photo: %.60q is not an id", a.Photo)
	}
	return checkText("text", a.Text, mostLine)
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
