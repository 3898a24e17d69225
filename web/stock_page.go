package web

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"barwright/material"
	"barwright/quantity"
	"barwright/stock"
)

// shelfPage is what is on the shelf, by kind.
type shelfPage struct {
	Groups   []shelfGroup
	Currency string
	Says     []string // of the whole shelf
	Away     []awayGroup
}

// shelfGroup is the lots of some kinds of material.
type shelfGroup struct {
	Name string
	Lots []shelfLot
}

// shelfLot is one line of the shelf.
type shelfLot struct {
	ID, Label, Of, OfID string
	From                string
	Own                 bool
	OnHand              string // "" when it is used up
	Price, Received     string
	BestBefore          string
	Old                 bool // near its best before, or past it
	Held                string
	Known               []string // what its papers and its history say
}

// shelfGroups names the groups of the shelf; what fits none is the last.
var shelfGroups = []struct {
	name  string
	kinds []material.Kind
}{
	{"Fats", []material.Kind{material.Triglyceride, material.FreeAcid}},
	{"Waxes", []material.Kind{material.Wax}},
	{"Alkali", []material.Kind{material.Alkali}},
	{"Additions", []material.Kind{material.Sugar, material.Liquid, material.KitchenAcid, material.Powder, material.Salt}},
	{"Scents", []material.Kind{material.Scent}},
	{"Keepers", []material.Kind{material.Keeper}},
	{"Of materials that are not here", nil},
}

func (a *App) stockPage(w http.ResponseWriter, r *http.Request) error {
	now, err := a.shelfNow(r.Context())
	if err != nil {
		return err
	}
	lots := now.Lots
	lib, _, err := a.materialLibrary(r.Context(), "")
	if err != nil {
		return err
	}
	shop, err := a.workshop(r.Context())
	if err != nil {
		return err
	}
	p := shelfPage{Groups: grouped(lots, lib, quantity.DateOf(a.now())), Currency: shop.Currency}
	p.Says = append(shelfWords(lots, p.Groups, shop.Currency), now.overWords()...)
	if p.Away, err = a.awayThings(r, kindLot); err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "stock", "stock", "Stock", p)
}

// shelfWords says what is on the whole shelf.
func shelfWords(lots stock.Shelf, groups []shelfGroup, currency string) (out []string) {
	left, held, old := 0, 0, 0
	for _, g := range groups {
		for _, l := range g.Lots {
			if l.OnHand == "" {
				continue
			}
			left++
			if l.Held != "" {
				held++
			}
			if l.Old {
				old++
			}
		}
	}
	if left == 0 {
		return nil
	}
	say := func(n int, one, more string) {
		switch {
		case n == 1:
			out = append(out, "1 "+one)
		case n > 1:
			out = append(out, number(float64(n), 0)+" "+more)
		}
	}
	say(left, "lot on hand", "lots on hand")
	if money, unpriced := lots.Worth(); money > 0 {
		out = append(out, strings.TrimSpace(number(money, 2)+"\u202f"+currency+" paid for what is left"))
		say(unpriced, "bought without a price", "bought without a price")
	}
	say(held, "held", "held")
	say(old, "near its best before or past it", "near their best before or past it")
	return out
}

// grouped sorts the lots into the groups of the shelf, by material and then by
// what spoils first; those that are used up come last.
func grouped(lots stock.Shelf, lib *material.Library, today quantity.Date) (out []shelfGroup) {
	for _, g := range shelfGroups {
		group := shelfGroup{Name: g.name}
		for _, l := range lots.InOrder() {
			m, err := lib.Find(l.Of)
			if err == nil && slices.Contains(g.kinds, m.Kind) || err != nil && g.kinds == nil {
				group.Lots = append(group.Lots, onShelf(l, nameOf(l.Of, lib), today))
			}
		}
		slices.SortStableFunc(group.Lots, func(a, b shelfLot) int {
			if (a.OnHand == "") != (b.OnHand == "") {
				return cmp.Compare(len(b.OnHand), len(a.OnHand)) // used up: last
			}
			return cmp.Compare(a.Of, b.Of)
		})
		if len(group.Lots) > 0 {
			out = append(out, group)
		}
	}
	return out
}

func onShelf(l stock.Lot, of string, today quantity.Date) shelfLot {
	s := shelfLot{ID: l.ID, Label: l.Label(), Of: of, OfID: l.Of, From: l.From, Own: l.Own, Held: l.Held}
	if l.OnHand != nil {
		s.OnHand = spaced(l.OnHand.String())
	}
	if l.Price != nil {
		s.Price = priceText(*l.Price)
	}
	if l.Received != nil {
		s.Received = dayWords(*l.Received)
	}
	if l.BestBefore != nil {
		s.BestBefore, s.Old = bestBefore(*l.BestBefore, today)
	}
	s.Known = knownOf(l)
	if l.Packed != nil && l.BestBefore == nil {
		s.Known = append(s.Known, "packed "+daysWords(l.Packed.DaysUntil(today))+" ago")
	}
	return s
}

// knownOf says what a lot's papers and its history tell, in words.
func knownOf(l stock.Lot) (out []string) {
	if l.Sap != nil {
		out = append(out, "certificate, "+plainNumber(l.Sap.Typical, 1)+"\u202fmg KOH/g")
	}
	if l.AcidValue != nil {
		out = append(out, "acid value "+plainNumber(l.AcidValue.Typical, 1))
	}
	if l.Water != nil {
		out = append(out, plainNumber(l.Water.Typical, 1)+"\u202f% water")
	}
	if l.Purity != nil {
		out = append(out, "assay "+spaced(l.Purity.String()))
	}
	if l.Limit != nil {
		out = append(out, "at most "+spaced(l.Limit.String()))
	}
	if l.Rices {
		out = append(out, "makes grains")
	}
	if l.Hurries {
		out = append(out, "thickens quickly")
	}
	return out
}

// lotTable is a table of lots; Of says whether to name what each is a lot of.
type lotTable struct {
	Lots     []shelfLot
	Currency string
	Of       bool
}

func shelfTable(lots []shelfLot, currency string, of bool) lotTable {
	return lotTable{lots, currency, of}
}
