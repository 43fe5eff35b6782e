package spin

import (
	"fmt"
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

// BenchmarkLength shows that the cost grows with the recording's length, at 20
// thousand, 200 thousand and 2 million rows.
func BenchmarkLength(b *testing.B) {
	for _, seconds := range []float64{6, 60, 600} {
		b.Run(fmt.Sprintf("%.0fs", seconds), func(b *testing.B) {
			c := synth.Random(synth.Ordinary, 3)
			c.Spin = synth.Pushes(seconds, int(seconds/1.5), 12)
			c.Spin.Friction = 12
			rec, _ := c.Record()
			b.ReportAllocs()
			for b.Loop() {
				Analyse(rec, Options{})
			}
			b.ReportMetric(float64(rec.Rows()), "rows")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(rec.Rows()), "ns/row")
		})
	}
}
