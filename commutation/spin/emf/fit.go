package emf

import (
	"errors"
	"math"

	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/ridge"
)

// Fit is the model of a recording: the electrical angle a(t) as a spline, and
// each channel c as
//
//	v = w * f_c(a) + offset_c,  w = da/dt,
//	f_c(a) = sum over the orders n of s_cn sin(n a) + c_cn cos(n a),
//
// which is Faraday's law for a flux linkage that depends on the angle only. All
// unknowns are found together by damped Gauss-Newton steps. The normal matrix
// has a band for the spline and a small border for the rest, so that a step
// costs time in proportion to the recording's length.
type Fit struct {
	Signals *Signals
	Angle   *curve.Curve // rad
	Orders  []int        // odd
	// Wave[c] holds s and c of each order in turn, then the offset.
	Wave [][]float64
	// pinned is the channel whose fundamental cosine is held at zero: only
	// that fixes where the angle starts.
	pinned int
	// Pace is how quickly the speed was taken to change.
	Pace Pace
	// rough is the scale of the penalty on the spline's third differences, rad.
	rough float64
	// Sigma are the channels' noise, and share is what the model misses as a
	// share of the back-EMF: magnets are not alike. It stays the same while
	// half a turn passes, so that many samples tell no more than one.
	Sigma []float64
	share float64
	// SD is what a sample of a channel is weighted by, held during a run so
	// that the cost is one function.
	SD [][]float64

	// Sparks is how many samples were left out since they are further off than the
	// back-EMF ever is.
	Sparks int
	// Hum are the tones that were taken from the signals, in the order in which they
	// were found.
	Hum []Hum

	halfTurn float64 // pi over the sampling interval
	cost     float64
	normal   *normal
	pieces   []piece
	Residual [][]float64 // by channel and sample, NaN where not used
}

// harmonicSD over n is the expected size of the n-th harmonic of the back-EMF
// relative to the fundamental; a square wave has 1/n.
const harmonicSD = 0.3

// Pace says how quickly the speed may change.
type Pace struct {
	// knot is the distance of the spline's knots in turns.
	knot float64
	// hz, or perTurn times the turns per second if that is more, is how often
	// per second, over 2 pi, the speed can change by its own size.
	hz, perTurn float64
	// drive is the squared relative wander of the speed in a second, for the
	// tracking filter.
	drive float64
	// Doubt is the standard deviation of the angle that comes from taking
	// ripple of the speed for harmonics or the reverse, in degrees.
	Doubt float64
}

// A hand changes the speed by its own size in 40 ms at the quickest, and may
// bring a rotor from rest to full speed in a tenth of a second or two. Cogging
// does more to a rotor that turns slowly: six, twelve or more times a turn.
var (
	ByHand    = Pace{knot: 0.16, hz: 4, drive: 4}
	ByCogging = Pace{knot: 0.04, hz: 4, perTurn: 12, drive: 100, Doubt: 2}
)

// Spacing returns the distance of the knots in seconds for turning at rate
// rad/s, seen every interval seconds: by hand 8 ms at 20 turns a second.
func (p Pace) Spacing(rate, interval float64) float64 {
	const least, most = 0.006, 0.04 // s
	turn := 2 * math.Pi / rate
	return max(min(max(p.knot*turn, least*p.knot/ByHand.knot), most), 2*interval)
}

// Rough returns the usual size of the third differences of an angle with knots
// h apart that turns at rate, in rad.
func (p Pace) Rough(rate, h float64) float64 {
	w := max(2*math.Pi*p.hz, p.perTurn*rate)
	return h * h * h * rate * w * w
}

