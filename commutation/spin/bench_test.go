package spin

import (
	"testing"

	"handspin/capture/synth"
)

// BenchmarkAnalyse measures the estimate from a 6 s recording of the board.
func BenchmarkAnalyse(b *testing.B) {
	for k := synth.Kind(0); k < synth.Kinds; k++ {
		b.Run(k.String(), func(b *testing.B) {
			rec, _ := synth.Random(k, 1).Record()
			b.ReportAllocs()
			for b.Loop() {
				Analyse(rec, Options{})
			}
			b.ReportMetric(float64(rec.Rows()), "rows")
		})
	}
}
