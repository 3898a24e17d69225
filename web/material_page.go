package web

import (
	"net/http"
	"strconv"
	"strings"

	"barwright/material"
	"barwright/quantity"
	"barwright/source"
	"barwright/store"
)

// materialPage is one material with every figure's evidence.
type materialPage struct {
	material.Material
	Figures []figureLine
	Acids   []acidBar
	Evident evidence   // of the acids
	Lots    []shelfLot // on the shelf
	OfName  string     // what it is a lot of
	EditAt  string     // of the workshop's own
	Stands  bool       // in the place of the built-in one
	Within  []named    // recipes that it is a fat of

	Currency string
}

// figureLine is one figure as people read it.
type figureLine struct {
	Name, Likely, Range, Unit string
	evidence
}

// evidence is where a figure comes from and how far to trust it.
type evidence struct {
	Grade, Cited, Read, Locator, Note string
}

// acidBar is one fatty acid with its share.
type acidBar struct {
	Name    string
	Percent float64
}

func (a *App) material(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	m, err := lib.Find(r.PathValue("id"))
	if err != nil {
		return store.ErrMissing
	}
	p := materialPage{Material: m, Acids: acidBars(m.Profile), Evident: evidenceOf(m.Profile.Grade, m.Profile.Source, m.Profile.Locator, m.Profile.Note)}
	for _, f := range m.Figures() {
		p.Figures = append(p.Figures, lineOf(f))
	}
	if m.Of != "" {
		p.OfName = nameOf(m.Of, lib)
	}
	if err := a.ownSides(r, &p, lib); err != nil {
		return err
	}
	if p.Within, err = a.recipesWith(r.Context(), m, lib); err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "material", "workshop", m.Name, p)
}

// ownSides fills in what the workshop has of a material.
func (a *App) ownSides(r *http.Request, p *materialPage, lib *material.Library) error {
	if _, err := a.store.Thing(r.Context(), kindMaterial, p.ID); err == nil {
		p.EditAt = thingKinds[kindMaterial].path + p.ID
		_, err := material.Builtin().Find(p.ID)
		p.Stands = err == nil
	} else if _, err := a.store.Thing(r.Context(), kindLot, p.ID); err == nil {
		p.EditAt = lotKind.path + p.ID
	}
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	p.Currency = shop.Currency
	shelf, err := a.shelfNow(r.Context())
	if err != nil {
		return err
	}
	for _, l := range shelf.Lots.InOrder() {
		if l.Of == p.ID {
			p.Lots = append(p.Lots, onShelf(l, nameOf(l.Of, lib), quantity.DateOf(a.now())))
		}
	}
	return nil
}

func lineOf(f material.NamedFigure) figureLine {
	line := figureLine{Name: upperFirst(f.Name), Likely: figureNumber(f.Typical), Unit: strings.Replace(f.Unit, "I2", "I₂", 1), evidence: evidenceOf(f.Grade, f.Source, f.Locator, f.Note)}
	if f.AtC != 0 {
		line.Name += " at " + number(f.AtC, 0) + "\u202f°C"
	}
	if f.Low != f.High {
		line.Range = figureNumber(f.Low) + " to " + figureNumber(f.High)
	}
	return line
}

// figureNumber prints a figure with the digits its file gives.
func figureNumber(v float64) string {
	return strings.Replace(plainNumber(v, 4), "-", "\u2212", 1)
}

func evidenceOf(g source.Grade, key, locator, note string) evidence {
	c := source.Cite(key)
	e := evidence{Grade: g.Phrase(), Read: readWords[c.Read], Locator: locator, Note: note, Cited: c.Title}
	if g == source.Memory {
		e.Read = "" // the grade says it
	}
	if c.Author != "" {
		e.Cited = c.Author + ". " + e.Cited
	}
	if c.Year != 0 {
		e.Cited += " (" + strconv.Itoa(c.Year) + ")"
	}
	if c.Where != "" {
		e.Cited += ". " + c.Where
	}
	return e
}

// readWords say how far a source was read.
var readWords = map[string]string{"whole": "The source was read whole.", "table": "The passage itself was read.", "abstract": "Only its abstract was read.",
	"second hand": "Read second hand, in a text that quotes it.", "recalled": "Recalled, to be read again in the source."}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func acidBars(p material.Profile) (out []acidBar) {
	for _, acid := range material.Acids {
		if v := p.Percent(acid.ID); v > 0 {
			out = append(out, acidBar{acid.Name, v})
		}
	}
	if v := p.Percent("other"); v > 0 {
		out = append(out, acidBar{"other", v})
	}
	return out
}
