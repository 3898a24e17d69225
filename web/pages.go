package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

// pages renders templates. Every page is the layout with one content template.
type pages struct {
	byName map[string]*template.Template
	assets map[string]asset // by hashed name
	hashed map[string]string
	demo   bool
}

// asset is a static file with what it is served as.
type asset struct {
	body        []byte
	contentType string
}

// frame is what the layout shows around every page.
type frame struct {
	Title    string // of the browser's tab and the page
	Section  string // of the navigation: "recipes", "stock", "workshop"
	Workshop string
	Demo     bool
	Bare     bool // for a stranger: nothing of the workshop, not even its name
	Page     any
}

func parsePages(static fs.FS, demo bool) (*pages, error) {
	p := &pages{byName: map[string]*template.Template{}, assets: map[string]asset{}, hashed: map[string]string{}, demo: demo}
	if err := p.hashAssets(static); err != nil {
		return nil, err
	}
	base, err := template.New("").Funcs(template.FuncMap{"asset": func(name string) string { return p.hashed[name] }}).Funcs(words).
		ParseFS(templateFiles, "templates/layout.html", "templates/partials.html", "templates/heat-parts.html")
	if err != nil {
		return nil, err
	}
	files, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		name := strings.TrimSuffix(path.Base(f), ".html")
		if name == "layout" || name == "partials" || name == "heat-parts" {
			continue
		}
		t, err := base.Clone()
		if err != nil {
			return nil, err
		}
		parts, err := fs.Glob(templateFiles, "templates/"+name+"/*.html") // of a page too long for one file
		if err != nil {
			return nil, err
		}
		if p.byName[name], err = t.ParseFS(templateFiles, append(parts, f)...); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// hashAssets gives every static file a name with its hash, so that browsers
// may keep it for ever.
func (p *pages) hashAssets(static fs.FS) error {
	return fs.WalkDir(static, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := fs.ReadFile(static, name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(body)
		ext := path.Ext(name)
		hashed := strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:4]) + ext
		p.assets[hashed] = asset{body, contentTypes[ext]}
		p.hashed[name] = "/static/" + hashed
		return nil
	})
}

var contentTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png"}

func (p *pages) serveAsset(w http.ResponseWriter, r *http.Request) {
	a, ok := p.assets[r.PathValue("name")]
	if !ok {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", a.contentType)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	w.Write(a.body)
}

// render writes a page whole or, when its template fails, not at all.
func (p *pages) render(w http.ResponseWriter, status int, name string, f frame) error {
	t, ok := p.byName[name]
	if !ok {
		panic("web: no page " + name)
	}
	f.Demo = p.demo
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "layout", f); err != nil {
		return fmt.Errorf("page %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	b.WriteTo(w) // a browser that went away is no fault: it types on
	return nil
}
