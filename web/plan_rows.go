package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"

	"barwright/material"
	"barwright/plan"
	"barwright/stock"
)

// fatRow is one line of the weigh list.
type fatRow struct {
	I      int
	Name   string
	Share  string // as typed; or the amount
	ByMass bool
	Locked bool
	Fault  string
	Line   *plan.FatLine // nil while there is no plan
	Shelf  *stock.Taken
	Weigh  string
}

func (p *planPage) fatRow(i int, lib *material.Library, taken []stock.Taken) fatRow {
	key := func(k string) string { return fmt.Sprintf("fats.%d.%s", i, k) }
	row := fatRow{I: i, Name: nameOf(p.Draft.fields[key("material")], lib), Share: strings.TrimSuffix(p.Draft.fields[key("share")], " %"), Locked: p.Draft.locks[i]}
	if amount := p.Draft.fields[key("amount")]; amount != "" {
		row.ByMass, row.Share = true, amount
	}
	row.Fault = p.faultAt(key("material"), key("share"), key("amount"), fmt.Sprintf("fats.%d", i))
	if p.Plan != nil && i < len(p.Plan.Fats) {
		row.Line, row.Shelf = &p.Plan.Fats[i], &taken[i]
		row.Weigh = p.Plan.Scale.Fats.Show(row.Line.WeighG)
	}
	return row
}

// additionRow is one addition.
type additionRow struct {
	I                             int
	Name                          string
	Amount, When, Strength, Limit string
	LotLimit                      string // of the lot it names, when the line gives none
	IsScent, InSolution           bool
	Fault                         string
	Line                          *plan.AdditionLine
	Shelf                         *stock.Taken
	Weigh                         string
}

func (p *planPage) additionRow(i int, lib *material.Library, taken []stock.Taken) additionRow {
	get := func(k string) string { return p.Draft.fields[fmt.Sprintf("additions.%d.%s", i, k)] }
	row := additionRow{I: i, Name: nameOf(get("material"), lib), Amount: get("amount"), When: get("when"), Strength: get("strength"), Limit: get("limit")}
	if m, err := lib.Find(get("material")); err == nil {
		row.IsScent, row.InSolution = m.Kind == material.Scent, m.InSolution
		if m.Limit != nil {
			row.LotLimit = m.Limit.String()
		}
	}
	for path, f := range p.Faults {
		if strings.HasPrefix(path+".", fmt.Sprintf("additions.%d.", i)) {
			row.Fault = f.Text
		}
	}
	if p.Plan != nil && i < len(p.Plan.Additions) {
		row.Line, row.Shelf = &p.Plan.Additions[i], &taken[len(p.Plan.Fats)+i]
		row.Weigh = p.Plan.Scale.Fats.Show(row.Line.WeighG)
	}
	return row
}

// chainPart is one part of the chain-group strip.
type chainPart struct {
	Class, Name string
	Percent     float64
	X, Width    float64
}

// fillRows fills in what the page shows of the draft and of its plan.
func (a *App) fillRows(r *http.Request, p *planPage, lib *material.Library) error {
	p.FatNames, p.AddNames = choices(lib)
	p.Alkalis, p.Assays = alkalis(lib), map[string]string{}
	for _, n := range p.Alkalis {
		if m, err := lib.Find(n.ID); err == nil && m.Purity != nil {
			p.Assays[n.ID] = m.Purity.String()
		}
	}
	d := p.Draft
	for _, by := range []string{"fats", "batter", "mould", "bars"} {
		if text, ok := d.fields["size."+by]; ok {
			p.SizeBy, p.SizeValue = by, text
			if by == "mould" {
				p.SizeValue = ""
			}
		}
	}
	shelf, err := a.shelfNow(r.Context())
	if err != nil {
		return err
	}
	taken := p.takeFrom(shelf.Lots)
	for i := range d.count("fats") + 1 {
		p.Fats = append(p.Fats, p.fatRow(i, lib, taken))
	}
	for i := range d.count("additions") + 1 {
		p.Additions = append(p.Additions, p.additionRow(i, lib, taken))
	}
	if p.Plan != nil {
		p.Strip = chainStrip(p.Plan)
	}
	if len(d.undo) > 0 {
		b, err := json.Marshal(d.undo)
		if err != nil {
			return err
		}
		p.Undo = string(b)
	}
	return nil
}
