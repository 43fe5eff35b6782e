package difference

import (
	"math"
	"math/cmplx"

	"handspin/commutation/spin"
)

// Frame is what the angles of the second recording are measured from: a thing that is
// taken to stand as it stood. The angle zero of a recording is at p1, so that what
// happens to p1 alone seems to happen to all that is measured from there.
type Frame struct {
	// By is what stood still.
	By Stood
	// Lead is the one lead that changed where the two others stood still, else -1.
	Lead int
	// angle is by how much the second's angles are larger, rad, and ratio the second's
	// back-EMF over the first's, of what stood still.
	angle, ratio float64
}

// Stood is what a [Frame] is of.
type Stood string

// Phases: the phases among themselves, by the component that rotates with them.
// Two leads: the voltage between them. Sensors: the three together, where more than
// one phase changed; that they stood is then an assumption.
const (
	AllPhases  Stood = "phases"
	TwoLeads   Stood = "two-leads"
	AllSensors Stood = "sensors"
)

// frameOf is the frame in which phasor x of the first is phasor y of the second.
func frameOf(x, y complex128) Frame {
	return Frame{By: AllPhases, Lead: -1, angle: cmplx.Phase(x / y), ratio: cmplx.Abs(y / x)}
}

// rotating is the frame of the rotating components.
func rotating(a, b view) Frame {
	x, _ := a.sequences(a.emf)
	y, _ := b.sequences(b.emf)
	return frameOf(x, y)
}

// without is the frame of the voltage between the two other leads.
func without(a, b view, lead int) Frame {
	i, j := (lead+1)%3, (lead+2)%3
	f := frameOf(a.emf[i]-a.emf[j], b.emf[i]-b.emf[j])
	f.By, f.Lead = TwoLeads, lead
	return f
}

// seen are the second's phasors in the frame, over its ratio.
func (f Frame) seen(b view) view {
	for k := range b.emf {
		b.emf[k] *= cmplx.Rect(1/f.ratio, f.angle)
	}
	return b
}

// scaled is a ratio in volts, 1 where volts of one are not known.
func scaled(a, b view, ratio float64) float64 {
	if s := b.volts / a.volts; s > 0 {
		return ratio * s
	}
	return 1
}

// phasesDiffer reports whether the phases stand otherwise among themselves. A lead's
// part that all share is no part of that.
func phasesDiffer(a, b view) bool {
	x, xn := a.sequences(a.emf)
	y, yn := b.sequences(b.emf)
	// What is against the rotation is a third of one phase's change.
	off := 3 * cmplx.Abs(yn/y-xn/x)
	sd := 3 * math.Hypot(a.sd/cmplx.Abs(x), b.sd/cmplx.Abs(y)) / math.Sqrt(3)
	return differs(spin.Value{Value: off, SD: sd}, phaseWorth)
}

// stoodDeg is how near to their places sensors are that were not touched, in the frame of
// a voltage that stood. A wrong frame is off by a few degrees.
const stoodDeg = 1.0

// frame finds the frame in which the fewest things changed, and of equals the one with
// the least changes. With the phases as they were there is no choice; with one changed,
// the voltage between the two others is as it was, and flux and sensors tell which two
// those are.
func frame(a, b view) Frame {
	f := rotating(a, b)
	if !phasesDiffer(a, b) {
		return f
	}
	fewest, least := 2, math.Inf(1)
	for lead := range 3 {
		g := without(a, b, lead)
		flux := math.Abs(math.Log(scaled(a, b, g.ratio))) / fluxWorth
		m := common(a, b, g)
		turned := math.Abs(m.least()) / max(stoodDeg, sureBy*m.sd)
		if n := count(flux > 1, turned > 1); n < fewest || n == fewest && n < 2 && flux+turned < least {
			f, fewest, least = g, n, flux+turned
		}
	}
	if fewest < 2 {
		return f
	}
	if c := common(a, b, f); c.sensors > 1 && !c.open() {
		f.By, f.angle = AllSensors, f.angle+c.shared*math.Pi/180
	}
	return f
}

// winding is how many phases changed of two views in their frame, 2 for more than one.
func (f Frame) winding(a, b view) int {
	switch {
	case f.By == TwoLeads:
		return 1
	case phasesDiffer(a, b):
		return 2
	}
	return 0
}

// count is how many are true.
func count(all ...bool) (n int) {
	for _, b := range all {
		if b {
			n++
		}
	}
	return n
}
