package batch

import "time"

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

// Pictured is a photo of the batch, which is kept beside it.
type Pictured struct {
	Photo string `json:"photo"` // its id
	Text  string `json:"text,omitempty"`
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
