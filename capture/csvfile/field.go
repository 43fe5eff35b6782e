package csvfile

import (
	"strings"

	"handspin/capture"
)

// field is what a column of the file holds.
type field uint8

const (
	unused field = iota
	fieldTime
	fieldHall
	fieldCode
	fieldH1
	fieldH2
	fieldH3
	fieldIndex
	fieldP1 // this and the following are in the order of capture.Signal
	fieldP2
	fieldP3
	fieldP12
	fieldP23
	fieldP31
)

// fieldKeys are the names of the fields in the recording format and the keys of
// Options.Columns.
var fieldKeys = map[string]field{
	"t": fieldTime, "hall": fieldHall, "hall_code": fieldCode,
	"h1": fieldH1, "h2": fieldH2, "h3": fieldH3,
	"index": fieldIndex,
	"p1":    fieldP1, "p2": fieldP2, "p3": fieldP3,
	"p12": fieldP12, "p23": fieldP23, "p31": fieldP31,
}

const keyList = "t hall hall_code h1 h2 h3 index p1 p2 p3 p12 p23 p31"

func (f field) isLine() bool       { return fieldH1 <= f && f <= fieldH3 }
func (f field) isPhase() bool      { return f >= fieldP1 }
func (f field) isHall() bool       { return fieldHall <= f && f <= fieldH3 }
func (f field) isDifference() bool { return f >= fieldP12 }

// lead returns the index among h1 h2 h3, p1 p2 p3 or p12 p23 p31.
func (f field) lead() int { return int(f-fieldH1) % 3 }

func (f field) signal() capture.Signal { return capture.Signal(f - fieldP1) }

// unit is a unit of a column; the zero value stands for none given.
type unit struct {
	name string
	time bool
	// size is how many of a time unit make a second, or how many volts a
	// voltage unit is: both are exact or rounded once in a float64.
	size float64
	// base is that of a word's digits, in place of a unit; 0 for none.
	base int
}

var (
	second      = unit{name: "s", time: true, size: 1}
	millisecond = unit{name: "ms", time: true, size: 1e3}
	microsecond = unit{name: "us", time: true, size: 1e6}
	nanosecond  = unit{name: "ns", time: true, size: 1e9}
	volt        = unit{name: "V", size: 1}
)

// timeUnits and voltUnits are what messages offer.
const timeUnits, voltUnits = "s ms us ns", "V mV uV kV"

func findUnit(name string) (unit, bool) {
	u, ok := units[strings.TrimSuffix(lower(name), ".")]
	return u, ok
}

// lower changes ASCII letters only, so that it leaves the bytes of other
// encodings alone.
func lower(s string) string {
	b := []byte(s)
	for i, c := range b {
		if 'A' <= c && c <= 'Z' {
			b[i] = c + 'a' - 'A'
		}
	}
	return string(b)
}

// splitUnit parts a column's name from the unit in it: "t_us", "t (ms)", "p1 [mV]",
// "p1 in V", "p1/V" and "p1, V" have one.
func splitUnit(name string) (base, unitName string) {
	if base, unitName, ok := strings.Cut(name, "in "); ok && (base == "" || strings.HasSuffix(base, " ")) {
		if _, known := findUnit(unitName); known {
			return strings.TrimSpace(base), unitName
		}
	}
	for _, pair := range []string{"()", "[]"} {
		open := strings.LastIndexByte(name, pair[0])
		if open >= 0 && strings.HasSuffix(name, pair[1:]) {
			return strings.TrimSpace(name[:open]), strings.TrimSpace(name[open+1 : len(name)-1])
		}
	}
	if slash := strings.LastIndexAny(name, "/,"); slash > 0 {
		base, unitName := strings.TrimSpace(name[:slash]), strings.TrimSpace(name[slash+1:])
		// Not a metre per second.
		if u, known := findUnit(unitName); known && (!u.time || timeName.MatchString(lower(base))) {
			return base, unitName
		}
	}
	if low := strings.LastIndexByte(name, '_'); low >= 0 {
		if _, ok := findUnit(name[low+1:]); ok {
			return name[:low], name[low+1:]
		}
	}
	return name, ""
}

// recognise returns the field that a column of this name holds in the recording
// format.
func recognise(name string) (f field, unitName string) {
	base, unitName := splitUnit(name)
	base = lower(base)
	if base == "time" {
		base = "t"
	}
	return fieldKeys[base], unitName
}
