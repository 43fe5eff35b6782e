package emf

import (
	"math"
	"testing"

	"handspin/capture"
)

// Any two differences, and all three, give leads whose sum is nothing; a single one gives
// each of its two half.
func TestDifferencesOf(t *testing.T) {
	leads := [3]float64{0.7, -0.9, 0.2}
	for _, signals := range [][]capture.Signal{
		{capture.P12, capture.P23, capture.P31}, {capture.P31, capture.P12, capture.P23},
		{capture.P12, capture.P23}, {capture.P31, capture.P12}, {capture.P23, capture.P31}, {capture.P23},
	} {
		rec := &capture.Recording{}
		var values []float64
		for _, s := range signals {
			k := int(s - capture.P12)
			rec.Columns = append(rec.Columns, capture.Column{Signal: s})
			values = append(values, leads[k]-leads[(k+1)%3])
		}
		want := leads
		if len(signals) == 1 {
			want = [3]float64{0, values[0] / 2, -values[0] / 2}
		}
		for k, shares := range differencesOf(rec) {
			got := 0.0
			for c, v := range values {
				got += shares[c] * v
			}
			if math.Abs(got-want[k]) > 1e-15 { // rounding
				t.Errorf("%v: p%d is %g, want %g", signals, k+1, got, want[k])
			}
		}
	}
}
