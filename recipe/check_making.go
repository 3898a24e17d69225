package recipe

import (
	"fmt"
	"slices"
	"strings"

	"barwright/internal/near"
	"barwright/mould"
	"barwright/quantity"
)

func checkStir(fs *faults, path, stir string) {
	if stir != "" && stir != Hand && stir != Blender {
		fs.add(path, "stir is hand or blender", "%.40q is not a way to stir", stir)
	}
}

func (r Recipe) checkLye(fs *faults) {
	if r.Lye == nil {
		return
	}
	checkTemperature(fs, "lye.water_temperature", r.Lye.WaterTemperature, 0, 60)
	checkShare(fs, "lye.ice", r.Lye.Ice, 0, 100, "ice, a share of the water,")
	checkStuff(fs, "lye.vessel", r.Lye.Vessel, true)
}

func (r Recipe) checkCombine(fs *faults) {
	c := r.Combine
	if c == nil {
		return
	}
	if c.FatsTemperature.Unit == "" || c.LyeTemperature.Unit == "" {
		fs.add("combine", `fats_temperature = "40 °C" and lye_temperature = "38 °C"`, "[combine] needs both temperatures")
		return
	}
	checkTemperature(fs, "combine.fats_temperature", &c.FatsTemperature, 0, 120)
	checkTemperature(fs, "combine.lye_temperature", &c.LyeTemperature, 0, 120)
	checkStuff(fs, "combine.pot", c.Pot, true)
	checkStir(fs, "combine.stir", c.Stir)
}

func (r Recipe) checkMould(fs *faults) {
	if r.Mould == nil {
		return
	}
	checkLine(fs, "mould.name", r.Mould.Name)
	if key, err := r.Mould.Check(); err != nil {
		fs.addErr("mould."+key, err)
	}
}

func (r Recipe) checkRest(fs *faults) {
	if len(r.Rest) > maxRests {
		fs.add(fmt.Sprintf("rest.%d", maxRests), "leave out what changes little", "%d stages of rest are more than %d", len(r.Rest), maxRests)
		return
	}
	for i, s := range r.Rest {
		path := fmt.Sprintf("rest.%d", i)
		if !slices.Contains(Places, s.Place) {
			advice := "the places are " + strings.Join(Places, ", ")
			if n := near.Word(s.Place, Places); n != "" {
				advice = fmt.Sprintf("did you mean %q? %s", n, advice)
			}
			fs.add(path+".place", advice, "%.40q is not a place to rest", s.Place)
		}
		if s.For == nil && i < len(r.Rest)-1 {
			fs.add(path, `for = "24 h"; only the last stage goes on without end`, "this stage does not say how long")
		}
		if s.For != nil && s.For.Seconds() > maxRestS {
			fs.add(path+".for", "rest is what the fresh batch does; drying comes after it", "%s is longer than a stage of rest can be, 60 days", s.For)
		}
		if s.Temperature == nil {
			fs.add(path, `temperature = "20 °C"`, "this stage has no temperature")
		}
		checkTemperature(fs, path+".temperature", s.Temperature, -40, 120)
		checkShare(fs, path+".rh", s.RH, 0, 100, "relative humidity")
		checkStuff(fs, path+".cover", s.Cover, false)
	}
}

func (r Recipe) checkScale(fs *faults) {
	if r.Scale == nil {
		return
	}
	for _, s := range []struct {
		key  string
		step *quantity.Mass
	}{{"fats", r.Scale.Fats}, {"alkali", r.Scale.Alkali}, {"repeatability", r.Scale.Repeatability}} {
		if s.step != nil && (s.step.G() > 100 || s.step.G() < 0.0001) {
			fs.add("scale."+s.key, "the smallest difference it shows, like 1 g", "a scale of %s", s.step)
		}
	}
	for _, s := range []struct {
		key     string
		carries *quantity.Mass
		stepG   float64
	}{{"fats_capacity", r.Scale.FatsCapacity, r.FatStepG()}, {"alkali_capacity", r.Scale.AlkaliCapacity, r.AlkaliStepG()}} {
		if s.carries != nil && (s.carries.G() < s.stepG || s.carries.G() > maxMassG) {
			fs.add("scale."+s.key, "the most it carries, like 5 kg", "a scale that carries %s", s.carries)
		}
	}
}

// checkStuff checks a vessel, which has a mass, or a cover, which has a
// thickness.
func checkStuff(fs *faults, path string, s *quantity.Stuff, vessel bool) {
	if s == nil {
		return
	}
	err := mould.CheckStuff(*s)
	fs.addErr(path, err)
	switch {
	case err != nil || s.Name == quantity.None.Name:
	case vessel && s.Mass == nil:
		fs.add(path, `like "steel 1.2 kg"`, "%s needs its mass, for the heat it takes", s.Name)
	case !vessel && s.Mass != nil:
		fs.add(path, `like "blanket 25 mm"`, "a cover has a thickness, not the mass %s", s.Mass)
	}
}
