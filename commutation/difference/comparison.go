package difference

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Verdict says what differs between two motors, or a motor before and after.
type Verdict string

// The verdicts. Nothing: of what the recordings determine. Rotor: all phases'
// back-EMF by the same factor, or the magnets among themselves. Winding: the phases
// against one another. Sensors: their places. Leads: which is which. Several: more
// than one of these. Unknown: they cannot be compared, or differ where one of the
// recordings is not to be relied on.
const (
	Nothing Verdict = "nothing"
	Rotor   Verdict = "rotor"
	Winding Verdict = "winding"
	Sensors Verdict = "sensors"
	Leads   Verdict = "leads"
	Several Verdict = "several"
	Unknown Verdict = "unknown"
)

// Comparison holds what two recordings of motors with the same leads tell of
// their difference.
type Comparison struct {
	Verdict Verdict
	Frame   Frame
	// Opposite is true where the second rotor was turned the other way, as far as the
	// leads are the same in both.
	Opposite bool
	// Exchanges are the ways in which leads may have been exchanged, simplest first;
	// the rest of the comparison is then with the first of them undone.
	Exchanges []Exchange
	// TurnedDeg is by how much all sensors moved together if no lead was exchanged, where
	// that explains what exchanges do; else NaN.
	TurnedDeg float64
	// FluxRatio is the second flux linkage over the first, of what the frame is of;
	// NaN where one of them is not known in volts. ByCounts is true where neither is,
	// and the two are compared as if their units were alike.
	FluxRatio spin.Value
	ByCounts  bool
	// PhaseRatio is the second's back-EMF of p1 to p3 over the first's, relative to what
	// the frame is of, and PhaseDeg by how many degrees it lags more.
	PhaseRatio, PhaseDeg [3]spin.Value
	// ByInput is true where what changed of Frame.Lead is the size of its column and
	// of no other: what another probe or divider does, too.
	ByInput bool
	// SensorDeg is by how many electrical degrees the sensors of h1 to h3 moved, without
	// what all share where that is not known.
	SensorDeg [3]spin.Value
	// Shared are the least and the greatest number of degrees by which all sensors may
	// have moved together; NaN where nothing is known of it. What makes the two differ is
	// a hysteresis, with OtherWay, or a delay that a steady speed does not show, with Late.
	// SharedSD is the standard deviation of both.
	Shared         [2]float64
	SharedSD       float64
	OtherWay, Late bool
	// Stopped are the sensors that switch in the first recording only, Started those
	// that do in the second only.
	Stopped, Started [3]bool
	// Pattern is what the magnets do over the turn of the shaft.
	Pattern Pattern
	// Doubted are the recordings of which findings say that more data is needed: a difference
	// may be theirs and not the motor's.
	Doubted [2]bool
	// Sound is how far from sound either is.
	Sound [2]Soundness
	// TorqueRatio is the second's torque per ampere over the first's, each under the
	// six-step table that suits it; NaN where flux, pole pairs or the sensors' places are not
	// known. Its deviation is the flux ratio's.
	TorqueRatio spin.Value
	// Kept is what the second does under the table that suits the first, its leads where the
	// first's were, forward as the first was turned as far as the leads are the same; empty
	// where a fault of a sensor or a phase keeps either from running, or either is doubted.
	Kept commutation.Behaviour
	// Clipped is true where columns of either are cut off: what is left of them gives a flux
	// that may be off by more than its deviation.
	Clipped bool
}

// The differences worth a verdict: smaller ones are in the reach of temperature, of
// which magnets lose a tenth of a per cent per degree, of a front end's
// tolerance, and of how a rotor is held. A difference must also be three of its
// standard deviations.
const (
	fluxWorth   = 0.03
	fluxSmall   = 0.01 // worth a word
	phaseWorth  = 0.03
	angleWorth  = 2.0 // deg
	sensorWorth = 3.0 // deg
	oneWayWorth = 6.0 // deg, where twice what sensors' hysteresis differs by is in it
	sureBy      = 3.0
)

// clippedWorth is fluxWorth where columns are cut off. A half-wave column's clamp shorts the
// lower resistor of its divider: of one by 11 the leads below load the motor by 0.1 more, and
// the one above reads 3.1 % more at its peak, 3.9 % by least squares over its half wave.
const clippedWorth = 0.06

