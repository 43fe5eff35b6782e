package spin

import (
	"testing"

	"handspin/capture/synth"
)

// BenchmarkLinearise measures one pass of the fit over its samples, of which a fit
// makes four to eight.
func BenchmarkLinearise(b *testing.B) {
	rec, _ := synth.Random(synth.Ordinary, 1).Record()
	f := fitPace(readings(rec)[0], byHand)
	b.ReportAllocs()
	for b.Loop() {
		f.linearise()
	}
	samples := len(f.sig.t) * len(f.sig.ch)
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(samples), "ns/value")
}
