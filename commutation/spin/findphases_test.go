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

// A phase reversed and another weak make fundamentals like those of a motor with a weak
// phase and the other order; the third harmonics, a tenth here, tell them apart where
// the star point is the reference. Against a lead, the columns of a reversed phase beside
// an open lead are like the voltages of a sound motor but for that.
func TestThirdHarmonicShowsAReversedPhase(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		for _, f := range []struct {
			name string
			do   func(c *synth.Config)
			code string
		}{
			{"reversed beside weak", func(c *synth.Config) { c.Motor.Gain = [3]float64{0.3, 1, -1} }, "phase-spacing"},
			{"weak and reversed", func(c *synth.Config) { c.Motor.Gain = [3]float64{1, -0.5, 1} }, "phase-spacing"},
			{"reversed beside open", func(c *synth.Config) { c.Motor.Gain, c.Motor.Open[1] = [3]float64{-1, 1, 1}, true }, "phase-open"},
			{"weak", func(c *synth.Config) { c.Motor.Gain = [3]float64{0.3, 1, 1} }, ""},
			{"weak against the mean", func(c *synth.Config) {
				c.Motor.Gain, c.FrontEnd.Reference = [3]float64{0.6, 1, 1}, synth.VirtualStar
			}, ""},
			{"weak against a lead", func(c *synth.Config) {
				c.Motor.Gain, c.FrontEnd.Reference = [3]float64{0.8, 0.9, 1}, synth.FirstLead
			}, ""},
		} {
			c := synth.Random(synth.Ordinary, seed)
			c.FrontEnd.Reference = synth.Neutral
			c.Motor.Harmonics = map[int]float64{3: 0.1, 5: 0.05}
			f.do(&c)
			rec, _ := c.Record()
			got := ""
			for _, x := range Analyse(rec, Options{}).Findings {
				if x.Severity == commutation.Repair {
					got = x.Code
				}
			}
			if got != f.code {
				t.Errorf("seed %d, %s: repair %q, want %q", seed, f.name, got, f.code)
			}
		}
	}
}

// Against the star point a reversed phase lies between the two others, however weak any of
// them is and without third harmonics: by the gains put in.
func TestAngleShowsAReversedPhase(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		for kind, gains := range map[synth.Kind][][3]float64{
			synth.Ordinary: {{-1, 1, 1}, {-1, 0.6, 1}, {-1, 1, 0.3}, {-0.5, 1, 1}},
			synth.Clipped:  {{-1, 1, 1}, {-1, 0.6, 1}},
		} {
			for _, gain := range gains {
				c := synth.Random(kind, seed)
				c.Motor.Gain, c.FrontEnd.Reference = gain, synth.Neutral
				c.Motor.Harmonics = map[int]float64{5: 0.05}
				rec, _ := c.Record()
				if r := Analyse(rec, Options{}); !hasFinding(r, "phase-spacing", "p1") {
					t.Errorf("seed %d, %v, gains %v: %v", seed, kind, gain, r.Findings)
				}
			}
		}
	}
}
