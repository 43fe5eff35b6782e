package cores

import (
	"slices"
	"sync/atomic"
	"testing"
)

// Each number is taken once, however many there are for the cores.
func TestEach(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		calls := make([]atomic.Int32, n)
		Each(n, func(k int) { calls[k].Add(1) })
		for k := range calls {
			if c := calls[k].Load(); c != 1 {
				t.Errorf("of %d: %d was taken %d times, want once", n, k, c)
			}
		}
	}
}

// The parts are the whole: each number is in one of them.
func TestParts(t *testing.T) {
	for _, n := range []int{0, 1, leastPart, 3*leastPart + 1} {
		calls := make([]int32, n)
		Parts(n, func(from, to int) {
			for k := from; k < to; k++ {
				atomic.AddInt32(&calls[k], 1)
			}
		})
		if slices.ContainsFunc(calls, func(c int32) bool { return c != 1 }) {
			t.Errorf("%d numbers: not each is in one part", n)
		}
	}
}
