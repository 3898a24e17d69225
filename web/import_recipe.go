package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"unicode/utf8"

	"barwright/finding"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/share"
	"barwright/stock"
	"barwright/store"
)

// incoming is one recipe file that was chosen, and what it is to be fitted to.
type incoming struct {
	I        int // its number on the page
	File     string
	Text     string // as read, to be sent again when it is saved
	LeaveOut bool

	Mould, Size, Much, Scale, Alkali string // as chosen
	MuchFault                        string
	Missing                          []missing

	Recipe  recipe.Recipe // fitted
	Changes []recipe.Change
	Faults  []lineFault
	Plan    *plan.Plan
	Known   *store.Recipe // that the same file made before
}

// missing is a material that this workshop does not know, and what was chosen
// instead.
type missing struct {
	share.Missing
	Line int
	Use  string
}

// lineFault is what is wrong with a file, and on which line; 0 is no line.
type lineFault struct {
	Line         int
	Text, Advice string
}

// Title is what the recipe is called.
func (f *incoming) Title() string {
	if name := strings.TrimSpace(f.Recipe.Name); name != "" {
		return name
	}
	return f.File
}

// Fitted reports a copy that differs from the file.
func (f *incoming) Fitted() bool { return len(f.Changes) > 0 }

// Told lists the findings to read before it is saved.
func (f *incoming) Told() (out []finding.Finding) {
	for _, x := range f.Plan.Findings {
		if x.Severity == finding.Stop || x.Severity == finding.Caution {
			out = append(out, x)
		}
	}
	return out
}

// ShowAlkali and ShowWater print masses as the scale shows them.
func (f *incoming) ShowAlkali(x plan.AlkaliLine) string { return f.Plan.Scale.Alkali.Show(x.WeighG) }

// ShowWater prints the water.
func (f *incoming) ShowWater() string { return f.Plan.Scale.Fats.Show(f.Plan.WaterWeighG) }

// body is what is saved: the file as it was, remarks and all, unless the copy
// was fitted.
func (f *incoming) body() string {
	if f.Fitted() {
		return string(f.Recipe.Print())
	}
	return f.Text
}

func (f *incoming) reason() string {
	words := []string{"brought in from " + f.File}
	for _, c := range f.Changes {
		words = append(words, c.Text)
	}
	return cutTo(strings.Join(words, "; "), 300)
}

// first reads an uploaded file, as it is.
func (a *App) first(r *http.Request, i int, name string, data []byte, lib *material.Library) *incoming {
	f := &incoming{I: i, File: name, Text: string(data)}
	f.work(share.Wish{}, lib)
	if !utf8.Valid(data) {
		f.Text = "" // no text to show
	}
	if rec, err := a.store.Recipe(r.Context(), share.LooseID(data)); err == nil {
		f.Known = &rec
	}
	return f
}

// again reads a file that the page has shown, with what was chosen for it.
func (a *App) again(r *http.Request, i int, name string, p *importPage, lib *material.Library) *incoming {
	get := func(key string) string { return strings.TrimSpace(r.PostFormValue(fmt.Sprintf("f.%d.%s", i, key))) }
	f := &incoming{I: i, File: cutTo(name, 100), LeaveOut: get("out") != "", Mould: get("mould"), Size: get("size"), Much: get("much"), Scale: get("scale"), Alkali: get("alkali")}
	f.Text = strings.ReplaceAll(r.PostFormValue(fmt.Sprintf("f.%d.text", i)), "\r\n", "\n") // browsers send the line ends of forms
	w := share.Wish{Use: map[string]string{}, Fill: f.Size == "fill"}
	w.Scale, w.ScaleCarries = scaleOf(p.Scales, f.Scale)
	w.Alkali, w.AlkaliCarries = scaleOf(p.Scales, f.Alkali)
	prefix := fmt.Sprintf("f.%d.use.", i)
	for key, values := range r.PostForm {
		if path, ok := strings.CutPrefix(key, prefix); ok && strings.TrimSpace(values[0]) != "" {
			w.Use[path] = idOf(values[0], lib)
		}
	}
	for _, m := range p.Moulds {
		if m.ID == f.Mould {
			holding := m.True()
			w.Mould = &holding
		}
	}
	f.readMuch(&w)
	f.work(w, lib)
	return f
}

// scaleOf is the step of a scale, and the most it carries.
func scaleOf(scales []stock.Scale, id string) (step, carries *quantity.Mass) {
	for _, s := range scales {
		if s.ID == id {
			return &s.Step, s.Capacity
		}
	}
	return nil, nil
}

// readMuch reads the size that was typed; a number alone is in grams.
func (f *incoming) readMuch(w *share.Wish) {
	text := f.Much
	if text != "" && strings.Trim(text, "0123456789., ") == "" {
		text += " g"
	}
	var err error
	switch f.Size {
	case "fats":
		w.Fats = new(quantity.Mass)
		*w.Fats, err = quantity.ParseMass(text)
	case "bars":
		w.Bars = new(quantity.Bars)
		*w.Bars, err = quantity.ParseBars(f.Much)
	}
	if err != nil {
		f.MuchFault, w.Fats, w.Bars = withAdvice(err), nil, nil
		f.Faults = append(f.Faults, lineFault{Text: "the size wished cannot be read", Advice: withAdvice(err)})
	}
}

// work reads the text, fits the recipe and plans it.
func (f *incoming) work(w share.Wish, lib *material.Library) {
	var as recipe.Recipe
	doc, err := tomldoc.Decode(f.File, []byte(f.Text), &as)
	f.Recipe = as
	if err != nil {
		_, err = recipe.Parse(f.File, []byte(f.Text), lib) // also tells what is wrong with what could be read
		f.fault(err)
		return
	}
	for _, m := range share.Misses(as, lib) {
		use := w.Use[m.Path]
		if use == "" {
			use = m.Nearest
		}
		f.Missing = append(f.Missing, missing{m, doc.Line(m.Path), nameOf(use, lib)})
	}
	var told recipe.Fault
	switch f.Recipe, err = w.Apply(as, lib); {
	case err == nil:
		f.Plan, err = plan.Make(f.Recipe, lib)
	default:
		for _, x := range f.Recipe.Check(lib) {
			f.Faults = append(f.Faults, lineFault{doc.Line(x.Path), x.Text, x.Advice})
			told = x
		}
	}
	if err != nil && told.Text == "" {
		f.fault(placed(doc, err))
	}
	f.Changes = recipe.Diff(as, f.Recipe, lib)
}

// placed gives a fault its line.
func placed(doc *tomldoc.Doc, err error) error {
	var x recipe.Fault
	if errors.As(err, &x) {
		return doc.Fault(x.Path, x.Advice, "%s", x.Text)
	}
	return err
}

func (f *incoming) fault(err error) {
	several := tomldoc.All(err)
	for _, e := range several {
		f.Faults = append(f.Faults, lineFault{e.Line, e.Text, e.Advice})
	}
	if len(several) == 0 {
		f.Faults = append(f.Faults, lineFault{Text: err.Error()})
	}
}
