package spin

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
)

// Sensors of a three-phase motor sit on a grid of 60 electrical degrees,
// whatever their spacing and polarity. place is the middle of a sensor's high
// arc, opposite to the middle of its low one.
func (s Sensor) place() float64 {
	return commutation.Wrap(s.RiseDeg.Value + 180*s.Duty)
}

// placeOnGrid finds the grid that fits the placed sensors best, each one's
// distance from it, and the spacing.
func (a *analysis) placeOnGrid() {
	var sum complex128
	n := 0
	for _, s := range a.result.Sensors {
		if s.Placed {
			sum += cmplx.Exp(complex(0, 6*s.place()*math.Pi/180))
			n++
		}
	}
	if n == 0 {
		return
	}
	origin := cmplx.Phase(sum) * 180 / math.Pi / 6
	var step [3]int
	for i := range a.result.Sensors {
		s := &a.result.Sensors[i]
		if !s.Placed {
			continue
		}
		x := (s.place() - origin) / 60
		step[i] = int(math.Round(x))
		s.ErrorDeg = 60 * (x - math.Round(x))
	}
	if n == 3 {
		a.result.SpacingDeg = a.spacing(step)
		a.gridDeg = origin
	}
}

// spacing names the set whose sensors are on the given steps of the grid.
func (a *analysis) spacing(step [3]int) float64 {
	d1, d2, d3 := apart(step[0], step[1]), apart(step[1], step[2]), apart(step[2], step[0])
	switch {
	case d1 == 2 && d2 == 2 && d3 == 2:
		return 120
	case d1+d2+d3 == 4 && max(d1, d2, d3) == 2 && min(d1, d2, d3) == 1:
		return 60
	}
	least := 360.0
	for i, s := range a.result.Sensors {
		other := a.result.Sensors[(i+1)%3]
		least = min(least, math.Abs(commutation.Signed(s.place()-other.place())))
	}
	return least
}

// apart is the distance of two steps on the ring of six.
func apart(a, b int) int {
	d := ((a-b)%6 + 6) % 6
	return min(d, 6-d)
}
