package spin

import (
	"fmt"
	"math"
	"slices"

	"handspin/commutation"
)

// A capacitor in the phases' way turns their angle against the sensors' by an
// amount that depends on the speed w: one across the input delays them by
// atan(w tau), which grows with w; an instrument's AC coupling advances them by
// atan(1/(w tau)), which grows as w falls. Sensors that are late by a time tau are so by
// the angle w tau. Where the speed of a spin varies, the sensors' angles give it away,
// because nothing inside a motor does that.

// drag is what the sensors' edges tell of such a dependence.
type drag struct {
	// bias is by how many degrees it moves the sensors' angles at the mean
	// speed, sd its standard deviation. Both are 0 where nothing was seen.
	bias, sd float64
	// early is set where the sensors come early of the phases, or the less late, the
	// faster the rotor turns.
	early bool
	// steady is set where the speed varied too little for the edges alone to tell, narrow
	// where it varied by so little that they show two dependences alike: a capacitor
	// that turns the phases by a small phi, and one that turns them by 90 degrees less
	// phi, where its arc tangent is flat; open where it may be such a one.
	// off is by how much the exponent of the back-EMF's growth with the
	// speed differs from 1, offSD its standard deviation, and told whether the
	// recording tells it. Of sensors that are late that says nothing: lateTo is by
	// how many degrees they may be, as far as their edges tell.
	steady, narrow, open, told bool
	off, offSD                 float64
	lateTo                     float64
	// doubtful is by how many degrees all sensors are late, or early where it is negative,
	// if what their edges show is a delay and not chance or the magnets.
	doubtful float64
	// left is the size of that where it is more than chance, was left alone, and is not
	// made up for by the other direction. What is no more than chance is taken for none:
	// most sensors are not late.
	left float64
}

const (
	dragSure   = 6.0  // standard deviations from which a dependence counts
	dragFair   = 3.5  // the same of one that explains dragMost, or exceeds mostLate, or dragLarge where the speed varies
	dragSeen   = 2.0  // standard deviations from which one that does not count is more than chance
	dragShare  = 0.3  // least share of the edges' scatter that it explains
	dragMost   = 0.5  // a share that nothing else has
	dragSmall  = 1.5  // deg; a smaller one is left alone
	dragLarge  = 10.0 // deg; a larger one cannot be corrected by a straight line
	dragPlain  = 15.0 // deg; one so large counts at a steady speed, too, whatever else scatters the edges
	dragSteady = 5.0  // deg; at a steady speed a smaller one may be the magnets'
	steadyCV   = 0.1  // relative scatter of the speed below which it is steady
	narrowCV   = 0.5  // the same below which a curve is hardly different from a straight line
	leastDrag  = 24   // edges
	mostLate   = 30.0 // deg; sensors that may be later could suit other wirings

	growthSD   = 0.15 // of the exponent, from which it is not told
	growthMax  = 1.2  // a capacitor changes the exponent by 1 at most
	growthOff  = 0.3  // of the exponent, from which a capacitor is suspected, or 2 standard deviations
	growthLow  = 0.06 // the same where all sensors are off their places as well, or 1.5 standard deviations
	growthOver = 0.15 // the same where the speed varies and the back-EMF grows too much
	growthFar  = 4.0  // standard deviations from which one is suspected where the speed varies
)

// readDrag looks for the dependence, and takes a small one out of the sensors'
// places where these come from one direction; the mean of two directions is free
// of it, since it changes sign.
func (a *analysis) readDrag() {
	if a.fit == nil {
		return
	}
	growing := a.dependence(func(w float64) float64 { return w })
	falling := a.dependence(func(w float64) float64 { return 1 / w })
	cv := growing.cv
	a.drag.steady = cv < steadyCV
	if growing.edges < leastDrag {
		cv = a.fit.SpeedCV()
		a.drag.steady = a.placedNone() && cv < steadyCV
	}
	a.drag.narrow = !a.drag.steady && cv < narrowCV
	a.drag.open = a.drag.narrow && max(growing.most(), falling.most()) > dragSteady
	if a.drag.steady {
		a.drag.grows(a.fit.Growth())
		a.drag.lateTo = growing.most() // NaN without edges
	}
	if !a.drag.told && (a.drag.steady || a.drag.narrow) {
		a.drag.grows(a.fit.GrowthAcross())
	}
	best, early := growing, growing.bias < 0
	if falling.counts(a.drag.steady) && (falling.share > growing.share || !growing.counts(a.drag.steady)) {
		best, early = falling, falling.bias > 0
	}
	if !best.counts(a.drag.steady) {
		if growing.edges >= leastDrag {
			a.drag.doubtful = growing.bias
			if math.Abs(growing.bias) > dragSeen*growing.sd && !a.drag.steady && a.oneWay() {
				a.drag.left = math.Abs(growing.bias)
			}
		}
		return
	}
	a.drag.bias, a.drag.sd, a.drag.early = best.bias, best.sd, early
	if a.drag.large() {
		return
	}
	for i := range a.result.Sensors {
		s := &a.result.Sensors[i]
		if s.Placed && math.IsNaN(s.HysteresisDeg.Value) {
			s.move(-best.bias, math.Hypot(best.sd, 0.3*best.bias))
		}
	}
	a.placeOnGrid()
}

// oneWay reports whether a sensor was seen in one direction only.
func (a *analysis) oneWay() bool {
	return slices.ContainsFunc(a.result.Sensors[:], func(s Sensor) bool { return s.Placed && math.IsNaN(s.HysteresisDeg.Value) })
}

