package winding

import (
	"math"
	"math/cmplx"
	"slices"
)

// Check is what is found about a layout.
type Check struct {
	// EMF is the layout's back-EMF relative to the nearest right one's.
	EMF [3]complex128
	// Balanced is true where the phases have equal back-EMFs 120 degrees
	// apart; Right where they have all that the coils can give, too.
	Balanced, Right bool
	// Nearest is a right layout that differs in the fewest teeth, with coils
	// on the same teeth; Wrong lists the teeth in which it differs. Both are
	// the layout's own where it is Right.
	Nearest Layout
	Wrong   []int
	// Ties counts the other right layouts that differ in as few teeth, in
	// different ways.
	Ties int
}

// exact is the share of the phase back-EMF below which differences are rounding
// errors: sums of at most MaxSlots unit phasors are exact to far less.
const exact = 1e-9

// Check compares the layout with the right ones: those of the star of slots, all
// its turns, both senses and orders of the phases.
func (l Layout) Check() Check {
	c := Check{Nearest: l}
	fewest := len(l.Coils) + 1
	for _, right := range l.right() {
		wrong := l.differs(right)
		switch {
		case len(wrong) < fewest:
			fewest, c.Nearest, c.Wrong, c.Ties = len(wrong), right, wrong, 0
		case len(wrong) == fewest:
			c.Ties++
		}
	}
	c.EMF = l.EMF(c.Nearest)
	c.Balanced = balanced(c.EMF)
	if c.Balanced && cmplx.Abs(c.EMF[0]) > 1-exact {
		c.Right, c.Nearest, c.Wrong, c.Ties = true, l, nil, 0
	}
	return c
}

// right returns all right layouts with coils on the teeth that have one in l; with
// coils on all teeth where that leaves no three phases.
func (l Layout) right() []Layout {
	var all, full []Layout
	seen := map[string]bool{}
	for _, other := range []bool{false, true} {
		for turn := range 6 * l.belt() {
			r := l.star(turn, other)
			if seen[r.Letters()] {
				continue
			}
			seen[r.Letters()] = true
			full = append(full, r)
			if masked := r.only(l); masked.alive() {
				all = append(all, masked)
			}
		}
	}
	if len(all) == 0 {
		return full
	}
	return all
}

// only returns l without coils on the teeth that have none in other.
func (l Layout) only(other Layout) Layout {
	out := Layout{l.Machine, slices.Clone(l.Coils)}
	for k, c := range other.Coils {
		if c.Sense == 0 {
			out.Coils[k] = Coil{}
		}
	}
	return out
}

// alive reports whether each phase has some back-EMF.
func (l Layout) alive() bool {
	for _, sum := range l.sums(1) {
		if cmplx.Abs(sum) < exact {
			return false
		}
	}
	return true
}

// differs lists the teeth with different coils.
func (l Layout) differs(other Layout) []int {
	var teeth []int
	for k, c := range l.Coils {
		if c != other.Coils[k] {
			teeth = append(teeth, k)
		}
	}
	return teeth
}

// balanced reports whether three phasors are equal in length, not zero, and 120
// degrees apart in either order: two of their symmetrical components are zero.
func balanced(e [3]complex128) bool {
	zero, positive, negative := sequences(e)
	a, b := cmplx.Abs(positive), cmplx.Abs(negative)
	return cmplx.Abs(zero) < exact && math.Min(a, b) < exact && math.Max(a, b) > exact
}

// sequences returns the symmetrical components of three phasors (Fortescue
// 1918): what they have in common, what follows as 0, 120, 240 degrees and what
// follows as 0, 240, 120.
func sequences(e [3]complex128) (zero, positive, negative complex128) {
	a := polar(1, 120)
	zero = (e[0] + e[1] + e[2]) / 3
	positive = (e[0] + e[1]*a*a + e[2]*a) / 3
	negative = (e[0] + e[1]*a + e[2]*a*a) / 3
	return zero, positive, negative
}
