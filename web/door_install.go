package web

import (
	"net/http"

	"barwright/authority"
	"barwright/store"
)

// installPage gives a phone the certificate of the local authority.
type installPage struct {
	Fingerprint []string
	App         place
}

func (a *App) install(w http.ResponseWriter, r *http.Request) error {
	if !a.door.secure() {
		return store.ErrMissing
	}
	p := installPage{inLines(authority.Fingerprint(a.door.Authority)), placeOf(a.door.scheme(), a.door.Addresses, "", "")}
	return a.show(w, r, http.StatusOK, "install", "workshop", "The certificate", p)
}

func (a *App) certificate(w http.ResponseWriter, _ *http.Request) error {
	if !a.door.secure() {
		return store.ErrMissing
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	_, err := w.Write(a.door.Authority)
	return err
}

// InstallHandler is what goes over plain HTTP beside TLS: the certificate and
// how to install it, for anyone, and nothing of the workshop.
func (a *App) InstallHandler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /static/{name}", a.pages.serveAsset)
	mux.Handle("GET /install", a.serve(a.install, maxForm))
	mux.Handle("GET /install/barwright.crt", a.serve(a.certificate, maxForm))
	mux.Handle("GET /", http.RedirectHandler("/install", http.StatusSeeOther))
	return headers(a.door.ownHosts(mux))
}
