package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// edge is one change of a Hall lead's level.
type edge struct {
	deg     float64 // electrical, unwrapped
	rate    float64 // deg/s
	t       float64 // s
	sd      float64 // deg
	rising  bool    // in the sense of the angle, not of time
	forward bool    // the rotor turned forward
}

// sensorData is what a recording holds of one Hall lead.
type sensorData struct {
	profile  profile
	edges    []edge
	glitches int       // pulses too short to be a pole passing
	pulses   []float64 // when they began, s
	known    bool
	travel   float64 // degrees turned while the level was known
	changes  int     // of level, all of them
}

// The limits below which a run of one level is not a magnet pole passing: the
// rotor turned less than pulseDeg in it. Such a run is a glitch or a bounce if
// it was shorter than pulseTime as well; a longer one is a rotor that stopped
// and turned back just behind an edge.
const (
	pulseDeg  = 8.0
	pulseTime = 0.003 // s
)

// gather collects the data of Hall lead i.
func gather(rec *capture.Recording, r rotor, lead int) *sensorData {
	d := &sensorData{}
	for _, runs := range runsOf(rec, lead, emf.GapLimit(rec)) {
		d.known = true
		d.changes += len(runs) - 1
		for i := range runs {
			d.measure(&runs[i], rec, r)
		}
		d.takeEdges(runs, r)
	}
	return d
}

// measure fills in the run's angles and adds it to the profile, in steps short
// enough to follow a rotor that turns back within the run.
func (d *sensorData) measure(run *levelRun, rec *capture.Recording, r rotor) {
	const step, most = 0.002, 1e5 // s; a rotor at rest may rest for hours
	n := int(min(math.Ceil((run.end-run.start)/step), most))
	n = max(n, 1)
	run.leastDeg, run.mostDeg = math.Inf(1), math.Inf(-1)
	previous, seen := 0.0, false
	for k := range n + 1 {
		t := run.start + (run.end-run.start)*float64(k)/float64(n)
		deg, _, ok := r.angleAt(t)
		if !ok {
			seen = false
			continue
		}
		if seen {
			d.profile.add(previous, deg, run.high)
			d.travel += math.Abs(deg - previous)
		}
		run.leastDeg, run.mostDeg = min(run.leastDeg, deg), max(run.mostDeg, deg)
		previous, seen = deg, true
	}
}

// long reports whether a magnet pole may have passed in the run.
func (run *levelRun) long() bool { return run.mostDeg-run.leastDeg >= pulseDeg }

// takeEdges turns the changes between long runs into edges. What lies between
// two long runs is bounce or a glitch; where they differ, the edge is the first
// change after the earlier one, since a contact or a comparator bounces after
// its edge.
func (d *sensorData) takeEdges(runs []levelRun, r rotor) {
	before := -1
	for i := range runs {
		if !runs[i].long() {
			continue
		}
		if before >= 0 {
			d.countGlitches(runs[before+1 : i])
			if runs[before].high != runs[i].high {
				d.takeEdge(&runs[before+1], r)
			}
		}
		before = i
	}
}

func (d *sensorData) countGlitches(short []levelRun) {
	brief := 0
	for _, run := range short {
		if run.end-run.start < pulseTime {
			if brief%2 == 0 {
				d.pulses = append(d.pulses, run.start)
			}
			brief++
		}
	}
	d.glitches += (brief + 1) / 2
}

func (d *sensorData) takeEdge(run *levelRun, r rotor) {
	deg, rate, ok := r.angleAt(run.start)
	if !ok || rate == 0 {
		return
	}
	forward := rate > 0
	d.edges = append(d.edges, edge{
		deg:     deg,
		rate:    rate,
		t:       run.start,
		sd:      math.Abs(rate) * run.doubt / math.Sqrt(3), // uniform over +-doubt
		rising:  run.high == forward,
		forward: forward,
	})
}

// unknown is a value that the recording does not tell.
var unknown = Value{math.NaN(), math.NaN()}

// sensor evaluates the data. Where both is set, places are means of the two
// directions, which takes the sensor's hysteresis out; it must be the same for
// all three, or they would seem to be shifted against one another.
func (d *sensorData) sensor(both bool) Sensor {
	s := Sensor{Known: d.known, RiseDeg: unknown, FallDeg: unknown, HysteresisDeg: unknown,
		ErrorDeg: math.NaN(), Glitches: d.glitches, Duty: math.NaN(), Agreement: math.NaN(), Scatter: math.NaN()}
	if !d.known {
		return s
	}
	rise, fall := d.profile.arc()
	s.Agreement = d.profile.agreement(rise, fall, nearEdge)
	at := d.spots(rise, fall)
	s.Scatter = at.scatter()
	s.Edges = at.rise[forward].n + at.rise[backward].n + at.fall[forward].n + at.fall[backward].n
	var hr, hf Value
	s.RiseDeg, hr = combine(at.rise, both)
	s.FallDeg, hf = combine(at.fall, both)
	s.HysteresisDeg = meanValue(hr, hf)
	s.Placed = !math.IsNaN(s.RiseDeg.Value) && !math.IsNaN(s.FallDeg.Value)
	if s.Placed {
		s.Duty = commutation.Wrap(s.FallDeg.Value-s.RiseDeg.Value) / 360
	}
	if h := math.Abs(s.HysteresisDeg.Value); s.Placed && h < nearDeg { // about the middle of both directions' edges
		s.Agreement = d.profile.agreement(degree(s.RiseDeg), degree(s.FallDeg), max(nearEdge, int(h)+nearHysteresis))
	}
	return s
}

// degree is the whole degree of a place.
func degree(v Value) int { return int(math.Round(v.Value)) % 360 }

// bothWays reports whether the sensor's edges were all seen in both directions,
// or never: a sensor without edges does not count.
func (d *sensorData) bothWays() bool {
	at := d.spots(d.profile.arc())
	return len(d.edges) == 0 || at.bothWays()
}

// meanValue is the mean of two independent values, or the one that is known.
func meanValue(a, b Value) Value {
	switch {
	case math.IsNaN(a.Value):
		return b
	case math.IsNaN(b.Value):
		return a
	}
	return Value{(a.Value + b.Value) / 2, math.Hypot(a.SD, b.SD) / 2}
}