// NewFit starts a fit from a first estimate of the angle in rad, one value a sample; the
// error is that the rotor does not turn, or an angle that is no number.
func NewFit(s *Signals, angle []float64, p Pace) (*Fit, error) {
	f := &Fit{Signals: s, Orders: s.orders(), share: 0.01, Pace: p}
	rate, interval := speed(s, angle)
	if !(rate > 0) {
		return nil, errors.New("the rotor does not turn")
	}
	f.halfTurn = math.Pi / interval
	h := p.Spacing(rate, interval)
	var chains [][2]float64
	for _, st := range s.Stretches {
		chains = append(chains, [2]float64{s.Time[st.Lo], s.Time[st.Hi-1]})
	}
	f.Angle = curve.New(chains, h)
	f.rough = p.Rough(rate, h)
	const trackedTo = 0.1 // rad
	if err := f.Angle.Approximate(s.Time, angle, s.Stretches, trackedTo, f.rough); err != nil {
		return nil, err
	}
	for _, ch := range s.Channels {
		f.Sigma = append(f.Sigma, ch.Noise)
		f.Wave = append(f.Wave, make([]float64, f.PerChannel()))
		f.Residual = append(f.Residual, make([]float64, len(s.Time)))
		f.SD = append(f.SD, make([]float64, len(s.Time)))
	}
	f.normal = newNormal(len(f.Angle.Coef), f.PerChannel()*len(f.Signals.Channels))
	f.pieces = f.cut()
	f.startWaves()
	return f, nil
}

// PerChannel is the number of unknowns of a channel.
func (f *Fit) PerChannel() int { return 2*len(f.Orders) + 1 }

// speed returns the effective value of the rate, in rad/s, and the mean interval
// of the samples, in seconds.
func speed(s *Signals, angle []float64) (rate, interval float64) {
	sum, time, n := 0.0, 0.0, 0
	for _, st := range s.Stretches {
		for i := st.Lo + 1; i < st.Hi; i++ {
			if dt := s.Time[i] - s.Time[i-1]; dt > 0 {
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
func (f *Fit) startWaves() {
	strongest := 0.0
	for c, ch := range f.Signals.Channels {
		var n ridge.Ridge
		for _, st := range f.Signals.Stretches {
			for i := st.Lo; i < st.Hi; i++ {
				if math.IsNaN(ch.Value[i]) || (ch.Bound != nil && ch.Bound[i] != Exact) {
					continue
				}
				a, w := f.Angle.AtTime(f.Signals.Time[i] + ch.Skew)
				s, co := math.Sincos(a)
				n.Add([]float64{w * s, w * co, 1}, ch.Value[i])
			}
		}
		if n.Count < 6 {
			continue
		}
		x := n.Solve()
		if x == nil {
			continue
		}
		f.Wave[c][0], f.Wave[c][1] = x[0], x[1]
		f.Wave[c][f.PerChannel()-1] = x[2]
		if amp := math.Hypot(x[0], x[1]) / f.Sigma[c]; amp > strongest {
			strongest, f.pinned = amp, c
		}
	}
	f.turn(math.Atan2(f.Wave[f.pinned][1], f.Wave[f.pinned][0]))
}

// turn moves the angle's zero: the new angle is the old one plus by, in rad.
func (f *Fit) turn(by float64) {
	for i := range f.Angle.Coef {
		f.Angle.Coef[i] += by
	}
	for c := range f.Wave {
		for k, n := range f.Orders {
			// S sin(n(a-by)) + C cos(n(a-by))
			s, co := math.Sincos(float64(n) * by)
			x, y := f.Wave[c][2*k], f.Wave[c][2*k+1]
			f.Wave[c][2*k], f.Wave[c][2*k+1] = x*co+y*s, y*co-x*s
		}
	}
}

// weigh sets the standard deviations that weight the samples, where half a turn
// of samples counts as one against the model's share. A channel without back-EMF, such as
// that of a lead that the others are measured against, has the same pick-up as they,
// which must not pass for the rotor's angle; one whose scale is a tenth has its own.
func (f *Fit) weigh() {
	const none, others = DeadShare / 2, 0.5
	largest := 0.0
	for _, w := range f.Wave {
		largest = max(largest, math.Hypot(w[0], w[1]))
	}
	for c := range f.Signals.Channels {
		size := math.Hypot(f.Wave[c][0], f.Wave[c][1])
		if size < none*largest {
			size = others * largest
		}
		part := f.share * size
		for _, st := range f.Signals.Stretches {
			for i := st.Lo; i < st.Hi; i++ {
				_, w := f.Angle.AtTime(f.Signals.Time[i])
				f.SD[c][i] = math.Sqrt(f.Sigma[c]*f.Sigma[c] + part*part*math.Abs(w)*f.halfTurn)
			}
		}
	}
}

// DeadShare is the share of the strongest back-EMF below which a lead counts as
// dead: neighbours that bleed into its column stay below it.
const DeadShare = 0.1
