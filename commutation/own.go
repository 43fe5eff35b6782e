package commutation

import "math"

// Sine returns the back-EMF amplitude*sin(a-lagDeg).
func Sine(amplitude, lagDeg float64) Wave {
	s, c := math.Sincos(lagDeg * math.Pi / 180)
	return Wave{{N: 1, Sin: amplitude * c, Cos: -amplitude * s}}
}

// OwnTable returns the drive table that turns motor m forward with the most
// torque, its leads p1 p2 p3 at U V W and h1 h2 h3 at HU HV HW: in each state
// the pair of leads with the largest mean torque while the sensors show it. A
// state that lasts no longer than one degree of the turn drives nothing.
func OwnTable(m Motor) DriveTable {
	t := newTurn(m)
	seen := t.seen()
	var sums [8][3]float64
	for _, s := range t.sectors {
		for p, mean := range s.mean {
			sums[s.state][p] += mean
		}
	}
	var out DriveTable
	for s := range State(8) {
		if seen[s] {
			out.drives[s] = strongest(sums[s])
		}
	}
	return out
}

// strongest returns the drive of most torque, given that of each lead p against
// lead p+1 (mod 3).
func strongest(torque [3]float64) Drive {
	p := largest(torque)
	high, low := Terminal(p), Terminal((p+1)%3)
	if torque[p] < 0 {
		high, low = low, high
	}
	return Drive{High: high, Low: low}
}
