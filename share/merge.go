package share

import (
	"fmt"
	"slices"
	"time"

	"barwright/material"
)

// Arrival is what one workshop adds to another. Nothing in it changes what is
// there.
type Arrival struct {
	Recipes []Recipe // whole new recipes
	Further []Further
	Things  []Thing
	Batches []Batch // whole new batches
	Taps    []Batch // batches that are there, with only the events that are new

	Known  int      // recipes, things and batches that are there already, the same
	Copies []string // recipes that are there otherwise: theirs come in as copies
	Kept   []string // things, batches and taps that are there otherwise: ours stay
	Beware []string // what changes other recipes
}

// Further is a recipe that is there, with only the versions to be added after
// those it has.
type Further struct {
	Recipe
	After int // how many it has
}

// Empty reports that there is nothing to add.
func (a Arrival) Empty() bool {
	return len(a.Recipes)+len(a.Further)+len(a.Things)+len(a.Batches)+len(a.Taps) == 0
}

// BroughtIn is the tag of a copy that came in beside a recipe of ours.
const BroughtIn = "brought-in"

// Merge returns what theirs adds to ours. A recipe that is there with the same
// versions is known, whatever their line ends; one that goes on where ours ends adds its further
// versions; one that differs comes in as a copy. A thing that is there otherwise
// stays as it is. What has no time gets at. newID makes an id that nobody has.
// The error is a material that does not go together with ours.
func Merge(ours, theirs Workshop, at time.Time, newID func() string) (Arrival, error) {
	m := merger{recipes: map[string]Recipe{}, versions: map[string]bool{}, at: at, newID: newID}
	for _, r := range ours.Recipes {
		m.recipes[r.ID] = r
		for _, v := range r.Versions {
			m.versions[v.ID] = true
		}
	}
	for _, r := range theirs.Recipes {
		m.recipe(r)
	}
	m.things(ours.Things, theirs.Things)
	m.batches(ours.Batches, theirs.Batches)
	m.out.Beware = replacements(m.out.Things)
	return m.out, checkMaterials(slices.Concat(ours.Things, m.out.Things))
}

type merger struct {
	recipes  map[string]Recipe // by id
	versions map[string]bool   // ids that are taken
	at       time.Time
	newID    func() string
	out      Arrival
}

// recipe places one of their recipes: under its own id, or as its first copy,
// or its second …
func (m *merger) recipe(r Recipe) {
	id := r.ID
	for n := 2; ; n++ {
		have, taken := m.recipes[r.ID]
		if !taken {
			m.addRecipe(r, r.ID != id)
			return
		}
		same := 0
		for same < len(have.Versions) && same < len(r.Versions) && sameVersion(have.Versions[same], r.Versions[same]) {
			same++
		}
		switch same {
		case len(r.Versions):
			m.out.Known++
			return
		case len(have.Versions):
			r.Versions = m.fresh(r.Versions[same:])
			m.out.Further = append(m.out.Further, Further{r, same})
			have.Versions = slices.Concat(have.Versions, r.Versions)
			m.recipes[r.ID] = have
			return
		}
		r.ID = fmt.Sprintf("%.*s-%d", material.MaxID-8, id, n)
	}
}

func sameVersion(a, b Version) bool {
	return sameEnds(a.Body) == sameEnds(b.Body) && a.Parent == b.Parent && guard(a.Reason) == guard(b.Reason)
}

func (m *merger) addRecipe(r Recipe, isCopy bool) {
	if isCopy {
		m.out.Copies = append(m.out.Copies, r.Name)
		if !slices.Contains(r.Tags, BroughtIn) {
			r.Tags = append(slices.Clone(r.Tags), BroughtIn)
		}
	}
	r.Versions = m.fresh(r.Versions)
	m.recipes[r.ID] = r
	m.out.Recipes = append(m.out.Recipes, r)
}

// fresh returns the versions with ids that nobody has, and times.
func (m *merger) fresh(versions []Version) []Version {
	out := slices.Clone(versions)
	for i := range out {
		if m.versions[out[i].ID] {
			out[i].ID = m.newID()
		}
		m.versions[out[i].ID] = true
		if out[i].MadeAt.IsZero() {
			out[i].MadeAt = m.at
		}
	}
	return out
}

func (m *merger) things(ours, theirs []Thing) {
	have := map[[2]string]Thing{}
	var shop *Thing
	for _, t := range ours {
		have[[2]string{t.Kind, t.ID}] = t
		if t.Kind == kindWorkshop && !t.Newest().Gone {
			shop = &t
		}
	}
	for _, t := range theirs {
		our, taken := have[[2]string{t.Kind, t.ID}]
		if t.Kind == kindWorkshop && shop != nil { // there is one workshop, whatever its id
			our, taken = *shop, true
		}
		switch {
		case !taken:
			m.out.Things = append(m.out.Things, m.dated(t))
		case sameEnds(our.Newest().Body) == sameEnds(t.Newest().Body) && our.Newest().Gone == t.Newest().Gone:
			m.out.Known++
		default:
			m.out.Kept = append(m.out.Kept, fmt.Sprintf("%s %s", t.Kind, t.ID))
		}
	}
}

func (m *merger) dated(t Thing) Thing {
	t.Revisions = slices.Clone(t.Revisions)
	for i := range t.Revisions {
		if t.Revisions[i].MadeAt.IsZero() {
			t.Revisions[i].MadeAt = m.at
		}
	}
	return t
}
