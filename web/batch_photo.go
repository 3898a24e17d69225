package web

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"barwright/batch"
	"barwright/internal/tomldoc"
	"barwright/picture"
	"barwright/store"
)

// mostPhotos is how many photos one batch keeps.
const mostPhotos = 24

// addPhoto keeps a photo beside the batch, and a tap that says so. The photo
// comes first: a tap never tells of one that is not there.
func (a *App) addPhoto(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	if len(m.State.Photos) >= mostPhotos {
		return &tapFault{fmt.Sprintf("%d photos are kept of this batch, and no more.", mostPhotos), "Keep others as files beside it."}
	}
	p, err := readPhoto(r, m.ID)
	if err != nil {
		return err
	}
	body, err := toml.Marshal(p)
	if err != nil {
		return err
	}
	if _, err := a.store.SaveThing(r.Context(), store.Thing{Kind: kindPhoto, ID: p.ID, Body: string(body), MadeAt: a.now(), MadeBy: handOf(r)}); err != nil {
		return err
	}
	if err := a.stampForm(r, m.Batch, url.Values{"kind": {"pictured"}, "id": {r.PostFormValue("id")}, "s.photo": {p.ID}, "s.text": {r.PostFormValue("text")}}); err != nil {
		return err
	}
	http.Redirect(w, r, "/batches/"+m.ID, http.StatusSeeOther)
	return nil
}

// readPhoto reads the photo that a form sends.
func readPhoto(r *http.Request, batchID string) (picture.Photo, error) {
	if err := r.ParseMultipartForm(maxForm); err != nil && !isTooBig(err) {
		return picture.Photo{}, errBadForm
	} else if err != nil {
		return picture.Photo{}, err
	}
	f, _, err := r.FormFile("photo")
	if err != nil {
		return picture.Photo{}, &tapFault{"No photo came.", "Choose a JPEG or PNG file."}
	}
	defer f.Close()
	file, err := io.ReadAll(f)
	if err != nil {
		return picture.Photo{}, err
	}
	p, err := picture.New(newID(), batchID, file)
	if err != nil {
		return p, badTap(err)
	}
	return p, nil
}

// photo serves one photo of a batch.
func (a *App) photo(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	id := r.PathValue("photo")
	if !slices.ContainsFunc(m.State.Photos, func(p batch.PhotoState) bool { return p.Photo == id }) {
		return store.ErrMissing
	}
	t, err := a.store.Thing(r.Context(), kindPhoto, id)
	if err != nil {
		return err
	}
	var p picture.Photo
	if _, err := tomldoc.Decode("photo "+id, []byte(t.Body), &p); err != nil {
		return err
	}
	file, err := p.File()
	if key, bad := p.Check(); errors.Join(err, bad) != nil {
		return &tapFault{"The photo cannot be shown: " + key + ".", "It was kept by another program."}
	}
	w.Header().Set("Content-Type", "image/jpeg")
	_, err = w.Write(file)
	return err
}
