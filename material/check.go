package material

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/internal/near"
	"barwright/source"
)

// antioxidants are the words a material file may use for what keeps soap from
// going rancid.
var antioxidants = []string{"bht", "rosemary", "tocopherol", "edta", "citrate"}

// MaxID is the longest id that a workshop gives or takes, of a material as of
// any other thing [bytes]: it must fit into an address and the name of a file.
const MaxID = 100

// checkNames returns the first name that is missing or cannot be printed on
// one line, and its key.
func (m *Material) checkNames() (key string, err error) {
	if m.ID == "" {
		return "id", fmt.Errorf("no id")
	}
	for _, s := range []struct{ key, text string }{{"id", m.ID}, {"name", m.Name}, {"inci", m.INCI}, {"from", m.From}, {"of", m.Of}} {
		if utf8.RuneCountInString(s.text) > 200 || s.text != strings.TrimSpace(s.text) ||
			strings.ContainsFunc(s.text, func(r rune) bool { return unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp) }) {
			return s.key, fmt.Errorf("must be one line of at most 200 letters, without blanks around it")
		}
	}
	return "", nil
}

// check returns the first thing wrong with the material as data, and the key
// it is wrong at.
func (m *Material) check() (key string, err error) {
	for _, check := range []func() (string, error){m.checkKind, m.checkFigures, m.checkProfile, m.checkCrystal, m.checkRest} {
		if key, err := check(); err != nil {
			return key, err
		}
	}
	return "", nil
}

// checkKind looks for what every material of a kind must have.
func (m *Material) checkKind() (key string, err error) {
	switch {
	case m.Name == "":
		return "name", fmt.Errorf("no name")
	case !slices.Contains(Kinds, m.Kind):
		return "kind", fmt.Errorf("%.40q is not a kind%s; the kinds are %v", m.Kind, didYouMean(m.Kind, Kinds), Kinds)
	case m.Kind == Alkali && m.ID != "naoh" && m.ID != "koh" && m.Of == "":
		return "kind", fmt.Errorf("the alkalis are naoh and koh, and lots of these")
	case m.Kind == Alkali && !m.MolarMass.Known():
		return "molar_mass", fmt.Errorf("an alkali needs its molar mass")
	case m.Kind.IsFat() && !m.Sap.Known():
		return "sap", fmt.Errorf("a fat needs its saponification value")
	case m.Kind.IsFat() && !m.Density.Known():
		return "density", fmt.Errorf("a fat needs its density")
	case m.Kind == Wax && !m.AcidValue.Known():
		return "acid_value", fmt.Errorf("a wax needs its acid value: only its acids are dosed for")
	case m.Kind.IsFat() && !m.Profile.Known():
		return "profile", fmt.Errorf("a fat needs its fatty-acid profile")
	}
	return "", nil
}

func didYouMean[S ~string](word S, words []S) string {
	plain := make([]string, len(words))
	for i, w := range words {
		plain[i] = string(w)
	}
	if n := near.Word(string(word), plain); n != "" {
		return fmt.Sprintf(", did you mean %q?", n)
	}
	return ""
}

func (m *Material) checkFigures() (key string, err error) {
	for _, f := range m.figures() {
		if !f.Known() {
			continue
		}
		if err := f.Check(); err != nil {
			return f.key, err
		}
		if w, ok := figureRules[f.key]; ok && (f.Unit != w.unit || f.Low < w.min || f.High > w.max) {
			return f.key, fmt.Errorf("must be %g to %g %s", w.min, w.max, w.unit)
		}
		if f.AtC < -80 || f.AtC > 400 {
			return f.key, fmt.Errorf("at_c is a temperature from -80 to 400 °C, not %g", f.AtC)
		}
	}
	return "", nil
}

