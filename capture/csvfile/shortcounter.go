package csvfile

import (
	"math"
	"slices"
)

// shortRange is the range of a counter of 16 bits, which boards of 8 bits have as a
// timer: of microseconds it wraps after 65.5 ms.
const shortRange = 1 << 16

// fewWraps is how many wraps show that a clock is such a counter.
const fewWraps = 3

// unwrapShort takes the wraps out of times that a counter of 16 bits gave. Each fall
// must be one: in line with the other steps once the range is added.
func (r *reader) unwrapShort() {
	clock := r.rec.Time
	if slices.Contains(r.rec.Edge, true) {
		return
	}
	step, _ := middleStep(clock)
	falls := 0
	for i, v := range clock {
		if v < 0 || v >= shortRange || v != math.Trunc(v) {
			return
		}
		if i > 0 && v < clock[i-1] {
			falls++
			if v+shortRange-clock[i-1] > alikeRows*step {
				return
			}
		}
	}
	if falls < fewWraps {
		return
	}
	base, last := 0.0, clock[0]
	for i, v := range clock {
		if v < last {
			base += shortRange
		}
		last = v
		clock[i] = v + base
	}
	r.note("the time is that of a counter of 16 bits, which wrapped %s", times(falls))
}
