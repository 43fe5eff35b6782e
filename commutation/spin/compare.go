package spin

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
)

// Change says what differs between two motors, or a motor before and after.
type Change string

// The changes. Rotor: all phases' back-EMF by the same factor. Winding: the
// phases against one another. Sensors: their places. Several: more than one.
const (
	NothingChanged Change = "nothing"
	RotorChanged   Change = "rotor"
	WindingChanged Change = "winding"
	SensorsChanged Change = "sensors"
	SeveralChanged Change = "several"
	CannotCompare  Change = "unknown"
)

// Comparison holds what two recordings of motors with the same leads tell of
// their difference.
type Comparison struct {
	Verdict Change
	// FluxRatio is the second flux linkage over the first, the mean of the
	// phases; NaN where one of them is not known in volts.
	FluxRatio Value
	// Phases are the second's back-EMF of p1 to p3 over the first's, relative
	// to the mean of the three, and the difference of their angles in degrees.
	PhaseRatio, PhaseDeg [3]Value
	// SensorDeg is by how many electrical degrees the sensors of h1 to h3 moved
	// against the phases.
	SensorDeg [3]Value
	// Stopped are the sensors that switch in the first recording only, Started those
	// that do in the second only.
	Stopped, Started [3]bool
	// Uneven is how uneven the magnets of the first and of the second are, as
	// [Shaft.Unevenness]; NaN where a whole turn of the shaft is not known.
	Uneven [2]Value
}

// The differences worth a word: smaller ones are in the reach of temperature, of
// which magnets lose a tenth of a per cent per degree, of a front end's
// tolerance, and of how a rotor is held. A difference must also be three of its
// standard deviations.
const (
	fluxWorth   = 0.03
	phaseWorth  = 0.03
	angleWorth  = 2.0 // deg
	sensorWorth = 3.0 // deg
	unevenWorth = 0.02
	sureBy      = 3.0
)

// Compare compares two results. opposite says that the second rotor was spun the
// other way: sensors seen in one direction only then differ by twice their
// hysteresis, so that only what they moved against one another counts. Where one
// of the results is no whole motor the verdict is CannotCompare.
func Compare(a, b *Result, opposite bool) Comparison {
	c := Comparison{Verdict: CannotCompare, FluxRatio: unknown, Uneven: [2]Value{unknown, unknown}}
	for k := range 3 {
		c.PhaseRatio[k], c.PhaseDeg[k], c.SensorDeg[k] = unknown, unknown, unknown
	}
	if !a.Usable || !b.Usable {
		return c
	}
	rotor := c.compareFlux(a, b)
	rotor = c.compareMagnets(a, b) || rotor
	winding := c.comparePhases(a, b)
	sensors := c.compareSensors(a, b, opposite)
	c.Verdict = verdictOf(rotor, winding, sensors)
	return c
}

func verdictOf(rotor, winding, sensors bool) Change {
	switch {
	case rotor && !winding && !sensors:
		return RotorChanged
	case winding && !sensors:
		return WindingChanged // a changed phase changes the mean as well
	case sensors && !rotor && !winding:
		return SensorsChanged
	case !rotor && !winding && !sensors:
		return NothingChanged
	}
	return SeveralChanged
}

// differs reports whether v is off zero by more than is worth a word and more
// than chance.
func differs(v Value, worth float64) bool {
	return math.Abs(v.Value) > worth && math.Abs(v.Value) > sureBy*v.SD
}

// size is the mean of the three fundamentals' amplitudes, from the motor's
// differences so that a floating reference does not matter.
func size(r *Result) float64 {
	sum := 0.0
	for k := range 3 {
		sum += cmplx.Abs(phasor(r.Motor.EMF[k])-phasor(r.Motor.EMF[(k+1)%3])) / math.Sqrt(3)
	}
	return sum / 3
}

// compareFlux sets the flux ratio.
func (c *Comparison) compareFlux(a, b *Result) bool {
	fa, fb := a.FluxLinkage, b.FluxLinkage
	if math.IsNaN(fa.Value) || math.IsNaN(fb.Value) || fa.Value == 0 {
		return false
	}
	// FluxLinkage is the strongest phase's; the motors' own units give the mean.
	scaleA, scaleB := fa.Value/strongest(a.Motor.EMF), fb.Value/strongest(b.Motor.EMF)
	ratio := size(b) * scaleB / (size(a) * scaleA)
	sd := ratio * math.Hypot(fa.SD/fa.Value, fb.SD/fb.Value)
	c.FluxRatio = Value{ratio, sd}
	return c.FluxChanged()
}

// compareMagnets sets how uneven the rotors are.
func (c *Comparison) compareMagnets(a, b *Result) bool {
	c.Uneven = [2]Value{a.unevenness(), b.unevenness()}
	return c.MagnetsChanged()
}