// figureRules gives the unit and the widest thinkable range of every figure.
var figureRules = map[string]struct {
	unit     string
	min, max float64
}{
	"sap":            {"mg KOH/g", 1, 660}, // butyric acid 637
	"iodine":         {"g I2/100 g", 0, 280},
	"unsaponifiable": {"g/kg", 0, 1000},
	"acid_value":     {"mg KOH/g", 0, 660},
	"density":        {"g/ml", 0.2, 6},
	"bulk_density":   {"g/ml", 0.05, 3},
	"melting":        {"°C", -80, 1000},
	"water":          {"%", 0, 100},
	"sugars":         {"%", 0, 100},
	"takes_naoh":     {"g/g", 0, 2},
	"molar_mass":     {"g/mol", 10, 2000},
}

func (m *Material) checkProfile() (key string, err error) {
	if !m.Profile.Known() {
		return "", nil
	}
	sum := 0.0
	for _, id := range slices.Sorted(maps.Keys(m.Profile.Acids)) {
		v := m.Profile.Acids[id]
		if AcidIndex(id) < 0 && id != "other" {
			return "profile.acids." + id, fmt.Errorf("%.40q is not a fatty acid of the list%s", id, didYouMean(id, acidIDs()))
		}
		if v < 0 || v > 100 {
			return "profile.acids." + id, fmt.Errorf("%g %% is not a share", v)
		}
		sum += v
	}
	switch {
	case sum < 97 || sum > 101.5:
		return "profile.acids", fmt.Errorf("the acids come to %.1f %%; a profile comes to 97 to 101.5 %%", sum)
	case sum-m.Profile.Percent("other") < 5:
		return "profile.acids.other", fmt.Errorf("at least 5 %% of the acids must be named")
	case !source.Exists(m.Profile.Source):
		return "profile.source", fmt.Errorf("source %.40q is not in source/sources.toml", m.Profile.Source)
	}
	return "", nil
}

func acidIDs() []string {
	ids := []string{"other"}
	for _, a := range Acids {
		ids = append(ids, a.ID)
	}
	return ids
}

func (m *Material) checkCrystal() (key string, err error) {
	c := m.Crystal
	switch {
	case c == Crystal{} || c.Grade == source.Unknown:
		return "", nil
	case c.MolarMass < 100 || c.MolarMass > 2000:
		return "crystal.molar_mass", fmt.Errorf("must be 100 to 2000 g/mol")
	case c.MeltC < -50 || c.MeltC > 200:
		return "crystal.melt_c", fmt.Errorf("must be -50 to 200 °C")
	case c.HeatJ < 1 || c.HeatJ > 1000:
		return "crystal.heat_kj_per_mol", fmt.Errorf("must be 1 to 1000 kJ/mol")
	case !source.Exists(c.Source):
		return "crystal.source", fmt.Errorf("source %.40q is not in source/sources.toml", c.Source)
	}
	return "", nil
}

func (m *Material) checkRest() (key string, err error) {
	switch {
	case m.Water.Known() && m.Sugars.Known() && m.Water.Typical+m.Sugars.Typical > 100:
		return "sugars", fmt.Errorf("water %g %% and sugars %g %% are more than the whole", m.Water.Typical, m.Sugars.Typical)
	case m.UsualPercent < 0 || m.UsualPercent > 100:
		return "usual_percent", fmt.Errorf("%g %% is not a strength", m.UsualPercent)
	case m.Limit != nil && m.Kind != Scent:
		return "limit", fmt.Errorf("only a scent has a limit for the bar")
	case m.Purity != nil && m.Kind != Alkali:
		return "purity", fmt.Errorf("only an alkali has an assay")
	case m.Purity != nil && (m.Purity.Percent < 50 || m.Purity.Percent > 100):
		return "purity", fmt.Errorf("must be 50 to 100 %%")
	case m.Antioxidant != "" && !slices.Contains(antioxidants, m.Antioxidant):
		return "antioxidant", fmt.Errorf("%.40q is not one known here%s; they are %v", m.Antioxidant, didYouMean(m.Antioxidant, antioxidants), antioxidants)
	}
	return "", nil
}
