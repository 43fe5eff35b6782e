package difference

import (
	"cmp"
	"math"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// MostLateDeg is the largest usual hysteresis of a sensor's edge, in electrical degrees, and
// MostLateUS the largest usual delay of its signal, in microseconds: 10 kilohm to the supply
// with 47 nF at the line. Both are common practice.
const (
	MostLateDeg = 6.0
	MostLateUS  = 500.0
)

// moves are by how many degrees the sensors moved, and what of it is not known: turned
// the other way a sensor's edges come late on the other side, all three alike.
type moves struct {
	deg [3]spin.Value // as measured in the frame
	// The shift that all share is known up to what a hysteresis and a delay do, which add
	// from low to high degrees; otherWay and late say which of the two do.
	low, high      float64
	otherWay, late bool
	sensors        int     // that have a place in both
	sd             float64 // of the shift: that of the least sure of them, and of what all share
	shared         float64
}

// common returns the sensors' moves in a frame, the shift that they share among them:
// that of most of them.
func common(a, b view, f Frame) moves {
	m := moves{}
	hysteresis, delay := 0.0, 0.0
	for k := range 3 {
		m.deg[k] = unknown
		p, q := a.hall[k], b.hall[k]
		if !p.placed || !q.placed {
			continue
		}
		off, h, d := p.to(q)
		hysteresis, delay = cmp.Or(h, hysteresis), cmp.Or(d, delay) // alike of all, where they are known
		m.deg[k] = spin.Value{Value: commutation.Signed(off - f.angle*180/math.Pi), SD: math.Hypot(p.deg.SD, q.deg.SD)}
		m.sensors, m.sd = m.sensors+1, max(m.sd, m.deg[k].SD)
	}
	m.sd = math.Hypot(m.sd, math.Hypot(a.zeroSD, b.zeroSD))
	if m.late = math.Abs(delay) > stoodDeg; !m.late {
		delay = 0
	}
	m.otherWay = hysteresis != 0
	m.low, m.high = min(0, -hysteresis)+min(0, -delay), max(0, -hysteresis)+max(0, -delay)
	if m.shared = m.most(); m.sensors == 1 && m.open() {
		m.deg = [3]spin.Value{unknown, unknown, unknown}
	}
	return m
}

// to is by how many degrees q lies behind p, and what a hysteresis that is not known and a
// delay add to that.
func (p place) to(q place) (deg, hysteresis, delay float64) {
	late := q.way - p.way // by how many times a hysteresis q is later
	known, within := hysteresisOf(p, q)
	deg, delay = q.deg.Value-p.deg.Value, q.delay()-p.delay()
	switch {
	case late == 0:
	case math.IsNaN(known):
		hysteresis = late * MostLateDeg
	default:
		deg, delay = deg-late*known, delay-late*within
	}
	return deg, hysteresis, delay
}

// delay is by how many degrees the usual one makes a sensor late.
func (p place) delay() float64 {
	if !p.steady {
		return 0
	}
	return p.way * p.usual
}

// hysteresisOf is that of a sensor, of whichever recording knows it, and how much of it a delay
// may be, where that is worth a verdict; NaN where neither does.
func hysteresisOf(p, q place) (deg, delay float64) {
	if math.IsNaN(p.late.Value) {
		p = q
	}
	deg = p.late.Value
	if delay = min(p.usual, deg); delay > sensorWorth {
		return deg, delay
	}
	return deg, 0
}

// open reports whether the shift that all share is not known.
func (m moves) open() bool { return m.low != m.high || m.sensors == 0 }

// least is the smallest shift of all of them that the recordings allow.
func (m moves) least() float64 {
	return nearest(m.shared+m.low, m.shared+m.high)
}

// nearest is the number from low to high that is nearest to zero.
func nearest(low, high float64) float64 { return min(max(0, low), high) }

// most is the shift that leaves the most sensors in their places: the mean of the two
// that differ least and of what is near them; none where that tells nothing, or where
// one sensor stood and the other moved.
func (m moves) most() float64 {
	best, at := math.Inf(1), 0.0
	for i := range 3 {
		for j := range i {
			off := commutation.Signed(m.deg[i].Value - m.deg[j].Value)
			if math.Abs(off) < best {
				best, at = math.Abs(off), commutation.Signed(m.deg[j].Value+off/2)
			}
		}
	}
	if !m.open() && (best >= sensorWorth || m.sensors < 2) {
		return 0
	}
	if m.near(at) == 3 {
		off := 0.0
		for _, v := range m.deg {
			off += commutation.Signed(v.Value-at) / 3
		}
		at = commutation.Signed(at + off)
	}
	return at
}

// near counts the sensors that moved by about so much.
func (m moves) near(shift float64) (n int) {
	for _, v := range m.deg {
		if math.Abs(commutation.Signed(v.Value-shift)) < sensorWorth {
			n++
		}
	}
	return n
}
