package commutation

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkRank judges a motor of three harmonics by 64 draws, once where a
// wiring is clean and once where all inversions have to be tried.
func BenchmarkRank(b *testing.B) {
	for _, c := range []struct {
		name string
		m    Motor
	}{{"plain", motor120()}, {"inverted", motor60()}} {
		b.Run(c.name, func(b *testing.B) {
			for i := range 3 {
				c.m.EMF[i] = append(c.m.EMF[i], tone(5, 0.05, 600*float64(i)), tone(7, 0.03, 840*float64(i)))
			}
			random := rand.New(rand.NewPCG(1, 2))
			draws := make([]Motor, 64)
			for i := range draws {
				draws[i] = c.m
				for k := range 3 {
					draws[i].Sensors[k] = half(c.m.Sensors[k].RiseDeg + random.NormFloat64())
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				Rank(c.m, draws, Typical())
			}
		})
	}
}
