package web

import (
	"archive/zip"
	"bytes"
	"maps"
	"mime"
	"net/http"
	"path"
	"slices"
	"strconv"

	"barwright/share"
)

// export sends the whole workshop as a zip of plain files, in one folder.
func (a *App) export(w http.ResponseWriter, r *http.Request) error {
	all, err := a.store.Everything(r.Context())
	if err != nil {
		return err
	}
	files := share.Files(all)
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	folder := "workshop"
	if shop.Name != "" {
		folder = share.FileName(shop.Name)
	}
	folder += a.now().Format("-2006-01-02")
	data, err := zipped(folder, files)
	if err != nil {
		return err
	}
	attach(w, "application/zip", folder+".zip")
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	w.Write(data) // a browser that went away is no fault
	return nil
}

// zipped packs files into one folder. The same files always give the same
// bytes.
func zipped(folder string, files map[string][]byte) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := z.Create(path.Join(folder, name))
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(files[name]); err != nil {
			return nil, err
		}
	}
	err := z.Close()
	return b.Bytes(), err
}

// attach makes the answer a file to be saved under a name.
func attach(w http.ResponseWriter, contentType, name string) {
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	w.Header().Set("Cache-Control", "no-store")
}
