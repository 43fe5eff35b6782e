package synth

import (
	"math"
	"math/rand/v2"
)

// TruthSchema names the JSON form of a [Truth].
const TruthSchema = "handspin.truth/1"

// Truth is what is true of a recorded motor, in the words of the answer: forward
// is the way in which most electrical turning was done within the recording,
// and angles are electrical degrees that grow forward.
type Truth struct {
	Schema string `json:"schema"`
	// Zero is the lead whose event is at angle zero: p1 where the fundamental
	// of its back-EMF crosses zero rising, h1 where it rises because p1 has no
	// back-EMF, or empty where neither exists and zero is the machine's own.
	Zero string `json:"zero"`
	// Mirrored says that forward is against the machine's own sense.
	Mirrored  bool `json:"mirrored"`
	PolePairs int  `json:"pole_pairs"`
	// TurnsForward and TurnsBackward count electrical turns, both positive.
	TurnsForward  float64 `json:"turns_forward"`
	TurnsBackward float64 `json:"turns_backward"`
	// FluxVS is the peak flux linkage of the strongest phase's fundamental.
	FluxVS float64 `json:"flux_vs"`
	// Phases are p1 to p3 against the star point of the winding. Seen are the
	// same against the mean of the connected leads, which is all that a
	// recording without the star point can tell; with the neutral reference
	// both are the same. They differ where phases are unequal.
	Phases [3]Phase `json:"phases"`
	Seen   [3]Phase `json:"seen"`
	// Sensors are h1 to h3.
	Sensors [3]SensorTruth `json:"sensors"`

	motion *motion
	start  float64 // time of the first row on the motion's scale, s
	scale  scale
}

// Phase is a lead's back-EMF.
type Phase struct {
	Open bool `json:"open"`
	// AngleDeg is by how much the fundamental lags the zero of the angle, in
	// [0, 360).
	AngleDeg float64 `json:"angle_deg"`
	// Amplitude is that of the fundamental relative to the strongest phase.
	Amplitude float64 `json:"amplitude"`
	// Wave is the back-EMF per electrical rad/s, in V s.
	Wave []Term `json:"wave"`
}

// Term is one term of a wave: Sin*sin(N a) + Cos*cos(N a).
type Term struct {
	N   int     `json:"n"`
	Sin float64 `json:"sin"`
	Cos float64 `json:"cos"`
}

// SensorTruth is a sensor as its line shows it. RiseDeg and FallDeg are the means
// of both directions, in [0, 360), and have no meaning where it is stuck; turned
// forward only, both edges are seen HysteresisDeg later.
type SensorTruth struct {
	RiseDeg       float64 `json:"rise_deg"`
	FallDeg       float64 `json:"fall_deg"`
	HysteresisDeg float64 `json:"hysteresis_deg"`
	Stuck         bool    `json:"stuck"`
	High          bool    `json:"high"`
}

// scale converts the machine angle to the truth's: sense*(machine - zero).
type scale struct {
	sense, zero float64 // zero in degrees
}

func (s scale) deg(machine float64) float64 { return s.sense * (machine - s.zero) }

func newTruth(c Config, m *motion, start, seconds float64) Truth {
	t := Truth{
		Schema:    TruthSchema,
		PolePairs: c.Motor.PolePairs,
		motion:    m,
		start:     start,
	}
	with, against := m.turned(start, start+seconds)
	t.Mirrored = against > with
	t.TurnsForward, t.TurnsBackward = max(with, against), min(with, against)
	t.Zero, t.scale = zero(c.Motor, t.Mirrored)
	for i, s := range c.Motor.Sensors {
		t.Sensors[i] = s.truth(t.scale)
	}
	waves := c.Motor.waves(t.scale)
	t.Phases, t.FluxVS = phases(waves, c.Motor.Open)
	if c.FrontEnd.Reference != Neutral {
		waves = centred(waves, c.Motor.Open)
	}
	t.Seen, _ = phases(waves, c.Motor.Open)
	return t
}

// zero returns the lead that sets angle zero, and the scale that follows.
func zero(m Motor, mirrored bool) (lead string, s scale) {
	s.sense = 1
	if mirrored {
		s.sense = -1
	}
	if first := m.wave(0); !m.Open[0] && termOf(first, 0) != (Term{N: 1}) {
		// sin(a + lead): its rising zero is at -lead.
		s.zero = -math.Atan2(first[0].Cos, first[0].Sin) * 180 / math.Pi
		return "p1", s
	}
	if m.Sensors[0].Stuck == NotStuck {
		s.zero = s.sense * m.Sensors[0].truth(s).RiseDeg
		return "h1", s
	}
	return "", s
}

// truth returns what the sensor's line shows on the given scale. Mirrored, the
// sensor rises where it fell.
func (s Sensor) truth(at scale) SensorTruth {
	rise, fall := at.deg(s.RiseDeg), at.deg(s.RiseDeg+s.WidthDeg)
	if (at.sense < 0) != s.Inverted {
		rise, fall = fall, rise
	}
	return SensorTruth{
		RiseDeg:       turn(rise),
		FallDeg:       turn(fall),
		HysteresisDeg: s.HysteresisDeg,
		Stuck:         s.Stuck != NotStuck,
		High:          s.Stuck == StuckHigh,
	}
}

