package spin

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"
)

// The first estimate of the rotor's angle comes from the back-EMF alone, so
// that no fault of a sensor can spoil it. The channels' fundamental lies in a
// plane; scaled to a circle there it is z = kappa * w * exp(i a), with a the
// electrical angle and w its rate. How fast z turns against how long it is
// gives kappa; then a tracking filter with the state (a, w) runs outward from
// the fastest moment. It passes standstill and reversal, where z shrinks to
// nothing and comes back turning the other way, because there the length of z
// along the last direction measures w with its sign.

// plane is the linear map from the channels to z.
type plane struct {
	offset [3]float64
	re, im [3]float64
	sd     float64 // noise of each part of z
	flat   float64 // ratio of the two principal amplitudes, 1 for a circle
}

// whiten finds the plane in which the channels move; ok is false where there is
// no signal above the noise. With flat near 0 the channels move along a line
// and the plane means nothing.
func (s *signals) whiten() (p plane, ok bool) {
	n := len(s.ch)
	for c, ch := range s.ch {
		p.offset[c] = ch.offset()
	}
	cov := s.covariance(p.offset)
	var eig mat.EigenSym
	if !eig.Factorize(cov, true) {
		return p, false
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	first := values[n-1]
	second := 0.0
	if n > 1 {
		second = max(values[n-2], 0)
	}
	if !(first > s.quiet()) {
		return p, false
	}
	p.flat = math.Sqrt(second / first)
	if second > s.quiet() {
		for c, ch := range s.ch {
			p.re[c] = vectors.At(c, n-1) / math.Sqrt(first)
			p.im[c] = vectors.At(c, n-2) / math.Sqrt(second)
			p.sd += (p.re[c]*p.re[c] + p.im[c]*p.im[c]) / 2 * ch.noise * ch.noise
		}
		p.sd = math.Sqrt(p.sd)
	} else {
		p.flat = 0
	}
	return p, true
}

// quiet is the variance below which a principal component is noise: its
// sampling error at the number of samples, with a margin, and a tenth of the
// noise variance for what the noise estimate may be off.
func (s *signals) quiet() float64 {
	worst := 0.0
	for _, ch := range s.ch {
		worst = max(worst, ch.noise*ch.noise)
	}
	return worst * (0.1 + 5/math.Sqrt(float64(len(s.t))))
}

// offset estimates the channel's value at standstill. Over many turns the
// back-EMF averages to nothing, whatever the speed does, since its integral is
// the flux linkage; a column clipped to half of its wave rests at the rail.
func (ch channel) offset() float64 {
	sum, n, low, high := 0.0, 0, 0, 0
	lowSum, highSum := 0.0, 0.0
	for i, v := range ch.v {
		if math.IsNaN(v) {
			continue
		}
		sum, n = sum+v, n+1
		if ch.bound == nil {
			continue
		}
		switch ch.bound[i] {
		case atMost:
			low, lowSum = low+1, lowSum+v
		case atLeast:
			high, highSum = high+1, highSum+v
		}
	}
	switch {
	case n == 0:
		return 0
	case float64(low) > 0.4*float64(n):
		return lowSum / float64(low)
	case float64(high) > 0.4*float64(n):
		return highSum / float64(high)
	}
	return sum / float64(n)
}

// covariance returns the channels' second moments about offset, less the noise.
func (s *signals) covariance(offset [3]float64) *mat.SymDense {
	n := len(s.ch)
	var sum [3][3]float64
	count := 0
	for i := range s.t {
		var x [3]float64
		for c := range s.ch {
			x[c] = s.ch[c].v[i] - offset[c]
		}
		if d := x[0] + x[1] + x[2]; math.IsNaN(d) {
			continue
		}
		count++
		for j := range n {
			for k := j; k < n; k++ {
				sum[j][k] += x[j] * x[k]
			}
		}
	}
	cov := mat.NewSymDense(n, nil)
	for j := range n {
		for k := j; k < n; k++ {
			v := sum[j][k] / math.Max(1, float64(count))
			if j == k {
				v -= s.ch[j].noise * s.ch[j].noise
			}
			cov.SetSym(j, k, v)
		}
	}
	return cov
}

// z returns z of sample i; one that lacks a channel has NaN.
func (s *signals) z(p *plane, i int) complex128 {
	re, im := 0.0, 0.0
	for c := range s.ch {
		x := s.ch[c].v[i] - p.offset[c]
		re += p.re[c] * x
		im += p.im[c] * x
	}
	return complex(re, im)
}

// project returns z of every sample.
func (s *signals) project(p plane) []complex128 {
	z := make([]complex128, len(s.t))
	for i := range z {
		z[i] = s.z(&p, i)
	}
	return z
}

// samplesPerTurn is how many samples an electrical turn at the highest speed
// keeps, about, when a recording is thinned; averaging a fortieth of a turn
// lowers the fundamental by 0.1 %, and the seventh harmonic by 5 %.
const samplesPerTurn = 40

// thinning returns how many samples to average into one.
func (s *signals) thinning(p plane) int {
	lag := sixth(func(lag int) float64 { return s.lagged(&p, lag) }, len(s.t))
	return max(1, (lag*6+samplesPerTurn/2)/samplesPerTurn)
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
func (s *signals) lagged(p *plane, lag int) float64 {
	sum, n := 0.0, 0
	for i := 0; i+lag < len(s.t); i += probed(len(s.t)) {
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
func (tr *tracker) glimpses(st stretch) []glimpse {
	var out []glimpse
	size := min(tr.window, st.hi-st.lo)
	fft := fourier.NewCmplxFFT(4 * size)
	padded, spectrum := make([]complex128, 4*size), make([]complex128, 4*size)
	for lo := st.lo; lo+size <= st.hi; lo += max(1, size/2) {
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
func (s *signals) follow(p plane, how pace) (angle []float64, turning []stretch) {
	angle = make([]float64, len(s.t))
	tr, ok := newTracker(s, p, how)
	if !ok {
		return angle, nil
	}
	for k, st := range s.stretches {
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
func newTracker(s *signals, p plane, how pace) (tr tracker, ok bool) {
	tr = tracker{z: s.project(p), t: s.t, saturated: s.saturated, sd: p.sd}
	var strong []glimpse
	for _, tr.window = range windows {
		strong = tr.strong(s.stretches)
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
func (tr *tracker) strong(stretches []stretch) []glimpse {
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
	return median(v)
}

// follow fills angle over the stretch, in rad, from its strongest glimpse to both
// ends. It reports false where the stretch never turns fast enough to see in which
// direction.
func (tr *tracker) follow(st stretch, seen []glimpse, angle []float64) bool {
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
	sideBySide(2, func(k int) { tr.run(st, best, 1-2*k, angle) })
	return true
}

// run fills angle from a glimpse on to an end of the stretch; step is +1 or -1.
func (tr *tracker) run(st stretch, from glimpse, step int, angle []float64) {
	x := newState(from.angle, from.rate, math.Sqrt(tr.drive*0.05))
	for i := from.at + step; i >= st.lo && i < st.hi; i += step {
		dt := tr.t[i] - tr.t[i-step]
		x.predict(dt, tr.drive)
		x.update(tr.z[i], dt, tr.kappa, tr.sd, tr.saturated != nil && tr.saturated[i])
		angle[i] = x.a
	}
}

// state is the tracking filter's estimate of angle and rate with their
// covariance.
type state struct {
	a, w          float64 // rad, rad/s
	paa, paw, pww float64
}

func newState(a, w, sdW float64) *state {
	return &state{a: a, w: w, paa: 0.1, pww: sdW * sdW}
}

// predict moves the state by dt seconds, which may be negative; the rate
// wanders with spectral density q.
func (x *state) predict(dt, q float64) {
	x.a += x.w * dt
	x.paa += dt * (2*x.paw + dt*x.pww)
	x.paw += dt * x.pww
	d := math.Abs(dt)
	x.paa += q * d * d * d / 3
	x.paw += q * dt * d / 2
	x.pww += q * d
}

// modelShare is how far z is from a circle, as a share of its length, by
// harmonics, unequal phases or clipping to half waves; it stays the same over
// about a radian.
const modelShare = 0.2

// update takes one measurement z = kappa w exp(i a). In the frame turned by a
// its parts are kappa w along and kappa w times the angle's error across, so
// that the two are measured independently. Samples far out count less. A
// saturated sample is shorter than it should be: it can only raise the rate.
func (x *state) update(z complex128, dt, kappa, sd float64, saturated bool) {
	if cmplx.IsNaN(z) {
		return
	}
	s, c := math.Sincos(x.a)
	along := real(z)*c + imag(z)*s
	across := imag(z)*c - real(z)*s
	alike := max(1, 1/(math.Abs(x.w*dt)+1e-3)) // samples in a radian
	r := sd*sd + modelShare*modelShare*kappa*kappa*x.w*x.w*alike
	if !saturated || math.Abs(along) > math.Abs(kappa*x.w) {
		x.correct(0, kappa, along-kappa*x.w, r)
	}
	x.correct(kappa*x.w, 0, across, r)
}

// correct takes one scalar measurement with the Jacobian (ha, hw), the
// innovation v and the variance r. The caller's second innovation may lag the
// first correction by a second-order term, which the fit removes later.
func (x *state) correct(ha, hw, v, r float64) {
	pa, pw := x.paa*ha+x.paw*hw, x.paw*ha+x.pww*hw
	s := ha*pa + hw*pw + r
	if d := v * v / s; d > 9 {
		s *= d / 9
	}
	if !(s > 0) {
		return
	}
	ka, kw := pa/s, pw/s
	x.a += ka * v
	x.w += kw * v
	x.paa -= ka * pa
	x.paw -= ka * pw
	x.pww -= kw * pw
}