var unknown = spin.Value{Value: math.NaN(), SD: math.NaN()}

// uncompared is what is known before two results are compared.
func uncompared(first, second *spin.Result) Comparison {
	three := [3]spin.Value{unknown, unknown, unknown}
	return Comparison{
		Verdict: Unknown, TurnedDeg: math.NaN(), FluxRatio: unknown, TorqueRatio: unknown,
		PhaseRatio: three, PhaseDeg: three, SensorDeg: three, Shared: [2]float64{math.NaN(), math.NaN()},
		Pattern: Pattern{Change: unknown, Uneven: [2]spin.Value{unknown, unknown}},
		Sound:   [2]Soundness{soundness(first), soundness(second)},
		Doubted: [2]bool{doubted(first), doubted(second)},
		Clipped: clipped(first) || clipped(second),
	}
}

// Of compares two motors, whose pole pairs may be 0 where they are not known. Where
// one of the results does not tell all three phases the verdict is Unknown.
func Of(first, second *spin.Result, pairs [2]int) Comparison {
	c := uncompared(first, second)
	if !comparable(first) || !comparable(second) {
		return c
	}
	turns := shaftsOf(first, second, pairs)
	a, b := viewOf(first), viewOf(second)
	if math.IsNaN(a.volts) && math.IsNaN(b.volts) && !c.Clipped {
		a.volts, b.volts, c.ByCounts = 1, 1, true
	}
	if turns.err == nil {
		turns.take(&a, 0)
		turns.take(&b, 1)
	}
	a, b, undone := c.undo(a, b, turns)
	c.Frame = frame(a, b)
	c.compareFlux(a, b)
	c.comparePhases(a, b)
	c.compareSensors(a, b)
	c.Pattern = turns.compare(a, b, c.Frame, undone)
	if !c.OneWay() { // the hysteresis would be in it
		c.compareTorque(a.volts*c.Sound[0].perfect, b.volts*c.Sound[1].perfect)
	}
	if runs(first) && runs(second) && c.Doubted == [2]bool{} {
		c.Kept = kept(first.Motor, second.Motor, turnedAgainst(viewOf(first), viewOf(second)))
	}
	c.Verdict = c.verdict()
	return c
}

// comparable reports whether a result tells all three phases. Without sensors, or with a phase
// reversed, it is no motor that could be wired, but something to compare.
func comparable(r *spin.Result) bool { return len(r.PhaseOrder) == 3 && strongest(r.EMF) > 0 }

// doubted reports whether a recording is not to be relied on.
func doubted(r *spin.Result) bool {
	return slices.ContainsFunc(r.Findings, func(f commutation.Finding) bool { return Doubts(r, f) })
}

// Doubts reports whether a finding of a recording leaves a comparison with it in doubt: that
// more data is needed, but not of sensors that were left out, nor because the rotor turned as far
// either way, since nobody has to know here which way is forward.
func Doubts(r *spin.Result, f commutation.Finding) bool {
	eitherWay := 2*min(r.TurnsForward, r.TurnsBackward) > max(r.TurnsForward, r.TurnsBackward)
	return f.Severity == commutation.Data && f.Code != "sensor-not-recorded" && !(f.Code == "mixed-direction" && eitherWay)
}

// Compared reports whether the recordings could be compared.
func (c *Comparison) Compared() bool { return c.Frame.By != "" }

// undo turns the second over where it was turned the other way, and undoes an exchange
// of leads, which it returns.
func (c *Comparison) undo(a, b view, turns shafts) (view, view, Exchange) {
	x := as(a, b, Exchange{Phases: straight, Halls: straight})
	if c.Exchanges = exchanges(a, b, turns); len(c.Exchanges) > 0 {
		c.TurnedDeg = plainly(a, b).turnedDeg()
		x = c.Exchanges[0]
	}
	c.Opposite = x.Opposite
	a, b = x.undone(a, b)
	return a, b, x
}

func (c *Comparison) verdict() Verdict {
	switch n := count(c.Rotor(), c.PhasesChanged(), c.SensorsChanged(), len(c.Exchanges) > 0); {
	case n > 0 && c.Doubted != [2]bool{}, n == 0 && c.FluxChanged():
		return Unknown
	case n > 1:
		return Several
	case c.Rotor():
		return Rotor
	case c.PhasesChanged():
		return Winding
	case c.SensorsChanged():
		return Sensors
	case n == 1:
		return Leads
	}
	return Nothing
}

