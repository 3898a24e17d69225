package web_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"barwright/demo"
	"barwright/recipes"
	"barwright/share"
	"barwright/store"
	"barwright/web"
)

// A workshop of 1,000 recipes with 5 versions each: the list and a search, from
// the request to the whole page. The planning page beside it, worked out anew.
func BenchmarkPages(b *testing.B) {
	s, err := store.Open(b.Context(), b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	fillLarge(b, s)
	app, err := web.New(s, web.Options{})
	if err != nil {
		b.Fatal(err)
	}
	for name, path := range map[string]string{"list": "/recipes", "search": "/recipes?q=recipe+77", "plan": "/recipes/r77"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequest("GET", path, nil)
				r.Host, r.RemoteAddr = "localhost", "127.0.0.1:50000"
				w := httptest.NewRecorder()
				if app.Handler().ServeHTTP(w, r); w.Code != 200 {
					b.Fatal(w.Code)
				}
			}
		})
	}
}

// The rack of the demo's sixteen batches: the first look after the start, when
// every series is fitted, and the looks after it.
func BenchmarkRack(b *testing.B) {
	s, err := store.Open(b.Context(), b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	if err := demo.Fill(b.Context(), s, demo.NinthLock, today); err != nil {
		b.Fatal(err)
	}
	open := func() http.Handler {
		app, err := web.New(s, web.Options{Now: func() time.Time { return today }})
		if err != nil {
			b.Fatal(err)
		}
		return app.Handler()
	}
	look := func(h http.Handler) {
		r := httptest.NewRequest("GET", "/rack", nil)
		r.Host, r.RemoteAddr = "localhost", "127.0.0.1:50000"
		w := httptest.NewRecorder()
		if h.ServeHTTP(w, r); w.Code != http.StatusOK {
			b.Fatal(w.Code)
		}
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			h := open()
			b.StartTimer()
			look(h)
		}
	})
	b.Run("again", func(b *testing.B) {
		h := open()
		for b.Loop() {
			look(h)
		}
	})
}

// fillLarge brings 1,000 recipes of 5 versions in.
func fillLarge(b *testing.B, s *store.Store) {
	body, err := recipes.Files.ReadFile("plain-tow.toml")
	if err != nil {
		b.Fatal(err)
	}
	var a share.Arrival
	for i := range 1000 {
		r := share.Recipe{ID: fmt.Sprint("r", i), Name: fmt.Sprint("Recipe ", i), Tags: []string{fmt.Sprint("tag", i%10)}}
		for v := range 5 {
			r.Versions = append(r.Versions, share.Version{ID: fmt.Sprint(r.ID, "-", v), Parent: v, Reason: "changed", Body: string(body), MadeAt: today})
		}
		a.Recipes = append(a.Recipes, r)
	}
	if err := s.Add(b.Context(), a, func(string) string { return "beef tallow coconut oil" }); err != nil {
		b.Fatal(err)
	}
}
