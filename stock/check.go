package stock

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/material"
	"barwright/quantity"
)

// Check returns what is wrong with the lot and the key it is wrong at. of is
// the material it is a lot of.
func (l Lot) Check(of material.Material) (key string, err error) {
	for _, check := range []func() (string, error){
		func() (string, error) { return checkNamed(l.ID, l.Label()) }, l.checkTexts, l.checkDates,
		func() (string, error) { return l.checkPrice(of) }, func() (string, error) { return l.checkKind(of) }, func() (string, error) { return l.checkFigures(of) },
	} {
		if key, err := check(); err != nil {
			return key, err
		}
	}
	return "", nil
}

// checkPrice wants a price by mass, because a shelf counts in grams; of is the
// material the lot is of.
func (l Lot) checkPrice(of material.Material) (key string, err error) {
	if l.Price == nil {
		return "", nil
	}
	if _, ok := l.Price.PerGram(); ok {
		return "", nil
	}
	perML, ok := l.Price.PerML()
	if !ok {
		return "price", &quantity.Error{Text: "a lot has a price by mass", Advice: `like "5.10 / kg"`}
	}
	wrong := &quantity.Error{Text: "a lot has a price by mass, and a litre is not a unit of mass", Advice: "weigh a litre of it, and write the price of that many grams"}
	if gPerML, ok := of.SpoonDensity(); ok && gPerML > 0 {
		wrong.Advice = fmt.Sprintf(`a litre of it weighs some %.0f g, so that is "%.2f / kg"`, 1000*gPerML, 1000*perML/gPerML)
	}
	return "price", wrong
}

func (l Lot) checkTexts() (key string, err error) {
	if err := checkLine(l.From); err != nil {
		return "from", err
	}
	if err := checkLine(l.Held); err != nil {
		return "held", err
	}
	return "note", checkNote(l.Note)
}

// Years a day on a label can lie in: outside, a digit slipped.
const firstYear, lastYear = 1990, 2100

func (l Lot) checkDates() (key string, err error) {
	for _, d := range []struct {
		key string
		day *quantity.Date
	}{{"received", l.Received}, {"packed", l.Packed}, {"best_before", l.BestBefore}} {
		if d.day == nil {
			continue
		}
		if y := d.day.Time().Year(); y < firstYear || y > lastYear {
			return d.key, &quantity.Error{Text: fmt.Sprintf("%s is no day of a label", d.day), Advice: "is the year right?"}
		}
	}
	switch {
	case l.Packed == nil:
		return "", nil
	case l.Received != nil && l.Received.Before(*l.Packed):
		return "received", fmt.Errorf("it would have come in on %s, before it was packed on %s", l.Received, l.Packed)
	case l.BestBefore != nil && l.BestBefore.Before(*l.Packed):
		return "best_before", fmt.Errorf("it would be past its best on %s, before it was packed on %s", l.BestBefore, l.Packed)
	}
	return "", nil
}

// checkKind refuses what only lots of another kind have.
func (l Lot) checkKind(of material.Material) (key string, err error) {
	isScent, isFat, isAlkali := of.Kind == material.Scent, of.Kind.IsFat(), of.Kind == material.Alkali
	for _, only := range []struct {
		key        string
		has, fits  bool
		whoHasThat string
	}{
		{"sap.typical", l.Sap != nil, isFat, "only a fat, a wax or a fatty acid has a saponification value"},
		{"acid_value.typical", l.AcidValue != nil, isFat, "only a fat, a wax or a fatty acid has an acid value"},
		{"water.typical", l.Water != nil, !isFat && !isAlkali, "only honey, milk and other additions have a share of water"},
		{"limit", l.Limit != nil, isScent, "only a scent has a limit in the bar"},
		{"hurries", l.Hurries, isScent, "only of a scent is it noted that it thickens the batter"},
		{"rices", l.Rices, isScent, "only of a scent is it noted that it makes grains"},
		{"purity", l.Purity != nil, isAlkali, "only an alkali has an assay"},
	} {
		if only.has && !only.fits {
			return only.key, &quantity.Error{Text: only.whoHasThat, Advice: fmt.Sprintf("%s is none: leave it empty", of.Name)}
		}
	}
	return "", nil
}

// checkFigures looks at the certificate as a material file would be.
func (l Lot) checkFigures(of material.Material) (key string, err error) {
	for _, f := range l.figures(&material.Material{}) {
		if f.Figure == nil {
			continue
		}
		if f.Low > f.Typical {
			return f.key + ".low", fmt.Errorf("at least %g is more than the likely %g", f.Low, f.Typical)
		}
		if f.High < f.Typical {
			return f.key + ".high", fmt.Errorf("at most %g is less than the likely %g", f.High, f.Typical)
		}
		if err := f.Figure.Check(); err != nil {
			return f.key + ".typical", err
		}
	}
	_, key, err = l.over(of)
	for _, f := range l.figures(&material.Material{}) {
		if f.key == key {
			key += ".typical"
		}
	}
	return key, err
}

const mostLetters = 200 // of a name, a reason, a place

func checkNamed(id, name string) (key string, err error) {
	if id == "" || len(id) > material.MaxID || strings.Trim(id, "abcdefghijklmnopqrstuvwxyz0123456789_") != "" {
		return "id", &quantity.Error{Text: fmt.Sprintf("%.60q is not an id", id), Advice: "small letters, digits and _, at most 100 of them"}
	}
	if strings.TrimSpace(name) == "" {
		return "name", errors.New("it has no name")
	}
	return "name", checkLine(name)
}

// checkLine checks a text that is printed on one line.
func checkLine(text string) error {
	if utf8.RuneCountInString(text) <= mostLetters && utf8.ValidString(text) && !strings.ContainsFunc(text, breaksLine) {
		return nil
	}
	return &quantity.Error{Text: fmt.Sprintf("it must be one line of at most %d letters", mostLetters), Advice: "what there is to tell goes into the note"}
}

func breaksLine(c rune) bool { return unicode.IsControl(c) || unicode.In(c, unicode.Zl, unicode.Zp) }

func checkNote(text string) error {
	plain := strings.NewReplacer("\n", "", "\r", "", "\t", "").Replace(text)
	if len(text) <= 20000 && utf8.ValidString(text) && !strings.ContainsFunc(plain, unicode.IsControl) {
		return nil
	}
	return &quantity.Error{Text: "the note is too long, or has letters that cannot be printed", Advice: "a page or two of plain text"}
}
