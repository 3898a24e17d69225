package web

import "net/http"

// demoPage leads to the demo workshop that runs beside this one.
type demoPage struct{ At string } // "" while it does not run

// startDemo starts it. It does not lead there by itself, because browsers that
// keep forms to this site (form-action in headers) follow none to another.
func (a *App) startDemo(w http.ResponseWriter, r *http.Request) error {
	if a.sideDemo == nil || !visitorOf(r).here {
		return errElsewhere
	}
	at, err := a.sideDemo()
	if err != nil {
		return err
	}
	a.demoAt.Store(&at)
	http.Redirect(w, r, "/demo", http.StatusSeeOther)
	return nil
}

// demo goes on to it, or offers to start it.
func (a *App) demo(w http.ResponseWriter, r *http.Request) error {
	if a.sideDemo == nil || !visitorOf(r).here {
		return errElsewhere
	}
	var p demoPage
	if at := a.demoAt.Load(); at != nil {
		p.At = *at
		w.Header().Set("Refresh", "0; url="+p.At)
	}
	return a.show(w, r, http.StatusOK, "demo", "", "The demo workshop", p)
}
