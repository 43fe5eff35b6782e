package commutation

import "math"

// DriveTable is a controller's commutation table: which terminals it drives at
// each state of its Hall inputs HU, HV, HW.
type DriveTable struct {
	Name string
	// drives is indexed by state; equal terminals mean that none is driven.
	drives [8]Drive
}

// At returns what the table drives at state s; it is false where the table
// drives nothing.
func (t DriveTable) At(s State) (Drive, bool) {
	d := t.drives[s&7]
	return d, d.High != d.Low
}

// SpacingDeg returns the sensor spacing, 120 or 60 electrical degrees, that the
// table is made for, by the pair of complementary states it lacks, or NaN where
// it lacks no such pair.
func (t DriveTable) SpacingDeg() float64 {
	var known [8]bool
	for s := range State(8) {
		_, known[s] = t.At(s)
	}
	pair, ok := MissingPair(known)
	if !ok {
		return math.NaN()
	}
	return pair.SpacingDeg()
}

// Reverse returns the table for the other direction: high and low exchanged in
// every row.
func (t DriveTable) Reverse() DriveTable {
	for s, d := range t.drives {
		t.drives[s] = Drive{High: d.Low, Low: d.High}
	}
	return t
}

// Typical returns the built-in table "typical" for sensors 120 degrees apart,
// the one most often published. No table is a standard.
func Typical() DriveTable {
	return DriveTable{Name: "typical", drives: [8]Drive{
		0b101: {U, V}, 0b100: {U, W}, 0b110: {V, W},
		0b010: {V, U}, 0b011: {W, U}, 0b001: {W, V},
	}}
}

// Typical60 returns the built-in table "typical-60" for sensors 60 degrees
// apart, that of the MSK4470 data sheet (rev B, 2000).
func Typical60() DriveTable {
	return DriveTable{Name: "typical-60", drives: [8]Drive{
		0b000: {U, V}, 0b100: {U, W}, 0b110: {V, W},
		0b111: {V, U}, 0b011: {W, U}, 0b001: {W, V},
	}}
}

// Builtin returns the built-in table of that name.
func Builtin(name string) (DriveTable, bool) {
	for _, t := range []DriveTable{Typical(), Typical60()} {
		if t.Name == name {
			return t, true
		}
	}
	return DriveTable{}, false
}
