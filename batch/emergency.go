package batch

import (
	"barwright/source"
)

// Card is one emergency: the first line is read before anything else. Source:
// safety_sheets (recalled): rinse for 15 minutes at least, do not neutralise.
type Card struct {
	ID, Title string
	First     string
	Then      []string
	RinseMin  int // the timer counts up to it and goes on
	Grade     source.Grade
}

// Cards are the emergencies, by their ids.
var Cards = []Card{
	{"splash", "On the skin", "Running lukewarm water, now, 15 minutes and more", []string{"Take off what is wet, gloves on, under the water", "No vinegar, no cream", "Burning, white or larger than a palm: call for help while it rinses"}, 15, source.Memory},
	{"eye", "In the eye", "Hold the eye open under running water, now, 15 minutes and more", []string{"Let somebody else call for help at once", "Take out contact lenses while it rinses", "Rinse on until help is there, and on the way"}, 15, source.Memory},
	{"breath", "Breathed in", "Out into fresh air, now", []string{"Sit upright, loosen what is tight", "Cough, tightness or hoarseness: call for help", "Open the window before anybody goes back"}, 0, source.Memory},
	{"spill", "Spilt", "Everybody back, gloves and goggles on", []string{"Children and pets out", "Soak it up with rags or paper, into a bucket of plastic", "Much water afterwards; never acid onto lye"}, 0, source.Memory},
}

// EmergencyCard returns a card by its id; the one for skin when there is none
// of that name.
func EmergencyCard(id string) Card {
	for _, c := range Cards {
		if c.ID == id {
			return c
		}
	}
	return Cards[0]
}
