package emf

import (
	"math"
	"math/rand/v2"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation/spin/spintest"
)

// steadyWaves are three phases of a drill's spin, of 9.7 turns a second times 17 and
// 13 samples a turn, with flat tops, cut off at the limit.
func steadyWaves(limit float64) *capture.Recording {
	const rate, samples, size = 165.0, 12_000, 400.0
	r := rand.New(rand.NewPCG(3, 4))
	rec := &capture.Recording{Name: "steady"}
	for p := range 3 {
		rec.Columns = append(rec.Columns, capture.Column{Signal: capture.Signal(p)})
	}
	for i := range samples {
		t := float64(i) / (13 * rate)
		turned := 2 * math.Pi * (rate*t + 0.2*math.Sin(2*math.Pi*3*t))
		speed := 1 + 0.2*2*math.Pi*3*math.Cos(2*math.Pi*3*t)/(2*math.Pi*rate)
		rec.Time, rec.Hall, rec.Edge = append(rec.Time, t), append(rec.Hall, capture.UnknownLevels), append(rec.Edge, false)
		for p := range rec.Columns {
			a := turned - 2*math.Pi*float64(p)/3
			v := size*speed*(math.Sin(a)+0.2*math.Sin(3*a)+0.07*math.Sin(5*a)) + 1.5*r.NormFloat64()
			v = math.Round(min(max(v, -limit), limit))
			rec.Columns[p].Value = append(rec.Columns[p].Value, v)
		}
	}
	return rec
}

// Flat tops at a steady speed are piles of samples, but not limits; a converter's end is
// one, and is found where it is.
func TestRails(t *testing.T) {
	s := Columns(steadyWaves(math.Inf(1)))
	if r := s.confirmed(s.findRails()); r.any() {
		t.Errorf("flat tops pass for limits: %v", r)
	}
	// The tops of these waves are at 340: 250 is a quarter off. The converter's step is 1,
	// and the rail may lie two of the widths above the end, which are a few steps.
	const limit = 250
	s = Columns(steadyWaves(limit))
	for c, r := range s.confirmed(s.findRails()) {
		if !(r.bottom >= -limit && r.bottom < -limit+10 && r.top <= limit && r.top > limit-10) {
			t.Errorf("column %d is clipped at %v, want -+%d", c+1, r, limit)
		}
	}
}

// A converter's end cuts the noise of a lead at rest in half: zeros, and as much above
// them. Most of it has to be the rail, or half waves would seem to be anything else: half
// of what is above is within 0.674 standard deviations of the noise.
func TestRailOfHalfWavesWithNoise(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		c := synth.Random(synth.HalfWaves, seed)
		c.FrontEnd.NoiseCounts = 8
		rec, _ := c.Record()
		for k, rail := range Columns(rec).findRails() {
			if !(rail.bottom >= 0.674*8) {
				t.Errorf("seed %d: column %d is clipped at %v, want 5.4 or more", seed, k+1, rail)
			}
		}
	}
}

// The flat tops of a drill's spin are piles, and waves of few harmonics leave more of them
// than a limit does: coil and magnet of 12 slots and 10 poles have many. They grow with
// the speed, which ripples by a hundredth; a limit below them does not.
func TestFlatTopsGrowWithTheSpeed(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		c := spintest.FlatTopped(seed)
		rec, _ := c.Record()
		if r := Columns(rec).confirmed(Columns(rec).findRails()); r.any() {
			t.Errorf("seed %d: flat tops pass for limits: %v", seed, r)
		}
		c.FrontEnd.ClipHigh, c.FrontEnd.ClipLow = 590, 410
		rec, _ = c.Record()
		if r := Columns(rec).confirmed(Columns(rec).findRails()); math.IsNaN(r[0].top) || math.IsNaN(r[1].bottom) {
			t.Errorf("seed %d: limits pass for flat tops: %v", seed, r)
		}
	}
}

// Columns without a value, and with such as hardly differ from nothing, have no rails.
func TestNoRails(t *testing.T) {
	for _, v := range [][]float64{nil, {math.NaN(), math.NaN()}, {5e-324, 0, 5e-324}, {0, 0}} {
		s := &Signals{Channels: []Channel{{Value: v, Noise: noise(v)}}}
		if s.findRails().any() || s.Limited() {
			t.Errorf("%v has rails", v)
		}
	}
}
