package web

import (
	"barwright/material"
	"barwright/recipe"
	"barwright/stock"
)

// thingKind is a kind of thing that people add and edit by a form.
type thingKind struct {
	kind, one string // the store's word and people's
	home      string // the page that lists them
	path      string // of one, before its id
	section   string // of the navigation
	groups    []fieldGroup
	// read makes the thing of the text of its keys and says what is wrong, by
	// key; lib has every material but the thing itself.
	read func(keys map[string]string, lib *material.Library) (w written, faults map[string]string)
	// show is the text of the keys of a body. Keys without a field are told
	// where two bodies are compared when named says so.
	show  func(body string) (map[string]string, error)
	named func(key string) string
}

// written is a thing as it will be kept.
type written struct{ id, name, of, body string }

// fieldGroup is some fields of a form that belong together.
type fieldGroup struct {
	Legend, Hint string
	Threes       bool                     // three fields a line
	only         func(material.Kind) bool // the lots it is for; nil: every thing
	Fields       []thingField
}

// thingField is one field of a form.
type thingField struct {
	Key, Label string
	Example    string // in the empty field
	Hint       string // under it
	As         string // "line" when empty, or one of those below
	Options    []option
	Wide       bool
	only       func(material.Kind) bool // the lots it is for; nil: all
	Bare       string                   // the unit of a number typed alone; keyed's usual one when empty
	NeedsUnit  bool                     // a number alone could mean two things
}

// What a field can be besides a line of text.
const (
	asTick     = "tick"
	asChoice   = "choice"
	asDay      = "day"
	asNote     = "note"
	asMaterial = "material" // a line with the names of all materials under it
	asFile     = "file"     // a whole file: pasted, or chosen on the disk
)

// option is one line of a list to choose from.
type option struct{ Value, Text string }

func options(values ...string) (out []option) {
	for _, v := range values {
		out = append(out, option{v, v})
	}
	return out
}

var noteField = thingField{Key: "note", Label: "Note", As: asNote}

func isAlkali(k material.Kind) bool { return k == material.Alkali }
func isScent(k material.Kind) bool  { return k == material.Scent }
func isNoAlkali(k material.Kind) bool {
	return k != material.Alkali
}

// lotKind is a lot on the shelf.
var lotKind = &thingKind{kind: kindLot, one: "lot", home: "/stock", path: "/stock/", section: "stock", read: readLot, show: showLot, groups: []fieldGroup{
	{Fields: []thingField{
		{Key: "of", Label: "What it is", Example: "Beef tallow", Hint: "type part of its name", As: asMaterial},
		{Key: "name", Label: "Name or code of the lot", Example: "TLW-7", Hint: "what is written on the tub"},
		{Key: "on_hand", Label: "On hand", Example: "2.5 kg", Hint: "empty when it is used up", NeedsUnit: true},
		{Key: "price", Label: "Price", Example: "4.20 / kg", Bare: " / kg"}}},
	{Legend: "Where it is from", Fields: []thingField{
		{Key: "from", Label: "Bought at, or made of", Example: "the butcher; cappings of Alder", Wide: true},
		{Key: "own", Label: "of our own making", As: asTick}}},
	{Legend: "Dates", Fields: []thingField{
		{Key: "packed", Label: "Packed", As: asDay}, {Key: "received", Label: "Received", As: asDay}, {Key: "best_before", Label: "Best before", As: asDay}}},
	{Legend: "Certificate", Hint: "What the lot's own paper says, or what you measured. Where it gives no range, a saponification value is taken as ±1 and everything else as exact.", Threes: true, only: isNoAlkali, Fields: lotFigures()},
	{Legend: "Alkali", only: isAlkali, Fields: []thingField{
		{Key: "purity", Label: "Assay on the label", Example: "98.5 %", Hint: "a recipe that names this lot and writes no assay is planned with it", Bare: " %"}}},
	{Legend: "Scent", only: isScent, Fields: []thingField{
		{Key: "limit", Label: "Most in the bar, from its own document", Example: "0.7 % of bar", Hint: "a recipe that names this lot and writes no limit is held to it", Bare: " % of bar"},
		{Key: "hurries", Label: "thickens the batter quickly", As: asTick}, {Key: "rices", Label: "makes grains when blended in", As: asTick}}},
	{Legend: "Hold", Hint: "A held lot is never taken for a batch.", Fields: []thingField{
		{Key: "held", Label: "Held, because", Example: "spots on day 74", Hint: "empty while it may be used", Wide: true}}},
	{Fields: []thingField{noteField}},
}}

