package spin

import (
	"fmt"
	"math"

	"handspin/commutation"
)

// A capacitor in the phases' way turns their angle against the sensors' by an
// amount that depends on the speed w: one across the input delays them by
// atan(w tau), which grows with w; an instrument's AC coupling advances them by
// atan(1/(w tau)), which grows as w falls. Where the speed of a spin varies, the
// sensors' angles give it away, because nothing inside a motor does that.

// drag is what the sensors' edges tell of such a dependence.
type drag struct {
	// bias is by how many degrees it moves the sensors' angles at the mean
	// speed, sd its standard deviation. Both are 0 where nothing was seen.
	bias, sd float64
	coupling bool // it grows as the speed falls
	// steady is set where the speed varied too little for the edges to tell.
	// off is then by how much the exponent of the back-EMF's growth with the
	// speed differs from 1, offSD its standard deviation, and told whether the
	// recording tells it.
	steady, told bool
	off, offSD   float64
}

const (
	dragSure  = 6.0  // standard deviations from which a dependence counts
	dragShare = 0.3  // least share of the edges' scatter that it explains
	dragSmall = 1.5  // deg; a smaller one is left alone
	dragLarge = 10.0 // deg; a larger one cannot be corrected by a straight line
	steadyCV  = 0.1  // relative scatter of the speed below which it is steady
	leastDrag = 24   // edges

	growthSD  = 0.15 // of the exponent, from which it is not told
	growthMax = 1.2  // a capacitor changes the exponent by 1 at most
	growthOff = 0.3  // of the exponent, from which a capacitor is suspected, or 2 standard deviations
	growthLow = 0.06 // the same where all sensors are off their places as well, or 1.5 standard deviations
)

