package main

import (
	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/capture/synth"
)

// plan is what the command line says about a simulation.
type plan struct {
	kind    *value[synth.Kind]
	seed    uint64
	seconds float64
	leads   value[capture.Leads]
	place   placement
	machine machine
	// changes are made to the configuration that the seed draws, in the
	// order of the command line.
	changes []change
}

type change func(*synth.Config)

// placement is where the sensors are; it replaces the places drawn if given.
type placement struct {
	given              bool
	spacing, alignment float64
	order              [3]int
	errors             [3]float64
}

func newPlan() *plan {
	return &plan{place: placement{spacing: 120, alignment: 30, order: [3]int{0, 1, 2}}}
}

// config returns the configuration.
func (p *plan) config() (synth.Config, error) {
	c := synth.Random(p.kind.got, p.seed)
	if p.seconds != 0 {
		c.Spin.Seconds = p.seconds
	}
	for _, change := range p.changes {
		change(&c)
	}
	if at := p.place; at.given {
		for i, s := range synth.Placed(at.spacing, at.alignment, at.order, at.errors) {
			c.Motor.Sensors[i].RiseDeg, c.Motor.Sensors[i].WidthDeg = s.RiseDeg, s.WidthDeg
		}
	}
	err := p.machine.apply(&c)
	return c, err
}

// groups returns the flags, in the order of help.
func (p *plan) groups() []group {
	return []group{
		{"What", p.whatFlags()},
		{"Motor", p.motorFlags()},
		{"Motor coil by coil and magnet by magnet", p.machine.flags()},
		{"Sensors", p.sensorFlags()},
		{"Spin (electrical turns per second; negative turns the other way)", p.spinFlags()},
		{"Front end", p.frontEndFlags()},
	}
}

func (p *plan) whatFlags() *pflag.FlagSet {
	set := newSet()
	p.kind = &value[synth.Kind]{text: synth.Ordinary.String(), kind: "NAME", parse: parseKind}
	p.leads = value[capture.Leads]{kind: "p1=NAME,...", parse: capture.ParseLeads}
	set.Var(p.kind, "kind", "what to draw: "+kindNames())
	set.Uint64Var(&p.seed, "seed", 1, "the same seed and flags give the same recording")
	set.Var(&p.leads, "leads", "names of the leads for the recording's header")
	return set
}

func (p *plan) motorFlags() *pflag.FlagSet {
	set := newSet()
	p.flag(set, "pole-pairs", "N", "pole pairs", whole(func(c *synth.Config, n int) { c.Motor.PolePairs = n }))
	p.flag(set, "flux", "VS", "peak flux linkage of a phase, V s", number(func(c *synth.Config, x float64) { c.Motor.Flux = x }))
	p.flag(set, "harmonics", "5=0.05,...", "all harmonics of the back-EMF, relative", parseHarmonics)
	p.flag(set, "phase-order", "132", "the magnetic phases that p1 p2 p3 lead to", inOrder(func(c *synth.Config, o [3]int) { c.Motor.PhaseOrder = o }))
	p.flag(set, "weak-phase", "p2=0.8,...", "relative back-EMF of leads", leadNumbers('p', func(c *synth.Config, i int, x float64) { c.Motor.Gain[i] = x }))
	p.flag(set, "reversed-phase", "p2,...", "phases whose ends are exchanged", leads('p', func(c *synth.Config, i int) { c.Motor.Gain[i] *= -1 }))
	p.flag(set, "open-phase", "p2,...", "leads without connection", leads('p', func(c *synth.Config, i int) { c.Motor.Open[i] = true }))
	p.flag(set, "pole-strength", "SD", "relative deviation of the magnets' strength", number(func(c *synth.Config, x float64) { c.Motor.PoleStrength = x }))
	p.flag(set, "pole-shift", "DEG", "deviation of the magnets' places, electrical degrees", number(func(c *synth.Config, x float64) { c.Motor.PoleShift = x }))
	return set
}

func (p *plan) sensorFlags() *pflag.FlagSet {
	set := newSet()
	p.flag(set, "spacing", "DEG", "sensors this far apart; this and the next three replace the places drawn", number(p.placed(func(x float64) { p.place.spacing = x })))
	p.flag(set, "alignment", "DEG", "electrical degrees at which the first sensor rises after the back-EMF of phase 1, in the sense of positive speeds (30 and every 60 from there suit six-step drive)", number(p.placed(func(x float64) { p.place.alignment = x })))
	p.flag(set, "sensor-order", "132", "the places of h1 h2 h3", inOrder(func(_ *synth.Config, o [3]int) { p.place.given, p.place.order = true, o }))
	p.flag(set, "sensor-error", "h1=4,...", "electrical degrees off place", leadNumbers('h', func(_ *synth.Config, i int, x float64) { p.place.given, p.place.errors[i] = true, x }))
	p.flag(set, "hysteresis", "DEG", "by how much all edges are late", number(func(c *synth.Config, x float64) {
		for i := range c.Motor.Sensors {
			c.Motor.Sensors[i].HysteresisDeg = x
		}
	}))
	p.flag(set, "late", "h2=500,...", "microseconds by which all edges are late, as with a capacitor at the line", sensorNumbers(func(s *synth.Sensor, x float64) { s.LateUS = x }))
	p.flag(set, "inverted", "h2,...", "sensors with high and low exchanged", sensors(func(s *synth.Sensor) { s.Inverted = true }))
	p.flag(set, "stuck-low", "h2,...", "dead sensors or shorted wires", sensors(func(s *synth.Sensor) { s.Stuck = synth.StuckLow }))
	p.flag(set, "stuck-high", "h2,...", "dead sensors or broken wires", sensors(func(s *synth.Sensor) { s.Stuck = synth.StuckHigh }))
	p.flag(set, "intermittent", "h2=0.2,...", "probability of losing the passage of a pole", sensorNumbers(func(s *synth.Sensor, x float64) { s.DropRate = x }))
	p.flag(set, "bounce", "h2=1,...", "false pulses after each edge, up to 300 us long", sensorNumbers(func(s *synth.Sensor, x float64) { s.Bounces, s.BounceUS = int(x), 300 }))
	p.flag(set, "glitches", "h2=5,...", "false pulses per second, 100 us long", sensorNumbers(func(s *synth.Sensor, x float64) { s.GlitchRate, s.GlitchUS = x, 100 }))
	return set
}

