package emf

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"handspin/capture/cores"
	"handspin/commutation/spin/curve"
)

// The first estimate of the rotor's angle comes from the back-EMF alone, so
// that no fault of a sensor can spoil it. The channels' fundamental lies in a
// plane; scaled to a circle there it is z = kappa * w * exp(i a), with a the
// electrical angle and w its rate. How fast z turns against how long it is
// gives kappa; then a tracking filter with the state (a, w) runs outward from
// the fastest moment. It passes standstill and reversal, where z shrinks to
// nothing and comes back turning the other way, because there the length of z
// along the last direction measures w with its sign.

// samplesPerTurn is how many samples an electrical turn at the highest speed
// keeps, about, when a recording is thinned; averaging a fortieth of a turn
// lowers the fundamental by 0.1 %, and the seventh harmonic by 5 %.
const samplesPerTurn = 40

// thinning returns how many samples to average into one.
func (s *Signals) thinning(p plane) int {
	lag := sixth(func(lag int) float64 { return s.lagged(&p, lag) }, len(s.Time))
	return max(1, (lag*6+samplesPerTurn/2)/samplesPerTurn)
}

// ThinningAt returns how many samples to average into one, so that a turn at hz turns
// per second keeps samplesPerTurn.
func (s *Signals) ThinningAt(hz float64) int {
	interval := usualInterval(s.Time)
	if hz == 0 || interval == 0 {
		return 1
	}
	return max(1, int(1/(hz*interval*samplesPerTurn)))
}

// sixth returns the lag at which a signal of n samples has turned by about 60
// degrees where it is strong; product is the mean product of samples so far apart.
func sixth(product func(lag int) float64, n int) int {
	first := product(1)
	lag := 1
	for lag < n/4 && product(lag+lag/4+1) > 0.5*first {
		lag += lag/4 + 1
	}
	return lag
}

// lagged returns the real part of the mean of conj(z[i]) z[i+lag].
func (s *Signals) lagged(p *plane, lag int) float64 {
	sum, n := 0.0, 0
	for i := 0; i+lag < len(s.Time); i += probed(len(s.Time)) {
		from, to := s.z(p, i), s.z(p, i+lag)
		v := real(from)*real(to) + imag(from)*imag(to)
		if !math.IsNaN(v) {
			sum, n = sum+v, n+1
		}
	}
	return sum / math.Max(1, float64(n))
}

// glimpse is what a short window tells: how long z is there, how fast it turns,
// and where it points in the window's middle.
type glimpse struct {
	at    int     // index of the middle sample
	power float64 // |z|^2 of the strongest tone
	rate  float64 // rad/s, signed
	angle float64 // rad
	share float64 // of the window's power, beyond noise, that is in the tone
}

// windows are the lengths of a glimpse in samples. The longest is more than two
// turns at the highest speed, so that the tone of clipped columns stands out from
// its harmonics; the shorter ones serve rotors that turn back before that.
var windows = []int{96, 48, 24}

// A window is steady where steadyShare of its power is in one tone. Noise alone
// has 5 %. A length suits a recording where its strong windows reach clearShare.
const (
	steadyShare = 0.35
	clearShare  = 0.6
)

func (g glimpse) steady() bool { return g.share > steadyShare && g.rate != 0 }

// glimpses looks at windows of size samples over the stretch, each half
// overlapping the next.
func (tr *tracker) glimpses(st curve.Stretch) []glimpse {
	var out []glimpse
	size := min(tr.window, st.Hi-st.Lo)
	fft := fourier.NewCmplxFFT(4 * size)
	padded, spectrum := make([]complex128, 4*size), make([]complex128, 4*size)
	for lo := st.Lo; lo+size <= st.Hi; lo += max(1, size/2) {
		total, n := 0.0, 0
		for i, v := range tr.z[lo : lo+size] {
			if cmplx.IsNaN(v) {
				v = 0
			} else {
				n++
			}
			padded[i] = v
			total += power(v)
		}
		fft.Coefficients(spectrum, padded)
		g := peak(spectrum, n, (tr.t[lo+size-1]-tr.t[lo])/float64(size-1))
		noise := 2 * tr.sd * tr.sd * float64(n)
		g.share = g.power * float64(n) / max(total-noise, 0.3*total)
		g.angle += g.rate * (tr.t[lo+size/2] - tr.t[lo])
		g.at = lo + size/2
		out = append(out, g)
	}
	return out
}

