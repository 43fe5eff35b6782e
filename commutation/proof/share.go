package proof

import (
	"fmt"
	"math"
)

// Share counts how many of all have a property.
type Share struct{ Of, All int }

// Count adds one that has it or not.
func (s *Share) Count(has bool) {
	s.All++
	if has {
		s.Of++
	}
}

// Value is the share itself, NaN of none.
func (s Share) Value() float64 { return float64(s.Of) / float64(s.All) }

// z95 is the standard normal deviate that 95 of 100 do not exceed in magnitude.
const z95 = 1.959964

// Interval returns the share's 95 % score interval: the probabilities p for
// which the observed share is less than z95 of p's own standard deviations away
// (E. B. Wilson, Probable inference, the law of succession, and statistical
// inference, J. Am. Stat. Assoc. 22, 1927). It is (0, 1) of none.
func (s Share) Interval() (low, high float64) {
	if s.All == 0 {
		return 0, 1
	}
	n, p := float64(s.All), s.Value()
	middle := p + z95*z95/(2*n)
	half := z95 * math.Sqrt(p*(1-p)/n+z95*z95/(4*n*n))
	scale := 1 + z95*z95/n
	low, high = (middle-half)/scale, (middle+half)/scale
	if s.Of == 0 { // the formula's own value, without its rounding
		low = 0
	}
	if s.Of == s.All {
		high = 1
	}
	return low, high
}

// String gives the share in per cent with its interval and the counts.
func (s Share) String() string {
	if s.All == 0 {
		return "none"
	}
	low, high := s.Interval()
	return fmt.Sprintf("%.4g %% (%.4g to %.4g), %d of %d", 100*s.Value(), 100*low, 100*high, s.Of, s.All)
}
