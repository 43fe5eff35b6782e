package emf

import (
	"math"
	"math/cmplx"
	"slices"
	"sort"

	"handspin/capture/cores"
)

// Long leads and dividers of high resistance pick up the mains, not alike in all columns. It
// is a tone of constant size and phase, which the rotor's speed does not move: it is found
// in what a fit leaves, taken from the columns, and the fit done anew, a tone at a time.

const (
	// humPasses is how often that is done: a fit takes a part of the tone for motion.
	humPasses = 6
	// humMissed is what a fit must miss for that to be looked for.
	humMissed = 0.04
	// humShare is the least part of the residuals' power that a tone has.
	humShare = 0.1
	// humApart is how much, in parts of the tone's power, the tones of both halves of a
	// segment may be apart: of noise, or of what the rotor does, that is 4.
	humApart = 0.5
	// humLeast is how many seconds of a tone are needed to know it from a turn.
	humLeast = 0.5
	// humSeconds is the longest segment in which the mains keep to a tone.
	humSeconds = 5.0
	// humWithin is how far the tone may be off its frequency, as a share: by the clock of
	// the board and by the mains.
	humWithin = 0.012
)

// mains are the tones that are looked for, in Hz: the mains' and what rectifiers add.
var mains = []float64{50, 60, 100, 120, 150, 180}

// Hum is a tone that was taken from the columns.
type Hum struct {
	Hz float64
	// Share is the largest amplitude of a channel over its level.
	Share float64
}

// tone has a complex amplitude by channel for each segment of time, of length seconds,
// from begin on.
type tone struct {
	hz, begin, length float64
	segment           [][3]complex128
}

// at returns the tone in channel c at time t.
func (o *tone) at(c int, t float64) float64 {
	k := min(max(0, int((t-o.begin)/o.length)), len(o.segment)-1)
	sin, cos := math.Sincos(2 * math.Pi * o.hz * t)
	return real(o.segment[k][c])*cos + imag(o.segment[k][c])*sin
}

// withoutHum fits a reading that f is the fit of again without the hum, if f leaves any.
func (f *Fit) withoutHum(r Reading, how Pace) *Fit {
	if r.guide != r.Signals { // clipped, and so is the hum
		return f
	}
	for range humPasses {
		o, share, ok := f.hum()
		if !ok {
			break
		}
		r = r.less(o)
		g := fitOnce(r, how)
		if g == nil || g.Missed() >= f.Missed() {
			break
		}
		g.Hum = append(slices.Clone(f.Hum), Hum{o.hz, share})
		f = g
	}
	return f
}

// less returns the reading without a tone.
func (r Reading) less(o *tone) Reading {
	s := *r.Signals
	s.Channels = slices.Clone(s.Channels)
	cores.Each(len(s.Channels), func(c int) {
		ch := &s.Channels[c]
		ch.Value = slices.Clone(ch.Value)
		for i, t := range s.Time {
			ch.Value[i] -= o.at(c, t+ch.Skew)
		}
	})
	return Reading{&s, &s}
}

// hum returns the tone of the mains that is the strongest in the residuals, and its
// amplitude over the level of the channel where it is largest.
func (f *Fit) hum() (o *tone, share float64, ok bool) {
	time := f.Signals.Time
	if f.Signals.Clipped || time[len(time)-1]-time[0] < humLeast || !(f.Missed() > humMissed) {
		return nil, 0, false
	}
	hz, best, interval := 0.0, 0.0, usualInterval(time)
	for _, near := range mains {
		if 3*near*interval > 1 {
			continue
		}
		if at, power := f.strongestNear(near); power > best {
			hz, best = at, power
		}
	}
	if best == 0 {
		return nil, 0, false
	}
	if o = f.tone(hz); !f.isHum(o) {
		return nil, 0, false
	}
	// The samples of a fit are means, which lower a tone.
	x := math.Pi * hz * interval
	for c := range f.Signals.Channels {
		largest := 0.0
		for k := range o.segment {
			o.segment[k][c] *= complex(x/math.Sin(x), 0)
			largest = max(largest, cmplx.Abs(o.segment[k][c]))
		}
		share = max(share, largest/f.level(c, f.Wave[c][f.PerChannel()-1]))
	}
	return o, share, true
}

