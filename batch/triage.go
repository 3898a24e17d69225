package batch

import (
	"fmt"
	"slices"

	"barwright/internal/near"
	"barwright/source"
)

// Trouble is one thing that goes wrong, asked about in two questions and ending
// in one instruction. Common practice, no source, but where a line says so.
type Trouble struct {
	ID     string
	Says   string // what the maker sees
	First  Question
	Second map[string]Question // by the answer to the first
}

// Question has two or three answers.
type Question struct {
	Ask     string
	Answers []Answer
}

// Answer is one answer; those of a second question lead to a Remedy.
type Answer struct {
	ID, Says string
	Remedy   *Remedy
}

// Remedy is what to do in the next five minutes, and what is stamped when it is
// done.
type Remedy struct {
	Do    string
	Stamp string // the words on the done area
	What  string // what it is called
	Pour  bool   // pour right after it
	Grade source.Grade
}

func leaf(id, says, what, do, stamp string) Answer {
	return Answer{id, says, &Remedy{Do: do, Stamp: stamp, What: what, Grade: source.Practice}}
}

func pouring(a Answer) Answer { a.Remedy.Pour = true; return a }

// Troubles are the questions of the bench, what burns first.
var Troubles = []Trouble{
	{ID: "thickening", Says: "It is thickening early", First: Question{"Warm a spoonful in your gloved hand, or in a warm spoon. Does it run again?", []Answer{{ID: "runs", Says: "Yes, it runs"}, {ID: "stays", Says: "No, it stays thick"}}},
		Second: map[string]Question{
			"runs": {"Is the pot cooler than the clear point on the screen?", []Answer{
				leaf("cooler", "Yes", "false trace", "Stop blending. Warm the pot in a water bath to 4 to 8 °C over the cloud point and wait until it is smooth", "Smooth again"),
				leaf("warm", "No", "false trace by hard fat", "Warm it gently by 3 °C, stir by hand, then blend on", "Smooth again")}},
			"stays": {"Is the blender still in?", []Answer{
				pouring(leaf("blending", "Yes", "quick trace", "Blender out. Leave out what is not in yet but scent you can stir in at once; pour now", "Poured")),
				pouring(leaf("by_hand", "No", "quick trace", "Pour now, press into the corners with a spatula", "Poured"))}},
		}},
	{ID: "ricing", Says: "Grains or rice in it", First: Question{"Did it come with the scent?", []Answer{{ID: "scent", Says: "Yes, after the scent"}, {ID: "before", Says: "No, before it"}}},
		Second: map[string]Question{
			"scent": {"Does it still flow?", []Answer{
				pouring(leaf("flows", "Yes", "ricing", "Blender out. Whisk by hand 60 to 90 s until smooth, pour and keep it warm", "Whisked")),
				pouring(leaf("stiff", "No", "ricing", "Press it into the mould in layers, keep it warm and covered: heat melts the grains", "In the mould"))}},
			"before": {"Do the grains melt between gloved fingers?", []Answer{
				leaf("melt", "Yes", "false trace", "Warm the pot in a water bath to 4 to 8 °C over the cloud point and wait until it is smooth", "Smooth again"),
				leaf("hard", "No", "lumps of lye or soap", "Gloves on. Blend warm until no grain is left; set the batch aside for a test if one stays", "Blended")}},
		}},
	{ID: "seizing", Says: "It sets solid in the pot", First: Question{"Can a spoon still move it?", []Answer{{ID: "moves", Says: "Yes"}, {ID: "solid", Says: "No"}}},
		Second: map[string]Question{
			"moves": {"Is everything in?", []Answer{
				pouring(leaf("all", "Yes", "seizing", "Stop blending. Spoon it into the mould and press it down hard", "Pressed in")),
				leaf("not_all", "No", "seizing", "Stop blending. Finish it hot: warm the pot in a water bath to 75 to 80 °C, stir, add the rest when it is soft", "Soft and whole")}},
			"solid": {"Can the pot be heated?", []Answer{
				leaf("heat", "Yes", "seizing", "Finish it hot: water bath, lid on, 75 to 80 °C, stir when it softens. No water on top", "Soft and whole"),
				leaf("no_heat", "No", "seizing", "Leave it in the pot, gloves on, lid on. Break it up and finish it hot tomorrow", "Set aside")}},
		}},
	{ID: "heating", Says: "The mould gets hot or swells", First: Question{"Is there a crack, or does it rise?", []Answer{{ID: "rises", Says: "Yes"}, {ID: "flat", Says: "No, only hot"}}},
		Second: map[string]Question{
			"rises": {"Is it covered?", []Answer{
				leaf("covered", "Yes", "overheating", "Uncover it, tray under it, onto a cold surface, fan on it. No water", uncoveredAndCooling),
				leaf("open", "No", "overheating", "Tray under it, onto a cold surface, fan on it. No water. Keep back until the crack has closed", "Cooling")}},
			"flat": {"Is the core over 85 °C, or rising more than half a degree a minute?", []Answer{
				leaf("fast", "Yes", "overheating", "Uncover it, fan on it, tray under it", uncoveredAndCooling),
				leaf("slow", "No", "gel", "Leave it as it is; read the core again in 10 minutes", "Read again")}},
		}},
	{ID: "separation", Says: "Oil stands on it, or it weeps", First: Question{"Is it still in the pot?", []Answer{{ID: "pot", Says: "Yes"}, {ID: "mould", Says: "No, in the mould"}}},
		Second: map[string]Question{
			"pot": {"Did you see a trace?", []Answer{
				leaf("no_trace", "No", "no emulsion", "Blend on, warm, in short bursts until a line stays; check the gross weights meanwhile", "Line stays"),
				leaf("traced", "Yes", "broken emulsion", "Warm by 5 °C and blend until it is one again, then pour", "One again")}},
			"mould": {"Is it still soft?", []Answer{
				leaf("soft", "Yes", "separation", "Gloves. Back into the pot, warm, blend to a trace, pour again", "Poured again"),
				leaf("set", "No", "separation", "Gloves; do not taste it. Leave it two days: what is drawn in was heat, what stays is set aside for a test", "Left alone")}},
		}},
}

// TroubleBy returns a trouble by its id.
func TroubleBy(id string) (Trouble, bool) {
	i := slices.IndexFunc(Troubles, func(t Trouble) bool { return t.ID == id })
	if i < 0 {
		return Trouble{}, false
	}
	return Troubles[i], true
}

// leaf returns the remedy that the answers lead to.
func (a Triaged) leaf() (Remedy, error) {
	t, ok := TroubleBy(a.Trouble)
	if !ok {
		var ids []string
		for _, t := range Troubles {
			ids = append(ids, t.ID)
		}
		return Remedy{}, fault(fmt.Sprintf("one of %v%s", ids, meant(near.Word(a.Trouble, ids))), "trouble: %.40q", a.Trouble)
	}
	for _, answer := range t.Second[a.First].Answers {
		if answer.ID == a.Second {
			return *answer.Remedy, nil
		}
	}
	return Remedy{}, fault("one of the answers to each question", "answers: %.40q, %.40q", a.First, a.Second)
}

func meant(word string) string {
	if word == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", word)
}

// uncoveredAndCooling is stamped when a batch that got too warm was uncovered and
// has a fan on it.
const uncoveredAndCooling = "Uncovered and cooling"
