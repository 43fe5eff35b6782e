// Package cores spreads work over the processor's cores.
package cores

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls do with 0 to n-1, on all cores and in no order, and returns when all
// calls have.
func Each(n int, do func(k int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for k := range n {
			do(k)
		}
		return
	}
	var next atomic.Int64
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for k := int(next.Add(1)) - 1; k < n; k = int(next.Add(1)) - 1 {
				do(k)
			}
		})
	}
	all.Wait()
}

// leastPart is the length from which a range is worth a core of its own.
const leastPart = 1 << 16

// Parts calls do for ranges [from, to) that together are the first n whole numbers,
// side by side where they are many, and returns when all calls have.
func Parts(n int, do func(from, to int)) {
	parts := max(1, min(runtime.GOMAXPROCS(0), n/leastPart))
	Each(parts, func(k int) { do(k*n/parts, (k+1)*n/parts) })
}
