package web

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/internal/tomldoc"
	"barwright/material"
)

// A material of the workshop's own is kept as the file that was typed, with
// its remarks and in its order.

// fileKey is the field that holds the whole file.
const fileKey = "text"

func materialKind() *thingKind {
	k := workshopThing(kindMaterial, "material", readMaterial, showMaterial,
		fieldGroup{Fields: []thingField{{Key: fileKey, Label: "Material file", As: asFile}}})
	k.named = materialKeyWords
	return k
}

func readMaterial(keys map[string]string, lib *material.Library) (written, map[string]string) {
	text := keys[fileKey]
	if strings.TrimSpace(text) == "" {
		return written{}, map[string]string{fileKey: "paste a material file here, or choose one"}
	}
	m, err := material.Parse("the file", []byte(text), lib)
	var e *tomldoc.Error
	switch {
	case errors.As(err, &e):
		return written{}, map[string]string{fileKey: atLine(e, text)}
	case err != nil:
		return written{}, map[string]string{fileKey: withAdvice(err)}
	case strings.Trim(m.ID, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" || len(m.ID) > material.MaxID || m.ID == "new":
		return written{}, map[string]string{fileKey: fmt.Sprintf("%.60q is not an id; small letters, digits and _", m.ID)}
	case keys["id"] != "" && keys["id"] != m.ID:
		return written{}, map[string]string{fileKey: fmt.Sprintf("its id stays %q, because recipes name it so; for another id add a new material", keys["id"])}
	}
	return written{id: m.ID, name: m.Name, of: m.Of, body: text}, nil
}

// atLine tells an error with its line and what stands there.
func atLine(e *tomldoc.Error, text string) string {
	said := e.Text
	if lines := strings.Split(text, "\n"); e.Line > 0 && e.Line <= len(lines) {
		said = fmt.Sprintf("line %d, %.60q: %s", e.Line, strings.TrimSpace(lines[e.Line-1]), e.Text)
	}
	if e.Advice != "" {
		said += "; " + e.Advice
	}
	return said
}

func showMaterial(body string) (map[string]string, error) {
	var m material.Material
	if err := toml.Unmarshal([]byte(body), &m); err != nil {
		return nil, err
	}
	fields := keyed.Fields(m)
	for acid, percent := range m.Profile.Acids {
		fields["profile.acids."+acid] = plainNumber(percent, 4)
	}
	fields[fileKey] = body
	return fields, nil
}

// materialKeyWords is a key of a material file as people say it.
func materialKeyWords(key string) string {
	if key == fileKey || key == "id" {
		return ""
	}
	return strings.NewReplacer("_", " ", ".", ", ").Replace(key)
}

// uploaded is the text of a file that was chosen, "" when none was.
func uploaded(r *http.Request, key string) (string, error) {
	if r.MultipartForm == nil || len(r.MultipartForm.File[key]) == 0 {
		return "", nil
	}
	f, err := r.MultipartForm.File[key][0].Open()
	if err != nil {
		return "", err
	}
	defer f.Close()
	data, err := io.ReadAll(f)
	return string(data), err
}

// ownMaterial is a material of the workshop's own, for its list.
type ownMaterial struct {
	ID, Name string
	Stands   bool   // it takes the place of a built-in one
	Fault    string // why it cannot be used
}

func (a *App) ownMaterials(r *http.Request) ([]ownMaterial, error) {
	lib, unusable, err := a.materialLibrary(r.Context(), "")
	if err != nil {
		return nil, err
	}
	things, err := a.store.Things(r.Context(), kindMaterial)
	if err != nil {
		return nil, err
	}
	out := make([]ownMaterial, len(things))
	for i, t := range things {
		out[i] = ownMaterial{ID: t.ID, Name: t.ID}
		if m, err := lib.Find(t.ID); err == nil {
			out[i].Name = m.Name
		}
		_, err := material.Builtin().Find(t.ID)
		out[i].Stands = err == nil
		if err := unusable[t.ID]; err != nil {
			out[i].Fault = withAdvice(err)
		}
	}
	return out, nil
}

// materialNames lists materials by name.
func materialNames(lib *material.Library, which func(material.Material) bool) (out []named) {
	for _, id := range lib.IDs() {
		if m, err := lib.Find(id); err == nil && which(m) {
			out = append(out, named{id, m.Name})
		}
	}
	sortByName(out)
	return out
}

func sortByName(all []named) {
	slices.SortFunc(all, func(a, b named) int { return strings.Compare(a.Name, b.Name) })
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }
