package spin

import (
	"maps"
	"math/rand/v2"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// burst puts samples of a recording's columns off by up to several times the back-EMF,
// three in a row, ten times a second, as far as a converter of ten bits reaches.
func burst(rec *capture.Recording, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 9))
	for c := range rec.Columns {
		left := 0
		for i, v := range rec.Columns[c].Value {
			if left == 0 && rng.Float64() < 10.0/3200 { // samples a second
				left = 3
			}
			if left > 0 && !rec.Edge[i] {
				rec.Columns[c].Value[i] = min(max(0, v+1500*(2*rng.Float64()-1)), 1023)
				left--
			}
		}
	}
}

// Sparks of several samples, one in a hundred, are not taken for single ones, but neither do
// they keep a list from being ranked.
func TestBursts(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		rec, truth := synth.Random(synth.Ordinary, seed).Record()
		burst(rec, seed)
		verdict, list, r := judged(rec, commutation.Typical())
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(list); verdict != commutation.Ranked || !maps.Equal(got, want) {
			t.Errorf("seed %d: %s %v, want ranked %v; %v", seed, verdict, got, want, r.Findings)
		}
	}
}