// certificateKeys are the figures a lot's own paper may give.
var certificateKeys = []struct {
	key, label, unit, example string
	only                      func(material.Kind) bool
}{
	{"sap", "Saponification value, mg KOH/g", "mg KOH/g", "197.6", material.Kind.IsFat},
	{"acid_value", "Acid value, mg KOH/g", "mg KOH/g", "1.2", material.Kind.IsFat},
	{"water", "Water, %", "%", "17.8", func(k material.Kind) bool { return !k.IsFat() }},
	{"density", "Density, g/ml", "g/ml", "0.915", nil},
}

func lotFigures() (out []thingField) {
	for _, c := range certificateKeys {
		out = append(out, thingField{Key: c.key + ".typical", Label: c.label, Example: c.example, only: c.only},
			thingField{Key: c.key + ".low", Label: "at least", only: c.only}, thingField{Key: c.key + ".high", Label: "at most", only: c.only})
	}
	return append(out, thingField{Key: paperKey, Label: "Number or day of the paper", Example: "certificate 4711, 3 March"},
		thingField{Key: "density.at_c", Label: "Density at, °C", Example: usualDensityC})
}

// thingKinds are the other things of the workshop that have a form.
var thingKinds = map[string]*thingKind{
	kindMould: workshopThing(kindMould, "mould", readThing[stock.Mould], showThing[stock.Mould],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "M1 wood loaf"},
			{Key: "bars", Label: "Bars usually cut from it", Example: "11"}}},
		fieldGroup{Legend: "Size", Fields: []thingField{
			{Key: "mould.shape", Label: "Shape", As: asChoice, Options: []option{{"box", "box"}, {"cylinder", "cylinder"}, {"cavity", "any other, by its volume"}}},
			{Key: "mould.inside", Label: "Inside", Example: "349 x 62 x 62 mm", Hint: "length x width x height; of a cylinder diameter x length"},
			{Key: "mould.volume", Label: "or volume of one cavity", Example: "85 ml"},
			{Key: "mould.count", Label: "How many cavities", Example: "12"},
			{Key: "mould.axis", Label: "A cylinder stands", As: asChoice, Options: []option{{"", "not said"}, {"upright", "upright"}, {"level", "on its side"}}},
			{Key: "learned", Label: "True volume, by a water fill", Example: "1320 ml", Hint: "all cavities together, brim full; plans then use it instead of what the sides say"}}},
		fieldGroup{Legend: "Make", Fields: []thingField{
			{Key: "mould.wall", Label: "Wall", Example: "softwood 12 mm"}, {Key: "mould.lid", Label: "Lid", Example: "card 2 mm"},
			{Key: "mould.fill", Label: "Filled to", Example: "95 %", Bare: " %"}, noteField}}),
	kindPlace: workshopThing(kindPlace, "place", readThing[stock.Place], showThing[stock.Place],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Fridge under the stairs"}, {Key: "place", Label: "What it is", As: asChoice, Options: options(recipe.Places...)},
			{Key: "temperature", Label: "Temperature", Example: "20 °C", Bare: " °C"}, {Key: "rh", Label: "Humidity", Example: "60 %", Bare: " %"}, {Key: "fan", Label: "with a fan", As: asTick}, noteField}}),
	kindScale: workshopThing(kindScale, "scale", readThing[stock.Scale], showThing[stock.Scale],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Kitchen scale"}, {Key: "step", Label: "Smallest step it shows", Example: "1 g", Bare: " g"}, {Key: "capacity", Label: "Carries up to", Example: "5 kg", NeedsUnit: true},
			{Key: "repeatability", Label: "Repeats itself to", Example: "0.5 g", Hint: "how far ten weighings of one thing lie apart", Bare: " g"}, noteField}}),
	kindMaterial: materialKind(),
	kindWorkshop: workshopThing(kindWorkshop, "workshop", readThing[stock.Workshop], showThing[stock.Workshop],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Ninth Lock Soap Room"}, {Key: "currency", Label: "Currency", Example: "EUR"},
			{Key: "hour", Label: "An hour's work", Example: "15 each", Bare: " each"}, {Key: "overhead", Label: "Overhead of a bar", Example: "0.35 each", Bare: " each"}}}),
}

func workshopThing(kind, one string, read func(map[string]string, *material.Library) (written, map[string]string), show func(string) (map[string]string, error), groups ...fieldGroup) *thingKind {
	return &thingKind{kind: kind, one: one, home: "/workshop", path: "/things/" + kind + "/", section: "workshop", read: read, show: show, groups: groups}
}

// labels names the keys of a kind for people.
func (k *thingKind) labels() map[string]string {
	out := map[string]string{}
	for _, g := range k.groups {
		last := ""
		for _, f := range g.Fields {
			label := f.Label
			if label == "at least" || label == "at most" {
				label = last + ", " + label
			} else {
				last = label
			}
			out[f.Key] = label
		}
	}
	return out
}

// fields lists every field of a kind, in the order of its form.
func (k *thingKind) fields() (out []thingField) {
	for _, g := range k.groups {
		out = append(out, g.Fields...)
	}
	return out
}
