package synth

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"handspin/capture"
)

// Config is everything that determines a recording.
type Config struct {
	Motor    Motor
	Spin     Spin
	FrontEnd FrontEnd
	Seed     uint64

	// turned is the motion that Spin was chosen by, nil where it was not.
	turned *motion
}

// The random streams of a seed: each part draws from its own, so that changing
// one part of a Config leaves what the others draw alone.
const (
	magnetStream = iota + 1
	sensorStream // and the two after it
	_
	_
	noiseStream
	spikeStream
)

func (c Config) stream(n uint64) *rand.Rand { return rand.New(rand.NewPCG(c.Seed, n)) }

// Record turns the motor and returns what the front end records of it, and the
// truth about it. The configuration must pass [Config.Check].
func (c Config) Record() (*capture.Recording, Truth) {
	g := newMagnets(c.Motor, c.stream(magnetStream))
	m := c.turned
	if !m.is(c.Spin, c.Motor.PolePairs) {
		m = c.Spin.run(c.Motor.PolePairs)
	}
	r := recorder{
		Config:  c,
		motion:  m,
		winding: newWinding(c.Motor, g),
		noise:   c.stream(noiseStream),
		spikes:  c.stream(spikeStream),
	}
	for i, s := range c.Motor.Sensors {
		l := s.spoil(s.follow(m, g), c.Spin.Seconds, c.stream(sensorStream+uint64(i)))
		r.add(i, l)
	}
	slices.SortStableFunc(r.changes, func(a, b change) int { return cmp.Compare(a.at, b.at) })
	rec := r.recording()
	return rec, newTruth(c, m, r.start, rec.Seconds())
}

// change is a Hall lead's change of level.
type change struct {
	at   float64
	lead int
}

// recorder samples a turning motor.
type recorder struct {
	Config
	motion  *motion
	winding *winding
	noise   *rand.Rand
	spikes  *rand.Rand
	levels  capture.Levels // after the changes that have been passed
	changes []change       // of all three lines, in order of time
	filters [3]filter
	out     *capture.Recording
	start   float64 // time of the first row, s
}

// add puts a line's changes to those of the other lines.
func (r *recorder) add(lead int, l line) {
	r.levels = r.levels.With(lead, l.first)
	for _, t := range l.toggles {
		r.changes = append(r.changes, change{t, lead})
	}
}

// recording returns the rows: samples at equal times and, between them in the
// order of their stamps, the edges.
func (r *recorder) recording() *capture.Recording {
	f := r.FrontEnd
	r.out = r.frame()
	edges := r.edges()
	sampled := r.levels
	for k := 0; ; k++ {
		t := float64(k) / f.RateHz
		if t > r.Spin.Seconds {
			break
		}
		stamp := r.stamp(t)
		for len(edges) > 0 && edges[0].stamp <= stamp {
			r.edgeRow(edges[0])
			edges = edges[1:]
		}
		for len(r.changes) > 0 && r.changes[0].at <= t {
			sampled = toggled(sampled, r.changes[0].lead)
			r.changes = r.changes[1:]
		}
		r.sampleRow(t, stamp, sampled)
	}
	if len(r.out.Time) > 0 {
		r.start = r.out.Time[0]
	}
	for i := range r.out.Time {
		r.out.Time[i] -= r.start
	}
	r.index()
	return r.out
}

// index adds the times at which the shaft passed its index, either way.
func (r *recorder) index() {
	if !r.FrontEnd.Index {
		return
	}
	m := r.motion
	at := r.FrontEnd.IndexDeg / 360 / m.polePairs
	turn := func(i int) float64 { return math.Floor(m.angle[i]/(2*math.Pi) - at) }
	for i := 1; i < len(m.angle); i++ {
		if k := max(turn(i), turn(i-1)); turn(i) != turn(i-1) {
			r.out.Index = append(r.out.Index, m.crossing(i-1, 2*math.Pi*(k+at))-r.start)
		}
	}
}

