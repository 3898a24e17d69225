package web

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"barwright/formulate"
	"barwright/material"
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
			before := d.count("fats")
			i := name(id)
			if m, err := lib.Find(id); err == nil && i == before && m.Kind != material.Wax && m.Kind != material.FreeAcid {
				d.fields[fmt.Sprintf("fats.%d.min", i)] = usualLeast
			}
		}
	}
	for i := 0; d.fields[fmt.Sprintf("without.%d", i)] != ""; i++ {
		d.fields[fmt.Sprintf("fats.%d.never", name(idOf(d.fields[fmt.Sprintf("without.%d", i)], lib)))] = "true"
	}
	d.dropKeys("without.")
}

// usualLeast is the least of an oil or fat that the page begins with: less of one
// makes no difference in the pan, only one more jug to weigh. Common practice,
// no source. Waxes and acids count by the gram.
const usualLeast = "3 %"

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
	priced, free := 0, 0.0
	for _, l := range lots {
		g += l.Stock.G()
		if l.Price == nil {
			if l.Own {
				free += l.Stock.G()
			}
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
	if free > 0 && free < g {
		return lotsPrice(words, priced, least, most) + fmt.Sprintf("; %s\u202fg our own, counted as free", number(free, 0))
	} else if free > 0 {
		return words + ", our own, counted as free"
	}
	return lotsPrice(words, priced, least, most)
}

// lotsPrice adds what a kilo costs to so much of a fat.
func lotsPrice(words string, priced int, least, most float64) string {
	switch {
	case priced == 0:
		return words + ", no price"
	case most > least:
		return fmt.Sprintf("%s at %s to %s", words, number(1000*least, 2), number(1000*most, 2))
	}
	return words + " at " + number(1000*least, 2)
}
