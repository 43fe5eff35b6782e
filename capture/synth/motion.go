package synth

import (
	"math"
	"reflect"
	"slices"
)

const (
	// timeStep is the step of the integration, in seconds: a hundredth of the
	// period of cogging at the highest speeds of interest.
	timeStep = 20e-6
	// stride is how many steps lie between two points of a motion.
	stride = 5
	// pointStep is the time between two points, in seconds.
	pointStep = stride * timeStep
)

// motion is the turning of a rotor: its mechanical angle in radians and its
// speed in radians per second at times pointStep apart.
type motion struct {
	spin         Spin // that was run
	polePairs    float64
	angle, speed []float64
}

// rotor is the state of the integration and the spin in mechanical radians.
type rotor struct {
	spin         Spin
	pushes       []Push  // those at work between this point and the next
	unit         float64 // mechanical rad/s in one electrical Hz
	friction     float64 // rad/s lost in half a step
	decay        float64 // share of speed kept in half a step
	angle, speed float64
}

// run integrates the spin for a rotor with the given pole pairs by the leapfrog
// method (half a kick, a drift, half a kick), which keeps energy where there is
// no friction and is exact where torque is constant.
func (s Spin) run(polePairs int) *motion {
	unit := 2 * math.Pi / float64(polePairs)
	r := rotor{
		spin:     s,
		unit:     unit,
		friction: s.Friction * unit * timeStep / 2,
		decay:    1,
		angle:    s.StartDeg / 360 * unit,
		speed:    s.StartHz * unit,
	}
	if s.Viscous > 0 {
		r.decay = math.Exp(-timeStep / 2 / s.Viscous)
	}
	points := int(math.Ceil(s.Seconds/pointStep)) + 2
	m := &motion{spin: s, polePairs: float64(polePairs)}
	m.spin.Pushes = slices.Clone(s.Pushes)
	m.angle, m.speed = make([]float64, points), make([]float64, points)
	for i := range points {
		m.angle[i], m.speed[i] = r.angle, r.speed
		r.advance(float64(i) * pointStep)
	}
	return m
}

// is says whether the motion is that of the spin and rotor.
func (m *motion) is(s Spin, polePairs int) bool {
	return m != nil && m.polePairs == float64(polePairs) && reflect.DeepEqual(m.spin, s)
}

// advance integrates from time t to the next point. The torque at the end of
// one step is that at the beginning of the next.
func (r *rotor) advance(t float64) {
	r.pushes = r.pushes[:0]
	for _, p := range r.spin.Pushes {
		if t < p.At+p.Duration && t+pointStep > p.At {
			r.pushes = append(r.pushes, p)
		}
	}
	torque := r.torque(t)
	for k := range stride {
		r.kick(torque)
		r.angle += r.speed * timeStep
		torque = r.torque(t + float64(k+1)*timeStep)
		r.kick(torque)
	}
}

// kick changes the speed by half a step of the torque and of friction; dry
// friction stops a rotor and never turns it back.
func (r *rotor) kick(torque float64) {
	v := (r.speed + torque*timeStep/2) * r.decay
	switch {
	case v > r.friction:
		r.speed = v - r.friction
	case v < -r.friction:
		r.speed = v + r.friction
	default:
		r.speed = 0
	}
}

// torque returns the acceleration by all but friction, in mechanical rad/s^2.
func (r *rotor) torque(t float64) float64 {
	a := 0.0
	for i := range r.pushes {
		a += r.pushes[i].torque(t)
	}
	if r.spin.Cogging != 0 {
		a -= r.spin.Cogging * math.Sin(float64(r.spin.CoggingOrder)*r.angle)
	}
	if d := r.spin.Drill; d.Hz != 0 {
		a += (d.at(t) - r.speed/r.unit) / coupling
	}
	return a * r.unit
}

// at returns the mechanical angle (rad) and speed (rad/s) at time t by Hermite
// interpolation; the speed is the derivative of the angle. Before the beginning
// and after the end the rotor is taken to go on at its speed.
func (m *motion) at(t float64) (angle, speed float64) {
	last := len(m.angle) - 1
	if t <= 0 {
		return m.angle[0] + t*m.speed[0], m.speed[0]
	}
	i := int(t / pointStep)
	if i >= last {
		return m.angle[last] + (t-float64(last)*pointStep)*m.speed[last], m.speed[last]
	}
	return m.between(i, t/pointStep-float64(i))
}

// between interpolates at the share u of the interval from point i to the next.
func (m *motion) between(i int, u float64) (angle, speed float64) {
	rise := m.angle[i+1] - m.angle[i]
	from, to := m.speed[i]*pointStep, m.speed[i+1]*pointStep
	square, cube := 3*rise-2*from-to, from+to-2*rise
	return m.angle[i] + u*(from+u*(square+u*cube)), (from + u*(2*square+u*3*cube)) / pointStep
}

// crossing returns the time at which the rotor passes an angle between points i
// and i+1, by bisection to less than a nanosecond.
func (m *motion) crossing(i int, angle float64) float64 {
	rising := m.angle[i+1] > m.angle[i]
	lo, hi := 0.0, 1.0
	for range 20 {
		mid := (lo + hi) / 2
		if a, _ := m.between(i, mid); (a > angle) == rising {
			hi = mid
		} else {
			lo = mid
		}
	}
	return (float64(i) + (lo+hi)/2) * pointStep
}

// electrical returns the electrical angle (rad) and speed (rad/s) at time t.
func (m *motion) electrical(t float64) (angle, speed float64) {
	angle, speed = m.at(t)
	return angle * m.polePairs, speed * m.polePairs
}

// turned returns the electrical turns in the machine's sense and against it
// from one time to another.
func (m *motion) turned(from, to float64) (with, against float64) {
	previous, _ := m.at(from)
	add := func(angle float64) {
		turns := (angle - previous) * m.polePairs / (2 * math.Pi)
		with += max(turns, 0)
		against += max(-turns, 0)
		previous = angle
	}
	for i := int(from/pointStep) + 1; float64(i)*pointStep < to; i++ {
		add(m.angle[i])
	}
	end, _ := m.at(to)
	add(end)
	return with, against
}
