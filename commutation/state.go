package commutation

import "fmt"

// State is three Hall levels in the low three bits, the first of them in bit 2:
// 0b101 is first and third high. Whether the three are leads or controller
// inputs is for the context to say.
type State uint8

// String returns the levels as three digits, the first one first: "101".
func (s State) String() string { return fmt.Sprintf("%03b", uint8(s&7)) }

// Level returns the level of the i-th of the three, i in 0 to 2.
func (s State) Level(i int) bool { return s>>(2-i)&1 == 1 }

// ParseState reads three digits such as "101".
func ParseState(text string) (State, error) {
	if len(text) != 3 {
		return 0, fmt.Errorf("state %s is not three digits", quote(text))
	}
	var s State
	for _, digit := range []byte(text) {
		if digit != '0' && digit != '1' {
			return 0, fmt.Errorf("state %s has other digits than 0 and 1", quote(text))
		}
		s = s<<1 | State(digit-'0')
	}
	return s, nil
}

// quote returns text quoted and cut to a length that fits a message.
func quote(text string) string {
	const most = 24
	if len(text) > most {
		return fmt.Sprintf("%q...", text[:most])
	}
	return fmt.Sprintf("%q", text)
}

// MissingPair returns the one pair of complementary states of which neither is
// seen, by its member that is below 100; seen is indexed by state. It is false
// unless exactly one pair is missing.
//
// Three sensors of half a turn each, at distinct places, pass through six
// states and never through these two: the pair tells how the sensors are spaced
// ([State.SpacingDeg]) and which of them is the middle one ([State.Middle]).
func MissingPair(seen [8]bool) (State, bool) {
	var pair State
	count := 0
	for s := range State(4) {
		if !seen[s] && !seen[s^7] {
			pair = s
			count++
		}
	}
	return pair, count == 1
}

// SpacingDeg returns the electrical spacing of sensors that never show s and its
// complement: 120 if those are 000 and 111, otherwise 60. Common practice.
func (s State) SpacingDeg() float64 {
	if s.Middle() < 0 {
		return 120
	}
	return 60
}

// Middle returns which of three sensors 60 degrees apart, 0 to 2, sits between
// the other two, if they never show s and its complement: the one whose level
// differs from both others in s, because a sensor between two others never
// disagrees with both. It is -1 for 000 and 111, in which all agree.
func (s State) Middle() int {
	for i := range 3 {
		a, b, c := s.Level(i), s.Level((i+1)%3), s.Level((i+2)%3)
		if a != b && a != c {
			return i
		}
	}
	return -1
}
