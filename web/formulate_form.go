package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"barwright/formulate"
	"barwright/material"
	"barwright/recipe"
)

// wishFat is one fat that may be chosen, as the form shows it.
type wishFat struct {
	I                      int
	Material, Name         string
	Use                    string // "", must or never
	Least, Most, Price     string
	Shelf                  string // what there is of it
	Lots                   int
	Fault                  string // of the line
	LeastFault, PriceFault string
}

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

// addShelf names every fat of the shelf that the draft does not, when it takes
// all of them, and turns the goal file's list of what is never used into lines.
func (p *formulatePage) addShelf(stocked []formulate.Fat, lib *material.Library) {
	d := &p.Draft
	known := map[string]int{}
	for i := range d.count("fats") {
		known[d.fields[fmt.Sprintf("fats.%d.material", i)]] = i
	}
	name := func(id string) int {
		i, ok := known[id]
		if !ok {
			i = d.count("fats")
			known[id] = i
			d.fields[fmt.Sprintf("fats.%d.material", i)] = id
		}
		return i
	}
	if d.fields["shelf"] != "" {
		for _, id := range shelfOrder(stocked, lib) {
			name(id)
		}
	}
	for i := 0; d.fields[fmt.Sprintf("without.%d", i)] != ""; i++ {
		d.fields[fmt.Sprintf("fats.%d.never", name(idOf(d.fields[fmt.Sprintf("without.%d", i)], lib)))] = "true"
	}
	d.dropKeys("without.")
}

// shelfOrder is the fats of the shelf by name, waxes and acids last.
func shelfOrder(stocked []formulate.Fat, lib *material.Library) (ids []string) {
	rank := func(id string) (int, string) {
		m, err := lib.Find(id)
		switch {
		case err != nil:
			return 3, id
		case m.Kind == material.Wax:
			return 1, m.Name
		case m.Kind == material.FreeAcid:
			return 2, m.Name
		}
		return 0, m.Name
	}
	for _, f := range stocked {
		ids = append(ids, f.Material)
	}
	slices.SortFunc(ids, func(a, b string) int {
		ra, na := rank(a)
		rb, nb := rank(b)
		return cmp.Or(ra-rb, strings.Compare(na, nb))
	})
	return ids
}

// fatRows are the fats of the form, and an empty line.
func (p *formulatePage) fatRows(stocked []formulate.Fat, lib *material.Library) (rows []wishFat) {
	d := p.Draft
	for i := range d.count("fats") {
		get := func(key string) string { return d.fields[fmt.Sprintf("fats.%d.%s", i, key)] }
		row := wishFat{I: i, Material: get("material"), Least: get("min"), Most: get("max"), Price: get("price")}
		row.Name = nameOf(row.Material, lib)
		for _, key := range useKeys {
			if get(key) == "true" {
				row.Use = key
			}
		}
		for _, f := range stocked {
			if f.Material == row.Material {
				row.Shelf, row.Lots = lotsWords(f.Lots, p.Currency), len(f.Lots)
			}
		}
		at := fmt.Sprintf("fats.%d", i)
		row.Fault, row.LeastFault, row.PriceFault = p.faultAt(at, at+".material"), p.faultAt(at+".min", at+".max"), p.faultAt(at+".price", at+".stock")
		rows = append(rows, row)
	}
	return append(rows, wishFat{I: d.count("fats")})
}

// lotsWords says what there is of a fat and what it costs.
func lotsWords(lots []formulate.Lot, currency string) string {
	g, least, most := 0.0, 0.0, 0.0
	priced := 0
	for _, l := range lots {
		g += l.Stock.G()
		if l.Price == nil {
			continue
		}
		if per, ok := l.Price.PerGram(); ok {
			if priced == 0 || per < least {
				least = per
			}
			most = max(most, per)
			priced++
		}
	}
	words := number(g/1000, 1) + "\u202fkg"
	if g < 1000 {
		words = number(g, 0) + "\u202fg"
	}
	switch {
	case priced == 0:
		return words + ", no price"
	case most > least:
		return fmt.Sprintf("%s at %s to %s", words, number(1000*least, 2), number(1000*most, 2))
	}
	return words + " at " + number(1000*least, 2)
}

// wishLimit is one line of limits or targets.
type wishLimit struct {
	I                  int
	Quantity, Material string
	Words              string // of a share, which is in no list
	Min, Max           string
	Value, Weight      string
	Unit               string
	Fault              string
}

// Limits are the limits of the form, with empty lines after them.
func (p *formulatePage) Limits() []wishLimit { return p.lines("limits", 2) }

// Targets are what is aimed at.
func (p *formulatePage) Targets() []wishLimit { return p.lines("objective.targets", 2) }

func (p *formulatePage) lines(list string, more int) (out []wishLimit) {
	for i := range p.Draft.count(list) + more {
		at := fmt.Sprintf("%s.%d", list, i)
		get := func(key string) string { return p.Draft.fields[at+"."+key] }
		l := wishLimit{I: i, Quantity: get("quantity"), Material: get("material"), Min: get("min"), Max: get("max"), Value: get("value"), Weight: get("weight")}
		l.Fault = p.faultAt(at+".quantity", at+".material", at+".min", at+".max", at+".value", at+".weight", at)
		for _, q := range formulate.Quantities() {
			if q.Name == l.Quantity {
				l.Unit = q.Unit
			}
		}
		if l.Quantity == "share" {
			l.Words = "share of " + l.Material
		}
		out = append(out, l)
	}
	return out
}

