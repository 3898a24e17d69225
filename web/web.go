// Package web is the workshop app: pages that answer back. Chemistry lives in
// package plan; a page posts its form and gets itself back, worked out anew.
//
// Start with New, and with routes, which lists every page. What it does not
// do: decide who may open it from another machine; package web's door does.
package web

import (
	"embed"
	"io/fs"
	"log"
	"maps"
	"sync/atomic"
	"time"

	"barwright/batch"
	"barwright/heat"
	"barwright/recipe"
	"barwright/store"
)

//go:embed templates/*.html templates/plan/*.html templates/bench/*.html templates/formulate/*.html
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

// App serves one workshop.
type App struct {
	store *store.Store
	now   func() time.Time
	pages *pages
	door  *door
	log   *log.Logger

	sideDemo  func() (string, error)
	demoAt    atomic.Pointer[string] // where it is served, nil before it was started
	gists     gists
	heating   oneAtATime
	searching oneAtATime
	taught    taught
	windows   windowsTaught
	sheets    sheets
	fits      fits
	gone      gone
}

// Options are what an App can be told.
type Options struct {
	Now  func() time.Time // the clock; time.Now when nil
	Log  *log.Logger      // where faults of the program go; discarded when nil
	Demo bool             // a throw-away copy: say so on every page
	Door Door             // who else than this computer may come in; nobody when empty

	// SideDemo starts the demo workshop beside this one and returns its address,
	// which only this computer reaches; nil when there is none.
	SideDemo func() (string, error)
}

// New returns the app of an open store.
func New(s *store.Store, o Options) (*App, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	static, err := fs.Sub(staticFiles, "static")
	if err != nil {
		return nil, err
	}
	p, err := parsePages(static, o.Demo)
	if err != nil {
		return nil, err
	}
	return &App{store: s, now: o.Now, pages: p, log: o.Log, door: newDoor(o.Door, o.Now), sideDemo: o.SideDemo, gists: gists{of: map[string]recipe.Recipe{}}, heating: newTurn(), searching: newTurn(),
		sheets: sheets{of: map[string]*batch.Sheet{}, lines: map[string]batchLine{}}, taught: taught{turn: newTurn(), makers: map[string]heat.Maker{}, told: map[string]*heat.Peak{}}, gone: gone{taken: map[string]takenBy{}, counted: map[string]countedAt{}}}, nil
}

// routes lists every page of the app, by the file that holds it.
func (a *App) routes() map[string]page {
	all := map[string]page{}
	for _, some := range []map[string]page{a.recipeRoutes(), a.versionRoutes(), a.workshopRoutes(), a.moveRoutes(), a.doorRoutes(), a.heatRoutes(), a.benchRoutes(), a.formulateRoutes(), a.rackRoutes(), a.calendarRoutes(), a.judgeRoutes()} {
		maps.Copy(all, some)
	}
	return all
}

// recipeRoutes are the list of recipes and the planning page.
func (a *App) recipeRoutes() map[string]page {
	return map[string]page{
		"GET /{$}":           a.home,
		"GET /":              a.nowhere,
		"POST /demo":         a.startDemo,
		"GET /demo":          a.demo,
		"GET /recipes":       a.recipes,
		"GET /recipes/new":   a.newRecipe,
		"POST /recipes/new":  a.workNewRecipe,
		"GET /recipes/{id}":  a.recipe,
		"POST /recipes/{id}": a.workRecipe,
	}
}
