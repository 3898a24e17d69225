package web

import (
	"fmt"
	"strconv"

	"barwright/plan"
)

// turn writes the same batch another way: fats by mass or by share, the lye
// planned or as it was found, one alkali or two. p is the plan of the draft as
// it is. False when the action is none of these.
func (d *draft) turn(action string, p *plan.Plan) bool {
	switch action {
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
		d.moveLine("alkali.1", 0)
		delete(d.fields, "alkali.0.share")
	default:
		return false
	}
	return true
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
	for _, by := range []string{"fats", "batter", "mould", "bars"} {
		delete(d.fields, "size."+by)
	}
}

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