// quantityGroup is some of what can be wished about, under one head.
type quantityGroup struct {
	Head string
	Of   []formulate.Quantity
}

// Quantities lists what can be wished about.
func (p *formulatePage) Quantities() []quantityGroup {
	groups := []quantityGroup{{Head: "Acids the bar is made of"}, {Head: "Values"}, {Head: "Wax and free acids"}, {Head: "Can dissolve"}, {Head: "Money and change"}}
	for _, q := range formulate.Quantities() {
		i := 0
		switch {
		case q.Name == "iodine_value" || q.Name == "cox" || q.Name == "sap":
			i = 1
		case q.Name == "unsaponified" || q.Name == "free_acids" || q.Name == "hard_wax" || strings.HasSuffix(q.Name, "_point"):
			i = 2
		case strings.HasPrefix(q.Name, "dissolving"):
			i = 3
		case strings.HasPrefix(q.Name, "cost") || q.Name == "own" || q.Name == "change":
			i = 4
		}
		q.Words = upperFirst(q.Words)
		groups[i].Of = append(groups[i].Of, q)
	}
	return groups
}

// Aims lists what can be aimed at.
func (p *formulatePage) Aims() (out []formulate.Quantity) {
	for _, q := range formulate.Quantities() {
		if q.Words = upperFirst(q.Words); !q.Bent {
			out = append(out, q)
		}
	}
	return out
}

// curveChoice is one limit that a curve can be drawn against.
type curveChoice struct {
	Key, Words string
	Chosen     bool
}

// Curves are the limits that are set, each an end to draw the curve against.
func (p *formulatePage) Curves() (out []curveChoice) {
	words := map[string]string{}
	for _, q := range formulate.Quantities() {
		words[q.Name] = q.Words
	}
	add := func(end, name string) {
		c := curveChoice{end + ":" + name, upperFirst(words[name]) + map[string]string{"min": ", at least", "max": ", at most"}[end], false}
		c.Chosen = p.Draft.fields["curve.quantity"] == name && (p.Draft.fields["curve.min"] != "") == (end == "min")
		if words[name] != "" && !slices.ContainsFunc(out, func(o curveChoice) bool { return o.Key == c.Key }) {
			out = append(out, c)
		}
	}
	for i := range p.Draft.count("limits") {
		for _, end := range []string{"min", "max"} {
			if at := fmt.Sprintf("limits.%d.", i); p.Draft.fields[at+end] != "" {
				add(end, p.Draft.fields[at+"quantity"])
			}
		}
	}
	if name := p.Draft.fields["curve.quantity"]; name != "" {
		add(map[bool]string{true: "min", false: "max"}[p.Draft.fields["curve.min"] != ""], name)
	}
	return out
}

// Minimise is what is made as small as possible.
func (p *formulatePage) Minimise() string { return p.Draft.fields["objective.minimise"] }

// FromWords says the recipe it starts from.
func (p *formulatePage) FromWords() string {
	var words []string
	for i := 0; ; i++ {
		at := fmt.Sprintf("objective.from.%d.", i)
		id := p.Draft.fields[at+"material"]
		if id == "" {
			return strings.Join(words, ", ")
		}
		name := id
		for _, n := range p.FatNames {
			if n.ID == id {
				name = lowerFirst(n.Name)
			}
		}
		words = append(words, name+" "+unbroken(p.Draft.fields[at+"share"]))
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

// startFrom makes a recipe's fats what change and behaviour start from, and its
// making that of what comes out. Lots count as what they are lots of.
func (d *draft) startFrom(rec recipe.Recipe, lib *material.Library) {
	for _, prefix := range []string{"objective.from.", "alkali.", "combine.", "scale."} {
		d.dropKeys(prefix)
	}
	shares, sum := sharesOf(rec, lib)
	for i, s := range shares {
		d.fields[fmt.Sprintf("objective.from.%d.material", i)] = s.id
		d.fields[fmt.Sprintf("objective.from.%d.share", i)] = plainNumber(100*s.much/sum, 3) + " %"
	}
	for key, text := range rec.Fields() {
		list, _, _ := strings.Cut(key, ".")
		if slices.Contains([]string{"superfat", "lye_strength", "alkali", "combine", "scale"}, list) && !strings.HasSuffix(key, ".amount") {
			d.fields[key] = text
		}
	}
}

// part is so much of a fat, as a share or a mass.
type part struct {
	id   string
	much float64
}

func sharesOf(rec recipe.Recipe, lib *material.Library) (out []part, sum float64) {
	for _, f := range rec.Fats {
		id, much := f.Material, 0.0
		if m, err := lib.Find(id); err == nil && m.Of != "" {
			id = m.Of
		}
		switch {
		case f.Share != nil:
			much = f.Share.Percent
		case f.Amount != nil:
			much = f.Amount.G()
		}
		sum += much
		if i := slices.IndexFunc(out, func(p part) bool { return p.id == id }); i >= 0 {
			out[i].much += much
		} else {
			out = append(out, part{id, much})
		}
	}
	return out, sum
}
