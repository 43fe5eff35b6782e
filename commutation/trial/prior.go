package trial

import "handspin/commutation"

// Prior gives the weight of each class before any trial, in any unit.
type Prior func(commutation.Class) float64

// Equal takes all classes for equally probable.
func Equal(commutation.Class) float64 { return 1 }

// published counts, by class, the published drive tables that are collected in
// the folder testdata/tables, whose README gives each one's source. A test
// counts them again.
var published = map[commutation.Class]float64{
	{SpacingDeg: 120, RiseDeg: 30}:                 13,
	{SpacingDeg: 120, RiseDeg: 90}:                 2,
	{SpacingDeg: 120, RiseDeg: 210}:                9,
	{SpacingDeg: 120, RiseDeg: 270}:                1,
	{SpacingDeg: 120, RiseDeg: 30, Opposite: true}: 1,
	{SpacingDeg: 60, RiseDeg: 90}:                  2,
	{SpacingDeg: 60, RiseDeg: 270}:                 1,
	{SpacingDeg: 60, RiseDeg: 210, Opposite: true}: 3,
}

// Published weighs a class by how many published tables are of it, and one more
// for each class: that nobody has published a table does not make it impossible
// (the rule of succession).
func Published(c commutation.Class) float64 { return published[c] + 1 }
