package commutation

import (
	"math"
	"slices"
)

// turn is one electrical turn of a motor, cut where a Hall sensor switches. It
// holds all that judging needs and depends on no wiring: a wiring only chooses,
// sector by sector, which pair of leads is driven and in which sense. Torques
// are relative to the mean of perfect six-step timing.
type turn struct {
	sectors []sector
}

// sector is a stretch of the turn in which the Hall leads show one state.
type sector struct {
	state    State
	widthDeg float64
	// mean is the sector's part of the turn's mean torque, low and high are
	// the torque's extremes in it: by pair of leads, for lead p driven high
	// against lead p+1 (mod 3).
	mean, low, high [3]float64
}

// newTurn returns the turn of motor m. It has no sectors where m has no
// back-EMF between its leads or where a number in it is not finite.
func newTurn(m Motor) turn {
	l := newLines(m.EMF)
	zeros, still := l.landmarks()
	full := l.meanLargest(zeros)
	edges := m.edges()
	if !(full > 0) || math.IsInf(full, 0) || slices.ContainsFunc(edges, math.IsNaN) {
		return turn{}
	}
	var t turn
	for i, from := range edges {
		to := edges[0] + 360
		if i+1 < len(edges) {
			to = edges[i+1]
		}
		if to > from {
			t.sectors = append(t.sectors, newSector(m, l, still, full, from, to))
		}
	}
	return t
}

// edges returns the angles at which sensors switch, in ascending order; where
// none does it returns the one edge 0, at which the turn begins. A sensor that
// rises where it falls has no edge.
func (m Motor) edges() []float64 {
	edges := make([]float64, 0, 6)
	for _, s := range m.Sensors {
		rise, fall := Wrap(s.RiseDeg), Wrap(s.FallDeg)
		if !s.Stuck && rise != fall {
			edges = append(edges, rise, fall)
		}
	}
	if len(edges) == 0 {
		edges = append(edges, 0)
	}
	slices.Sort(edges)
	return edges
}

func newSector(m Motor, l lines, still [3][]point, full, from, to float64) sector {
	s := sector{state: m.state((from + to) / 2), widthDeg: to - from}
	areaFrom, areaTo := l.area(from), l.area(to)
	valueFrom, _ := l.at(from)
	valueTo, _ := l.at(to)
	for p := range 3 {
		low, high := min(valueFrom[p], valueTo[p]), max(valueFrom[p], valueTo[p])
		for _, top := range still[p] {
			if Wrap(top.deg-from) < to-from {
				low, high = min(low, top.value), max(high, top.value)
			}
		}
		s.mean[p] = (areaTo[p] - areaFrom[p]) / (2 * math.Pi * full)
		s.low[p], s.high[p] = low/full, high/full
	}
	return s
}

// state returns what the Hall leads show at angle deg.
func (m Motor) state(deg float64) State {
	var s State
	for _, sensor := range m.Sensors {
		s <<= 1
		if sensor.Level(deg) {
			s |= 1
		}
	}
	return s
}

// seen returns which states last long enough to count, by state.
func (t turn) seen() (seen [8]bool) {
	for _, s := range t.sectors {
		if s.widthDeg > maxGapDeg {
			seen[s.state] = true
		}
	}
	return seen
}

// torque is what six-step drive does to a motor over one turn.
type torque struct {
	// mean over the turn, low and high the extremes where something is
	// driven: positive forward.
	mean, low, high float64
	// gapDeg is the longest stay in a state at which nothing is driven.
	gapDeg float64
}

// drive returns the torque of driving the turn by s.
func (t turn) drive(s steps) torque {
	out := torque{low: math.Inf(1), high: math.Inf(-1)}
	for i := range t.sectors {
		sec := &t.sectors[i]
		switch step := s[sec.state]; {
		case step > 0:
			p := step - 1
			out.mean += sec.mean[p]
			out.low, out.high = min(out.low, sec.low[p]), max(out.high, sec.high[p])
		case step < 0:
			p := -step - 1
			out.mean -= sec.mean[p]
			out.low, out.high = min(out.low, -sec.high[p]), max(out.high, -sec.low[p])
		default:
			out.gapDeg = max(out.gapDeg, sec.widthDeg)
		}
	}
	if out.low > out.high { // nothing is driven anywhere
		out.low, out.high = 0, 0
	}
	return out
}
