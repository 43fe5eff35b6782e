package emf

import "testing"

// A damaged clock that jumps by a year makes no more segments than there are samples for,
// and the hum before and after it is in the first and the last of them.
func TestToneAcrossAGap(t *testing.T) {
	const n, year = 2000, 3.2e7
	s := &Signals{Channels: []Channel{{}}}
	var residual []float64
	for i := range n {
		at := 0.002 * float64(i)
		if i >= n/2 {
			at += year
		}
		s.Time = append(s.Time, at)
		residual = append(residual, float64(i%2)) // anything but nothing
	}
	f := &Fit{Signals: s, Residual: [][]float64{residual}}
	o := f.tone(50)
	if got := len(o.segment); got > n/LeastRun {
		t.Fatalf("%d segments of %d samples", got, n)
	}
	used := 0
	for _, a := range o.segment {
		if a[0] != 0 {
			used++
		}
	}
	if used != 2 || o.segment[0][0] == 0 || o.segment[len(o.segment)-1][0] == 0 {
		t.Errorf("%d segments have samples, want the first and the last", used)
	}
}
