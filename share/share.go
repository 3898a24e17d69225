// Package share turns a whole workshop into plain open files and back: TOML
// for what is edited, CSV for lists.
//
// Start with Files, Read and Merge. It knows nothing of databases or disks:
// files are a map going out and an fs.FS coming in; what Merge says is to be
// added, package store adds.
package share

import "time"

// Workshop is everything a workshop has.
type Workshop struct {
	Recipes []Recipe
	Things  []Thing
	Batches []Batch
}

// Batch is a batch with all its events, in the order they arrived.
type Batch struct {
	ID     string
	Code   string
	Recipe string // id of the recipe it was made from
	MadeAt time.Time
	MadeBy string
	Start  string // JSON: all it was planned with
	Events []Event
}

// Event is one event of a batch. Body is its line of JSON.
type Event struct {
	ID        string
	Body      string
	ArrivedAt time.Time
}

// Recipe is a recipe with all its versions, the first one first.
type Recipe struct {
	ID       string
	Name     string // of its newest version
	Tags     []string
	Archived time.Time // zero while it is in use
	Versions []Version
}

// Version is one version; the nth has the number n. Parent is the number of
// the version it was made from, 0 for the first.
type Version struct {
	ID     string
	Parent int
	Reason string
	MadeAt time.Time
	MadeBy string
	Body   string // the recipe file
}

// Thing is a mould, a place, a lot and so on, with all its revisions, the
// first one first.
type Thing struct {
	Kind, ID  string
	Revisions []Revision
}

// Revision is one state of a thing. Gone is one that puts it away.
type Revision struct {
	Body   string // TOML
	Gone   bool
	MadeAt time.Time
	MadeBy string
}

// Newest is the thing as it is now.
func (t Thing) Newest() Revision { return t.Revisions[len(t.Revisions)-1] }

// Kinds of things.
const (
	kindLot      = "lot"
	kindMould    = "mould"
	kindPlace    = "place"
	kindScale    = "scale"
	kindCurve    = "curve"
	kindPhoto    = "photo"
	kindGoal     = "goal"
	kindMaterial = "material"
	kindWorkshop = "workshop"
)

// folders lists the kinds with the folder of each. Materials come before lots,
// which may be lots of them.
var folders = []struct{ kind, dir string }{
	{kindWorkshop, "workshop"}, {kindMaterial, "materials"}, {kindLot, "stock"}, {kindMould, "moulds"}, {kindPlace, "places"}, {kindScale, "scales"}, {kindCurve, "curves"}, {kindPhoto, "photos"}, {kindGoal, "goals"},
}

// What an export may hold at most. A workshop of a thousand recipes with five
// versions each has 8 MB.
const (
	mostRecipes = 10000
	mostTable   = 8 << 20  // bytes of one list
	mostBytes   = 64 << 20 // bytes together, but for photos
	mostPhotos  = 1 << 30  // bytes of those
)
