package spin

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// orient settles which way is forward.
func (a *analysis) orient(backward bool) {
	if a.rotor == nil {
		return
	}
	with, against, covered := a.rotor.turned()
	a.covered = covered
	unseen, doubt := a.rotor.unseen(with + against)
	a.turnedMore, a.turnedDoubt = with+unseen-against, countingError*(with+against)+countingFloor*a.faintness()+gapDoubt*doubt
	if (a.turnedMore < 0) != backward {
		a.rotor.sense = -1
		with, against = against, with
	}
	a.result.TurnsForward, a.result.TurnsBackward = with, against
	a.result.Speed = speedOf(a.rotor)
}

// faintness is by how much less the turns of a faint back-EMF are known than those of a
// plain one, 1 for that: about standstill, where it is least, noise moves the angle.
func (a *analysis) faintness() float64 {
	const plain = 10.0 // times the noise of a sample, at the usual speed
	if a.fit == nil {
		return 1
	}
	return max(1, plain/a.fit.Clearness())
}

// setZero settles where the angle is zero: at p1's zero crossing, or where p1
// does not give it, at h1's rising edge.
func (a *analysis) setZero() {
	if a.fit == nil {
		a.zeroAtSensor(0)
		return
	}
	w := a.leadWaves(a.fit.Unknowns())
	a.mendScale(w)
	w = a.leadWaves(a.fit.Unknowns())
	if a.referenceLead = onReference(w, a.fit.Signals); a.referenceLead >= 0 {
		centre(&w)
	}
	if zeroAtPhase(w) {
		// The phasor is on the final scale's sense already; its phase is the lead
		// over the zero of the spline's angle.
		a.rotor.zero -= a.rotor.sense * cmplx.Phase(phasor(w[0]))
		return
	}
	a.zeroAtSensor(0)
}

// zeroAtPhase reports whether p1 gives the angle's zero.
func zeroAtPhase(w [3]commutation.Wave) bool {
	return cmplx.Abs(phasor(w[0])) > emf.DeadShare*strongest(w)
}

// zeroAtSensor puts angle zero at a sensor's rising edge.
func (a *analysis) zeroAtSensor(i int) {
	if a.rotor == nil {
		return
	}
	if s := gather(a.rec, a.rotor, i).sensor(false); s.Placed {
		a.rotor.zero += a.rotor.sense * s.RiseDeg.Value * math.Pi / 180
	}
}

// An open lead leaves the two others 120 degrees apart, or opposite where the
// reference floats. Against the third lead itself they are the line voltages to it: 60
// degrees apart and equal in a sound motor, and 30 to 120 with any one phase weak, dead
// or reversed (120 where it is the reference lead's own), with a ratio of 0.58 to 1.73.
const (
	leastApart = 25.0
	mostApart  = 100.0
	mostRatio  = 1.9
)

// onReference returns the lead that served as the reference of the columns, -1
// for none: its own column shows nothing, and the two others are closer together
// than an open lead leaves them.
func onReference(w [3]commutation.Wave, s *emf.Signals) int {
	if s.Floating || !s.All() {
		return -1
	}
	largest := strongest(w)
	for k := range w {
		p, q := phasor(w[(k+1)%3]), phasor(w[(k+2)%3])
		if cmplx.Abs(phasor(w[k])) > emf.DeadShare*largest || q == 0 {
			continue
		}
		size, apart := cmplx.Abs(p/q), math.Abs(cmplx.Phase(p/q))*180/math.Pi
		if max(size, 1/size) < mostRatio && apart > leastApart && apart < mostApart && (s.Clipped || !opposed(w[(k+1)%3], w[(k+2)%3])) {
			return k
		}
	}
	return -1
}
