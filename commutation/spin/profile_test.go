package spin

import "testing"

// TestArcOverTheTurnsEnd: the high arc is found wherever it lies, also where the level
// is high for part of the time in the low arc, as where a magnet is missing: the sum
// over the low arc is then less than that over one end of the high arc.
func TestArcOverTheTurnsEnd(t *testing.T) {
	for rise := 0; rise < 360; rise += 7 {
		var p profile
		for d := range p.high {
			if (d-rise+360)%360 < 180 {
				p.high[d] = 8
			} else {
				p.high[d], p.low[d] = 2, 6
			}
		}
		if from, to := p.arc(); from != rise || to != (rise+180)%360 {
			t.Errorf("arc from %d to %d, want from %d", from, to, rise)
		}
	}
}
