package web

import (
	"cmp"
	"maps"
	"math"
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

// inGrams says a wish of a clash as it was typed.
func (p *formulatePage) inGrams(text string) string {
	wishes, _ := wishesInGrams(p.Draft.fields)
	for _, w := range wishes {
		for _, share := range w.shares {
			text = strings.ReplaceAll(text, share, w.typed)
		}
	}
	return text
}

// wayInGrams says what would have to give where a wish was typed in grams: how
// many there may be, or how large a batch takes them all.
func (p *formulatePage) wayInGrams(r formulate.Relaxation) string {
	wishes, batchG := wishesInGrams(p.Draft.fields)
	for _, w := range wishes {
		if r.To == nil || !slices.ContainsFunc(w.shares, func(share string) bool { return strings.Contains(r.Sentence, share) }) {
			continue
		}
		to, err := quantity.ParseShare(*r.To)
		if err != nil {
			continue
		}
		text := p.inGrams(strings.Replace(r.Sentence, *r.To, plainNumber(to.Percent*batchG/100, 1)+" g", 1))
		if strings.HasSuffix(w.key, ".min") && to.Percent > 0 {
			text += " Or make a batch of " + plainNumber(math.Ceil(w.g/to.Percent)/10, 1) + " kg: it takes them all."
		}
		return text
	}
	return p.inGrams(r.Sentence)
}
