package spin

import (
	"errors"
	"math"

	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/ridge"
)

// fit is the model of a recording: the electrical angle a(t) as a spline, and
// each channel c as
//
//	v = w * f_c(a) + offset_c,  w = da/dt,
//	f_c(a) = sum over the orders n of s_cn sin(n a) + c_cn cos(n a),
//
// which is Faraday's law for a flux linkage that depends on the angle only. All
// unknowns are found together by damped Gauss-Newton steps. The normal matrix
// has a band for the spline and a small border for the rest, so that a step
// costs time in proportion to the recording's length.
type fit struct {
	sig    *signals
	angle  *curve.Curve
	orders []int
	// wave[c] holds s and c of each order in turn, then the offset.
	wave [][]float64
	// pinned is the channel whose fundamental cosine is held at zero: only
	// that fixes where the angle starts.
	pinned int
	pace   pace
	// rough is the scale of the penalty on the spline's third differences, rad.
	rough float64
	// sigma are the channels' noise, and share is what the model misses as a
	// share of the back-EMF: magnets are not alike. It stays the same while
	// half a turn passes, so that many samples tell no more than one.
	sigma []float64
	share float64
	// sd is what a sample of a channel is weighted by, held during a run so
	// that the cost is one function.
	sd [][]float64

	halfTurn float64 // pi over the sampling interval
	cost     float64
	normal   *normal
	pieces   []piece
	residual [][]float64 // by channel and sample, NaN where not used
}

// harmonicSD over n is the expected size of the n-th harmonic of the back-EMF
// relative to the fundamental; a square wave has 1/n.
const harmonicSD = 0.3

// pace says how quickly the speed may change.
type pace struct {
	// knot is the distance of the spline's knots in turns.
	knot float64
	// hz, or perTurn times the turns per second if that is more, is how often
	// per second, over 2 pi, the speed can change by its own size.
	hz, perTurn float64
	// drive is the squared relative wander of the speed in a second, for the
	// tracking filter.
	drive float64
	// doubt is the standard deviation of the angle that comes from taking
	// ripple of the speed for harmonics or the reverse, in degrees.
	doubt float64
}

// A hand changes the speed by its own size in 40 ms at the quickest, and may
// bring a rotor from rest to full speed in a tenth of a second or two. Cogging
// does more to a rotor that turns slowly: six, twelve or more times a turn.
var (
	byHand    = pace{knot: 0.16, hz: 4, drive: 4}
	byCogging = pace{knot: 0.04, hz: 4, perTurn: 12, drive: 100, doubt: 2}
)

// spacing returns the distance of the knots in seconds for turning at rate
// rad/s, seen every interval seconds: by hand 8 ms at 20 turns a second.
func (p pace) spacing(rate, interval float64) float64 {
	const least, most = 0.006, 0.04 // s
	turn := 2 * math.Pi / rate
	return max(min(max(p.knot*turn, least*p.knot/byHand.knot), most), 2*interval)
}

// rough returns the usual size of the third differences of an angle with knots
// h apart that turns at rate, in rad.
func (p pace) rough(rate, h float64) float64 {
	w := max(2*math.Pi*p.hz, p.perTurn*rate)
	return h * h * h * rate * w * w
}

// newFit starts a fit from a first estimate of the angle, one value a sample.
func newFit(s *signals, angle []float64, p pace) (*fit, error) {
	f := &fit{sig: s, orders: s.orders(), share: 0.01, pace: p}
	rate, interval := speed(s, angle)
	if !(rate > 0) {
		return nil, errors.New("the rotor does not turn")
	}
	f.halfTurn = math.Pi / interval
	h := p.spacing(rate, interval)
	var chains [][2]float64
	for _, st := range s.stretches {
		chains = append(chains, [2]float64{s.t[st.Lo], s.t[st.Hi-1]})
	}
	f.angle = curve.New(chains, h)
	f.rough = p.rough(rate, h)
	const trackedTo = 0.1 // rad
	if err := f.angle.Approximate(s.t, angle, s.stretches, trackedTo, f.rough); err != nil {
		return nil, err
	}
	for _, ch := range s.ch {
		f.sigma = append(f.sigma, ch.noise)
		f.wave = append(f.wave, make([]float64, f.perChannel()))
		f.residual = append(f.residual, make([]float64, len(s.t)))
		f.sd = append(f.sd, make([]float64, len(s.t)))
	}
	f.normal = newNormal(len(f.angle.Coef), f.perChannel()*len(f.sig.ch))
	f.pieces = f.cut()
	f.startWaves()
	return f, nil
}

