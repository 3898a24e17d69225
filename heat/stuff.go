package heat

import (
	"barwright/quantity"
	"barwright/source"
)

// stuff is what a wall, lid or cover is made of, and how thick it usually is.
type stuff struct {
	conductivity float64 // [W/(m K)]
	density      float64 // [kg/m³]
	heat         float64 // [J/(kg K)]
	usualMM      float64 // when the recipe gives no thickness
	grade        source.Grade
}

// stuffs are the names of mould.Walls. Conductivity and density where the
// grade is published: en_iso_10077 (table of design values) and en_iso_10456
// for wool and felt; heat capacities, textiles, foam and metals: recalled,
// handbooks_recalled.
var stuffs = map[string]stuff{
	"softwood":        {0.13, 500, 1600, 12, source.Published},
	"hardwood":        {0.18, 700, 1600, 12, source.Published},
	"plywood":         {0.13, 500, 1600, 9, source.Memory},
	"card":            {0.14, 700, 1400, 2, source.Published},
	"corrugated card": {0.06, 160, 1400, 4, source.Memory},
	"polycarbonate":   {0.20, 1200, 1200, 3, source.Published},
	"hdpe":            {0.50, 980, 1800, 3, source.Published},
	"polypropylene":   {0.22, 910, 1800, 2, source.Published},
	"plastic":         {0.30, 940, 1800, 2, source.Published}, // between polypropylene and hdpe
	"silicone":        {0.35, 1200, 1000, 2, source.Published},
	"steel":           {17, 7900, 460, 1, source.Published},
	"glass":           {1.0, 2500, 750, 4, source.Published},
	"acrylic":         {0.18, 1180, 1500, 4, source.Published},
	"pvc":             {0.17, 1390, 900, 3, source.Published},
	"aluminium":       {200, 2700, 900, 1, source.Memory},
	"zinc":            {110, 7200, 380, 1, source.Memory},
	"copper":          {380, 8900, 380, 1, source.Memory},
	"brass":           {120, 8400, 380, 1, source.Memory},
	"tin":             {65, 7300, 230, 0.5, source.Memory},
	"film":            {0.33, 920, 2200, 0.05, source.Published},
	"towel":           {0.05, 280, 1300, 4, source.Memory},
	"blanket":         {0.042, 130, 1300, 25, source.Memory},
	"wool":            {0.06, 200, 1300, 10, source.Published},
	"felt":            {0.05, 120, 1300, 5, source.Published},
	"eps":             {0.036, 22, 1450, 30, source.Memory},
}

// layer is one layer of a wall or cover.
type layer struct {
	stuff
	thicknessM float64
}

// layerOf returns the layer of a stuff as written; false when there is none.
// A name that is not known counts as none: recipe.Check has refused it.
func layerOf(s *quantity.Stuff) (layer, bool) {
	if s == nil {
		return layer{}, false
	}
	m, ok := stuffs[s.Name]
	if !ok {
		return layer{}, false
	}
	mm := m.usualMM
	if s.Thickness != nil {
		mm = s.Thickness.MM()
	}
	return layer{m, mm / 1000}, true
}

// resists returns what the layer puts in the way of heat [m²K/W].
func (l layer) resists() float64 {
	if l.thicknessM == 0 {
		return 0
	}
	return l.thicknessM / l.conductivity
}

// holds returns the heat the layer holds per area and kelvin [J/(m²K)].
func (l layer) holds() float64 { return l.thicknessM * l.density * l.heat }

func stuffName(s *quantity.Stuff) string {
	if s == nil {
		return quantity.None.Name
	}
	return s.Name
}