// frame returns the recording without its rows.
func (r *recorder) frame() *capture.Recording {
	f := r.FrontEnd
	out := &capture.Recording{
		Name:         "synthetic",
		HallLag:      f.HallLagUS * 1e-6,
		VoltsPerUnit: f.VoltsPerCount,
		Header: []capture.HeaderLine{
			{Key: "note", Value: fmt.Sprintf("synthetic motor, seed %d", r.Seed)},
		},
	}
	first := capture.P1
	if f.Reference == Differences {
		first = capture.P12
	}
	for i := range 3 {
		signal := first + capture.Signal(i)
		out.Columns = append(out.Columns, capture.Column{
			Signal: signal, Source: signal.String(), Skew: f.SkewUS[i] * 1e-6,
		})
	}
	return out
}

// edge is a change as stamped: time in seconds and the levels after it.
type edge struct {
	stamp  float64
	levels capture.Levels
}

// edges returns the edge rows, none where the front end does not stamp.
func (r *recorder) edges() []edge {
	if !r.FrontEnd.EdgeRows {
		return nil
	}
	levels := r.levels
	out := make([]edge, len(r.changes))
	for i, c := range r.changes {
		levels = toggled(levels, c.lead)
		out[i] = edge{r.stamp(c.at + r.FrontEnd.HallLagUS*1e-6), levels}
	}
	return out
}

func toggled(l capture.Levels, lead int) capture.Levels {
	high, _ := l.Level(lead)
	return l.With(lead, !high)
}

// stamp returns the time rounded to the board's counter, in seconds. Of the
// counter's start only the place within a step matters.
func (r *recorder) stamp(t float64) float64 {
	start := float64(r.FrontEnd.StartUS % stampUS)
	us := math.Round((start+t*1e6)/stampUS) * stampUS
	return (us - start) * 1e-6
}

func (r *recorder) missing(t float64) bool {
	return t >= r.FrontEnd.MissingFrom && t < r.FrontEnd.MissingTo
}

func (r *recorder) edgeRow(e edge) {
	if r.missing(e.stamp) {
		return
	}
	r.row(e.stamp, e.levels, true)
	for i := range r.out.Columns {
		r.value(i, capture.Missing)
	}
}

func (r *recorder) sampleRow(t, stamp float64, levels capture.Levels) {
	if r.missing(stamp) {
		return
	}
	r.row(stamp, levels, false)
	for i := range r.out.Columns {
		r.value(i, r.sample(i, t))
	}
}

func (r *recorder) row(stamp float64, levels capture.Levels, isEdge bool) {
	r.out.Time = append(r.out.Time, stamp)
	r.out.Hall = append(r.out.Hall, levels)
	r.out.Edge = append(r.out.Edge, isEdge)
}

func (r *recorder) value(column int, v float64) {
	c := &r.out.Columns[column]
	c.Value = append(c.Value, v)
}

// filter is the state of a column's input: two first-order sections, advanced
// exactly from sample to sample for an input that stays until the next.
type filter struct {
	low, slow float64 // the low-pass's output, the high-pass's own mean
	begun     bool
}

// pass returns the filtered voltage. It begins settled.
func (x *filter) pass(f FrontEnd, volts float64) float64 {
	if !x.begun {
		x.low, x.slow, x.begun = volts, volts, true
	}
	if f.LowPass > 0 {
		x.low += (volts - x.low) * -math.Expm1(-1/(f.RateHz*f.LowPass))
		volts = x.low
	}
	if f.HighPass > 0 {
		x.slow += (volts - x.slow) * -math.Expm1(-1/(f.RateHz*f.HighPass))
		volts -= x.slow
	}
	return volts
}

// sample returns a column's value for the row at time t, in counts.
func (r *recorder) sample(column int, t float64) float64 {
	f := r.FrontEnd
	t += f.SkewUS[column] * 1e-6
	angle, speed := r.motion.electrical(t)
	volts := f.columns(r.winding.emf(angle, speed), r.Motor.Open)[column]
	volts = r.filters[column].pass(f, volts)
	counts := volts / f.VoltsPerCount * (1 + f.GainError[column])
	if f.Reference != Differences {
		counts += f.Hum * math.Sin(2*math.Pi*f.HumHz*t)
	}
	counts += f.OffsetCounts[column] + f.NoiseCounts*r.noise.NormFloat64()
	if f.Spikes > 0 && r.spikes.Float64() < f.Spikes/f.RateHz {
		counts += f.SpikeCounts * (2*r.spikes.Float64() - 1)
	}
	if f.Bits > 0 {
		counts = math.Round(counts)
	}
	return f.clip(counts)
}
