package spin

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"handspin/commutation/spin/emf"
)

// Borders are the places, over a turn of the shaft, at which a sensor's level
// changes: one for each passage from a magnet to the next. Border 0 is the first
// rise after the shaft's zero, and rises are even.
type Borders struct {
	// PlaceDeg is where the first border belongs, in electrical degrees from the
	// shaft's zero; NaN where the sensor has no place.
	PlaceDeg float64
	// OffDeg is by how many electrical degrees each is late of where even
	// magnets would have it; NaN where none was seen.
	OffDeg []Value
	// Seen and Expected count how often each was, and should have been, passed.
	Seen, Expected []int
	// Changed counts how often the level changed nearest to it, in either sense and
	// however far: between magnets that are exchanged it rises where it should fall.
	Changed []int
}

// Missing returns the borders at which the level does not change although they are passed:
// between magnets that show the same pole there is none. Over a turn the level comes back,
// so that changes are absent in pairs: where these borders are odd in number, one has the
// change that belongs to another.
func (b Borders) Missing() []int {
	var out []int
	for k, n := range b.Expected {
		if n > 0 && 3*b.Changed[k] < n {
			out = append(out, k)
		}
	}
	return out
}

// Displaced returns the borders at which the level changes, but far from their places: so
// it does beside a magnet that is missing while its neighbours are not quite one pole.
func (b Borders) Displaced() []int {
	var out []int
	for k, n := range b.Expected {
		if n > 0 && 3*b.Seen[k] < n && 3*b.Changed[k] >= n {
			out = append(out, k)
		}
	}
	return out
}

// Late returns by how much the pole between border k and the next is late as a whole:
// the mean of its two borders. A border is midway between two magnets, so that a
// magnet out of place takes half of its shift to both.
func (b Borders) Late(k int) Value {
	from, to := b.OffDeg[k], b.OffDeg[(k+1)%len(b.OffDeg)]
	return Value{(from.Value + to.Value) / 2, math.Hypot(from.SD, to.SD) / 2}
}

// PlaceScatter is the usual deviation of magnets from their places in electrical
// degrees, as the sensors see it: a border is the mean of two neighbours. One magnet
// far out does not count. NaN where no sensor tells.
func (s *Shaft) PlaceScatter() float64 {
	var off []float64
	for _, b := range s.Borders {
		for _, v := range b.OffDeg {
			if !math.IsNaN(v.Value) {
				off = append(off, math.Abs(v.Value))
			}
		}
	}
	if len(off) < 2*s.PolePairs {
		return math.NaN()
	}
	return math.Sqrt2 * 1.4826 * emf.Median(off)
}

// borders collects the edges of sensor i over the turn of the shaft. Turning
// backward shifts all edges alike, by the hysteresis, which is taken out.
func (a *analysis) borders(i, pairs int, run shaftRun) Borders {
	n := 2 * pairs
	b := Borders{PlaceDeg: math.NaN(), OffDeg: make([]Value, n), Seen: make([]int, n), Expected: make([]int, n), Changed: make([]int, n)}
	s := a.result.Sensors[i]
	if !s.Placed {
		return b
	}
	b.PlaceDeg = s.RiseDeg.Value
	off := make([][]float64, n)
	for _, e := range a.passages(i, run) {
		at := ((e.border % n) + n) % n
		off[at] = append(off[at], e.late+s.lag(e.forward))
	}
	for _, e := range a.data[i].edges {
		if turn := e.deg / 360; turn >= run.from && turn <= run.to {
			b.Changed[b.nearest(s, e.deg-360*run.origin)]++
		}
	}
	for k := range off {
		b.Seen[k] = len(off[k])
		b.OffDeg[k] = meanOf(off[k], s.Scatter)
		b.Expected[k] = run.passes(b.borderDeg(s, k)/360+run.origin, pairs)
	}
	return b
}

// passage is an edge of a sensor as the passage of a border, counted from the run's
// origin, and by how many electrical degrees it is late of its place.
type passage struct {
	border  int
	late    float64
	forward bool
}

// passages returns the edges of sensor i within a run.
func (a *analysis) passages(i int, run shaftRun) []passage {
	s := a.result.Sensors[i]
	if !s.Placed {
		return nil
	}
	var out []passage
	for _, e := range a.data[i].edges {
		late, border := s.borderOf(e)
		if turn := e.deg / 360; turn < run.from || turn > run.to || math.Abs(late) > nearDeg {
			continue
		}
		border -= 2 * int(run.origin)
		out = append(out, passage{border, late, e.forward})
	}
	return out
}

// borderDeg is where border k belongs, in electrical degrees from the shaft's zero.
func (b Borders) borderDeg(s Sensor, k int) float64 {
	deg := s.RiseDeg.Value + 360*float64(k/2)
	if k%2 == 1 {
		deg += s.highDeg()
	}
	return deg
}

// nearest is the border whose place an angle from the shaft's zero is nearest to.
func (b Borders) nearest(s Sensor, deg float64) int {
	past := deg - s.RiseDeg.Value
	turn := math.Floor(past / 360)
	past -= 360 * turn
	border := 2 * int(turn)
	switch high := s.highDeg(); {
	case past > (high+360)/2:
		border += 2
	case past > high/2:
		border++
	}
	n := len(b.OffDeg)
	return ((border % n) + n) % n
}

// inPlace reports whether nearly all edges of a sensor are at its places, as they are
// where magnets are missing so that its level is wrong for whole poles.
func (d *sensorData) inPlace(s Sensor) bool {
	const share = 0.9
	return s.Placed && len(d.edges) > 3 && float64(s.Edges) > share*float64(len(d.edges))
}

// lag is what an edge's hysteresis adds to its angle on top of the place, to be
// added back: nothing where the places are of one direction.
func (s Sensor) lag(forward bool) float64 {
	h := s.HysteresisDeg.Value
	switch {
	case math.IsNaN(h):
		return 0
	case forward:
		return -h
	}
	return h
}

// passes counts how often a run that goes from its least angle to its greatest
// passes a place of the shaft, in electrical turns, with a margin for its ends.
func (r shaftRun) passes(turn float64, pairs int) int {
	const margin = 0.1
	n := 0
	step := float64(pairs)
	for at := turn + step*math.Ceil((r.from+margin-turn)/step); at < r.to-margin; at += step {
		n++
	}
	return n
}

// meanOf is the mean of x with its standard deviation, from the sample's own
// scatter where it is large enough to tell one, at least a timing error's.
func meanOf(x []float64, scatter float64) Value {
	if len(x) == 0 {
		return unknown
	}
	const floor = 0.2 // deg: the angle's own error
	m := stat.Mean(x, nil)
	square := 0.0
	for _, v := range x {
		square += (v - m) * (v - m)
	}
	one := max(scatter, floor)
	if len(x) > 2 {
		one = max(math.Sqrt(square/float64(len(x)-1)), floor)
	}
	if math.IsNaN(one) {
		one = coarseDeg
	}
	return Value{m, one / math.Sqrt(float64(len(x)))}
}
