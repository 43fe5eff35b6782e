package spin

import (
	"maps"
	"math"
	"slices"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// pickUp adds to a recording's columns a tone of the mains, not alike in them: half, all
// and one and a half of so many counts, by up to 0.8 rad apart.
func pickUp(rec *capture.Recording, hz, counts float64) {
	for c := range rec.Columns {
		for i, t := range rec.Time {
			phase := 2*math.Pi*hz*(t+rec.Columns[c].Skew) + 0.4*float64(c)
			rec.Columns[c].Value[i] = math.Round(rec.Columns[c].Value[i] + counts*0.5*float64(c+1)*math.Sin(phase))
		}
	}
}

// Hum that is not alike in the columns, of up to half of the back-EMF, is taken out: the
// list is ranked and right, and the phases are where they are. Half a degree is a quarter
// of what is asked of a circuit's recording. The board's clock may be off by 1 %.
func TestUnequalHum(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		for _, hz := range []float64{50, 50.45, 59.5} {
			c := synth.Random(synth.Ordinary, seed)
			c.FrontEnd.Reference, c.FrontEnd.GainError = synth.Neutral, [3]float64{}
			rec, truth := c.Record()
			peak := c.Motor.Flux * 2 * math.Pi * truth.SpeedAt(c.Spin.Seconds/4) / c.FrontEnd.VoltsPerCount
			pickUp(rec, hz, 0.3*math.Abs(peak))
			verdict, list, r := judged(rec, commutation.Typical())
			want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
			if got := spintest.Clean(list); verdict != commutation.Ranked || !maps.Equal(got, want) || !hasFinding(r, "phase-hum", "") {
				t.Errorf("seed %d, %g Hz: %s %v, want ranked %v; %v", seed, hz, verdict, got, want, r.Findings)
				continue
			}
			for i, p := range r.Phases {
				if off := commutation.Signed(p.AngleDeg.Value - truth.Phases[i].AngleDeg); math.Abs(off) > 0.5 {
					t.Errorf("seed %d, %g Hz: p%d is off by %.2f degrees", seed, hz, i+1, off)
				}
			}
		}
	}
}

// What magnets that differ do at a drill's steady speed is no hum, though 3 times the shaft's
// turns are as often as the mains: with 12 slots and 10 poles a weak magnet shows there
// and at other odd orders. The drill's speed ripples by a thousandth.
func TestShaftAtTheMainsIsNoHum(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		c := spintest.FlatTopped(seed)
		c.Spin, c.Motor.Flux = synth.Drilled(6, 250.0/3), c.Motor.Flux*12/(250.0/3)
		c.Spin.Drill.Ripple = 0.001
		c.Motor.Machine.Magnets = slices.Repeat([]synth.Magnet{{Strength: 1}}, 10)
		c.Motor.Machine.Magnets[0].Strength = 0.5
		rec, _ := c.Record()
		if r := Analyse(rec, Options{}); hasFinding(r, "phase-hum", "") {
			t.Errorf("seed %d: %v", seed, r.Findings)
		}
	}
}
