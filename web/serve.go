package web

import (
	"errors"
	"net/http"

	"barwright/recipe"
	"barwright/store"
)

// page answers one request. An error becomes a page with a sentence for
// people; faults of the program are logged and say only that.
type page func(w http.ResponseWriter, r *http.Request) error

// maxForm is the largest form that is read [bytes].
const maxForm = 1 << 20

// Handler returns the app as one handler: routes behind the door, with the
// headers that keep every page to this machine.
func (a *App) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /static/{name}", a.pages.serveAsset)
	for pattern, p := range a.routes() {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			r.Body = http.MaxBytesReader(w, r.Body, maxForm)
			if err := p(w, r); err != nil {
				a.fail(w, r, err)
			}
		})
	}
	protect := http.NewCrossOriginProtection()
	return headers(a.door.guard(a, protect.Handler(mux)))
}

// headers keeps browsers from loading, sending or framing anything else.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'; worker-src 'self'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		next.ServeHTTP(w, r)
	})
}

// sorry is what an error page says.
type sorry struct{ Text, Advice string }

func (a *App) fail(w http.ResponseWriter, r *http.Request, err error) {
	status, s := http.StatusInternalServerError, sorry{"Something went wrong inside the program.", "What you saved before is still there. Try again; if it comes back, the program's log says more."}
	var t *store.Trouble
	var f recipe.Fault
	var big *http.MaxBytesError
	switch {
	case errors.Is(err, store.ErrMissing):
		status, s = http.StatusNotFound, sorry{"There is no such page in this workshop.", "It may have been put away, or the address has a slip in it."}
	case errors.Is(err, store.ErrChanged):
		status, s = http.StatusConflict, sorry{"Somebody changed this at the same moment.", "Nothing of yours was saved. Go back, look at what is there now, and try again."}
	case errors.As(err, &f):
		status, s = http.StatusUnprocessableEntity, sorry{f.Text, f.Advice}
	case errors.As(err, &t):
		status, s = http.StatusServiceUnavailable, sorry{t.Text, t.Advice}
	case errors.As(err, &big):
		status, s = http.StatusRequestEntityTooLarge, sorry{"That is more than this page takes.", "A recipe file has at most one megabyte."}
	default:
		a.logf("%s %s: %v", r.Method, r.URL.Path, err)
	}
	if err := a.show(w, r, status, "sorry", "", "Sorry", s); err != nil {
		a.logf("%s %s: %v", r.Method, r.URL.Path, err)
	}
}

func (a *App) logf(format string, args ...any) {
	if a.log != nil {
		a.log.Printf(format, args...)
	}
}

// show renders a page inside the layout.
func (a *App) show(w http.ResponseWriter, r *http.Request, status int, name, section, title string, data any) error {
	shop, err := a.workshop(r.Context())
	if err != nil {
		shop.Name = ""
	}
	return a.pages.render(w, status, name, frame{Title: title, Section: section, Workshop: shop.Name, Page: data})
}
