package material

// Acid is one fatty acid as gas chromatography lists it.
type Acid struct {
	ID          string // "c18_1": carbons and double bonds
	Name        string
	Carbons     int
	DoubleBonds int
	Hydroxyl    bool
	Group       Group
}

// Group is a chain group of the make-up strip.
type Group string

// The chain groups of a make-up. Saturated by length, the rest by double
// bonds; Hydroxy is ricinoleic.
const (
	Short    Group = "short" // C4 and C6
	C8C10    Group = "c8_c10"
	C12C14   Group = "c12_c14"
	C16C18   Group = "c16_c18" // with C17
	C20C24   Group = "c20_c24"
	Mono     Group = "mono"
	Poly     Group = "poly"
	Hydroxy  Group = "hydroxy"
	OtherFat Group = "other"
)

// Groups lists the chain groups in the order they are shown.
var Groups = []Group{Short, C8C10, C12C14, C16C18, C20C24, Mono, Poly, Hydroxy, OtherFat}

// Atomic masses [g/mol], IUPAC abridged standard atomic weights (2021).
const (
	massC = 12.011
	massH = 1.008
	massO = 15.999
)

// M returns the molar mass of the free acid [g/mol], from its formula.
func (a Acid) M() float64 {
	o := 2.0
	if a.Hydroxyl {
		o = 3
	}
	n := float64(a.Carbons)
	return n*massC + (2*n-2*float64(a.DoubleBonds))*massH + o*massO
}

// Acids lists every fatty acid of a profile, shortest first.
var Acids = []Acid{
	{"c4_0", "butyric", 4, 0, false, Short},
	{"c6_0", "caproic", 6, 0, false, Short},
	{"c8_0", "caprylic", 8, 0, false, C8C10},
	{"c10_0", "capric", 10, 0, false, C8C10},
	{"c12_0", "lauric", 12, 0, false, C12C14},
	{"c14_0", "myristic", 14, 0, false, C12C14},
	{"c16_0", "palmitic", 16, 0, false, C16C18},
	{"c16_1", "palmitoleic", 16, 1, false, Mono},
	{"c17_0", "margaric", 17, 0, false, C16C18},
	{"c18_0", "stearic", 18, 0, false, C16C18},
	{"c18_1", "oleic", 18, 1, false, Mono},
	{"c18_1oh", "ricinoleic", 18, 1, true, Hydroxy},
	{"c18_2", "linoleic", 18, 2, false, Poly},
	{"c18_3", "linolenic", 18, 3, false, Poly},
	{"c20_0", "arachidic", 20, 0, false, C20C24},
	{"c20_1", "gondoic", 20, 1, false, Mono},
	{"c22_0", "behenic", 22, 0, false, C20C24},
	{"c22_1", "erucic", 22, 1, false, Mono},
	{"c24_0", "lignoceric", 24, 0, false, C20C24},
}

// AcidIndex returns the place of an acid in Acids, or -1.
func AcidIndex(id string) int {
	for i, a := range Acids {
		if a.ID == id {
			return i
		}
	}
	return -1
}
