package synth

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Sensor is a Hall sensor and its line. All degrees are electrical.
type Sensor struct {
	// RiseDeg is the machine angle from which the sensor sees the pole that
	// makes it high, for WidthDeg degrees (180 for even poles).
	RiseDeg, WidthDeg float64
	// HysteresisDeg is by how much each edge is late in the direction of
	// rotation.
	HysteresisDeg float64
	// LateUS is by how many microseconds each edge is late at any speed, as with a
	// capacitor at the line.
	LateUS float64
	// Inverted exchanges the levels.
	Inverted bool
	// Stuck lines do not change.
	Stuck Stuck
	// DropRate is the probability that the line loses its level during the
	// passage of a pole, for part of it or the whole. It falls to low, or
	// rises to high where DropHigh is set (a loose wire with a pull-up).
	DropRate float64
	DropHigh bool
	// Bounces is the number of false pulses after each edge, each of them up
	// to BounceUS microseconds long and apart.
	Bounces  int
	BounceUS float64
	// GlitchRate is the mean number of false pulses per second, at any time,
	// each GlitchUS microseconds long.
	GlitchRate, GlitchUS float64
}

// Stuck is the level at which a line stays, if it does.
type Stuck uint8

// The ways in which a line may be stuck.
const (
	NotStuck Stuck = iota
	StuckLow
	StuckHigh
)

// Placed returns the sensors of h1, h2, h3: those at places 0, 1 and 2 rise at
// alignmentDeg, spacingDeg later and twice that later; lead i is the sensor at
// place order[i] and is misplaced by errors[i] degrees. For a motor that is
// timed for six-step drive alignmentDeg is 30 plus a multiple of 60.
func Placed(spacingDeg, alignmentDeg float64, order [3]int, errors [3]float64) [3]Sensor {
	var out [3]Sensor
	for i := range out {
		out[i] = Sensor{
			RiseDeg:  alignmentDeg + float64(order[i])*spacingDeg + errors[i],
			WidthDeg: 180,
		}
	}
	return out
}

// line is a Hall line over time: its first level and the times, in seconds and
// in order, at which it changes.
type line struct {
	first   bool
	toggles []float64
}

// border returns the machine angle in electrical degrees of the j-th border
// between poles as the sensor sees it; it is high from even to odd borders.
func (s Sensor) border(j int, b borders) float64 {
	deg := s.RiseDeg + b.at(j)
	if j&1 == 1 {
		deg += s.WidthDeg - 180
	}
	return deg
}

// follow returns the line of a perfect electronic part: the sensor changes when
// a border has passed it by the hysteresis, whichever way. Without borders, as on
// a rotor whose magnets all show the same pole, it never does.
func (s Sensor) follow(m *motion, g magnets) line {
	b := g.borders
	if len(b.deg) == 0 {
		return line{}
	}
	degrees := 180 / math.Pi * m.polePairs
	deg := m.angle[0] * degrees
	j := len(b.deg) * int(math.Floor((deg-s.RiseDeg)/b.turn))
	for deg < s.border(j, b) {
		j--
	}
	for deg >= s.border(j+1, b) {
		j++
	}
	l := line{first: j&1 == 0}
	lower, upper := s.border(j, b)-s.HysteresisDeg, s.border(j+1, b)+s.HysteresisDeg
	for i, angle := range m.angle {
		deg := angle * degrees
		for deg > upper || deg < lower {
			passed := upper
			if deg > upper {
				j++
			} else {
				passed = lower
				j--
			}
			l.toggles = append(l.toggles, m.crossing(i-1, passed/degrees))
			lower, upper = s.border(j, b)-s.HysteresisDeg, s.border(j+1, b)+s.HysteresisDeg
		}
	}
	return l
}

// spoil applies the faults of the sensor and its wire to a perfect line. Extra
// pulses are pairs of toggles, so that they may fall anywhere.
func (s Sensor) spoil(l line, seconds float64, rng *rand.Rand) line {
	if s.Inverted {
		l.first = !l.first
	}
	if s.Stuck != NotStuck {
		l = line{first: s.Stuck == StuckHigh}
	}
	for i := range l.toggles {
		l.toggles[i] += s.LateUS * 1e-6
	}
	extra := s.drops(l, rng)
	for _, t := range l.toggles {
		for range 2 * s.Bounces {
			t += rng.Float64() * s.BounceUS * 1e-6
			extra = append(extra, t)
		}
	}
	if s.GlitchRate > 0 {
		for t := rng.ExpFloat64() / s.GlitchRate; t < seconds; t += rng.ExpFloat64() / s.GlitchRate {
			extra = append(extra, t, t+s.GlitchUS*1e-6)
		}
	}
	l.toggles = append(l.toggles, extra...)
	slices.Sort(l.toggles)
	return l
}

// drops returns the toggles that take the level away during passages of a pole;
// every third of them lasts the whole passage.
func (s Sensor) drops(l line, rng *rand.Rand) []float64 {
	var out []float64
	high := l.first
	for i := 0; i+1 < len(l.toggles); i++ {
		high = !high
		if high == s.DropHigh || rng.Float64() >= s.DropRate {
			continue
		}
		from, to := l.toggles[i], l.toggles[i+1]
		if rng.IntN(3) > 0 {
			u, v := rng.Float64(), rng.Float64()
			from, to = from+min(u, v)*(to-from), from+max(u, v)*(to-from)
		}
		out = append(out, from, to)
	}
	return out
}