// perChannel is the number of unknowns of a channel.
func (f *fit) perChannel() int { return 2*len(f.orders) + 1 }

// speed returns the effective value of the rate, in rad/s, and the mean interval
// of the samples, in seconds.
func speed(s *signals, angle []float64) (rate, interval float64) {
	sum, time, n := 0.0, 0.0, 0
	for _, st := range s.stretches {
		for i := st.Lo + 1; i < st.Hi; i++ {
			if dt := s.t[i] - s.t[i-1]; dt > 0 {
				d := angle[i] - angle[i-1]
				sum += d * d / dt
				time += dt
			}
			n++
		}
	}
	if !(time > 0) {
		return 0, 0
	}
	return math.Sqrt(sum / time), time / float64(n)
}

// startWaves finds the waves by linear least squares at the present angle,
// starting with the fundamental and the offset, and turns the angle so that
// the strongest channel's fundamental is a pure sine.
func (f *fit) startWaves() {
	strongest := 0.0
	for c, ch := range f.sig.ch {
		var n ridge.Ridge
		for _, st := range f.sig.stretches {
			for i := st.Lo; i < st.Hi; i++ {
				if math.IsNaN(ch.v[i]) || (ch.bound != nil && ch.bound[i] != exact) {
					continue
				}
				a, w := f.angle.At(f.angle.Locate(f.sig.t[i] + ch.skew))
				s, co := math.Sincos(a)
				n.Add([]float64{w * s, w * co, 1}, ch.v[i])
			}
		}
		if n.Count < 6 {
			continue
		}
		x := n.Solve()
		if x == nil {
			continue
		}
		f.wave[c][0], f.wave[c][1] = x[0], x[1]
		f.wave[c][f.perChannel()-1] = x[2]
		if amp := math.Hypot(x[0], x[1]) / f.sigma[c]; amp > strongest {
			strongest, f.pinned = amp, c
		}
	}
	f.turn(math.Atan2(f.wave[f.pinned][1], f.wave[f.pinned][0]))
}

// turn moves the angle's zero: the new angle is the old one plus by, in rad.
func (f *fit) turn(by float64) {
	for i := range f.angle.Coef {
		f.angle.Coef[i] += by
	}
	for c := range f.wave {
		for k, n := range f.orders {
			// S sin(n(a-by)) + C cos(n(a-by))
			s, co := math.Sincos(float64(n) * by)
			x, y := f.wave[c][2*k], f.wave[c][2*k+1]
			f.wave[c][2*k], f.wave[c][2*k+1] = x*co+y*s, y*co-x*s
		}
	}
}

// weigh sets the standard deviations that weight the samples, where half a turn
// of samples counts as one against the model's share. A channel without back-EMF, such as
// that of a lead that the others are measured against, has the same pick-up as they,
// which must not pass for the rotor's angle; one whose scale is a tenth has its own.
func (f *fit) weigh() {
	const none, others = deadShare / 2, 0.5
	largest := 0.0
	for _, w := range f.wave {
		largest = max(largest, math.Hypot(w[0], w[1]))
	}
	for c := range f.sig.ch {
		size := math.Hypot(f.wave[c][0], f.wave[c][1])
		if size < none*largest {
			size = others * largest
		}
		part := f.share * size
		for _, st := range f.sig.stretches {
			for i := st.Lo; i < st.Hi; i++ {
				_, w := f.angle.At(f.angle.Locate(f.sig.t[i]))
				f.sd[c][i] = math.Sqrt(f.sigma[c]*f.sigma[c] + part*part*math.Abs(w)*f.halfTurn)
			}
		}
	}
}

// deadShare is the share of the strongest back-EMF below which a lead counts as
// dead: neighbours that bleed into its column stay below it.
const deadShare = 0.1
