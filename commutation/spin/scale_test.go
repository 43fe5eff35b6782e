package spin

import (
	"maps"
	"math"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// differencesOf returns the recording with differences in place of the leads, the
// first of them at a scale of its own.
func differencesOf(rec *capture.Recording, scale float64, signals ...capture.Signal) *capture.Recording {
	out := *rec
	out.Columns = nil
	for i, signal := range signals {
		k := int(signal - capture.P12)
		a, b := rec.Columns[k].Value, rec.Columns[(k+1)%3].Value
		c := capture.Column{Signal: signal, Value: make([]float64, len(a))}
		for row := range a {
			c.Value[row] = a[row] - b[row]
			if i == 0 {
				c.Value[row] *= scale
			}
		}
		out.Columns = append(out.Columns, c)
	}
	return &out
}

// A probe at a tenth or ten times the others' scale is seen in differences too, and
// the list is that of the recording as it was.
func TestScaledDifference(t *testing.T) {
	for _, c := range []struct {
		scale   float64
		signals []capture.Signal
		volts   bool // of three it is known which one is off
	}{
		{0.1, []capture.Signal{capture.P12, capture.P23}, false},
		{10, []capture.Signal{capture.P31, capture.P12}, false},
		{0.1, []capture.Signal{capture.P23, capture.P12, capture.P31}, true},
	} {
		config := synth.Random(synth.Ordinary, 3)
		config.FrontEnd.SkewUS = [3]float64{}
		rec, truth := config.Record()
		r := Analyse(differencesOf(rec, c.scale, c.signals...), Options{})
		if !saysScale(r, c.signals[0].String()) && !saysScale(r, c.signals[1].String()) {
			t.Errorf("%v at %g: %v", c.signals, c.scale, r.Findings)
		}
		if volts := !math.IsNaN(r.FluxLinkage.Value); volts != c.volts {
			t.Errorf("%v at %g: volts known %v", c.signals, c.scale, volts)
		}
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(commutation.Rank(r.Motor, r.Draws, commutation.Typical())); !r.Usable || !maps.Equal(got, want) {
			t.Errorf("%v at %g: usable %v, %v, want %v", c.signals, c.scale, r.Usable, got, want)
		}
	}
}

// Differences that are right stay as they are, one phase reversed or open among
// them: such line voltages are not 120 degrees apart.
func TestScaledDifferenceClaimsNothing(t *testing.T) {
	for _, factor := range []float64{1, -1, 0, 0.1} {
		config := synth.Random(synth.Ordinary, 3)
		config.FrontEnd.SkewUS = [3]float64{}
		rec, _ := config.Record()
		for i := range rec.Columns[1].Value {
			rec.Columns[1].Value[i] *= factor
		}
		r := Analyse(differencesOf(rec, 1, capture.P12, capture.P23), Options{})
		if saysScale(r, "p12") || saysScale(r, "p23") {
			t.Errorf("p2 times %g: %v", factor, r.Findings)
		}
	}
}

func saysScale(r *Result, name string) bool {
	for _, f := range r.Findings {
		if f.Code == "phase-scale" && strings.Contains(f.Text, name+" was recorded at") {
			return true
		}
	}
	return false
}

// In a set of recordings one may have been made with another setting of the probe.
func TestScaledRecording(t *testing.T) {
	recs, truth := fourSpins(2)
	for i := range recs[3].Columns[0].Value {
		recs[3].Columns[0].Value[i] *= 0.1
	}
	r, verdict, ranking := rankAll(t, recs)
	want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
	if got := spintest.Clean(ranking); verdict != commutation.Ranked || !maps.Equal(got, want) || !saysScale(r, "p23") || !math.IsNaN(r.FluxLinkage.Value) {
		t.Errorf("%s %v, want ranked %v\n%v", verdict, got, want, r.Findings)
	}
}