// grows takes by how much the exponent of the back-EMF's growth is off, and its standard
// deviation.
func (d *drag) grows(off, sd float64) {
	d.off, d.offSD, d.told = off, sd, sd < growthSD && math.Abs(off) < growthMax
}

// large reports whether the dependence cannot be taken out of the places.
func (d drag) large() bool { return math.Abs(d.bias) > dragLarge || d.steady && d.bias != 0 }

// untimed reports whether nothing tells how late the sensors' signals are.
func (d drag) untimed() bool { return d.steady && !(d.lateTo < mostLate) }

// placedNone reports whether no sensor was placed, so that only the back-EMF tells
// the speed.
func (a *analysis) placedNone() bool { return len(a.placed()) == 0 }

// move shifts the sensor's edges by deg, which has the standard deviation sd.
func (s *Sensor) move(deg, sd float64) {
	s.RiseDeg.Value = commutation.Wrap(s.RiseDeg.Value + deg)
	s.FallDeg.Value = commutation.Wrap(s.FallDeg.Value + deg)
	*s = s.uncertain(sd)
}

func (a *analysis) reportDrag() {
	d := a.drag
	cause := "the sensors' signals are late, by a capacitor or a weak pull-up at their lines, or as slowly as they are read"
	hint := "use a pull-up of a few kilohm and no capacitor at the Hall inputs, read them faster, and record again"
	if d.early {
		cause = "a capacitor across the phase inputs delays them, or one in series, as with AC coupling, turns them ahead"
		hint = "set the instrument's inputs to DC, use smaller capacitors or lower resistances at the phase inputs, and record again"
	}
	switch {
	case d.bias != 0 && d.large():
		a.find("phase-filtered", commutation.Data, "", fmt.Sprintf("the angle between phases and sensors depends on the speed, by about %.0f electrical degrees at the mean speed: %s", math.Abs(d.bias), cause), hint)
	case d.narrow && d.told && d.capacitor():
		a.findCapacitor()
	case d.open && !d.told:
		a.find("speed-steady", commutation.Data, "", "the speed varied little, so nothing tells whether a capacitor at the inputs, or their AC coupling, turns the phases against the sensors by a few degrees or by nearly ninety",
			"spin by hand, or let the drill speed up and slow down, and set the instrument's inputs to DC")
	case d.bias != 0:
		a.find("phase-filtered", commutation.Note, "", fmt.Sprintf("the angle between phases and sensors depends on the speed, by %.1f electrical degrees at the mean speed, which was taken out: %s", math.Abs(d.bias), cause), hint)
	case d.steady && a.rec.Merged && !a.placedNone():
		a.sameMoment()
	case d.steady && !d.told:
		a.find("speed-steady", commutation.Data, "", "the speed hardly varied, so nothing tells whether a capacitor at the inputs, or their AC coupling, turns the phases against the sensors",
			"spin by hand, or let the drill speed up and slow down, and set the instrument's inputs to DC")
	case d.steady && d.suspected(a.result.ShiftDeg):
		a.findCapacitor()
	case d.untimed() && !a.placedNone():
		a.find("speed-steady", commutation.Note, "", "the speed hardly varied, so nothing tells whether the sensors' signals are late by a capacitor or a weak pull-up at their lines",
			"if there is one, spin by hand, or let the drill speed up and slow down")
	}
}

func (a *analysis) findCapacitor() {
	a.find("phase-filtered", commutation.Data, "", fmt.Sprintf("the back-EMF does not grow with the speed as it has to, but with its power %.2f: a capacitor at the inputs, or their AC coupling, turns the phases against the sensors", 1+a.drag.off),
		"set the instrument's inputs to DC, use smaller capacitors, and spin by hand so that the speed varies")
}

// capacitor reports whether the back-EMF's growth over a speed that varies shows one. AC
// coupling, with which it grows too much, may go with sensors that are late: what the edges
// show of the two is opposite, and the turns add up.
func (d drag) capacitor() bool {
	return math.Abs(d.off) > max(growthOff, growthFar*d.offSD) || d.off > max(growthOver, growthFar*d.offSD)
}

// suspected reports whether the back-EMF's growth at a steady speed shows a capacitor,
// where all sensors together are off by shift degrees.
func (d drag) suspected(shift float64) bool {
	off := math.Abs(d.off)
	return off > max(growthOff, 2*d.offSD) || off > max(growthLow, 1.5*d.offSD) && math.Abs(shift) > steadyShift
}

// steadyShift is how far all sensors together may be off before a capacitor is
// suspected of it, in electrical degrees. One that changes the exponent by
// growthLow to growthOff turns the phases by 14 to 33 degrees, which no motor's
// own sensors undo. Magnets that differ, on a shaft that turns as often as the
// drill's speed ripples, make up for growthOff by themselves.
const steadyShift = 14.0

// most is the largest dependence that the edges leave open, in degrees at the mean speed.
func (s slope) most() float64 { return math.Abs(s.bias) + 3*s.sd }

// counts reports whether a dependence is one: it explains much of what scatters the
// edges, or it is as large as nothing else could be. At a steady speed magnets that
// differ, on a shaft that turns as often as the speed ripples, look like a small one; and
// its size is that of a straight line through a curve, which a few slow turns may bend
// down.
func (s slope) counts(steady bool) bool {
	bias := math.Abs(s.bias)
	sure, least, plain := bias/s.sd, dragSmall, dragLarge
	if steady {
		least, plain = dragSteady, dragPlain
	}
	switch {
	case s.edges < leastDrag || !(bias > dragSmall):
		return false
	case s.share > dragMost, bias > mostLate, !steady && bias > dragLarge:
		return sure > dragFair
	}
	return sure > dragSure && (bias > plain || s.share > dragShare && bias > least)
}
