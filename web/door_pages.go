package web

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"barwright/authority"
	"barwright/store"
)

// doorRoutes are letting devices in, the list of them, and the certificate.
func (a *App) doorRoutes() map[string]page {
	return map[string]page{
		"GET /devices":               a.devices,
		"POST /devices/code":         a.newCode,
		"POST /devices/remove":       a.removeDevice,
		"GET /pair":                  a.pairPage,
		"POST /pair":                 a.pair,
		"GET /install":               a.install,
		"GET /install/barwright.crt": a.certificate,
	}
}

// devicesPage is who may come in, and how to let another one in. A paired
// device sees only itself.
type devicesPage struct {
	Here, Open, Secure bool
	Code, Until        string // "" while none is good
	Pair, Install      place
	Nowhere            string // why there is no such place, "" when there is one
	Fingerprint        []string
	Devices            []deviceRow
}

// place is where a device finds something: an address, others that may do, and
// the first as a QR code.
type place struct {
	At     string
	Others []string
	QR     *qrPicture
}

// deviceRow is one device that may come in.
type deviceRow struct {
	Hash, Name, Paired, Seen string
	Own                      bool // it is the one that asks
}

func (a *App) devices(w http.ResponseWriter, r *http.Request) error {
	v := visitorOf(r)
	p := devicesPage{Here: v.here, Open: a.door.Open, Secure: a.door.secure()}
	all, err := a.store.Devices(r.Context())
	if err != nil {
		return err
	}
	for _, d := range all {
		if isFeed(d) {
			continue // the calendar's page has them
		}
		if own := d.Hash == v.device.Hash; own || v.here {
			p.Devices = append(p.Devices, deviceRow{d.Hash, d.Name, a.moment(d.PairedAt), a.moment(d.SeenAt), own})
		}
	}
	if p.Here && p.Open {
		a.door.letIn(&p)
	}
	return a.show(w, r, http.StatusOK, "devices", "workshop", "Devices", p)
}

// letIn fills in what a new device needs.
func (d *door) letIn(p *devicesPage) {
	if d.WhyNowhere != nil && len(d.Addresses()) == 0 {
		p.Nowhere = d.WhyNowhere()
	}
	code, until := d.codes.good()
	if code != "" {
		p.Code, p.Until = spoken(code), until.Format("15:04")
		p.Pair = placeOf(d.scheme(), d.Addresses, "/pair", "?code="+code)
	}
	if d.secure() {
		p.Fingerprint = inLines(authority.Fingerprint(d.Authority))
		p.Install = placeOf("http://", d.Install, "/install", "")
	}
}

func (d *door) scheme() string {
	if d.secure() {
		return "https://"
	}
	return "http://"
}

// placeOf writes addresses as URLs. What is in the QR code and need not be
// typed is query.
func placeOf(scheme string, addresses func() []string, path, query string) (p place) {
	if addresses == nil {
		return p
	}
	for i, addr := range addresses() {
		url := scheme + addr + path
		if i == 0 {
			p.At, p.QR = url, qrOf(url+query)
		} else {
			p.Others = append(p.Others, url)
		}
	}
	return p
}

// moment says when something was: today by the clock, else the day.
func (a *App) moment(t time.Time) string {
	now := a.now()
	t = t.In(now.Location())
	if sameDay(t, now) {
		return "today at " + t.Format("15:04")
	}
	return t.Format("2 January 2006")
}

func sameDay(a, b time.Time) bool {
	return a.Format(time.DateOnly) == b.In(a.Location()).Format(time.DateOnly)
}

// PairingCode makes a new pairing code, for the terminal of the computer, and
// says until when it is good. It takes the place of the last one.
func (a *App) PairingCode() (code string, until time.Time) {
	code, until = a.door.codes.fresh()
	return spoken(code), until
}

func (a *App) newCode(w http.ResponseWriter, r *http.Request) error {
	if !visitorOf(r).here {
		return errElsewhere
	}
	if a.door.Open {
		a.door.codes.fresh()
	}
	http.Redirect(w, r, "/devices", http.StatusSeeOther)
	return nil
}

// removeDevice turns a device away: any on the computer itself, elsewhere only
// the device that asks.
func (a *App) removeDevice(w http.ResponseWriter, r *http.Request) error {
	v, hash := visitorOf(r), r.PostFormValue("device")
	own := hash != "" && hash == v.device.Hash
	if !v.here && !own {
		return errElsewhere
	}
	if err := a.store.RemoveDevice(r.Context(), hash); err != nil && !errors.Is(err, store.ErrMissing) {
		return err
	}
	back := "/devices"
	if own {
		a.door.takeToken(w)
		back = "/pair"
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
	return nil
}

// inLines parts a fingerprint into lines that can be compared by eye.
func inLines(fingerprint string) (lines []string) {
	const pairs = 8
	parts := strings.Split(fingerprint, ":")
	for len(parts) > pairs {
		lines, parts = append(lines, strings.Join(parts[:pairs], ":")), parts[pairs:]
	}
	return append(lines, strings.Join(parts, ":"))
}