// FluxChanged reports whether the flux differs by more than is worth a word.
func (c *Comparison) FluxChanged() bool {
	return differs(Value{c.FluxRatio.Value - 1, c.FluxRatio.SD}, fluxWorth)
}

// MagnetsChanged reports whether the magnets differ from one another more in one of
// the recordings, by more than is worth a word.
func (c *Comparison) MagnetsChanged() bool {
	sd := math.Hypot(c.Uneven[0].SD, c.Uneven[1].SD)
	return differs(Value{c.Uneven[1].Value - c.Uneven[0].Value, sd}, unevenWorth)
}

// unevenness is that of the rotor whose pole pairs the recording or its turns tell.
func (r *Result) unevenness() Value {
	a := r.only()
	if a == nil {
		return unknown
	}
	pairs := a.rec.PolePairs
	if pairs == 0 {
		pairs, _ = r.FindPolePairs()
	}
	s, err := r.Shaft(pairs)
	if err != nil {
		return unknown
	}
	return s.Unevenness()
}

// comparePhases sets the phases' differences.
func (c *Comparison) comparePhases(a, b *Result) bool {
	changed := false
	mean := 0.0
	for k := range 3 {
		mean += b.Phases[k].Amplitude.Value / a.Phases[k].Amplitude.Value / 3
	}
	for k := range 3 {
		pa, pb := a.Phases[k], b.Phases[k]
		ratio := pb.Amplitude.Value / pa.Amplitude.Value / mean
		sd := ratio * math.Hypot(pa.Amplitude.SD/pa.Amplitude.Value, pb.Amplitude.SD/pb.Amplitude.Value)
		c.PhaseRatio[k] = Value{ratio, sd}
		off := commutation.Signed(pb.AngleDeg.Value - pa.AngleDeg.Value)
		c.PhaseDeg[k] = Value{off, math.Hypot(pa.AngleDeg.SD, pb.AngleDeg.SD)}
		changed = changed || differs(Value{ratio - 1, sd}, phaseWorth) || differs(c.PhaseDeg[k], angleWorth)
	}
	return changed
}

// compareSensors sets the sensors' differences: the mean of rise and fall, less
// the mean of the sensors where that may be hysteresis.
func (c *Comparison) compareSensors(a, b *Result, opposite bool) bool {
	common, count := 0.0, 0.0
	for k := range 3 {
		sa, sb := a.Sensors[k], b.Sensors[k]
		if !sa.Placed || !sb.Placed {
			recorded := sa.Known && sb.Known
			c.Stopped[k], c.Started[k] = recorded && sa.Placed, recorded && sb.Placed
			continue
		}
		c.SensorDeg[k] = sensorMoved(sa, sb)
		common += c.SensorDeg[k].Value
		count++
		opposite = opposite && (math.IsNaN(sa.HysteresisDeg.Value) || math.IsNaN(sb.HysteresisDeg.Value))
	}
	changed := c.Stopped != c.Started
	for k := range 3 {
		switch {
		case opposite && count < 2:
			c.SensorDeg[k] = unknown
		case opposite:
			c.SensorDeg[k].Value -= common / count
		}
		changed = changed || differs(c.SensorDeg[k], sensorWorth)
	}
	return changed
}

// sensorMoved is by how much the middle of a sensor's rise and fall moved.
func sensorMoved(a, b Sensor) Value {
	rise, fall := b.RiseDeg.Value-a.RiseDeg.Value, b.FallDeg.Value-a.FallDeg.Value
	off := commutation.Signed(rise + commutation.Signed(fall-rise)/2) // about half a turn either sign may come
	return Value{off, math.Hypot(math.Hypot(a.RiseDeg.SD, a.FallDeg.SD), math.Hypot(b.RiseDeg.SD, b.FallDeg.SD)) / 2}
}

// Exchanged returns the two Hall leads whose sensors moved as they do where these leads
// are exchanged, of sensors 120 degrees apart; ok is false where none did.
func (c *Comparison) Exchanged() (i, j int, ok bool) {
	const near = 15.0 // deg, what sensors may be off their places
	common := 0.0
	for k := range 3 {
		common += c.SensorDeg[k].Value / 3
	}
	for k := range 3 {
		i, j = (k+1)%3, (k+2)%3
		one, other := c.SensorDeg[i].Value-common, c.SensorDeg[j].Value-common
		if math.Abs(math.Abs(one)-120) < near && math.Abs(one+other) < near && math.Abs(c.SensorDeg[k].Value-common) < near {
			return min(i, j), max(i, j), true
		}
	}
	return 0, 0, false
}