// differs reports whether v is off zero by more than is worth a word and more
// than chance.
func differs(v spin.Value, worth float64) bool {
	return math.Abs(v.Value) > worth && math.Abs(v.Value) > sureBy*v.SD
}

// compareFlux sets the flux ratio.
func (c *Comparison) compareFlux(a, b view) {
	ratio := c.Frame.ratio * b.volts / a.volts // NaN where either is not known
	c.FluxRatio = spin.Value{Value: ratio, SD: ratio * math.Hypot(a.sd/strongest(a.emf), b.sd/strongest(b.emf))}
}

// compareTorque sets the torque ratio of motors whose perfect timing gives so much torque
// per ampere and pole pair. Of as many pole pairs more it is as much more, since the
// back-EMF is per electrical speed.
func (c *Comparison) compareTorque(first, second float64) {
	ratio := c.Sound[1].Torque * second / (c.Sound[0].Torque * first)
	switch p := c.Pattern.Pairs; {
	case !errors.Is(c.Pattern.Err, ErrPairs):
	case c.Pattern.OtherPairs():
		ratio *= float64(p[1]) / float64(p[0])
	default:
		return
	}
	c.TorqueRatio = spin.Value{Value: ratio, SD: ratio * c.FluxRatio.SD / c.FluxRatio.Value}
}

// comparePhases sets the phases' differences.
func (c *Comparison) comparePhases(a, b view) {
	x, y := a.centred(), c.Frame.seen(b).centred() // columns may be against something else
	sd := math.Hypot(a.sd, b.sd/c.Frame.ratio)
	if c.Frame.By == TwoLeads {
		x, y = standing(a, c.Frame.seen(b), c.Frame.Lead)
	}
	for k := range 3 {
		change := y.emf[k] / x.emf[k]
		off := sd / cmplx.Abs(x.emf[k])
		c.PhaseRatio[k] = spin.Value{Value: cmplx.Abs(change), SD: off}
		c.PhaseDeg[k] = spin.Value{Value: -cmplx.Phase(change) * 180 / math.Pi, SD: off / cmplx.Abs(change) * 180 / math.Pi}
	}
	c.ByInput = c.Frame.By == TwoLeads && byInput(a, c.Frame.seen(b), c.Frame.Lead, sd)
}

// standing returns the two against a reference for which the leads but one stand as they
// stood: where the columns float, one phase's change is in all of them. The more
// balanced of the two gives that reference.
func standing(a, b view, lead int) (view, view) {
	if b.unbalance().Value > a.unbalance().Value {
		b, a = standing(b, a, lead)
		return a, b
	}
	i, j := (lead+1)%3, (lead+2)%3
	off := (b.emf[i] - a.emf[i] + b.emf[j] - a.emf[j]) / 2
	for k := range a.emf {
		a.emf[k] += off
	}
	return a, b
}

// byInput reports whether the columns of the other leads are as they were, and that of
// the lead is so but for its size. A phase that changed would, measured without the star
// point, have changed the others' columns as well.
func byInput(a, b view, lead int, sd float64) bool {
	near := max(0.01*strongest(a.emf), sureBy*sd)
	for k := range 3 {
		off := b.emf[k] - a.emf[k]
		if change := b.emf[k] / a.emf[k]; k == lead && real(change) > 0 { // else it is reversed, too
			off = complex(0, imag(change)*cmplx.Abs(a.emf[k]))
		}
		if cmplx.Abs(off) > near {
			return false
		}
	}
	return true
}

// compareSensors sets the sensors' differences.
func (c *Comparison) compareSensors(a, b view) {
	m := common(a, b, c.Frame)
	for k := range 3 {
		p, q := a.hall[k], b.hall[k]
		if p.known && q.known && p.placed != q.placed {
			c.Stopped[k], c.Started[k] = p.placed, q.placed
		}
		c.SensorDeg[k] = m.deg[k]
		if m.open() {
			c.SensorDeg[k].Value = commutation.Signed(m.deg[k].Value - m.shared)
		}
	}
	if m.sensors > 0 && c.Frame.By != AllSensors {
		c.Shared, c.SharedSD = [2]float64{m.shared + m.low, m.shared + m.high}, m.sd
		c.OtherWay, c.Late = m.otherWay, m.late
	}
}
