package emf

// Reading is one way to read the columns of a recording.
type Reading struct {
	*Signals
	// guide is what the rotor is first followed by, sampled like Signals. It
	// differs from them where they are clipped: differences of clipped columns
	// are distorted, but turn as the rotor does.
	guide *Signals
}

// leastFlat is how thin the plane of the channels may be before they count as
// one signal. A reversed phase, the thinnest case of three live leads, has 0.33.
const leastFlat = 0.12

// leastShown is the share of the samples below which a reading that leaves out the
// clipped ones is not believed: the angle between those left may be anything. On
// simulated motors its edges are off by 20 degrees and more below a sixth, by 10 here
// and there up to a third.
const leastShown = 0.4

// FitReading fits one reading; nil where it has no usable turning, or leaves out too much
// of it.
func FitReading(r Reading, how Pace) *Fit {
	f := fitOnce(r, how)
	if f == nil {
		return nil
	}
	return f.withoutHum(r, how)
}

// fitOnce fits a reading as it is.
func fitOnce(r Reading, how Pace) *Fit {
	p, ok := r.guide.whiten()
	if !ok || p.flat < leastFlat {
		return nil
	}
	n := r.guide.thinning(p)
	s := r.Signals.Thin(n)
	guide := s
	if r.guide != r.Signals {
		guide = r.guide.Thin(n)
	}
	angle, turning := guide.follow(p, how)
	own := *s // the reading must stay whole
	own.Stretches = turning
	if s.shown(turning) < leastShown*guide.shown(turning) {
		return nil
	}
	f, err := NewFit(&own, angle, how)
	if err != nil || f.Refine() != nil {
		return nil
	}
	return f
}
