package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation"
)

// rotor gives the electrical angle of a recording's motor against time.
type rotor interface {
	// angleAt returns the unwrapped angle in degrees and the rate in degrees
	// per second, and whether the recording tells them at t.
	angleAt(t float64) (deg, rate float64, known bool)
}

// profile is how a Hall lead's level depends on the electrical angle: by
// degree, how far the rotor turned there while the level was high and low.
type profile struct {
	high, low [360]float64
}

// add records travel from angle a to b at one level. Ten turns at once are not
// a rotor's but those of an angle that went astray.
func (p *profile) add(a, b float64, high bool) {
	if b < a {
		a, b = b, a
	}
	if b-a > 3600 {
		return
	}
	to := &p.low
	if high {
		to = &p.high
	}
	floor := math.Floor(a)
	d := (int(floor)%360 + 360) % 360
	for a < b {
		floor++
		next := min(floor, b)
		to[d] += next - a
		a = next
		if d++; d == 360 {
			d = 0
		}
	}
}

// arc returns the arc [rise, fall) of whole degrees in which high fits the
// profile best: the circular run of the largest sum of high less low. That is
// either a run that does not pass 360 or what a run of the smallest sum leaves.
func (p *profile) arc() (rise, fall int) {
	var balance, negative [360]float64
	total := 0.0
	for k := range balance {
		balance[k] = p.high[k] - p.low[k]
		negative[k] = -balance[k]
		total += balance[k]
	}
	rise, fall, most := largestRun(&balance)
	if low, high, least := largestRun(&negative); total+least > most {
		rise, fall = high, low
	}
	return rise % 360, fall % 360
}

// largestRun returns the run [from, to) of the largest sum and that sum, by
// Kadane's scan.
func largestRun(x *[360]float64) (from, to int, most float64) {
	sum, start := 0.0, 0
	for k, v := range x {
		if sum <= 0 {
			sum, start = 0, k
		}
		if sum += v; sum > most {
			most, from, to = sum, start, k+1
		}
	}
	return from, to, most
}

// nearEdge is how close to an edge a level says nothing: hysteresis lets it
// differ there between the directions.
const nearEdge = 15

// agreement returns the share of the travel, away from the edges, at which the
// level was high from rise to fall and low elsewhere.
func (p *profile) agreement(rise, fall int) float64 {
	right, all := 0.0, 0.0
	width := ((fall-rise)%360 + 360) % 360
	for k := range 360 {
		d := (rise + k) % 360
		inside := k < width
		to := min(k, 360-k, max(k-width, width-k)) // distance to an edge
		if to < nearEdge {
			continue
		}
		all += p.high[d] + p.low[d]
		if inside {
			right += p.high[d]
		} else {
			right += p.low[d]
		}
	}
	if all == 0 {
		return 0
	}
	return right / all
}

// covered returns how many of the 360 degrees the rotor passed.
func (p *profile) covered() int {
	n := 0
	for d := range p.high {
		if p.high[d]+p.low[d] > 0 {
			n++
		}
	}
	return n
}

// edge is one change of a Hall lead's level.
type edge struct {
	deg     float64 // electrical, unwrapped
	rate    float64 // deg/s
	t       float64 // s
	sd      float64 // deg
	rising  bool    // in the sense of the angle, not of time
	forward bool    // the rotor turned forward
}

// sensorData is what a recording holds of one Hall lead.
type sensorData struct {
	profile  profile
	edges    []edge
	glitches int       // pulses too short to be a pole passing
	pulses   []float64 // when they began, s
	known    bool
	travel   float64 // degrees turned while the level was known
	changes  int     // of level, all of them
}

// The limits below which a run of one level is not a magnet pole passing: the
// rotor turned less than pulseDeg in it. Such a run is a glitch or a bounce if
// it was shorter than pulseTime as well; a longer one is a rotor that stopped
// and turned back just behind an edge.
const (
	pulseDeg  = 8.0
	pulseTime = 0.003 // s
)

// gather collects the data of Hall lead i.
func gather(rec *capture.Recording, r rotor, lead int) *sensorData {
	d := &sensorData{}
	for _, runs := range runsOf(rec, lead, gapLimit(rec)) {
		d.known = true
		d.changes += len(runs) - 1
		for i := range runs {
			d.measure(&runs[i], rec, r)
		}
		d.takeEdges(runs, r)
	}
	return d
}

// gapLimit is the longest pause between rows over which a level is held. Event
// rows come only when something changes, and a rotor may rest for long.
func gapLimit(rec *capture.Recording) float64 {
	if len(rec.Columns) == 0 {
		return math.Inf(1)
	}
	return max(gapFactor*usualInterval(rec.Time), gapTime)
}

