package web

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
)

// What the template asks of the planning page.

// shown are the keys that the page has inputs for; the rest travel hidden, so
// that nothing a recipe holds is lost by editing it here.
var shown = regexp.MustCompile(`^(name|method|superfat|lye_strength|water|size\..*|fats\.\d+\.(material|share|amount)|additions\.\d+\.(material|amount|when|strength|limit)|` +
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

// UndoOf is the lines that the last button can be taken back for.
func (p *planPage) UndoOf() string { return p.Draft.lineup() }

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

// IsOld reports an earlier version than the newest.
func (p *planPage) IsOld() bool { return !p.IsNew && !p.Conflict && p.Version.ID != p.Recipe.Head }

// PutAway reports a recipe that is not in use.
func (p *planPage) PutAway() bool { return !p.Recipe.Archived.IsZero() }

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
		if v, ok := p.Draft.share(i); ok && p.Draft.fields[shareKey(i)] != "" {
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
	Fault                                 string // of the line, not of one of its fields
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
		row.Fault = p.faultAt(fmt.Sprintf("alkali.%d", i), row.key("material"))
		rows = append(rows, row)
	}
	return rows
}

// Keys of an alkali's line.
func (r alkaliRow) key(name string) string { return fmt.Sprintf("alkali.%d.%s", r.I, name) }

func (r alkaliRow) AmountKey() string { return r.key("amount") }
func (r alkaliRow) PurityKey() string { return r.key("purity") }
func (r alkaliRow) StockKey() string  { return r.key("stock_strength") }
func (r alkaliRow) ShareKey() string  { return r.key("share") }

// AssayWords is the assay taken when none is written.
func (r alkaliRow) AssayWords() string {
	if r.Assay != "" {
		return r.Assay + " by the lot"
	}
	return "100 %"
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
		row.Fault = p.faultAt(fmt.Sprintf("rest.%d", i), fmt.Sprintf("rest.%d.place", i))
		rows = append(rows, row)
	}
	return rows
}

// RestPlaces and Shapes are what people can choose from.
func (p *planPage) RestPlaces() []string { return recipe.Places }

// Shapes lists the shapes of a mould.
func (p *planPage) Shapes() []string { return []string{"box", "cylinder", "cavity"} }

// MouldFault is what is wrong with the mould as a whole.
func (p *planPage) MouldFault() string {
	return p.faultAt("mould", "mould.shape", "mould.axis", "mould.name")
}

// MouldNow says which mould the recipe has.
func (p *planPage) MouldNow() string {
	switch m := p.mould(); {
	case m != nil && m.Learned != nil && p.Field("mould.holds") == "":
		return m.Name + ", by its sides"
	case m != nil:
		return m.Name
	case p.Field("mould.shape") == "":
		return "none"
	}
	return cmp.Or(p.Field("mould.name"), "by hand")
}

// mould is the mould of the workshop that the recipe has, by its name or, in a
// recipe that names none, by its measures; nil when it is none of them.
func (p *planPage) mould() *stock.Mould {
	name := p.Field("mould.name")
	i := slices.IndexFunc(p.Moulds, func(m stock.Mould) bool { return m.Name == name || name == "" && p.measuresLike(m) })
	if i < 0 {
		return nil
	}
	return &p.Moulds[i]
}

func (p *planPage) measuresLike(m stock.Mould) bool {
	holding := m.True()
	theirs := draft{fields: map[string]string{}}
	theirs.take(recipe.Recipe{Mould: &holding}, "mould.")
	return !slices.ContainsFunc([]string{"shape", "inside", "volume", "count", "axis"}, func(key string) bool {
		return theirs.fields["mould."+key] != p.Field("mould."+key)
	})
}

// SizeFault is what is wrong with the size.
func (p *planPage) SizeFault() string {
	return p.faultAt("size", "size.fats", "size.batter", "size.mould", "size.bars")
}

// ShowAlkali prints an alkali as the scale shows it.
func (p *planPage) ShowAlkali(a plan.AlkaliLine) string { return p.Plan.Scale.Alkali.Show(a.WeighG) }

// WeighedTogether prints what all fats come to on the scale.
func (p *planPage) WeighedTogether() string { return p.Plan.Scale.Fats.Show(p.weighedG()) }

// WeighsOff reports fats whose steps on the scale add up to another mass.
func (p *planPage) WeighsOff() bool { return math.Abs(p.weighedG()-p.Plan.FatsG) > 0.05 }

func (p *planPage) weighedG() (sum float64) {
	for _, f := range p.Plan.Fats {
		sum += f.WeighG
	}
	return sum
}

// WorkingTime is the working time as the maker's own batches taught it, else as
// the plan has it; nil without one.
func (p *planPage) WorkingTime() *plan.Window {
	if p.Learned.Last != "" {
		return &p.Learned.Window
	}
	return p.Plan.Window
}

// ShowWater prints the water as the scale shows it.
func (p *planPage) ShowWater() string { return p.Plan.Scale.Fats.Show(p.Plan.WaterWeighG) }
