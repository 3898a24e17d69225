package web

import (
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
// Semicolons, tabs, spaces and commas part them; a comma between digits is a
// decimal one unless the line begins with a code. Lines that hold no weight are
// handed back; a heading is read over.
func readScale(text string) (out []scaleWeight, unread []string) {
	for n, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(strings.TrimPrefix(line, "\ufeff"))
		if line == "" || n == 0 && !strings.ContainsAny(line, "0123456789") {
			continue
		}
		found, ok := readScaleLine(line)
		if !ok {
			unread = append(unread, cutTo(line, 60))
			continue
		}
		out = append(out, found...)
	}
	return out, unread
}

func readScaleLine(line string) (out []scaleWeight, ok bool) {
	parts := scaleParts(line)
	if len(parts) > 0 {
		if code, err := batch.CheckCode(parts[0]); err == nil {
			if len(parts) != 3 {
				return nil, false
			}
			bar, err := strconv.Atoi(parts[1])
			g, wrong := numberTyped(parts[2])
			return []scaleWeight{{code, bar, g}}, err == nil && wrong == nil && isBarG(g)
		}
	}
	for _, p := range parts {
		g, err := numberTyped(p)
		if err != nil || !isBarG(g) {
			return nil, false
		}
		out = append(out, scaleWeight{G: g})
	}
	return out, len(out) > 0
}

func isBarG(g float64) bool { return g > 0 && g <= 5000 }

// scaleParts parts a line and drops the unit.
func scaleParts(line string) (out []string) {
	between := func(r rune) bool { return r == ';' || r == '\t' || r == ' ' || r == '"' || r == '\u202f' || r == '\r' }
	if strings.Count(line, ",") >= 2 && !strings.ContainsAny(line, ";\t") {
		line = strings.ReplaceAll(line, ",", ";")
	}
	for _, p := range strings.FieldsFunc(line, between) {
		if len(p) > 1 && strings.HasSuffix(p, "g") && strings.ContainsAny(p[:1], "0123456789") {
			p = strings.TrimSuffix(p, "g")
		}
		if p != "g" && p != "," {
			out = append(out, strings.Trim(p, ","))
		}
	}
	return out
}
