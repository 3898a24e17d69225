package web

import (
	"cmp"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"barwright/formulate"
	"barwright/quantity"
)

// usualBatch is what a goal without a batch is of.
const usualBatch = "1 kg"

// grammed is a wish that was typed in grams and is reckoned as a share.
type grammed struct {
	key    string
	typed  string
	g      float64
	shares []string // as the answers write it
}

// wishesInGrams are the wishes that were typed in grams, of a batch of so many; none
// where that is unknown.
func wishesInGrams(fields map[string]string) (out []grammed, batchG float64) {
	batch, err := quantity.ParseMass(cmp.Or(fields["batch"], usualBatch))
	if err != nil || batch.G() <= 0 {
		return nil, 0
	}
	for _, key := range slices.Sorted(maps.Keys(fields)) {
		if m, err := quantity.ParseMass(fields[key]); err == nil && isShare(key, fields) {
			share := 100 * m.G() / batch.G()
			out = append(out, grammed{key, m.String(), m.G(), []string{plainNumber(share, 4) + " %", plainNumber(share, 2) + " %"}})
		}
	}
	return out, batch.G()
}

// inPercent turns masses that stand where a share is asked for, like the 200 g of
// wax that she has, into per cent of the batch's fats. What cannot be told stays.
func inPercent(fields map[string]string) map[string]string {
	wishes, _ := wishesInGrams(fields)
	if len(wishes) == 0 {
		return fields
	}
	out := maps.Clone(fields)
	for _, w := range wishes {
		out[w.key] = w.shares[0]
	}
	return out
}

// isShare reports a field that holds a share of the fats.
func isShare(key string, fields map[string]string) bool {
	at, end := key[:strings.LastIndex(key, ".")+1], key[strings.LastIndex(key, ".")+1:]
	if end != "min" && end != "max" {
		return false
	}
	if strings.HasPrefix(at, "fats.") {
		return true
	}
	return slices.Contains([]string{"share", "own", "hard_wax", "free_acids"}, fields[at+"quantity"])
}

// in puts the grams where a sentence about this wish has its share.
func (w grammed) in(text string) string {
	for _, share := range w.shares {
		alone := regexp.MustCompile(`(^|[^\d.,])` + regexp.QuoteMeta(share)) // 2 % is no part of 12 %
		text = alone.ReplaceAllString(text, "${1}"+w.typed)
	}
	return text
}

// typedInGrams is the wish of a clash that was typed in grams, and the batch it
// is of; false for any other.
func (p *formulatePage) typedInGrams(c formulate.Clash) (w grammed, batchG float64, ok bool) {
	wishes, batchG := wishesInGrams(p.Draft.fields)
	i := slices.IndexFunc(wishes, func(w grammed) bool { return w.key == c.Path || c.Path != "" && strings.HasPrefix(w.key, c.Path+".") })
	if i < 0 {
		return w, 0, false
	}
	return wishes[i], batchG, true
}

// inGrams says a wish of a clash as it was typed.
func (p *formulatePage) inGrams(c formulate.Clash) string {
	if w, _, ok := p.typedInGrams(c); ok {
		return w.in(c.Words)
	}
	return c.Words
}

// wayInGrams says what would have to give where that wish was typed in grams: how
// many there may be, and in how large a batch they are no more than fits.
func (p *formulatePage) wayInGrams(c formulate.Clash, r formulate.Relaxation) string {
	w, batchG, ok := p.typedInGrams(c)
	switch {
	case !ok:
		return r.Sentence
	case r.To == nil:
		return w.in(r.Sentence)
	}
	to, err := quantity.ParseShare(*r.To)
	if err != nil {
		return r.Sentence
	}
	text := w.in(strings.Replace(r.Sentence, *r.To, plainNumber(to.Percent*batchG/100, 1)+" g", 1))
	if strings.HasSuffix(w.key, ".min") && to.Percent > 0 {
		text += " In a batch of " + plainNumber(math.Ceil(w.g/to.Percent)/10, 1) + " kg " + w.typed + " are no more than that."
	}
	return text
}