// peak finds the strongest tone of a window of n samples dt apart from its
// zero-padded spectrum; angle is as of the window's first sample.
func peak(spectrum []complex128, n int, dt float64) (g glimpse) {
	size := len(spectrum)
	best, most := 0, 0.0
	for k, x := range spectrum {
		if p := power(x); p > most {
			best, most = k, p
		}
	}
	if !(most > 0) || !(dt > 0) {
		return g
	}
	at := func(k int) float64 { return cmplx.Abs(spectrum[(k+size)%size]) }
	left, mid, right := at(best-1), at(best), at(best+1)
	shift := 0.0
	if d := left - 2*mid + right; d < 0 {
		shift = (left - right) / (2 * d)
	}
	k := float64(best) + shift
	if best > size/2 {
		k -= float64(size)
	}
	g.rate = 2 * math.Pi * k / (float64(size) * dt)
	g.power = most / float64(n*n)
	// The window's middle is where the phase does not depend on the rate.
	middle := float64(size/4-1) / 2
	exactBin := float64(best)
	if best > size/2 {
		exactBin -= float64(size)
	}
	g.angle = cmplx.Phase(spectrum[best]) + 2*math.Pi*exactBin/float64(size)*middle - g.rate*dt*middle
	return g
}

// follow returns a first estimate of the angle in rad, one a sample, and the
// stretches in which the rotor turns at all.
func (s *Signals) follow(p plane, how Pace) (angle []float64, turning []curve.Stretch) {
	angle = make([]float64, len(s.Time))
	tr, ok := newTracker(s, p, how)
	if !ok {
		return angle, nil
	}
	for k, st := range s.Stretches {
		if tr.follow(st, tr.seen[k], angle) {
			turning = append(turning, st)
		}
	}
	return angle, turning
}

// tracker follows the angle of z.
type tracker struct {
	z         []complex128
	t         []float64
	saturated []bool
	window    int         // length of a glimpse
	seen      [][]glimpse // by stretch
	kappa     float64     // |z| per rad/s
	sd        float64     // noise of each part of z
	drive     float64     // spectral density of the acceleration, (rad/s)^2/s
}

// newTracker prepares a tracker; ok is false where no window shows a steady
// turning, from which alone kappa could be had.
func newTracker(s *Signals, p plane, how Pace) (tr tracker, ok bool) {
	tr = tracker{z: s.project(p), t: s.Time, saturated: s.saturated, sd: p.sd}
	var strong []glimpse
	for _, tr.window = range windows {
		strong = tr.strong(s.Stretches)
		if medianOf(strong, func(g glimpse) float64 { return g.share }) > clearShare {
			break
		}
	}
	fastest := 0.0
	for _, g := range strong {
		fastest = max(fastest, math.Abs(g.rate))
	}
	tr.kappa = medianOf(strong, func(g glimpse) float64 { return math.Sqrt(g.power) / math.Abs(g.rate) })
	tr.drive = how.drive * fastest * fastest
	return tr, len(strong) > 0
}

// strong takes glimpses of the stretches and returns the steady ones of at least
// 0.3 of the greatest power.
func (tr *tracker) strong(stretches []curve.Stretch) []glimpse {
	var all []glimpse
	most := 0.0
	tr.seen = make([][]glimpse, len(stretches))
	for k, st := range stretches {
		tr.seen[k] = tr.glimpses(st)
		for _, g := range tr.seen[k] {
			if g.steady() {
				all = append(all, g)
				most = max(most, g.power)
			}
		}
	}
	return slices.DeleteFunc(all, func(g glimpse) bool { return g.power < 0.3*most })
}

func medianOf(g []glimpse, value func(glimpse) float64) float64 {
	var v []float64
	for _, x := range g {
		v = append(v, value(x))
	}
	return Median(v)
}

// follow fills angle over the stretch, in rad, from its strongest glimpse to both
// ends. It reports false where the stretch never turns fast enough to see in which
// direction.
func (tr *tracker) follow(st curve.Stretch, seen []glimpse, angle []float64) bool {
	best := glimpse{}
	for _, g := range seen {
		if g.steady() && g.power > best.power {
			best = g
		}
	}
	if best.power < 50*tr.sd*tr.sd/float64(tr.window) {
		return false
	}
	if best.rate < 0 { // z points against exp(i a) while w is negative
		best.angle += math.Pi
	}
	angle[best.at] = best.angle
	cores.Each(2, func(k int) { tr.run(st, best, 1-2*k, angle) })
	return true
}

// run fills angle from a glimpse on to an end of the stretch; step is +1 or -1.
func (tr *tracker) run(st curve.Stretch, from glimpse, step int, angle []float64) {
	x := newState(from.angle, from.rate, math.Sqrt(tr.drive*0.05))
	for i := from.at + step; i >= st.Lo && i < st.Hi; i += step {
		dt := tr.t[i] - tr.t[i-step]
		x.predict(dt, tr.drive)
		x.update(tr.z[i], dt, tr.kappa, tr.sd, tr.saturated != nil && tr.saturated[i])
		angle[i] = x.a
	}
}
