package spin

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/emf"
)

// rotorAngle is the motor's electrical angle against time, on its final scale:
// degrees that grow forward, zero where it belongs.
type rotorAngle struct {
	angle *curve.Curve
	sense float64 // +1 or -1
	zero  float64 // rad, on the spline's scale
	// bad are stretches of time in which the angle is not to be trusted, in
	// the order of time.
	bad [][2]float64
}

// angleAt returns the unwrapped angle in degrees and its rate in degrees per
// second at time t; known is false outside of the stretches that were fitted.
func (r *rotorAngle) angleAt(t float64) (deg, rate float64, known bool) {
	if !r.angle.Covers(t) || r.isBad(t) {
		return 0, 0, false
	}
	a, w := r.angle.AtTime(t)
	const toDeg = 180 / math.Pi
	return r.sense * (a - r.zero) * toDeg, r.sense * w * toDeg, true
}

func (r *rotorAngle) isBad(t float64) bool {
	k := sort.Search(len(r.bad), func(i int) bool { return r.bad[i][1] >= t })
	return k < len(r.bad) && r.bad[k][0] <= t
}

// sameChain reports whether the spline holds from time t to u without a gap.
func (r *rotorAngle) sameChain(t, u float64) bool {
	for _, c := range r.angle.Chains {
		if c.Start <= u && u <= c.End+r.angle.Spacing/4 {
			return t >= c.Start-r.angle.Spacing/4
		}
	}
	return false
}

// turned returns how far the rotor turned forward and backward, in electrical
// turns, both positive, and how many of the 360 electrical degrees it passed.
func (r *rotorAngle) turned() (forward, backward float64, covered int) {
	const perKnot = 2
	var passed profile
	for _, c := range r.angle.Chains {
		n := max(1, int((c.End-c.Start)/r.angle.Spacing*perKnot))
		last, seen := 0.0, false
		for k := range n + 1 {
			deg, _, ok := r.angleAt(c.Start + (c.End-c.Start)*float64(k)/float64(n))
			if ok && seen {
				forward += max(0, deg-last) / 360
				backward += max(0, last-deg) / 360
				passed.add(last, deg, true)
			}
			last, seen = deg, ok
		}
	}
	return forward, backward, passed.covered()
}

// turningShare is the share of the greatest speed from which on the rotor counts as
// turning.
const turningShare = 0.05

// speedOf returns how fast rotors turned, all together.
func speedOf(rotors ...*rotorAngle) Speed {
	var rates []float64
	for _, r := range rotors {
		for _, c := range r.angle.Chains {
			for t := c.Start; t <= c.End; t += r.angle.Spacing / 2 {
				if _, rate, ok := r.angleAt(t); ok {
					rates = append(rates, math.Abs(rate)/360)
				}
			}
		}
	}
	if len(rates) == 0 {
		return Speed{math.NaN(), math.NaN(), math.NaN()}
	}
	fastest := slices.Max(rates)
	rates = slices.DeleteFunc(rates, func(v float64) bool { return v < turningShare*fastest })
	return Speed{stat.Mean(rates, nil), slices.Min(rates), fastest}
}

// longGap is the gap in seconds from which on nothing is known of the turning in it:
// it is another spin, or the clock was wrong.
const longGap = 0.8

// unseen estimates how far the rotor turned in the short gaps, from its rates before and
// after each, and where the angle is not to be trusted, in electrical turns. It adds up
// without their signs what the estimate is made of; of a gap at least what the rotor turns
// on the mean in so much time, since it may have been pushed meanwhile; seen is how many
// turns it made either way where the angle is trusted.
func (r *rotorAngle) unseen(seen float64) (turns, all float64) {
	usual := seen / r.seconds()
	for k := 1; k < len(r.angle.Chains); k++ {
		from, to := r.angle.Chains[k-1].End, r.angle.Chains[k].Start
		if to-from >= longGap {
			continue
		}
		before, after := r.rawRate(from), r.rawRate(to)
		half := (to - from) / 2
		turns += (before + after) * half
		all += max((math.Abs(before)+math.Abs(after))*half, usual*(to-from))
	}
	for _, b := range r.bad {
		net, travel := r.rawTravel(b[0], b[1])
		turns, all = turns+net, all+travel
	}
	return turns, all
}

// seconds returns how long the angle is known, trusted or not.
func (r *rotorAngle) seconds() float64 {
	sum := 0.0
	for _, c := range r.angle.Chains {
		sum += c.End - c.Start
	}
	return sum
}

// rawRate returns the rate at t in electrical turns per second, trusted or not.
func (r *rotorAngle) rawRate(t float64) float64 {
	_, w := r.angle.AtTime(t)
	return r.sense * w / (2 * math.Pi)
}

// rawTravel returns how far the rotor turned from one time to another, and how far it
// travelled, in electrical turns, trusted or not.
func (r *rotorAngle) rawTravel(from, to float64) (net, travel float64) {
	n := max(1, int((to-from)/r.angle.Spacing*2))
	step := (to - from) / float64(n)
	for k := range n {
		d := r.rawRate(from+(float64(k)+0.5)*step) * step
		net, travel = net+d, travel+math.Abs(d)
	}
	return net, travel
}

// fastest returns the highest rate at the knots, in electrical turns per second.
func (r *rotorAngle) fastest() float64 {
	most := 0.0
	for _, c := range r.angle.Chains {
		for t := c.Start; t <= c.End; t += r.angle.Spacing {
			if _, rate, ok := r.angleAt(t); ok {
				most = max(most, math.Abs(rate)/360)
			}
		}
	}
	return most
}

// rotorOf returns the fitted angle, still on the fit's own scale.
func rotorOf(f *emf.Fit) *rotorAngle {
	r := &rotorAngle{angle: f.Angle, sense: 1}
	lost := f.Lost()
	for i := 0; i < len(lost); i++ {
		if !lost[i] {
			continue
		}
		from := i
		for i+1 < len(lost) && lost[i+1] {
			i++
		}
		r.bad = append(r.bad, [2]float64{f.Signals.Time[from], f.Signals.Time[i]})
	}
	return r
}

// rotor gives the electrical angle of a recording's motor against time.
type rotor interface {
	// angleAt returns the unwrapped angle in degrees and the rate in degrees
	// per second, and whether the recording tells them at t.
	angleAt(t float64) (deg, rate float64, known bool)
}
