package web

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
)

// What the template asks of the planning page.

// shown are the keys that the page has inputs for; the rest travel hidden, so
// that nothing a recipe holds is lost by editing it here.
var shown = regexp.MustCompile(`^(name|superfat|lye_strength|water|size\..*|fats\.\d+\.(material|share|amount)|additions\.\d+\.(material|amount|when|strength|limit)|` +
	`alkali\.\d+\.(material|purity|stock_strength|share|amount)|combine\.(fats_temperature|lye_temperature|stir)|lye\.(water_temperature|ice)|` +
	`scale\.(fats|alkali)|mould\.(shape|inside|volume|count|holds|wall|lid|fill)|rest\.\d+\.(place|temperature|cover|for)|format)$`)

// hidden is one key without an input of its own.
type hidden struct{ Key, Value string }

// Hidden lists the keys that travel along unseen.
func (p *planPage) Hidden() (out []hidden) {
	for key, value := range p.Draft.fields {
		if !shown.MatchString(key) {
			out = append(out, hidden{key, value})
		}
	}
	slices.SortFunc(out, func(a, b hidden) int { return strings.Compare(a.Key, b.Key) })
	return out
}

// Undone is the last fix in words, "" when there is none to take back.
func (p *planPage) Undone() string { return p.Draft.undone }

// Worst is the finding to read first, nil without a plan.
func (p *planPage) Worst() *finding.Finding {
	if p.Plan == nil || len(p.Plan.Findings) == 0 {
		return nil
	}
	return &p.Plan.Findings[0]
}

// NextNumber is the number the next version will have.
func (p *planPage) NextNumber() int { return p.Recipe.Versions + 1 }

// ByAmount reports a recipe that gives its lye by mass.
func (p *planPage) ByAmount() bool {
	_, ok := p.Draft.fields["water"]
	return ok
}

// ByMass reports a weigh list by mass.
func (p *planPage) ByMass() bool { return p.Draft.fields["fats.0.amount"] != "" }

// TwoAlkalis reports a mixed lye.
func (p *planPage) TwoAlkalis() bool { return p.Draft.count("alkali") > 1 }

// SumShares is the sum of the shares as typed.
func (p *planPage) SumShares() string {
	sum, any := p.shares()
	if !any {
		return ""
	}
	return strconv.FormatFloat(math.Round(sum*100)/100, 'f', -1, 64)
}

// Unbalanced reports shares that do not come to 100 %.
func (p *planPage) Unbalanced() bool {
	sum, any := p.shares()
	return any && math.Abs(sum-100) > 0.05
}

func (p *planPage) shares() (sum float64, any bool) {
	for i := range p.Draft.count("fats") {
		text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(p.Draft.fields[shareKey(i)]), "%"))
		if v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64); err == nil {
			sum, any = sum+v, true
		}
	}
	return sum, any
}

// alkaliRow is one alkali of the lye.
type alkaliRow struct {
	I                                     int
	Name, Material, Amount, Purity, Share string
	Assay                                 string // of the lot it names
	Unknown                               bool   // of a lot that was put away
	Stock                                 bool
	Fault                                 string
}

// AlkaliRows lists the alkalis.
func (p *planPage) AlkaliRows() (rows []alkaliRow) {
	for i := range max(1, p.Draft.count("alkali")) {
		get := func(k string) string { return p.Draft.fields[fmt.Sprintf("alkali.%d.%s", i, k)] }
		row := alkaliRow{I: i, Material: get("material"), Amount: get("amount"), Purity: get("purity"), Share: get("share")}
		row.Name, row.Assay, row.Unknown = row.Material, p.Assays[row.Material], row.Material != ""
		for _, n := range p.Alkalis {
			if n.ID == row.Material {
				row.Name, row.Unknown = n.Name, false
			}
		}
		if stock := get("stock_strength"); stock != "" {
			row.Stock, row.Purity = true, stock
		}
		for path, f := range p.Faults {
			if strings.HasPrefix(path+".", fmt.Sprintf("alkali.%d.", i)) {
				row.Fault = f.Text
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// restRow is one stage after the pour.
type restRow struct {
	I                              int
	Place, Temperature, Cover, For string
	Fault                          string
}

// RestRows lists the stages and one empty line.
func (p *planPage) RestRows() (rows []restRow) {
	for i := range p.Draft.count("rest") + 1 {
		get := func(k string) string { return p.Draft.fields[fmt.Sprintf("rest.%d.%s", i, k)] }
		row := restRow{I: i, Place: get("place"), Temperature: get("temperature"), Cover: get("cover"), For: get("for")}
		for path, f := range p.Faults {
			if strings.HasPrefix(path+".", fmt.Sprintf("rest.%d.", i)) {
				row.Fault = f.Text
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// RestPlaces and Shapes are what people can choose from.
func (p *planPage) RestPlaces() []string { return recipe.Places }

// Shapes lists the shapes of a mould.
func (p *planPage) Shapes() []string { return []string{"box", "cylinder", "cavity"} }

// MouldFault is what is wrong with the mould.
func (p *planPage) MouldFault() string {
	for path, f := range p.Faults {
		if strings.HasPrefix(path, "mould") {
			return f.Text
		}
	}
	return ""
}

// SizeFault is what is wrong with the size.
func (p *planPage) SizeFault() string {
	return p.faultAt("size", "size.fats", "size.batter", "size.mould", "size.bars")
}

// ShowAlkali prints an alkali as the scale shows it.
func (p *planPage) ShowAlkali(a plan.AlkaliLine) string { return p.Plan.Scale.Alkali.Show(a.WeighG) }

// ShowWater prints the water as the scale shows it.
func (p *planPage) ShowWater() string { return p.Plan.Scale.Fats.Show(p.Plan.WaterWeighG) }
