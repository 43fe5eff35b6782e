package winding

import (
	"math/cmplx"
	"strings"
)

// Coil is the coil on a tooth.
type Coil struct {
	// Phase is 0, 1, 2 for A, B, C.
	Phase int
	// Sense is +1 or -1, and 0 where the tooth has no coil.
	Sense int
}

// String returns the coil as in "+A"; "0" where there is none.
func (c Coil) String() string {
	if c.Sense == 0 {
		return "0"
	}
	return string("- +"[c.Sense+1]) + PhaseName(c.Phase)
}

// PhaseName returns A, B or C.
func PhaseName(phase int) string { return "ABC"[phase : phase+1] }

// Layout is a machine with a coil on each tooth, all coils of a phase in series.
type Layout struct {
	Machine
	// Coils has one coil per tooth. It is not to be changed.
	Coils []Coil
}

// String lists the coils tooth by tooth: "+A -A +B ...".
func (l Layout) String() string {
	var b strings.Builder
	for i, c := range l.Coils {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(c.String())
	}
	return b.String()
}

// Letters lists the coils as one word with small letters for the sense -1:
// "AaB...".
func (l Layout) Letters() string {
	var b strings.Builder
	for _, c := range l.Coils {
		switch name := PhaseName(c.Phase); c.Sense {
		case 1:
			b.WriteString(name)
		case -1:
			b.WriteString(strings.ToLower(name))
		default:
			b.WriteByte('0')
		}
	}
	return b.String()
}

// Layout returns the machine's winding by the star of slots: tooth 1 is +A, and
// phases A, B, C follow one another while the rotor turns towards higher tooth
// numbers.
func (m Machine) Layout() Layout { return m.star(0, false) }

// sectors are the six parts of the electrical turn, 60 degrees each, and what
// becomes of a tooth in them.
var sectors = [6]Coil{{0, 1}, {2, -1}, {1, 1}, {0, -1}, {2, 1}, {1, -1}}

// star returns the layout with the sectors turned backward by so many of the
// places, of which [Machine.belt] make a sector and 6 belt() a turn; with other
// phases B and C are exchanged.
//
// The electrical turn is divided into 12 belt() units, so that teeth are at even
// units and sectors begin at odd ones: no tooth is on a border.
func (m Machine) star(turn int, other bool) Layout {
	pairs := m.PolePairs() % m.slots
	if 2*pairs > m.slots { // the same coils, seen by a field that passes them the other way
		pairs, other = m.slots-pairs, !other
	}
	n := m.belt()
	l := Layout{m, make([]Coil, m.slots)}
	for k := range l.Coils {
		place := k * pairs % m.slots / m.repeats()
		unit := place*12*n/m.places() + 2*turn + 2*n - 1
		c := sectors[unit/(2*n)%6]
		if other {
			c.Phase = [3]int{0, 2, 1}[c.Phase]
		}
		l.Coils[k] = c
	}
	return l
}

// Count returns the number of coils of each phase.
func (l Layout) Count() [3]int {
	var n [3]int
	for _, c := range l.Coils {
		if c.Sense != 0 {
			n[c.Phase]++
		}
	}
	return n
}

// sums returns each phase's sum of coil phasors of the given harmonic order, in
// units of a coil's.
func (l Layout) sums(order int) [3]complex128 {
	var sum [3]complex128
	for k, c := range l.Coils {
		sum[c.Phase] += polar(float64(c.Sense), l.ToothDeg(k*order%l.slots))
	}
	return sum
}

// EMF returns the fundamental back-EMF of phases A, B, C relative to phase A of
// l as it should be, without faults: a balanced layout held against itself gives
// 1 at 0, 120 and 240 degrees, or at 0, 240, 120.
func (l Layout) EMF(sound Layout) [3]complex128 {
	out, unit := l.sums(1), sound.sums(1)[0]
	for i := range out {
		out[i] /= unit
	}
	return out
}

// AxisDeg returns the electrical angle of phase A's fundamental.
func (l Layout) AxisDeg() float64 { return degrees(l.sums(1)[0]) }

func degrees(z complex128) float64 { return cmplx.Phase(z) * 180 / pi }

// Shaft returns each phase's sum of coil phasors for a field that repeats so many
// times in a turn of the shaft, in units of a coil's: what a phase links of that
// order of an uneven rotor. Order [Machine.PolePairs] is the fundamental.
func (l Layout) Shaft(order int) [3]complex128 {
	var sum [3]complex128
	for k, c := range l.Coils {
		sum[c.Phase] += polar(float64(c.Sense), 360*float64(k*order%l.slots)/float64(l.slots))
	}
	return sum
}
