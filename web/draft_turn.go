package web

import (
	"fmt"
	"math"
	"strconv"

	"barwright/plan"
)

// turn writes the same batch another way: fats by mass or by share, the lye
// planned or as it was found, one alkali or two. p is the plan of the draft as
// it is. False when the action is none of these.
func (d *draft) turn(action string, p *plan.Plan) bool {
	before := d.snapshot()
	switch action {
	case "resize":
		d.resize(p)
	case "by-mass":
		d.byMass(p)
	case "by-share":
		d.byShare(p)
	case "lye-found":
		d.lyeFound(p)
	case "lye-planned":
		d.lyePlanned()
	case "two-alkalis":
		d.twoAlkalis()
	case "one-alkali":
		d.moveLine("alkali", 1, 0)
		delete(d.fields, "alkali.0.share")
	default:
		return false
	}
	d.remember(before, turned[action])
	return true
}

// turned says what was done, to be taken back.
var turned = map[string]string{
	"resize": "sized the same batch another way", "by-mass": "wrote the fats by mass", "by-share": "wrote the fats as shares", "lye-found": "took the lye as given",
	"lye-planned": "let the lye be planned", "two-alkalis": "made it two alkalis", "one-alkali": "made it one alkali",
}

// resize writes the size of the same batch by what was chosen: fats, batter,
// the mould or bars of 100 g.
func (d *draft) resize(p *plan.Plan) {
	switch d.sizeTo {
	case "batter":
		d.setSize("batter", plainNumber(p.Batter.MassG, 0)+" g")
	case "bars":
		cured := p.Batter.MassG * (1 - p.Bar.Loss.Typical/100)
		d.setSize("bars", fmt.Sprintf("%d x 100 g", max(1, int(math.Round(cured/100)))))
	case "mould":
		d.setSize("mould", "")
	default:
		d.setSize("fats", plainNumber(p.FatsG, 1)+" g")
	}
}

// setSize says the size one way and no other.
func (d *draft) setSize(by, value string) {
	d.clearSize()
	if by == "mould" {
		value = "true"
	}
	d.fields["size."+by] = value
}

func (d *draft) byMass(p *plan.Plan) {
	for i, f := range p.Fats {
		delete(d.fields, shareKey(i))
		d.fields[fmt.Sprintf("fats.%d.amount", i)] = plainNumber(f.MassG, 1) + " g"
	}
	d.clearSize()
}

func (d *draft) byShare(p *plan.Plan) {
	for i, f := range p.Fats {
		delete(d.fields, fmt.Sprintf("fats.%d.amount", i))
		d.fields[shareKey(i)] = plainNumber(f.SharePct, 2)
	}
	d.clearSize()
	d.fields["size.fats"] = plainNumber(p.FatsG, 1) + " g"
	d.balance()
}

func (d *draft) clearSize() {
	for _, by := range sizes {
		delete(d.fields, "size."+by)
	}
}

// sizes are the ways to say how big a batch is.
var sizes = []string{"fats", "batter", "mould", "bars"}

func (d *draft) lyeFound(p *plan.Plan) {
	for i, a := range p.Alkali {
		d.fields[fmt.Sprintf("alkali.%d.amount", i)] = plainNumber(a.WeighG, 2) + " g"
		delete(d.fields, fmt.Sprintf("alkali.%d.share", i))
	}
	d.fields["water"] = plainNumber(p.WaterWeighG, 1) + " g"
	delete(d.fields, "superfat")
	delete(d.fields, "lye_strength")
	if d.count("fats") > 0 && d.fields["fats.0.amount"] == "" {
		d.clearSize()
		d.fields["size.fats"] = plainNumber(p.FatsG, 1) + " g"
	}
}

func (d *draft) lyePlanned() {
	for i := range d.count("alkali") {
		delete(d.fields, fmt.Sprintf("alkali.%d.amount", i))
	}
	delete(d.fields, "water")
	d.fields["superfat"], d.fields["lye_strength"] = "5 %", "33 %"
	if d.count("alkali") == 2 {
		d.fields["alkali.0.share"], d.fields["alkali.1.share"] = "90 %", "10 %"
	}
}

func (d *draft) twoAlkalis() {
	other := "koh"
	if d.fields["alkali.0.material"] == "koh" {
		other = "naoh"
	}
	d.fields["alkali.1.material"] = other
	d.fields["alkali.1.purity"] = map[string]string{"koh": "90 %", "naoh": "98 %"}[other]
	d.fields["alkali.0.share"], d.fields["alkali.1.share"] = "90 %", "10 %"
}

func plainNumber(v float64, decimals int) string {
	return strconv.FormatFloat(roundTo(v, decimals), 'f', -1, 64)
}