// measure fills in the run's angles and adds it to the profile, in steps short
// enough to follow a rotor that turns back within the run.
func (d *sensorData) measure(run *levelRun, rec *capture.Recording, r rotor) {
	const step, most = 0.002, 1e5 // s; a rotor at rest may rest for hours
	n := int(min(math.Ceil((run.end-run.start)/step), most))
	n = max(n, 1)
	run.leastDeg, run.mostDeg = math.Inf(1), math.Inf(-1)
	previous, seen := 0.0, false
	for k := range n + 1 {
		t := run.start + (run.end-run.start)*float64(k)/float64(n)
		deg, _, ok := r.angleAt(t)
		if !ok {
			seen = false
			continue
		}
		if seen {
			d.profile.add(previous, deg, run.high)
			d.travel += math.Abs(deg - previous)
		}
		run.leastDeg, run.mostDeg = min(run.leastDeg, deg), max(run.mostDeg, deg)
		previous, seen = deg, true
	}
}

// long reports whether a magnet pole may have passed in the run.
func (run *levelRun) long() bool { return run.mostDeg-run.leastDeg >= pulseDeg }

// takeEdges turns the changes between long runs into edges. What lies between
// two long runs is bounce or a glitch; where they differ, the edge is the first
// change after the earlier one, since a contact or a comparator bounces after
// its edge.
func (d *sensorData) takeEdges(runs []levelRun, r rotor) {
	before := -1
	for i := range runs {
		if !runs[i].long() {
			continue
		}
		if before >= 0 {
			d.countGlitches(runs[before+1 : i])
			if runs[before].high != runs[i].high {
				d.takeEdge(&runs[before+1], r)
			}
		}
		before = i
	}
}

func (d *sensorData) countGlitches(short []levelRun) {
	brief := 0
	for _, run := range short {
		if run.end-run.start < pulseTime {
			if brief%2 == 0 {
				d.pulses = append(d.pulses, run.start)
			}
			brief++
		}
	}
	d.glitches += (brief + 1) / 2
}

func (d *sensorData) takeEdge(run *levelRun, r rotor) {
	deg, rate, ok := r.angleAt(run.start)
	if !ok || rate == 0 {
		return
	}
	forward := rate > 0
	d.edges = append(d.edges, edge{
		deg:     deg,
		rate:    rate,
		t:       run.start,
		sd:      math.Abs(rate) * run.doubt / math.Sqrt(3), // uniform over +-doubt
		rising:  run.high == forward,
		forward: forward,
	})
}

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
	if median(clone(sd)) > coarseDeg {
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
	centre := median(clone(x))
	dev := make([]float64, len(x))
	for i, v := range x {
		dev[i] = math.Abs(v - centre)
	}
	limit := max(4*1.4826*median(dev), poleDeg)
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

// unknown is a value that the recording does not tell.
var unknown = Value{math.NaN(), math.NaN()}

// sensor evaluates the data. Where both is set, places are means of the two
// directions, which takes the sensor's hysteresis out; it must be the same for
// all three, or they would seem to be shifted against one another.
func (d *sensorData) sensor(both bool) Sensor {
	s := Sensor{Known: d.known, RiseDeg: unknown, FallDeg: unknown, HysteresisDeg: unknown,
		ErrorDeg: math.NaN(), Glitches: d.glitches, Duty: math.NaN(), Agreement: math.NaN(), Scatter: math.NaN()}
	if !d.known {
		return s
	}
	rise, fall := d.profile.arc()
	s.Agreement = d.profile.agreement(rise, fall)
	at := d.spots(rise, fall)
	s.Scatter = at.scatter()
	s.Edges = at.rise[forward].n + at.rise[backward].n + at.fall[forward].n + at.fall[backward].n
	var hr, hf Value
	s.RiseDeg, hr = combine(at.rise, both)
	s.FallDeg, hf = combine(at.fall, both)
	s.HysteresisDeg = meanValue(hr, hf)
	s.Placed = !math.IsNaN(s.RiseDeg.Value) && !math.IsNaN(s.FallDeg.Value)
	if s.Placed {
		s.Duty = commutation.Wrap(s.FallDeg.Value-s.RiseDeg.Value) / 360
	}
	return s
}

// bothWays reports whether the sensor's edges were all seen in both directions,
// or never: a sensor without edges does not count.
func (d *sensorData) bothWays() bool {
	at := d.spots(d.profile.arc())
	return len(d.edges) == 0 || at.bothWays()
}

// meanValue is the mean of two independent values, or the one that is known.
func meanValue(a, b Value) Value {
	switch {
	case math.IsNaN(a.Value):
		return b
	case math.IsNaN(b.Value):
		return a
	}
	return Value{(a.Value + b.Value) / 2, math.Hypot(a.SD, b.SD) / 2}
}
