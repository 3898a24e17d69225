package heat

import (
	"barwright/mould"
	"barwright/quantity"
	"barwright/source"
)

// Rest is how the batch stands for a while after the pour.
type Rest struct {
	Place string // room, fridge, freezer or oven
	TC    float64
	Cover *quantity.Stuff // all round it
	Fan   bool
	ForS  float64 // 0: from then on
}

// film is the coefficient of a bare surface, by convection and radiation
// together, in still air and before a fan [W/(m²K)].
type film struct{ still, fan source.Figure }

// surfaces by place. Still air is computed for a plate 80 mm high at 25 to 60
// °C (churchill_chu_1975) with radiation of emissivity 0.9; fans are recalled.
var surfaces = map[string]film{
	"room":    {computed(8, 10.5, 13), blown(13, 19, 28)},
	"fridge":  {computed(9, 10.5, 12), blown(12, 16, 20)},
	"freezer": {computed(10, 11.5, 13), blown(15, 20, 25)},
	"oven":    {computed(11, 13, 15), blown(20, 27, 35)},
}

func computed(low, typical, high float64) source.Figure {
	return source.Figure{Low: low, Typical: typical, High: high, Unit: "W/(m²K)", Source: "churchill_chu_1975", Locator: "vertical plate of 80 mm, with radiation", Grade: source.Derived}
}

func blown(low, typical, high float64) source.Figure {
	return source.Figure{Low: low, Typical: typical, High: high, Unit: "W/(m²K)", Source: "handbooks_recalled", Grade: source.Memory, Note: "Before a fan."}
}

// LidGap is what the air between batter and lid puts in the way of heat.
var LidGap = source.Figure{Low: 0.11, Typical: 0.15, High: 0.18, Unit: "m²K/W", Source: "en_iso_6946", Locator: "unventilated layer of 5 to 25 mm, heat rising", Grade: source.Memory}

// coefficient returns what passes a bare surface of a rest [W/(m²K)].
func (r Rest) coefficient() source.Figure {
	s, ok := surfaces[r.Place]
	if !ok {
		s = surfaces["room"]
	}
	if r.Fan {
		return s.fan
	}
	return s.still
}

// stage returns the rest as a stage from fromS on.
// U = 1/(1/h + Σ L/λ) for every face. Source: docs/model/heat.md eq. 5.
func (r Rest) stage(fromS float64, m mould.Mould) Stage {
	bare := 1 / r.coefficient().Typical
	if cover, ok := layerOf(r.Cover); ok {
		bare += cover.resists()
	}
	side := bare
	if wall, ok := layerOf(m.Wall); ok {
		side += wall.resists()
	}
	top := bare
	if lid, ok := layerOf(m.Lid); ok {
		top += LidGap.Typical + lid.resists()
	}
	s := Stage{FromS: fromS, TC: r.TC, USide: 1 / side, UTop: 1 / top, UBottom: 1 / side}
	if m.Shape == mould.Cylinder && m.Axis == Level {
		s.UTop, s.UBottom = s.USide, s.USide
	}
	return s
}

// stages returns the rests one after the other.
func stages(rests []Rest, m mould.Mould) []Stage {
	var out []Stage
	from := 0.0
	for _, r := range rests {
		out = append(out, r.stage(from, m))
		from += r.ForS
	}
	return out
}

// roomC is how warm a mould is before it is filled when it does not stand in
// the room from the start [°C].
const roomC = 20

// wallOf returns the heat the mould's wall holds; nil when it holds none.
func wallOf(m mould.Mould, first Rest) *Wall {
	wall, ok := layerOf(m.Wall)
	if !ok || wall.holds() < leastWall {
		return nil
	}
	w := &Wall{SideJM2K: wall.holds(), SideInside: wall.resists() / 2, BottomJM2K: wall.holds(), BottomInside: wall.resists() / 2, StartC: roomC}
	if first.Place == "room" {
		w.StartC = first.TC
	}
	return w
}
