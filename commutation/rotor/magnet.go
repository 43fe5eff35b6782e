package rotor

import (
	"fmt"
	"strings"
)

// Magnet is what magnets are made of and how thick they are.
type Magnet struct {
	// RemanenceT is at the temperature of use.
	RemanenceT float64
	// Recoil is the relative permeability along the line on which a magnet
	// works, RecoilNdFeB if not known.
	Recoil float64
	// ThicknessM is along the field.
	ThicknessM float64
}

// RecoilNdFeB is the usual recoil permeability of sintered neodymium magnets
// (shanghaimagnet.com, table of grades).
const RecoilNdFeB = 1.05

// Grade is a trade name of sintered neodymium magnets with its range of remanence
// at 20 degrees Celsius.
type Grade struct {
	Name              string
	LowestT, HighestT float64
}

// grades are as in the table of shanghaimagnet.com. Other makers differ by 20 mT:
// for N42 vormagelectronics.com has the same, it-magnet.com 1.30 to 1.32.
var grades = []Grade{
	{"N35", 1.17, 1.22}, {"N38", 1.22, 1.25}, {"N40", 1.25, 1.28}, {"N42", 1.28, 1.32},
	{"N45", 1.32, 1.37}, {"N48", 1.37, 1.42}, {"N50", 1.39, 1.44}, {"N52", 1.42, 1.46},
}

// ParseGrade returns the grade of that name. Letters after the number, which say
// how much heat a magnet stands, do not matter to its remanence: N42SH is N42.
func ParseGrade(text string) (Grade, error) {
	name := strings.TrimRight(strings.ToUpper(strings.TrimSpace(text)), "MHSUEAT")
	var known []string
	for _, g := range grades {
		if g.Name == name {
			return g, nil
		}
		known = append(known, g.Name)
	}
	return Grade{}, fmt.Errorf("%q is none of the grades %s", text, strings.Join(known, " "))
}

// RemanenceT returns the middle of the range.
func (g Grade) RemanenceT() float64 { return (g.LowestT + g.HighestT) / 2 }

// Warm returns a neodymium magnet's remanence at so many degrees Celsius from that
// at 20: 0.12 percent less per kelvin (shanghaimagnet.com), from about -40 to 150.
func Warm(remanenceT, celsius float64) float64 { return remanenceT * (1 - 0.0012*(celsius-20)) }
