package synth

import (
	"math"
	"math/rand/v2"
)

// Kind is a kind of recording to draw at random.
type Kind uint8

// The kinds. Ordinary: stamped edges, 10 bits, 3.2 kHz, jerky pushes one way,
// more than 20 electrical turns in 6 s. Reversing: the same, pushed back and
// forth. SampledHalls: levels known at 1.5 kHz samples only. Clipped: columns
// cut at the converter's rails. HalfWaves and Lowest: columns with those
// references. Starless: columns against the virtual star or one another of a
// motor with unequal phases. Faint: 5 counts of back-EMF in noise of 2. Short:
// two or three electrical turns. Fast: a drill at 100 to 400 Hz electrical.
const (
	Ordinary Kind = iota
	Reversing
	SampledHalls
	Clipped
	HalfWaves
	Lowest
	Starless
	Faint
	Short
	Fast
	Kinds // how many kinds there are
)

var kindNames = [Kinds]string{
	"ordinary", "reversing", "sampled-halls", "clipped", "half-waves", "lowest",
	"starless", "faint", "short", "fast",
}

// String returns the kind's name in lower case with hyphens.
func (k Kind) String() string { return kindNames[k] }

// Random draws a plausible motor, spin and front end of a kind. The seed is all
// that the result depends on.
func Random(k Kind, seed uint64) Config {
	d := draw{rand.New(rand.NewPCG(seed, uint64(k)<<32))}
	c := Config{Motor: d.motor(), FrontEnd: d.frontEnd(), Seed: seed}
	c.turned = d.fit(&c.Spin, k, c.Motor.PolePairs)
	peak := d.between(50, 450)
	switch k {
	case SampledHalls:
		c.FrontEnd.EdgeRows = false
		c.FrontEnd.RateHz = 1500
	case Clipped:
		peak = d.between(600, 1000)
	case HalfWaves:
		c.FrontEnd.Reference = HalfWave
		c.FrontEnd.OffsetCounts = [3]float64{}
		c.FrontEnd.ClampLoad = d.between(0, 0.1)
		peak = d.between(100, 900)
	case Lowest:
		c.FrontEnd.Reference = LowestLead
		c.FrontEnd.OffsetCounts = d.each(0, 5)
	case Starless:
		c.FrontEnd.Reference = []Reference{VirtualStar, FirstLead, Differences}[d.IntN(3)]
		c.Motor.Gain = d.each(0.85, 1)
	case Faint:
		c.FrontEnd.NoiseCounts = 2
	}
	c.scale(k, peak)
	return c
}

// fit draws spins until one turns the rotor as far as the kind demands, and
// returns its motion: friction and cogging have their say in what becomes of the
// pushes.
func (d draw) fit(s *Spin, k Kind, polePairs int) *motion {
	for {
		*s = d.spin(k)
		s.CoggingOrder = 6 * (1 + d.IntN(2)) * polePairs
		m := s.run(polePairs)
		with, against := m.turned(0, s.Seconds)
		turns := with + against
		if k == Short && turns >= 2 && turns <= 3 || k != Short && turns > 25 {
			return m
		}
	}
}

// scale sets the flux so that the fundamental peaks at the given counts at the
// highest speed; a faint one has 5 counts at the mean speed while turning.
func (c *Config) scale(k Kind, peak float64) {
	m := c.turned
	fastest, sum, turning := 0.0, 0.0, 0.0
	for _, w := range m.speed {
		w = math.Abs(w) * m.polePairs
		fastest = max(fastest, w)
		if w > 2*math.Pi { // slower than a turn per second is as good as at rest
			sum += w
			turning++
		}
	}
	speed := fastest
	if k == Faint {
		speed, peak = sum/turning, 5
	}
	c.Motor.Flux = peak * c.FrontEnd.VoltsPerCount / speed
}

// draw is a source of plausible numbers.
type draw struct{ *rand.Rand }

func (d draw) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

func (d draw) each(low, high float64) [3]float64 {
	return [3]float64{d.between(low, high), d.between(low, high), d.between(low, high)}
}

func (d draw) normal(sd float64) [3]float64 {
	return [3]float64{sd * d.NormFloat64(), sd * d.NormFloat64(), sd * d.NormFloat64()}
}

// order draws one of the six orders of three things.
func (d draw) order() [3]int { return [3]int(d.Perm(3)) }

// motor draws a sound motor: sensors 120 degrees apart with a place error of 3
// degrees, any of the twelve alignments, harmonics up to a tenth.
func (d draw) motor() Motor {
	m := NewMotor(2+d.IntN(29), 0)
	m.PhaseOrder = d.order()
	m.Gain = d.each(0.99, 1)
	m.Harmonics = map[int]float64{
		3: d.between(-0.1, 0.1),
		5: d.between(-0.1, 0.1),
		7: d.between(-0.05, 0.05),
		9: d.between(-0.03, 0.03),
	}
	m.PoleStrength = d.between(0, 0.03)
	m.PoleShift = d.between(0, 1)
	m.Sensors = Placed(120, 30+60*float64(d.IntN(6)), d.order(), d.normal(3))
	hysteresis := d.between(0, 5)
	for i := range m.Sensors {
		m.Sensors[i].HysteresisDeg = hysteresis * d.between(0.8, 1.2)
		m.Sensors[i].WidthDeg += 2 * d.NormFloat64()
	}
	return m
}

func (d draw) frontEnd() FrontEnd {
	f := Board()
	for i := range 3 {
		f.OffsetCounts[i] = 500 + d.between(-15, 15)
		f.GainError[i] = d.between(-0.01, 0.01)
	}
	f.NoiseCounts = d.between(1, 2)
	f.HallLagUS = d.between(0, 12)
	if d.IntN(2) == 0 {
		f.Reference = Neutral
	}
	return f
}

// spin draws a hand spin, either way.
func (d draw) spin(k Kind) Spin {
	sense := float64(1 - 2*d.IntN(2))
	var s Spin
	switch k {
	case Reversing:
		s = BackAndForth(6, 4+d.IntN(6), sense*d.between(8, 40))
	case Short:
		s = FewTurns(sense * d.between(2, 3))
	case Fast:
		s = Drilled(6, sense*d.between(100, 400))
	default:
		n := 2 + d.IntN(4)
		s = Pushes(6, n, sense*d.between(8, 60/float64(n)+8))
	}
	for i := range s.Pushes {
		s.Pushes[i].Peak *= d.between(0.8, 1.2)
		s.Pushes[i].At += d.between(0, 0.1)
	}
	s.StartDeg = d.between(0, 360)
	s.Viscous = d.between(3, 20)
	s.Cogging = d.between(0, 60)
	if k == Fast || k == Short {
		s.Cogging /= 4
	}
	return s
}
