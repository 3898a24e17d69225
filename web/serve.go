package web

import (
	"errors"
	"net/http"
	"strings"

	"barwright/picture"
	"barwright/recipe"
	"barwright/store"
)

// page answers one request. An error becomes a page with a sentence for
// people; faults of the program are logged and say only that.
type page func(w http.ResponseWriter, r *http.Request) error

// The largest forms that are read [bytes].
const (
	maxForm  = 1 << 20
	maxFiles = 16 << 20 // a zip comes once as it is, and again a third longer
	maxPair  = 4 << 10  // strangers may send it
)

// Handler returns the app as one handler: routes behind the door, with the
// headers that keep every page to this machine.
func (a *App) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /static/{name}", a.pages.serveAsset)
	for pattern, p := range a.routes() {
		mux.Handle(pattern, a.serve(p, limitOf(pattern)))
	}
	return headers(a.door.guard(a, mux))
}

// limitOf is the largest body that a page reads [bytes].
func limitOf(pattern string) int64 {
	switch pattern {
	case "POST /import":
		return maxFiles
	case "POST /batches/{id}/photos":
		return picture.MostBytes + maxForm
	case "POST /pair":
		return maxPair
	}
	return maxForm
}

// serve answers with a page. A form that is too large or in pieces is refused
// before the page sees any of it.
func (a *App) serve(p page, limit int64) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		defer func() {
			if r.MultipartForm != nil {
				r.MultipartForm.RemoveAll() // the server itself sees only the request as it came
			}
		}()
		err := readForm(r)
		if err == nil {
			err = p(w, r)
		}
		if err != nil {
			a.fail(w, r, err)
		}
	})
}

func readForm(r *http.Request) error {
	if r.Method != http.MethodPost {
		return nil
	}
	err := r.ParseForm()
	if err != nil && !isTooBig(err) {
		return errBadForm
	}
	return err
}

// errBadForm is a form that no browser sends.
var errBadForm = errors.New("a form that cannot be read")

// errElsewhere is what only the computer itself may ask for.
var errElsewhere = errors.New("asked for by a paired device")

func isTooBig(err error) bool {
	var big *http.MaxBytesError
	return errors.As(err, &big)
}

// headers keeps browsers from loading, sending or framing anything else, and
// other sites from reading along. The referrer is kept on this site only: with
// none at all, browsers send forms over plain HTTP from nowhere (Origin: null),
// and those are refused.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'; worker-src 'self'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		if r.TLS != nil || loopbackName(hostOnly(r.Host)) { // elsewhere browsers ignore it and complain
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
		}
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store") // static files say otherwise
		next.ServeHTTP(w, r)
	})
}

// sorry is what an error page says, and where it leads.
type sorry struct{ Text, Advice, To, ToWords string }

func (a *App) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // the visitor has gone, and what was begun for her was stopped
	}
	status, s := a.sorryFor(r, err)
	if strings.HasPrefix(r.URL.Path, tastePath) {
		if status == http.StatusNotFound {
			s = noSuchBar(r.URL.Path)
		}
		if err := a.showCard(w, status, "sorry", "Sorry", s); err != nil {
			a.logf("%s %s: %v", r.Method, r.URL.Path, err)
		}
		return
	}
	s.To, s.ToWords = "/recipes", "To the recipes"
	if err := a.show(w, r, status, "sorry", "", "Sorry", s); err != nil {
		a.logf("%s %s: %v", r.Method, r.URL.Path, err)
	}
}

// sorryFor is what people are told of an error, and the status that goes with
// it. What only the program's makers can mend is logged.
func (a *App) sorryFor(r *http.Request, err error) (status int, s sorry) {
	var t *store.Trouble
	var f recipe.Fault
	var tap *tapFault
	switch {
	case errors.Is(err, errBadForm):
		return http.StatusBadRequest, sorry{Text: "That cannot be read.", Advice: "Go back, open the page anew and send it again."}
	case errors.Is(err, errElsewhere):
		return http.StatusForbidden, sorry{Text: "That is done on the computer that serves the workshop.", Advice: "Open the workshop there; under Workshop are the devices."}
	case errors.Is(err, store.ErrMissing):
		return http.StatusNotFound, sorry{Text: "There is no such page in this workshop.", Advice: "It may have been put away, or the address has a slip in it."}
	case errors.Is(err, store.ErrChanged):
		return http.StatusConflict, sorry{Text: "Somebody changed this at the same moment.", Advice: "Nothing of yours was saved. Look at what is there now, and try again."}
	case errors.As(err, &tap):
		return http.StatusUnprocessableEntity, sorry{Text: upperFirst(tap.text), Advice: tap.advice}
	case errors.As(err, &f):
		return http.StatusUnprocessableEntity, sorry{Text: f.Text, Advice: f.Advice}
	case errors.Is(err, store.ErrText):
		return http.StatusUnprocessableEntity, sorry{Text: "What was sent holds signs that cannot be kept.", Advice: "Nothing was saved. Something odd was pasted; type it anew."}
	case errors.As(err, &t):
		return http.StatusServiceUnavailable, sorry{Text: t.Text, Advice: t.Advice}
	case isTooBig(err) && r.URL.Path != "/import":
		return http.StatusRequestEntityTooLarge, sorry{Text: "That is more than this page takes, a megabyte.", Advice: "Nothing was saved. Something long was pasted, or the wrong file chosen."}
	case isTooBig(err):
		return http.StatusRequestEntityTooLarge, sorry{Text: "That is more than this page takes.", Advice: "Bring files in a few at a time. A zip of more than some 11 MB comes in on this computer, with: barwright import FILE.zip"}
	}
	a.logf("%s %s: %v", r.Method, r.URL.Path, err)
	return http.StatusInternalServerError, sorry{Text: "Something went wrong inside the program.", Advice: "What you saved before is still there. Try again; if it comes back, the program's log says more."}
}

// saved goes on to another page after something was saved. A page that saves
// without leaving is told where that is, and goes there itself.
func saved(w http.ResponseWriter, r *http.Request, to string) error {
	if r.Header.Get(savingHeader) == "" {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	w.Header().Set("Location", to)
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// savingHeader is what static/save.js sends along.
const savingHeader = "Barwright-Saving"

func (a *App) logf(format string, args ...any) {
	if a.log != nil {
		a.log.Printf(format, args...)
	}
}

// show renders a page inside the layout. A stranger gets it without anything
// of the workshop.
func (a *App) show(w http.ResponseWriter, r *http.Request, status int, name, section, title string, data any) error {
	if visitorOf(r).stranger() {
		return a.pages.render(w, status, name, frame{Title: title, Bare: true, Page: data})
	}
	shop, err := a.workshop(r.Context())
	if err != nil {
		shop.Name = ""
	}
	return a.pages.render(w, status, name, frame{Title: title, Section: section, Workshop: shop.Name, Page: data})
}
