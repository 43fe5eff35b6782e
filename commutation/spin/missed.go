package spin

import (
	"math"
	"slices"

	"handspin/commutation"
)

// timed is an edge at a sensor's place, as the passage of a border that is counted
// along the angle.
type timed struct {
	t       float64
	border  int
	forward bool
}

// irregular returns when the sensor's level should have changed and did not, and when
// it changed out of place or for too short a time, in seconds and in order.
func (d *sensorData) irregular(s Sensor, r rotor) (missed, extra []float64) {
	extra = slices.Clone(d.pulses)
	if !s.Placed {
		slices.Sort(extra)
		return nil, extra
	}
	var seen []timed
	for _, e := range d.edges {
		late, border := s.borderOf(e)
		if math.Abs(late) > nearDeg {
			extra = append(extra, e.t)
			continue
		}
		seen = append(seen, timed{e.t, border, e.forward})
	}
	for i := 1; i < len(seen); i++ {
		missed = append(missed, s.between(seen[i-1], seen[i], r)...)
	}
	slices.Sort(extra)
	return missed, extra
}

// borderOf returns the border, even ones rises, that an edge is nearest to, and by how
// many electrical degrees it is late of it.
func (s Sensor) borderOf(e edge) (late float64, border int) {
	place := s.RiseDeg.Value
	if !e.rising { // a fall is the border after the rise
		place, border = place+s.highDeg(), 1
	}
	late = commutation.Signed(e.deg - place)
	return late, border + 2*int(math.Round((e.deg-late-place)/360))
}

// highDeg is how far the level stays high, in electrical degrees.
func (s Sensor) highDeg() float64 { return commutation.Wrap(s.FallDeg.Value - s.RiseDeg.Value) }

// between returns when the rotor passed the borders between two edges, none where it
// turned back or where its angle is not known all the way.
func (s Sensor) between(from, to timed, r rotor) []float64 {
	step := 1
	if !from.forward {
		step = -1
	}
	if from.forward != to.forward || (to.border-from.border)*step < 2 {
		return nil
	}
	var out []float64
	for k := from.border + step; k != to.border; k += step {
		turn, odd := math.Floor(float64(k)/2), k&1 == 1
		deg := s.RiseDeg.Value + 360*turn
		if odd {
			deg += s.highDeg()
		}
		t, ok := crossing(r, from.t, to.t, deg, from.forward)
		if !ok {
			return nil
		}
		out = append(out, t)
	}
	return out
}

// crossing returns when the angle passes deg between two times, by bisection; false
// where the angle is not known there.
func crossing(r rotor, from, to, deg float64, forward bool) (t float64, ok bool) {
	const steps = 30 // to a nanosecond of a second
	for range steps {
		t = (from + to) / 2
		at, _, known := r.angleAt(t)
		if !known {
			return 0, false
		}
		if (at < deg) == forward {
			from = t
		} else {
			to = t
		}
	}
	return t, true
}
