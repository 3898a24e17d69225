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
	Folds        bool                     // folded away while it is empty
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
	Unit       string                   // of a figure that is kept as a number
	Need       string                   // what is said when it is empty; "" when it may be
}

// What a field can be besides a line of text.
const (
	asTick     = "tick"
	asChoice   = "choice"
	asDay      = "day"
	asNote     = "note"
	asMaterial = "material" // a line with the names of all materials under it
	asFile     = "file"     // a whole file: pasted, or chosen on the disk
	asPrice    = "price"    // a line with money in the workshop's currency
	asWater    = "water"    // a volume, or the mass of water that fills it
	asLeft     = "left"     // what is left of something: nothing, or a mass
)

// The ends of a figure, beside it.
const (
	atLeast = "at least"
	atMost  = "at most"
)

// option is one line of a list to choose from.
type option struct{ Value, Text string }

func options(values ...string) (out []option) {
	for _, v := range values {
		out = append(out, option{v, v})
	}
	return out
}

const needName = "give it a name"

var noteField = thingField{Key: "note", Label: "Note", As: asNote}

// thingKinds are the other things of the workshop that have a form.
var thingKinds = map[string]*thingKind{
	kindMould: workshopThing(kindMould, "mould", readThing[stock.Mould], showThing[stock.Mould],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "M1 wood loaf", Need: needName},
			{Key: "bars", Label: "Bars usually cut from it", Example: "11"}}},
		fieldGroup{Legend: "Size", Fields: []thingField{
			{Key: "mould.shape", Label: "Shape", As: asChoice, Options: []option{{"box", "box"}, {"cylinder", "cylinder"}, {"cavity", "any other, by its volume"}}},
			{Key: "mould.inside", Label: "Inside", Example: "349 x 62 x 62 mm", Hint: "length x width x height; of a cylinder diameter x length"},
			{Key: "mould.volume", Label: "or volume of one cavity", Example: "85 ml", Hint: "or the grams of water it takes", As: asWater},
			{Key: "mould.count", Label: "How many cavities", Example: "12"},
			{Key: "mould.axis", Label: "A cylinder stands", As: asChoice, Options: []option{{"", "not said"}, {"upright", "upright"}, {"level", "on its side"}}},
			{Key: "learned", Label: "True volume, by a water fill", Example: "1320 ml", Hint: "all cavities together, brim full, in ml or in grams of water; plans then use it instead of what the sides say", Wide: true, As: asWater}}},
		fieldGroup{Legend: "Make", Fields: []thingField{
			{Key: "mould.wall", Label: "Wall", Example: "softwood 12 mm"}, {Key: "mould.lid", Label: "Lid", Example: "card 2 mm"},
			{Key: "mould.fill", Label: "Filled to", Example: "95 %", Bare: " %"}, noteField}}),
	kindPlace: workshopThing(kindPlace, "place", readThing[stock.Place], showThing[stock.Place],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Fridge under the stairs", Need: needName}, {Key: "place", Label: "What it is", As: asChoice, Options: options(recipe.Places...)},
			{Key: "temperature", Label: "Temperature", Example: "20 °C", Bare: " °C"}, {Key: "rh", Label: "Humidity", Example: "60 %", Bare: " %"}, {Key: "fan", Label: "with a fan", As: asTick}, noteField}}),
	kindScale: workshopThing(kindScale, "scale", readThing[stock.Scale], showThing[stock.Scale],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Kitchen scale", Need: needName}, {Key: "step", Label: "Smallest step it shows", Example: "1 g", Bare: " g", Need: "say the smallest difference it shows, like 1 g"}, {Key: "capacity", Label: "Carries up to", Example: "5 kg", NeedsUnit: true},
			{Key: "repeatability", Label: "Repeats itself to", Example: "0.5 g", Hint: "how far ten weighings of one thing lie apart", Bare: " g"}, noteField}}),
	kindMaterial: materialKind(),
	kindWorkshop: workshopThing(kindWorkshop, "workshop", readWorkshop, showThing[stock.Workshop],
		fieldGroup{Fields: []thingField{
			{Key: "name", Label: "Name", Example: "Ninth Lock Soap Room", Wide: true, Need: needName}, {Key: "currency", Label: "Currency", Example: "EUR", Hint: "every price is in it"}}},
		fieldGroup{Legend: "What work costs", Fields: []thingField{
			{Key: "hour", Label: "An hour's work", Example: "15.00", As: asPrice, Bare: "each"}, {Key: "overhead", Label: "Overhead of a bar", Example: "0.35", As: asPrice, Bare: "each"}}},
		fieldGroup{Legend: "When a batch counts as dry", Hint: "Every rule that is filled in must hold; a batch can have its own on the rack. With none it is half a per cent a week and four weeks: common practice, no source.", Fields: []thingField{
			{Key: "dry.weekly", Label: "Loses under so much a week", Example: "0.5 %", Bare: " %"}, {Key: "dry.gone", Label: "So much of its water is gone", Example: "90 %", Bare: " %"}, {Key: "dry.weeks", Label: "Weeks on the rack at least", Example: "4"}}}),
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
			if label == atLeast || label == atMost {
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