// placed returns a change that sets a part of the placement.
func (p *plan) placed(set func(float64)) func(*synth.Config, float64) {
	return func(_ *synth.Config, x float64) {
		p.place.given = true
		set(x)
	}
}

func (p *plan) spinFlags() *pflag.FlagSet {
	set := newSet()
	set.Float64Var(&p.seconds, "seconds", 0, "`SECONDS` of recording, if not as many as the kind has")
	p.flag(set, "pushes", "4x12", "pushes by hand and the speed that each adds", pushes(func(c *synth.Config, n int, hz float64) synth.Spin { return synth.Pushes(c.Spin.Seconds, n, hz) }))
	p.flag(set, "back-and-forth", "6x20", "pushes in turn either way and their speed", pushes(func(c *synth.Config, n int, hz float64) synth.Spin {
		return synth.BackAndForth(c.Spin.Seconds, n, hz)
	}))
	p.flag(set, "drill", "HZ", "turned by a drill", number(func(c *synth.Config, x float64) { c.Spin = synth.Drilled(c.Spin.Seconds, x) }))
	p.flag(set, "ramp", "SECONDS", "in which the drill comes from rest to its speed", number(func(c *synth.Config, x float64) { c.Spin.Drill.Ramp, c.Spin.StartHz = x, 0 }))
	p.flag(set, "turns", "N", "one push that comes to rest after about N electrical turns, in two seconds", number(func(c *synth.Config, x float64) { c.Spin = synth.FewTurns(x) }))
	p.flag(set, "cogging", "HZ/S", "peak of the cogging, 6 places per pole pair", number(func(c *synth.Config, x float64) {
		c.Spin.Cogging, c.Spin.CoggingOrder = x, 6*c.Motor.PolePairs
	}))
	return set
}

func (p *plan) frontEndFlags() *pflag.FlagSet {
	set := newSet()
	p.flag(set, "reference", "NAME", "what the columns are measured against: "+referenceNames(), parseReference)
	p.flag(set, "rate", "HZ", "samples per second", number(func(c *synth.Config, x float64) { c.FrontEnd.RateHz = x }))
	p.flag(set, "bits", "N", "bits of the converter, 0 for no rounding", whole(func(c *synth.Config, n int) { c.FrontEnd.Bits = n }))
	p.flag(set, "volts-per-count", "V", "back-EMF for one count", number(func(c *synth.Config, x float64) { c.FrontEnd.VoltsPerCount = x }))
	p.flag(set, "noise", "COUNTS", "standard deviation of the noise", number(func(c *synth.Config, x float64) { c.FrontEnd.NoiseCounts = x }))
	p.flag(set, "offset", "C,C,C", "counts at rest, by column", three(func(c *synth.Config, x [3]float64) { c.FrontEnd.OffsetCounts = x }))
	p.flag(set, "gain-error", "X,X,X", "relative, by column", three(func(c *synth.Config, x [3]float64) { c.FrontEnd.GainError = x }))
	p.flag(set, "skew", "US,US,US", "by how much a column is sampled later than the first", three(func(c *synth.Config, x [3]float64) { c.FrontEnd.SkewUS = x }))
	p.flag(set, "clip", "LOW,HIGH", "counts beyond which a column stays", two(func(c *synth.Config, x [2]float64) { c.FrontEnd.ClipLow, c.FrontEnd.ClipHigh = x[0], x[1] }))
	p.flag(set, "missing", "FROM,TO", "seconds between which rows are lost", two(func(c *synth.Config, x [2]float64) { c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = x[0], x[1] }))
	p.flag(set, "hum", "COUNTS", "pick-up from 50 Hz mains", number(func(c *synth.Config, x float64) { c.FrontEnd.Hum, c.FrontEnd.HumHz = x, 50 }))
	p.flag(set, "spikes", "HZ,COUNTS", "single samples of a column that are off, how often per second and by up to how much", two(func(c *synth.Config, x [2]float64) { c.FrontEnd.Spikes, c.FrontEnd.SpikeCounts = x[0], x[1] }))
	p.flag(set, "index", "DEG", "a pulse each turn of the shaft at this machine angle", number(func(c *synth.Config, x float64) { c.FrontEnd.Index, c.FrontEnd.IndexDeg = true, x }))
	p.flag(set, "hall-lag", "US", "by how much edges are stamped late", number(func(c *synth.Config, x float64) { c.FrontEnd.HallLagUS = x }))
	p.flag(set, "edge-rows", "yes|no", "whether each Hall edge has a row of its own", parseEdgeRows)
	return set
}
