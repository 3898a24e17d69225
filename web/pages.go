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
	"regexp"
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
	Section  string // of the navigation: "bench", "recipes", "formulate", "batches", "rack", "calendar", "stock", "workshop"
	Workshop string
	Demo     bool
	Bare     bool // for a stranger: nothing of the workshop, not even its name
	Bench    bool // dark, with nothing around it
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
	names, err := fs.Glob(static, "*.*")
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := p.addFile(static, name); err != nil {
			return err
		}
	}
	sheets, err := fs.Glob(static, "css/*.css") // one after the other they are the style sheet
	if err != nil {
		return err
	}
	var style []byte
	for _, name := range sheets {
		body, err := fs.ReadFile(static, name)
		if err != nil {
			return err
		}
		style = append(style, body...)
	}
	p.addAsset("style.css", style)
	return nil
}

// imports finds what a module imports from its own folder, or starts as a worker.
var imports = regexp.MustCompile(`(from |URL\()'\./([a-z-]+\.js)'`)

// addFile adds a file once; a module imports the others by their hashed names.
func (p *pages) addFile(static fs.FS, name string) error {
	if p.hashed[name] != "" {
		return nil
	}
	body, err := fs.ReadFile(static, name)
	if err != nil {
		return err
	}
	if path.Ext(name) == ".js" {
		for _, m := range imports.FindAllSubmatch(body, -1) {
			if err := p.addFile(static, string(m[2])); err != nil {
				return err
			}
			body = bytes.ReplaceAll(body, m[0], []byte(string(m[1])+"'"+p.hashed[string(m[2])]+"'"))
		}
	}
	p.addAsset(name, body)
	return nil
}

func (p *pages) addAsset(name string, body []byte) {
	sum := sha256.Sum256(body)
	ext := path.Ext(name)
	hashed := strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:4]) + ext
	p.assets[hashed] = asset{body, contentTypes[ext]}
	p.hashed[name] = "/static/" + hashed
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
