package web

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/material"
	"barwright/quantity"
	"barwright/source"
	"barwright/stock"
)

// What turns the text of a form into a thing, and a thing into text.

// checked is a thing that can judge itself.
type checked interface {
	Check() (key string, err error)
}

func readThing[T checked](keys map[string]string, _ *material.Library) (written, map[string]string) {
	var v T
	faults := fill(&v, keys)
	if len(faults) == 0 {
		if key, err := v.Check(); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return kept(v, faults)
}

// kept is a thing without faults as it will be kept: as a TOML file.
func kept(v any, faults map[string]string) (written, map[string]string) {
	if len(faults) > 0 {
		return written{}, faults
	}
	body, err := toml.Marshal(v)
	if err != nil {
		panic("web: a thing without its TOML: " + err.Error())
	}
	keys := keyed.Fields(v)
	return written{keys["id"], keys["name"], keys["of"], string(body)}, nil
}

func showThing[T any](body string) (map[string]string, error) {
	var v T
	if err := toml.Unmarshal([]byte(body), &v); err != nil {
		return nil, err
	}
	return keyed.Fields(v), nil
}

// paperKey is the field that goes into the locator of every figure of a
// certificate.
const paperKey = "paper"

func readLot(typed map[string]string, lib *material.Library) (written, map[string]string) {
	var l stock.Lot
	keys, faults := certificate(typed)
	id, fault := materialNamed(typed["of"], lib)
	keys["of"] = id
	for key, text := range fill(&l, keys) {
		faults[key] = text
	}
	if fault != "" {
		faults["of"] = fault
	}
	if len(faults) == 0 {
		of, err := lib.Find(l.Of)
		if err != nil {
			panic("web: " + err.Error()) // materialNamed found it
		}
		if key, err := l.Check(of); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return kept(l, faults)
}

func showLot(body string) (map[string]string, error) {
	var l stock.Lot
	if err := toml.Unmarshal([]byte(body), &l); err != nil {
		return nil, err
	}
	fields := keyed.Fields(l)
	if l.Price != nil {
		fields["price"] = priceText(*l.Price)
	}
	for _, f := range []struct {
		key string
		*source.Figure
	}{{"sap", l.Sap}, {"acid_value", l.AcidValue}, {"water", l.Water}, {"density", l.Density}} {
		if f.Figure == nil {
			continue
		}
		for _, end := range []struct {
			key   string
			value float64
		}{{".low", f.Low}, {".typical", f.Typical}, {".high", f.High}} {
			fields[f.key+end.key] = plainNumber(end.value, 6) // 0 too
		}
		if f.Locator != "" {
			fields[paperKey] = f.Locator
		}
	}
	return fields, nil
}

// priceText prints a price with its cents.
func priceText(p quantity.Price) string {
	amount := strconv.FormatFloat(p.Amount, 'f', -1, 64)
	if _, cents, _ := strings.Cut(amount, "."); len(cents) < 2 {
		amount = strconv.FormatFloat(p.Amount, 'f', 2, 64)
	}
	return amount + " / " + p.Per
}

// certificate makes whole figures of what was typed of a certificate: those
// typed empty go, the others get the unit, source and grade of a lot's own
// paper, and ends that were not typed.
func certificate(typed map[string]string) (keys, faults map[string]string) {
	keys, faults = map[string]string{}, map[string]string{}
	for key, text := range typed {
		keys[key] = text
	}
	paper := keys[paperKey]
	delete(keys, paperKey)
	for _, c := range certificateKeys {
		low, typical, high := strings.TrimSpace(keys[c.key+".low"]), strings.TrimSpace(keys[c.key+".typical"]), strings.TrimSpace(keys[c.key+".high"])
		switch {
		case low+typical+high == "":
			for key := range keys {
				if strings.HasPrefix(key, c.key+".") {
					delete(keys, key)
				}
			}
			continue
		case typical == "":
			faults[c.key+".typical"] = "the likely value is missing"
		}
		lowest, highest := ends(c.key, typical)
		setEmpty(keys, map[string]string{c.key + ".low": lowest, c.key + ".high": highest, c.key + ".source": "certificate", c.key + ".grade": source.Measured.String()})
		keys[c.key+".unit"], keys[c.key+".locator"] = c.unit, paper
		if c.key == "density" {
			setEmpty(keys, map[string]string{"density.at_c": usualDensityC})
		}
	}
	return keys, faults
}

func setEmpty(keys, values map[string]string) {
	for key, value := range values {
		if strings.TrimSpace(keys[key]) == "" {
			keys[key] = value
		}
	}
}

// usualDensityC is the temperature densities are given at [°C].
const usualDensityC = "20"

// sapSpread is taken for a certificate that gives no range [mg KOH/g]; see
// docs/materials.md.
const sapSpread = 1

// ends are what a figure lies between when its paper does not say.
func ends(key, typical string) (low, high string) {
	if key != "sap" {
		return typical, typical
	}
	var v float64
	if len(keyed.Fill(&struct {
		V *float64 `toml:"v"`
	}{&v}, map[string]string{"v": typical})) > 0 {
		return typical, typical // it will be told that this is no number
	}
	return plainNumber(v-sapSpread, 6), plainNumber(v+sapSpread, 6)
}

// isNoLot reports a material that lots can be of.
func isNoLot(m material.Material) bool { return m.Of == "" || m.Of == m.ID }

// materialNamed returns the id of the material that people call so, by its
// name, a part of it, or its id; else what is wrong.
func materialNamed(text string, lib *material.Library) (id, fault string) {
	words := strings.ToLower(strings.TrimSpace(text))
	if words == "" {
		return "", "say what it is a lot of"
	}
	if m, err := lib.Find(words); err == nil && isNoLot(m) {
		return words, ""
	}
	var part, names []string
	for _, id := range lib.IDs() {
		m, err := lib.Find(id)
		if err != nil || !isNoLot(m) {
			continue
		}
		switch name := strings.ToLower(m.Name); {
		case name == words:
			return id, ""
		case strings.Contains(name, words):
			part, names = append(part, id), append(names, m.Name)
		}
	}
	switch {
	case len(part) == 1:
		return part[0], ""
	case len(part) > 1 && len(part) < 8:
		return text, "several are called so: " + strings.Join(names, ", ")
	}
	return text, fmt.Sprintf("no material is called %.60q; the list of materials has them all", text)
}

func fill(dst any, fields map[string]string) map[string]string {
	faults := map[string]string{}
	for _, f := range keyed.Fill(dst, fields) {
		faults[f.Path] = withAdvice(f.Err)
	}
	return faults
}

// bareNumber is a number typed without its unit.
var bareNumber = regexp.MustCompile(`^[-−]?[0-9.,/ ]*[0-9][0-9.,/ ]*$`)

// tidy gives a typed text the unit it surely means, and says when that is not
// sure.
func (f thingField) tidy(text string) (tidied, fault string) {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if f.As == asFile {
		return text, ""
	}
	text = strings.TrimSpace(text)
	switch {
	case !bareNumber.MatchString(text):
		return text, ""
	case f.NeedsUnit:
		return text, fmt.Sprintf("%.20s of what? write g, kg, oz or lb after it", text)
	}
	return text + f.Bare, ""
}

func withAdvice(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		return err.Error() + "; " + h.Hint()
	}
	return err.Error()
}
