package spin

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// sideBySide calls do with 0 to n-1, on all cores and in no order.
func sideBySide(n int, do func(k int)) {
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