// wave returns the back-EMF of a lead per rad/s on the machine's scale.
func (m Motor) wave(lead int) []Term {
	if m.Machine != nil {
		// What is drawn of the magnets has a mean of nothing: any draw will do.
		out := newMachine(m, newMagnets(m, rand.New(rand.NewPCG(0, 0)))).wave(m.PhaseOrder[lead])
		for i := range out {
			out[i].Sin *= m.Gain[lead]
			out[i].Cos *= m.Gain[lead]
		}
		return out
	}
	var out []Term
	w := newWinding(m, magnets{})
	for _, o := range w.orders {
		sin, cos := math.Sincos(float64(o.n) * w.lag(lead))
		peak := m.Gain[lead] * o.flux * float64(o.n)
		out = append(out, Term{o.n, peak * cos, -peak * sin})
	}
	return out
}

// waves returns the leads' back-EMF per rad/s on the given scale. Against the
// machine's sense both the angle and the speed change sign, so that sine terms
// keep theirs.
func (m Motor) waves(at scale) [3][]Term {
	var out [3][]Term
	for lead := range out {
		if m.Open[lead] {
			continue
		}
		for _, t := range m.wave(lead) {
			// On the machine's scale the angle is sense*x + zero.
			sin, cos := math.Sincos(float64(t.N) * at.zero * math.Pi / 180)
			out[lead] = append(out[lead], Term{t.N, t.Sin*cos - t.Cos*sin, at.sense * (t.Cos*cos + t.Sin*sin)})
		}
	}
	return out
}

// centred returns the waves less the mean of the connected ones.
func centred(waves [3][]Term, open [3]bool) [3][]Term {
	var out [3][]Term
	for lead, w := range waves {
		for k, t := range w {
			sin := func(i int) float64 { return termOf(waves[i], k).Sin }
			cos := func(i int) float64 { return termOf(waves[i], k).Cos }
			t.Sin -= mean([3]float64{sin(0), sin(1), sin(2)}, open, [3]float64{1, 1, 1})
			t.Cos -= mean([3]float64{cos(0), cos(1), cos(2)}, open, [3]float64{1, 1, 1})
			out[lead] = append(out[lead], t)
		}
	}
	return out
}

// termOf returns term k of a wave, none for an open lead's.
func termOf(w []Term, k int) Term {
	if k >= len(w) {
		return Term{}
	}
	return w[k]
}

// phases returns the leads' phases for their waves, and the largest amplitude.
func phases(waves [3][]Term, open [3]bool) (out [3]Phase, largest float64) {
	for i, w := range waves {
		one := termOf(w, 0)
		out[i] = Phase{
			Open:      open[i],
			AngleDeg:  turn(math.Atan2(-one.Cos, one.Sin) * 180 / math.Pi),
			Amplitude: math.Hypot(one.Sin, one.Cos),
			Wave:      w,
		}
		largest = max(largest, out[i].Amplitude)
	}
	for i := range out {
		if largest > 0 {
			out[i].Amplitude /= largest
		}
	}
	return out, largest
}

// turn brings an angle into [0, 360).
func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 {
		return 0
	}
	return deg
}

// AngleAt returns the electrical angle in degrees, not wrapped, at a time of the
// recording in seconds. It is NaN for a Truth that was read from JSON.
func (t Truth) AngleAt(seconds float64) float64 {
	if t.motion == nil {
		return math.NaN()
	}
	a, _ := t.motion.electrical(t.start + seconds)
	return t.scale.deg(a * 180 / math.Pi)
}

// SpeedAt returns the electrical speed in turns per second, positive forward, at
// a time of the recording in seconds. It is NaN for a Truth read from JSON.
func (t Truth) SpeedAt(seconds float64) float64 {
	if t.motion == nil {
		return math.NaN()
	}
	_, w := t.motion.electrical(t.start + seconds)
	return t.scale.sense * w / (2 * math.Pi)
}

// From returns the truth with the zero of its angles at what was zeroDeg. To
// compare with an estimate whose zero is p1 as its column shows it, use
// t.From(t.Seen[0].AngleDeg).
func (t Truth) From(zeroDeg float64) Truth {
	t.scale.zero += t.scale.sense * zeroDeg
	for i := range t.Sensors {
		t.Sensors[i].RiseDeg = turn(t.Sensors[i].RiseDeg - zeroDeg)
		t.Sensors[i].FallDeg = turn(t.Sensors[i].FallDeg - zeroDeg)
	}
	shiftAll(&t.Phases, zeroDeg)
	shiftAll(&t.Seen, zeroDeg)
	return t
}

// shiftAll moves the phases' angles back by deg.
func shiftAll(phases *[3]Phase, deg float64) {
	for i, p := range phases {
		p.AngleDeg = turn(p.AngleDeg - deg)
		wave := make([]Term, len(p.Wave))
		for k, w := range p.Wave {
			sin, cos := math.Sincos(float64(w.N) * deg * math.Pi / 180)
			wave[k] = Term{w.N, w.Sin*cos - w.Cos*sin, w.Sin*sin + w.Cos*cos}
		}
		p.Wave = wave
		phases[i] = p
	}
}
