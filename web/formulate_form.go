package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"barwright/formulate"
	"barwright/material"
)

// useKeys are what the choice of a fat's use stands for in the goal.
var useKeys = []string{"must", "never"}

// pickWishes carries out the choices that stand for more than one key.
func (a *App) pickWishes(ctx context.Context, form url.Values, p *formulatePage, lib *material.Library) error {
	d := &p.Draft
	for i := range d.count("fats") {
		at := fmt.Sprintf("fats.%d.", i)
		use := d.fields[at+"use"]
		delete(d.fields, at+"use")
		for _, key := range useKeys {
			delete(d.fields, at+key)
			if use == key {
				d.fields[at+key] = "true"
			}
		}
	}
	if least := form.Get("pick.minimise"); least != "" {
		d.fields["objective.minimise"] = least
	}
	if id := form.Get("pick.from"); id != "" {
		if err := a.pickFrom(ctx, p, id, lib); err != nil {
			return err
		}
	}
	if curve, ok := form["pick.curve"]; ok {
		d.pickCurve(curve[0])
	}
	d.tidyCurve()
	return nil
}

// pickFrom makes a recipe the one to start from.
func (a *App) pickFrom(ctx context.Context, p *formulatePage, id string, lib *material.Library) error {
	rec, err := a.store.Recipe(ctx, id)
	if err != nil {
		return err
	}
	v, err := a.store.Version(ctx, rec.Head)
	if err != nil {
		return err
	}
	made, err := readVersion(v)
	if err != nil {
		return err
	}
	p.Base = v.ID
	p.Draft.startFrom(made, lib)
	if m := p.Draft.fields["objective.minimise"]; m == formulate.Cost || m == formulate.Distance || m == "" {
		p.Draft.fields["objective.minimise"] = formulate.Behaviour
	}
	return nil
}

// pickCurve chooses what the curve is against; its ends start around the limit
// that is set.
func (d *draft) pickCurve(which string) {
	end, name, _ := strings.Cut(which, ":")
	if name == d.fields["curve.quantity"] && (end == "min") == (d.fields["curve.min"] != "") {
		return
	}
	d.dropKeys("curve.")
	if name == "" {
		return
	}
	d.fields["curve.quantity"] = name
	if end == "min" {
		d.fields["curve.min"] = "true"
	}
	for i := range d.count("limits") {
		at := fmt.Sprintf("limits.%d.", i)
		if v, unit, ok := leading(d.fields[at+end]); ok && d.fields[at+"quantity"] == name {
			d.fields["curve.from"] = strings.TrimSpace(plainNumber(v*0.75, 2) + " " + unit)
			d.fields["curve.to"] = strings.TrimSpace(plainNumber(v*1.25, 2) + " " + unit)
		}
	}
}

// tidyCurve takes an empty curve out.
func (d *draft) tidyCurve() {
	if d.fields["curve.quantity"] == "" {
		d.dropKeys("curve.")
	}
}

// leading splits "14 %" into 14 and "%".
func leading(text string) (v float64, unit string, ok bool) {
	text = strings.TrimSpace(text)
	n := len(text) - len(strings.TrimLeft(text, "0123456789.,"))
	v, err := strconv.ParseFloat(strings.ReplaceAll(text[:n], ",", "."), 64)
	return v, strings.TrimSpace(text[n:]), err == nil
}

func (d *draft) dropKeys(prefix string) {
	for key := range d.fields {
		if strings.HasPrefix(key, prefix) {
			delete(d.fields, key)
		}
	}
}

// goalShown are the keys that the form has inputs for; the rest travel hidden.
func goalShown(key string) bool {
	list, rest, _ := strings.Cut(key, ".")
	switch list {
	case "name", "superfat", "lye_strength", "batch", "bar", "max_fats", "step", "alternatives", "distance", "robust", "format":
		return true
	case "fats":
		_, of, _ := strings.Cut(rest, ".")
		return slices.Contains([]string{"material", "min", "max", "must", "never", "price"}, of)
	case "limits":
		return !strings.HasSuffix(key, ".material")
	case "objective":
		return rest == "minimise" || strings.HasPrefix(rest, "targets.") && !strings.HasSuffix(key, ".material")
	case "curve":
		return rest == "from" || rest == "to"
	}
	return false
}

// Hidden lists the keys that travel along unseen.
func (p *formulatePage) Hidden() (out []hidden) {
	for _, key := range sortedKeys(p.Draft.fields) {
		aims := strings.HasPrefix(key, "objective.targets.") && p.Minimise() != formulate.Distance
		if !goalShown(key) || aims {
			out = append(out, hidden{key, p.Draft.fields[key]})
		}
	}
	return out
}

// Num is the field of a number; Wide is one with room for more.
func (p *formulatePage) Num(key, label, placeholder string) input {
	return input{key, label, p.Field(key), placeholder, p.faultAt(key), "num"}
}

func (p *formulatePage) Wide(key, label, placeholder string) input {
	in := p.Num(key, label, placeholder)
	in.Class = "num wide"
	return in
}

// Field returns the text of a key.
func (p *formulatePage) Field(key string) string { return p.Draft.fields[key] }

func (p *formulatePage) faultAt(paths ...string) string {
	for _, path := range paths {
		if f, ok := p.Faults[path]; ok {
			return strings.TrimSpace(f.Text + " " + f.Advice)
		}
	}
	return ""
}

// FatsFault is what is wrong with the fats as a whole.
func (p *formulatePage) FatsFault() string { return p.faultAt("fats", "shelf") }

// ObjectiveFault is what is wrong with what is asked for.
func (p *formulatePage) ObjectiveFault() string {
	return p.faultAt("objective", "objective.minimise", "objective.from.0.share")
}

// CurveFault is what is wrong with the curve.
func (p *formulatePage) CurveFault() string {
	return p.faultAt("curve", "curve.quantity", "curve.from", "curve.to", "curve.min")
}

// Undo, UndoOf and Undone take the last button back.
func (p *formulatePage) Undo() (string, error) {
	if p.Draft.undo == nil {
		return "", nil
	}
	b, err := json.Marshal(p.Draft.undo)
	return string(b), err
}
func (p *formulatePage) UndoOf() string { return p.Draft.lineup() }
func (p *formulatePage) Undone() string { return p.Draft.undone }
