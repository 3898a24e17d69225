package web

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"barwright/batch"
)

// scaleWeight is one weight of a paste or of a scale's file: of a batch's bar, or
// without a name of the next one.
type scaleWeight struct {
	Code string
	Bar  int
	G    float64
}

// readScale reads weights: a line a bar, with the batch's code and the number of
// the bar before the grams, or the grams alone, several of them on a line too.
// Semicolons, tabs and spaces part them; a comma is a decimal one where there is
// one a weight, and else parts them. Lines that hold no weight, or could mean two
// things, are handed back with why; a heading is read over.
func readScale(text string) (out []scaleWeight, unread []string) {
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(strings.TrimPrefix(line, "\ufeff"))
		if line == "" || n == 0 && !strings.ContainsAny(line, "0123456789") {
			continue
		}
		found, why := readScaleLine(line)
		if why != "" {
			unread = append(unread, cutTo(line, 60)+": "+why)
			continue
		}
		out = append(out, found...)
	}
	return out, unread
}

// Why a line is not read.
const (
	noWeight  = "no weight of a bar in grams"
	noBar     = "after a batch's code stand the bar and its grams"
	twoCommas = "are its commas decimal ones, or do they part weights? Put a semicolon or a space between two weights"
)

func readScaleLine(line string) (out []scaleWeight, why string) {
	parts, commas := scaleParts(line)
	if len(parts) == 0 {
		return nil, noWeight
	}
	if code, err := batch.CheckCode(parts[0]); err == nil {
		if commas && len(parts) == 4 { // code,1,83,1
			parts = append(parts[:2:2], parts[2]+","+parts[3])
		}
		if len(parts) != 3 {
			return nil, noBar
		}
		bar, err := strconv.Atoi(parts[1])
		g, wrong := numberTyped(parts[2])
		if err != nil || wrong != nil || !isBarG(g) {
			return nil, noBar
		}
		return []scaleWeight{{code, bar, g}}, ""
	}
	if commas && couldBeDecimal(parts) || slices.ContainsFunc(parts, couldBeTwo) {
		return nil, twoCommas
	}
	for _, p := range parts {
		g, err := numberTyped(p)
		if err != nil || !isBarG(g) {
			return nil, noWeight
		}
		out = append(out, scaleWeight{G: g})
	}
	return out, ""
}

func isBarG(g float64) bool { return g > 0 && g <= 5000 }

// couldBeDecimal reports figures parted by commas of which some may as well be
// the decimals of those before: 100,8,99,5.
func couldBeDecimal(parts []string) bool {
	for _, p := range parts {
		if strings.Contains(p, ".") {
			return false // then a point is the decimal sign
		}
	}
	return slices.ContainsFunc(parts[1:], func(p string) bool { return len(p) <= 2 })
}

// couldBeTwo reports a figure with one comma that may as well be two weights of
// like bars, or thousands: 100,125 and 100,99, but not 83,1.
func couldBeTwo(figure string) bool {
	whole, parts, ok := strings.Cut(figure, ",")
	if !ok || strings.Contains(figure, ".") || len(parts) < 2 || whole == "0" {
		return false
	}
	a, err := strconv.ParseFloat(whole, 64)
	b, wrong := strconv.ParseFloat(parts, 64)
	return len(parts) == 3 || err == nil && wrong == nil && parts[0] != '0' && math.Abs(a-b) <= 0.25*max(a, b)
}

// scaleParts parts a line, drops the unit, and reports whether commas part it.
func scaleParts(line string) (out []string, commas bool) {
	between := func(r rune) bool { return strings.ContainsRune(";\t \"\u202f\u00a0\r", r) }
	for _, token := range strings.FieldsFunc(line, between) {
		if token = strings.Trim(token, ","); strings.Count(token, ",") < 2 && !(strings.Contains(token, ",") && strings.Contains(token, ".")) {
			out = append(out, token)
			continue
		}
		commas = true
		out = append(out, strings.Split(token, ",")...)
	}
	for i, p := range out {
		if g, ok := strings.CutSuffix(p, "g"); ok && strings.ContainsAny(g[:min(1, len(g))], "0123456789") {
			out[i] = g
		}
	}
	return slices.DeleteFunc(out, func(p string) bool { return p == "" || p == "g" }), commas
}