// strongestNear returns the frequency near hz at which the residuals of the first segment
// have the most power in a tone, and that. What the residuals are beside a tone at hz, which
// is slow, is summed over beatSeconds first.
func (f *Fit) strongestNear(hz float64) (at, most float64) {
	const beatSeconds = 0.05 // a tenth of a turn of the farthest, which is 2 Hz off
	begin := f.Signals.Time[0]
	_, hi := f.between(begin, begin+humSeconds)
	length := min(humSeconds, f.Signals.Time[hi-1]-begin)
	beats := make([][3]complex128, int(length/beatSeconds)+1)
	for i, t := range f.Signals.Time[:hi] {
		sin, cos := math.Sincos(2 * math.Pi * hz * t)
		beat := &beats[min(int((t-begin)/beatSeconds), len(beats)-1)]
		for c := range f.Signals.Channels {
			if e := f.Residual[c][i]; !math.IsNaN(e) {
				beat[c] += complex(e*cos, e*sin)
			}
		}
	}
	for off := -humWithin * hz; off <= humWithin*hz; off += 1 / (4 * length) {
		var sum [3]complex128
		for k, beat := range beats {
			turn := cmplx.Rect(1, 2*math.Pi*off*beatSeconds*float64(k))
			for c := range sum {
				sum[c] += beat[c] * turn
			}
		}
		if p := power(sum[0]) + power(sum[1]) + power(sum[2]); p > most {
			at, most = hz+off, p
		}
	}
	return at, most
}

// between returns the samples [lo, hi) from one time to another.
func (f *Fit) between(from, to float64) (lo, hi int) {
	return sort.SearchFloat64s(f.Signals.Time, from), sort.SearchFloat64s(f.Signals.Time, math.Nextafter(to, math.Inf(1)))
}

// tone returns the tone at hz in the residuals, in segments of about humSeconds; of a
// recording with a gap of years there are no more of them than its samples can fill.
func (f *Fit) tone(hz float64) *tone {
	begin, end := f.Signals.Time[0], f.Signals.Time[len(f.Signals.Time)-1]
	most := float64(len(f.Signals.Time) / LeastRun)
	n := max(1, int(math.Round(min((end-begin)/humSeconds, most))))
	o := &tone{hz: hz, begin: begin, length: (end - begin) / float64(n)}
	for k := range n {
		from := begin + float64(k)*o.length
		var a [3]complex128
		for c := range f.Signals.Channels {
			a[c] = f.amplitude(c, hz, from, from+o.length)
		}
		o.segment = append(o.segment, a)
	}
	return o
}

// amplitude returns that of the tone at hz in the residuals of channel c between two
// times: the real part is its cosine's, the imaginary part its sine's.
func (f *Fit) amplitude(c int, hz, from, to float64) complex128 {
	skew := f.Signals.Channels[c].Skew
	lo, hi := f.between(from, to)
	return f.turning(c, lo, hi, func(i int) float64 { return 2 * math.Pi * hz * (f.Signals.Time[i] + skew) })
}

// turning returns the amplitude of what turns by phase, in rad, in the residuals of channel
// c and samples [lo, hi).
func (f *Fit) turning(c, lo, hi int, phase func(i int) float64) complex128 {
	var cosine, sine, n float64
	for i := lo; i < hi; i++ {
		if e := f.Residual[c][i]; !math.IsNaN(e) {
			sin, cos := math.Sincos(phase(i))
			cosine, sine, n = cosine+e*cos, sine+e*sin, n+1
		}
	}
	if n == 0 {
		return 0
	}
	return complex(2*cosine/n, 2*sine/n)
}

// follows reports whether a tone follows the rotor rather than the time, as what its shaft
// does at a steady speed: turned by the angle, as often in all, it is larger.
func (f *Fit) follows(o *tone) bool {
	angle := func(i int) float64 {
		a, _ := f.Angle.AtTime(f.Signals.Time[i])
		return a
	}
	var byAngle, byTime float64
	for k := range o.segment {
		from := o.begin + float64(k)*o.length
		lo, hi := f.between(from, from+o.length)
		if hi-lo < 2 {
			continue
		}
		span := f.Signals.Time[hi-1] - f.Signals.Time[lo]
		per := 2 * math.Pi * o.hz * span / (angle(hi-1) - angle(lo))
		for c := range f.Signals.Channels {
			byAngle += power(f.turning(c, lo, hi, func(i int) float64 { return per * angle(i) }))
			byTime += power(o.segment[k][c])
		}
	}
	return byAngle > byTime
}

// isHum reports whether a tone is a good part of the residuals, and the same in both
// halves of its segments, and does not follow the rotor.
func (f *Fit) isHum(o *tone) bool {
	var whole, apart, all, n float64
	for c := range f.Signals.Channels {
		for k, a := range o.segment {
			from := o.begin + float64(k)*o.length
			first := f.amplitude(c, o.hz, from, from+o.length/2)
			second := f.amplitude(c, o.hz, from+o.length/2, from+o.length)
			whole += power(a[c]) / float64(len(o.segment))
			apart += power(first-second) / float64(len(o.segment))
		}
		for _, e := range f.Residual[c] {
			if !math.IsNaN(e) {
				all, n = all+e*e, n+1
			}
		}
	}
	all *= float64(len(f.Signals.Channels)) / n
	return apart < humApart*whole && whole/2 > humShare*all && !f.follows(o)
}
