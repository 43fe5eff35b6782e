package spin

import (
	"maps"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// Half waves against the first lead are no open lead: either the list is right, or where no
// fit explains them the recording is asked for again.
func TestHalfWavesAgainstALead(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		c.FrontEnd.Reference, c.FrontEnd.OffsetCounts = synth.FirstLead, [3]float64{100, 100, 100}
		c.FrontEnd.ClipLow, c.FrontEnd.ClipHigh = 100, 1023
		verdict, list, r, truth := answer(c, commutation.Typical())
		if verdict != commutation.MoreData && verdict != commutation.Ranked || hasFinding(r, "phase-open", "p1") {
			t.Errorf("seed %d: %s %v", seed, verdict, r.Findings)
		}
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(list); verdict == commutation.Ranked && !maps.Equal(got, want) {
			t.Errorf("seed %d: clean wirings %v, want %v", seed, got, want)
		}
	}
}
