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
	var places []float64
	for _, s := range a.result.Sensors {
		if s.Placed {
			sum += cmplx.Exp(complex(0, 6*s.place()*math.Pi/180))
			places = append(places, s.place())
		}
	}
	if len(places) == 0 {
		return
	}
	origin := cmplx.Phase(sum) * 180 / math.Pi / 6
	origin += agreed(offGrid(places, origin))
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
	if len(places) < 3 {
		return
	}
	a.result.SpacingDeg = a.spacing(step)
	a.gridDeg = origin
	if i, by := astray(step); by != 0 {
		a.result.Sensors[i].ErrorDeg += 60 * float64(by)
	}
}

// offGrid returns how far places are from the nearest line of the grid, in degrees.
func offGrid(places []float64, origin float64) []float64 {
	off := make([]float64, len(places))
	for i, p := range places {
		off[i] = math.Remainder(p-origin, 60)
	}
	return off
}

// agreed is the mean of three sensors' distances, or of the two that are closest to
// each other, where the third is out of place by itself: it does not move the others'
// places. Otherwise 0.
func agreed(off []float64) float64 {
	if len(off) != 3 {
		return 0
	}
	best, mean, third := math.Inf(1), 0.0, 0.0
	for i := range off {
		p, q := off[(i+1)%3], off[(i+2)%3]
		if d := math.Abs(p - q); d < best {
			best, mean, third = d, (p+q)/2, off[i]
		}
	}
	if math.Abs(third-mean) <= misplacedDeg {
		return (2*mean + third) / 3
	}
	return mean
}

// astray returns the one sensor of three that a step of the grid parts from a set 120
// degrees apart, and by how many steps it is late; 0 where no single one does.
func astray(step [3]int) (sensor, late int) {
	for i := range step {
		p, q := step[(i+1)%3], step[(i+2)%3]
		for _, by := range []int{-1, 1} {
			if apart(p, q) == 2 && apart(step[i]-by, p) == 2 && apart(step[i]-by, q) == 2 {
				return i, by
			}
		}
	}
	return 0, 0
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
