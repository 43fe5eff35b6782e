package spin

import (
	"math"
	"slices"

	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// spot is where a sensor's level changes: the mean over the edges seen in one
// sense of the level and one direction of turning.
type spot struct {
	n       int
	deg, sd float64 // sd of the mean
	scatter float64 // sd of a single edge; NaN where edges are intervals
}

// nearDeg is how far from the profile's place an edge may be and still count as
// that edge; the rest are dropouts.
const nearDeg = 40.0

// spotAt averages the edges near the angle place, forward or backward ones.
// Single edges scatter by the magnets' own spacing; edgeFloor says how precise
// one is at best, and keeps the sd honest where there are few.
func (d *sensorData) spotAt(place float64, rising, forward bool) spot {
	var off, sd []float64
	for _, e := range d.edges {
		if e.rising == rising && e.forward == forward {
			if x := commutation.Signed(e.deg - place); math.Abs(x) <= nearDeg {
				off, sd = append(off, x), append(sd, e.sd)
			}
		}
	}
	if len(off) == 0 {
		return spot{}
	}
	if emf.Median(slices.Clone(sd)) > coarseDeg {
		m, doubt := intervalMean(off, sd)
		return spot{len(off), commutation.Wrap(place + m), doubt, math.NaN()}
	}
	m, scatter := robustMean(off, sd)
	n := float64(len(off))
	return spot{len(off), commutation.Wrap(place + m), math.Hypot(scatter/math.Sqrt(n), edgeFloor/math.Sqrt(n)), scatter}
}

// edgeFloor is the standard deviation in degrees that a single edge has from
// uneven magnets, which repeat every shaft turn and so do not average away
// within the sample of a short spin.
const edgeFloor = 0.7

// coarseDeg is the standard deviation from which single edges are intervals
// rather than points: each lies somewhere between two samples.
const coarseDeg = 1.0

// intervalMean returns the mean and the standard deviation of the place that
// the intervals x +- sqrt(3) sd leave, all in degrees: its likelihood is the
// product of theirs, each a box rounded by the magnets' unevenness. Samples that
// fall on the same few angles in every turn leave it wide, which a mean of the
// edges' middles would not show.
func intervalMean(x, sd []float64) (m, doubt float64) {
	const step, uneven, stray, most = 0.5, 1.0, 1e-3, 200
	stride := max(1, len(x)/most)
	low, high := math.Inf(1), math.Inf(-1)
	for i := range x {
		half := math.Sqrt(3) * sd[i]
		low, high = min(low, x[i]-half), max(high, x[i]+half)
	}
	n := int((high-low)/step) + 1
	likelihood := make([]float64, n)
	largest := math.Inf(-1)
	below := func(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
	for k := range likelihood {
		at := low + step*float64(k)
		for i := 0; i < len(x); i += stride {
			half := math.Sqrt(3) * sd[i]
			likelihood[k] += math.Log(below((x[i]+half-at)/uneven) - below((x[i]-half-at)/uneven) + stray)
		}
		largest = max(largest, likelihood[k])
	}
	var sum, first, second float64
	for k, l := range likelihood {
		w := math.Exp(l - largest)
		at := low + step*float64(k)
		sum, first, second = sum+w, first+w*at, second+w*at*at
	}
	m = first / sum
	return m, math.Sqrt(max(second/sum-m*m, 0) + step*step/12)
}

// poleDeg is how far single edges may be from their mean by the magnets' own
// places, in electrical degrees; such edges are no outliers.
const poleDeg = 8.0

// robustMean returns the weighted mean of x without its outliers, and the
// scatter of what is left. The weights belong to sd and a floor.
func robustMean(x, sd []float64) (m, scatter float64) {
	centre := emf.Median(slices.Clone(x))
	dev := make([]float64, len(x))
	for i, v := range x {
		dev[i] = math.Abs(v - centre)
	}
	limit := max(4*1.4826*emf.Median(dev), poleDeg)
	sum, weight := 0.0, 0.0
	for i, v := range x {
		if math.Abs(v-centre) > max(limit, 2*sd[i]) {
			continue
		}
		w := 1 / (edgeFloor*edgeFloor + sd[i]*sd[i])
		sum, weight = sum+w*v, weight+w
	}
	m = sum / weight
	square, n := 0.0, 0
	for i, v := range x {
		if math.Abs(v-centre) <= max(limit, 2*sd[i]) {
			square, n = square+(v-m)*(v-m), n+1
		}
	}
	if n > 1 {
		scatter = math.Sqrt(square / float64(n-1))
	} else {
		scatter = sd[0]
	}
	return m, scatter
}

// spots are a sensor's four: its rise and fall, each turning forward and
// backward.
type spots struct {
	rise, fall [2]spot
}

const forward, backward = 0, 1

func (d *sensorData) spots(rise, fall int) spots {
	return spots{
		rise: [2]spot{d.spotAt(float64(rise), true, true), d.spotAt(float64(rise), true, false)},
		fall: [2]spot{d.spotAt(float64(fall), false, true), d.spotAt(float64(fall), false, false)},
	}
}

// scatter is the standard deviation of a single edge about its place, over all
// four; NaN where none tells it.
func (s spots) scatter() float64 {
	sum, n := 0.0, 0.0
	for _, x := range []spot{s.rise[forward], s.rise[backward], s.fall[forward], s.fall[backward]} {
		if x.n > 1 && !math.IsNaN(x.scatter) {
			sum += float64(x.n) * x.scatter * x.scatter
			n += float64(x.n)
		}
	}
	return math.Sqrt(sum / n)
}

// bothWays reports whether rise and fall were both seen in both directions.
func (s spots) bothWays() bool {
	return s.rise[forward].n > 0 && s.rise[backward].n > 0 && s.fall[forward].n > 0 && s.fall[backward].n > 0
}

// combine joins the two directions' spots into the place and the hysteresis: of
// both where both is set, else the direction that saw more.
func combine(s [2]spot, both bool) (place, hysteresis Value) {
	fwd, bwd := s[forward], s[backward]
	if both && fwd.n > 0 && bwd.n > 0 {
		half := commutation.Signed(fwd.deg-bwd.deg) / 2
		sd := math.Hypot(fwd.sd, bwd.sd) / 2
		return Value{commutation.Wrap(bwd.deg + half), sd}, Value{half, sd}
	}
	one := fwd
	if bwd.n > fwd.n {
		one = bwd
	}
	if one.n == 0 {
		return unknown, unknown
	}
	return Value{one.deg, one.sd}, unknown
}
