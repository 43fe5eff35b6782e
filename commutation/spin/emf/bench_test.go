package emf

import (
	"testing"

	"handspin/capture/synth"
)

// BenchmarkLinearise measures one pass of the fit over its samples, of which a fit
// makes four to eight.
func BenchmarkLinearise(b *testing.B) {
	rec, _ := synth.Random(synth.Ordinary, 1).Record()
	f := FitReading(Readings(rec)[0], ByHand)
	b.ReportAllocs()
	for b.Loop() {
		f.linearise()
	}
	samples := len(f.Signals.Time) * len(f.Signals.Channels)
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(samples), "ns/value")
}
