package spin

import (
	"math"
	"math/rand/v2"
	"slices"

	"handspin/commutation"
)

// sensorSet returns the three sensors, the dead one among them as it should be.
func (a *analysis) sensorSet() (set [3]Sensor, ok bool) {
	dead := -1
	for i, s := range a.result.Sensors {
		if s.Placed && !(s.Agreement < poorAgreement) {
			continue
		}
		if !s.Known || dead >= 0 {
			return set, false
		}
		dead = i
	}
	set = a.result.Sensors
	if dead < 0 {
		return set, true
	}
	p, q := set[(dead+1)%3], set[(dead+2)%3]
	apart := commutation.Signed(q.place() - p.place())
	if math.Abs(math.Abs(apart)-120) > assumedApart {
		return set, false
	}
	a.result.Assumed = leadName("h", dead)
	between := commutation.Wrap(p.place() + apart/2 + 180)
	sd := math.Hypot(p.RiseDeg.SD, q.RiseDeg.SD)
	set[dead] = Sensor{
		RiseDeg: Value{commutation.Wrap(between - 90), sd},
		FallDeg: Value{commutation.Wrap(between + 90), sd},
	}
	return set, true
}

// assumedApart is how far from 120 degrees two sensors may be and still leave
// no doubt where the third belongs, in electrical degrees.
const assumedApart = 25.0

// mostLag is the largest usual hysteresis of a sensor's edge, in electrical
// degrees: common practice.
const mostLag = 6.0

// seat returns the sensors for judging: at their places, or where rng is not
// nil, at places drawn around them. Edges that were seen in one direction only
// are late by a hysteresis that is not known, much alike in all three sensors,
// and as early for a motor that runs the other way; and by up to late degrees that a
// delay makes, if the speed does not tell. The zero's standard deviation moves all edges.
func seat(set [3]Sensor, late, zero float64, rng *rand.Rand) (out [3]commutation.Sensor) {
	lag, shift := 0.0, 0.0
	if rng != nil {
		lag = mostLag*rng.Float64() + late*rng.Float64()
		if zero > 0 {
			shift = zero * rng.NormFloat64()
		}
	}
	for i, s := range set {
		off := func(v Value) float64 {
			if rng == nil {
				return v.Value
			}
			at := v.Value + shift + v.SD*rng.NormFloat64()
			if math.IsNaN(s.HysteresisDeg.Value) {
				at -= lag
			}
			return commutation.Wrap(at)
		}
		out[i] = commutation.Sensor{RiseDeg: off(s.RiseDeg), FallDeg: off(s.FallDeg)}
	}
	return out
}

// stuck reports whether Hall lead i never changed although the rotor passed
// every angle at which its sensor could have.
func (a *analysis) stuck(i int) bool {
	d := a.data[i]
	return d.known && d.changes == 0 && d.turnedEnough()
}

// turnedEnough reports whether the rotor turned so far, and over so much of the
// electrical turn, that any sensor must have changed.
func (d *sensorData) turnedEnough() bool {
	return d.travel > 360*leastTurns && d.profile.covered() >= leastCovered
}

// level returns Hall lead i's level in the last row that tells it.
func (a *analysis) level(i int) (known, high bool) {
	for _, l := range slices.Backward(a.rec.Hall) {
		if high, known := l.Level(i); known {
			return true, high
		}
	}
	return false, false
}
