package web

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"errors"
	"net/http"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/share"
)

// incomingShop is the export of a whole workshop that was chosen.
type incomingShop struct {
	File   string
	Zip    string // to be sent again when it is saved
	Faults []lineFault
	share.Arrival
}

// Later counts the versions to be added to recipes that are there.
func (s *incomingShop) Later() (n int) {
	for _, f := range s.Further {
		n += len(f.Versions)
	}
	return n
}

// readShop reads a zip and says what it would add.
func (a *App) readShop(r *http.Request, name string, data []byte) *incomingShop {
	s := &incomingShop{File: name, Zip: base64.StdEncoding.EncodeToString(data)}
	if err := a.mergeShop(r, s, data); err != nil {
		s.fault(err)
	}
	return s
}

// shopAgain reads the zip that the page has shown; others may have saved
// something meanwhile.
func (a *App) shopAgain(r *http.Request, text string) *incomingShop {
	s := &incomingShop{File: cutTo(r.PostFormValue("zip.file"), 100), Zip: text}
	data, err := base64.StdEncoding.DecodeString(text)
	if err == nil {
		err = a.mergeShop(r, s, data)
	}
	if err != nil {
		s.fault(err)
	}
	return s
}

func (a *App) mergeShop(r *http.Request, s *incomingShop, data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return errNoZip
	}
	if !share.IsExport(z) {
		return errNoExport
	}
	theirs, err := share.Read(z)
	if err != nil {
		return err
	}
	ours, err := a.store.Everything(r.Context())
	if err != nil {
		return err
	}
	s.Arrival, err = share.Merge(ours, theirs, a.now(), newID)
	return err
}

var (
	errNoZip    = errors.New("the file is not a whole zip")
	errNoExport = errors.New("the zip holds no workshop: there is no recipes.csv in it")
)

func (s *incomingShop) fault(err error) {
	for _, e := range tomldoc.All(err) {
		s.Faults = append(s.Faults, lineFault{Text: e.Error(), Advice: e.Advice})
	}
	if len(s.Faults) > 0 {
		return
	}
	advice := "choose a zip that came from “The whole workshop as files”"
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		advice = h.Hint()
	}
	s.Faults = []lineFault{{Text: err.Error(), Advice: advice}}
}

func (a *App) saveShop(w http.ResponseWriter, r *http.Request, s *incomingShop) error {
	words := func(body string) string { return share.Words(body, material.Builtin()) }
	if err := a.store.Add(r.Context(), s.Arrival, words); err != nil {
		return err
	}
	http.Redirect(w, r, "/recipes", http.StatusSeeOther)
	return nil
}