// readDrag looks for the dependence, and takes a small one out of the sensors'
// places where these come from one direction; the mean of two directions is free
// of it, since it changes sign.
func (a *analysis) readDrag() {
	if a.fit == nil {
		return
	}
	delay := a.dependence(func(w float64) float64 { return w })
	couple := a.dependence(func(w float64) float64 { return 1 / w })
	best := delay
	if couple.share > delay.share {
		best = couple
	}
	if a.drag.steady = best.cv < steadyCV; best.edges < leastDrag {
		a.drag.steady = a.placedNone() && a.fit.speedCV() < steadyCV
	}
	if a.drag.steady {
		off, sd := a.fit.growth()
		a.drag.off, a.drag.offSD, a.drag.told = off, sd, sd < growthSD && math.Abs(off) < growthMax
	}
	if best.edges < leastDrag || a.drag.steady || best.share < dragShare || math.Abs(best.bias) < max(dragSure*best.sd, dragSmall) {
		return
	}
	a.drag.bias, a.drag.sd, a.drag.coupling = best.bias, best.sd, best == couple
	if math.Abs(best.bias) > dragLarge {
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

// placedNone reports whether no sensor was placed, so that only the back-EMF tells
// the speed.
func (a *analysis) placedNone() bool { return len(a.placed()) == 0 }

// speedCV returns the relative scatter of the fitted speed.
func (f *fit) speedCV() float64 {
	var n, sum, squares float64
	for _, st := range f.sig.stretches {
		for i := st.lo; i < st.hi; i++ {
			_, w := f.angle.at(f.angle.locate(f.sig.t[i]))
			n, sum, squares = n+1, sum+math.Abs(w), squares+w*w
		}
	}
	return math.Sqrt(math.Max(squares*n-sum*sum, 0)) / sum
}

// move shifts the sensor's edges by deg, which has the standard deviation sd.
func (s *Sensor) move(deg, sd float64) {
	s.RiseDeg.Value = commutation.Wrap(s.RiseDeg.Value + deg)
	s.FallDeg.Value = commutation.Wrap(s.FallDeg.Value + deg)
	*s = s.uncertain(sd)
}

// slope is the regression of the edges' angles on a function of the speed.
type slope struct {
	edges    int
	bias, sd float64 // at the function's mean, deg
	share    float64 // of the scatter explained
	cv       float64 // relative scatter of the speed
}

// dependence regresses on f(w) all edges near their places together. Each place
// and direction has a mean of its own, so that only what varies with the speed
// is left. Edges of the lesser direction are left out.
func (a *analysis) dependence(f func(w float64) float64) slope {
	var xx, xd, dd, meanX, meanW, meanWW float64
	n, groups := 0, 0
	for i, data := range a.data {
		s := a.result.Sensors[i]
		if !s.Placed || s.Agreement < poorAgreement {
			continue
		}
		for _, rising := range []bool{true, false} {
			place := s.FallDeg.Value
			if rising {
				place = s.RiseDeg.Value
			}
			var x, d []float64
			for _, e := range data.edges {
				off := commutation.Signed(e.deg - place)
				if e.rising != rising || e.forward != (a.result.TurnsForward >= a.result.TurnsBackward) || math.Abs(off) > nearDeg {
					continue
				}
				x, d = append(x, f(e.rate/360)), append(d, off)
				meanW += math.Abs(e.rate)
				meanWW += e.rate * e.rate
			}
			if len(x) < 3 {
				continue
			}
			mx, md := mean(x), mean(d)
			for k := range x {
				xx += (x[k] - mx) * (x[k] - mx)
				xd += (x[k] - mx) * (d[k] - md)
				dd += (d[k] - md) * (d[k] - md)
				meanX += x[k]
			}
			n, groups = n+len(x), groups+1
		}
	}
	if n < leastDrag || xx == 0 || dd == 0 {
		return slope{edges: n}
	}
	k := xd / xx
	left := math.Max(dd-k*xd, 0)
	at := meanX / float64(n)
	meanW /= float64(n)
	return slope{
		edges: n,
		bias:  k * at,
		sd:    math.Abs(at) * math.Sqrt(left/float64(n-groups-1)/xx),
		share: 1 - left/dd,
		cv:    math.Sqrt(math.Max(meanWW/float64(n)-meanW*meanW, 0)) / meanW,
	}
}

func (a *analysis) reportDrag() {
	d := a.drag
	cause, hint := "a capacitor at the phase inputs delays them, or the sensors are slow", "use smaller capacitors or lower resistances at the phase inputs"
	if d.coupling {
		cause, hint = "the phase inputs are coupled through capacitors", "set the instrument's inputs to DC, and record again"
	}
	switch {
	case math.Abs(d.bias) > dragLarge:
		a.find("phase-filtered", commutation.Data, "", fmt.Sprintf("the angle between phases and sensors depends on the speed, by about %.0f electrical degrees at the mean speed: %s", math.Abs(d.bias), cause), hint)
	case d.bias != 0:
		a.find("phase-filtered", commutation.Note, "", fmt.Sprintf("the angle between phases and sensors depends on the speed, by %.1f electrical degrees at the mean speed, which was taken out: %s", math.Abs(d.bias), cause), hint)
	case d.steady && a.rec.Merged && !a.placedNone():
		a.sameMoment()
	case d.steady && !d.told:
		a.find("speed-steady", commutation.Data, "", "the speed hardly varied, so nothing tells whether a capacitor at the inputs, or their AC coupling, turns the phases against the sensors",
			"spin by hand, or let the drill speed up and slow down, and set the instrument's inputs to DC")
	case d.steady && d.suspected(a.result.ShiftDeg):
		a.find("phase-filtered", commutation.Data, "", fmt.Sprintf("the back-EMF does not grow with the speed as it has to, but with its power %.2f: a capacitor at the inputs, or their AC coupling, turns the phases against the sensors", 1+d.off),
			"set the instrument's inputs to DC, use smaller capacitors, and spin by hand so that the speed varies")
	}
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
