package winding

import (
	"fmt"
	"math"
	"strings"
)

// MaxSlots is the most slots, MaxPoles the most poles of a [Machine].
const (
	MaxSlots = 999
	MaxPoles = 998
)

// Machine is a balanced pair of a slot count and a pole count. Make it with
// [New]; the zero Machine is of no use.
type Machine struct{ slots, poles int }

// ImpossibleError says why there is no balanced winding.
type ImpossibleError struct {
	Slots, Poles int
	// Reason is a sentence about the numbers, Hint what would do instead.
	Reason, Hint string
}

func (e *ImpossibleError) Error() string {
	return fmt.Sprintf("%d slots and %d poles: %s", e.Slots, e.Poles, e.Reason)
}

// New returns the machine, or an [*ImpossibleError] where three equal phases
// cannot be made of one coil per tooth.
//
// With p pole pairs and t = gcd(Q, p), the Q teeth stand at Q/t places of the
// electrical turn. Three phases 120 degrees apart need as many places each, so
// Q/t must be a multiple of three.
func New(slots, poles int) (Machine, error) {
	fail := func(reason, hint string) (Machine, error) {
		return Machine{}, &ImpossibleError{slots, poles, reason, hint}
	}
	switch {
	case slots < 3 || slots > MaxSlots:
		return fail(fmt.Sprintf("the number of slots must be from 3 to %d", MaxSlots), "count the teeth of the stator")
	case poles < 2 || poles > MaxPoles:
		return fail(fmt.Sprintf("the number of poles must be from 2 to %d", MaxPoles), "count the magnets of the rotor")
	case poles%2 != 0:
		return fail("north and south poles come in pairs, so their number is even", "count the magnets again")
	case slots%3 != 0:
		return fail(fmt.Sprintf("%d teeth cannot be shared by three phases", slots), "count the teeth again")
	}
	m := Machine{slots, poles}
	if m.places()%3 != 0 {
		return fail(fmt.Sprintf("the teeth stand at %d %s of the electrical turn, %d at each, and that is not a multiple of three, so no three equal phases 120 degrees apart can be made",
			m.places(), plural(m.places(), "place", "places"), m.repeats()), m.hint())
	}
	return m, nil
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// hint names the pole counts nearest to the machine's that do suit its slots.
func (m Machine) hint() string {
	var good []string
	for d := 2; len(good) < 2 && d < m.slots; d += 2 {
		for _, poles := range []int{m.poles - d, m.poles + d} {
			if other := (Machine{m.slots, poles}); poles >= 2 && other.places()%3 == 0 {
				good = append(good, fmt.Sprint(poles))
			}
		}
	}
	return fmt.Sprintf("with %d slots, %s poles would do: count the magnets again", m.slots, strings.Join(good, " or "))
}

// Slots returns the number of slots, which is that of the teeth.
func (m Machine) Slots() int { return m.slots }

// Poles returns the number of poles.
func (m Machine) Poles() int { return m.poles }

// PolePairs returns half the number of poles.
func (m Machine) PolePairs() int { return m.poles / 2 }

// SlotsPerPolePhase returns the slots per pole and phase, textbooks' q.
func (m Machine) SlotsPerPolePhase() float64 { return float64(m.slots) / float64(3*m.poles) }

// SpanDeg returns the electrical degrees that a coil spans, one tooth; a full
// pole is 180.
func (m Machine) SpanDeg() float64 { return 360 * float64(m.PolePairs()) / float64(m.slots) }

// CoggingPerTurn returns how many times the cogging repeats in a turn of the
// shaft, the least common multiple of slots and poles.
func (m Machine) CoggingPerTurn() int { return m.slots / gcd(m.slots, m.poles) * m.poles }

// Pulls reports whether the magnets pull the stator sidewards: where slots and
// poles have no common divisor the pattern of forces does not repeat in a turn.
func (m Machine) Pulls() bool { return gcd(m.slots, m.poles) == 1 }

// leastPitch is the pitch factor below which nobody winds coils of one tooth (common
// practice): a span under 74 or over 286 degrees.
const leastPitch = 0.6

// OfTeeth reports whether the machine is one that is wound with coils of one tooth.
// Others have coils over several teeth, whose phasors are not those of this package.
func (m Machine) OfTeeth() bool { return m.Layout().Factor(0, 1).Pitch >= leastPitch }

// ToothDeg returns the electrical angle of a tooth in [0, 360).
func (m Machine) ToothDeg(tooth int) float64 {
	return 360 * float64(tooth*m.PolePairs()%m.slots) / float64(m.slots)
}

// repeats returns how many teeth share one electrical angle.
func (m Machine) repeats() int { return gcd(m.slots, m.PolePairs()) }

// places returns the number of different electrical angles.
func (m Machine) places() int { return m.slots / m.repeats() }

// belt returns the number of different places, up to the sense of the coil, that
// fall into a phase.
func (m Machine) belt() int {
	if z := m.places(); z%2 == 0 {
		return z / 6
	}
	return m.places() / 3
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// polar returns the phasor of the given length and angle in degrees.
func polar(length, deg float64) complex128 {
	s, c := math.Sincos(deg * math.Pi / 180)
	return complex(length*c, length*s)
}
