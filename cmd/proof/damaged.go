package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"handspin/commutation"
	"handspin/commutation/proof"
)

// harmed is what became of a damaged recording.
type harmed struct {
	seed    uint64
	outcome proof.Outcome
	read    bool
	took    time.Duration
}

// runDamaged damages recordings of so many seeds and returns the exit status. A
// panic ends it, as it should.
func runDamaged(ctx context.Context, o options, stdout, stderr io.Writer) int {
	seeds := make([]uint64, o.n)
	for k := range seeds {
		seeds[k] = o.seed + uint64(k)
	}
	var refused, ranked, wrong, slow proof.Share
	for h := range work(ctx, seeds, o.jobs, damage) {
		refused.Count(!h.read)
		ranked.Count(h.outcome.Verdict == commutation.Ranked)
		took := h.took
		if took > o.longest { // perhaps others had the processor
			took = damage(h.seed).took
		}
		slow.Count(took > o.longest)
		if h.outcome.Verdict == commutation.Ranked {
			wrong.Count(h.outcome.Wrong > 0)
		}
		if h.outcome.Verdict == commutation.Ranked && h.outcome.Wrong > 0 || took > o.longest {
			fmt.Fprintf(stderr, "proof: seed %d took %v, %d wrong, short by %.3f\n", h.seed, took.Round(time.Millisecond), h.outcome.Wrong, h.outcome.Short)
		}
	}
	fmt.Fprintf(stdout, "damaged recordings\nrefused with an error  %s\nranked  %s\nwrong among ranked  %s\ntook over %v  %s\n",
		refused, ranked, wrong, o.longest, slow)
	if wrong.Of > 0 || slow.Of > 0 || ctx.Err() != nil {
		return failed
	}
	return done
}

func damage(seed uint64) harmed {
	begin := time.Now()
	o, read, _ := proof.Damaged(seed)
	return harmed{seed, o, read, time.Since(begin)}
}
