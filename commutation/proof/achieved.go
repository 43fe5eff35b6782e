package proof

import (
	"math"

	"handspin/capture/synth"
	"handspin/commutation/spin"
)

// Achieved is how an estimate does on one motor's recording, over repeated
// noise, in electrical degrees: the effective value of the errors about their
// means, and that of the means, the bias.
type Achieved struct {
	Edge, Phase         float64
	EdgeBias, PhaseBias float64
}

// Exact returns the first three seconds of an ordinary motor's recording, of which the bound's model is
// true: equal magnets, exact gains, sensors without hysteresis, no harmonics
// beyond the model's, and the star point as reference.
func Exact(seed uint64) synth.Config {
	c := synth.Random(synth.Ordinary, seed)
	c.Spin.Seconds = 3
	c.Motor.PoleStrength, c.Motor.PoleShift = 0, 0
	c.Motor.Harmonics[9] = 0
	for i := range 3 {
		c.Motor.Sensors[i].HysteresisDeg = 0
	}
	c.FrontEnd.GainError = [3]float64{}
	c.FrontEnd.Reference = synth.Neutral
	return c
}

// Achieve analyses a motor's recording so many times, each with noise of its
// own.
func Achieve(c synth.Config, repeats int) Achieved {
	var edges, phases [][]float64
	for k := range repeats {
		c.Seed = c.Seed*31 + uint64(k) + 1
		rec, truth := c.Record()
		e, p := deviations(spin.Analyse(rec, spin.Options{}), truth)
		edges, phases = append(edges, e.deg), append(phases, p.deg)
	}
	var a Achieved
	a.Edge, a.EdgeBias = split(edges)
	a.Phase, a.PhaseBias = split(phases)
	return a
}

// split returns the effective value of each quantity's scatter about its mean
// over the repeats, and that of the means. x is by repeat and quantity.
func split(x [][]float64) (scatter, bias float64) {
	n := float64(len(x))
	for q := range x[0] {
		mean, square := 0.0, 0.0
		for _, r := range x {
			mean += r[q] / n
		}
		for _, r := range x {
			square += (r[q] - mean) * (r[q] - mean) / (n - 1)
		}
		scatter += square
		bias += mean * mean
	}
	quantities := float64(len(x[0]))
	return math.Sqrt(scatter / quantities), math.Sqrt(bias / quantities)
}

// Efficiency compares estimates with their bounds over several motors: effective
// values in electrical degrees.
type Efficiency struct {
	Motors, Repeats int
	Bound           Bound
	Achieved        Achieved
}

// MostOverBound is how many times its bound an error may be on ordinary
// recordings.
const MostOverBound = 1.5

// Ratios returns the achieved errors over their bounds.
func (e Efficiency) Ratios() (edge, phase float64) {
	return e.Achieved.Edge / e.Bound.Edge, e.Achieved.Phase / e.Bound.Phase
}

// Compare takes so many motors of which the bound's model is true, the first of
// the given seed, and each so often with other noise.
func Compare(seed uint64, motors, repeats int) (Efficiency, error) {
	e := Efficiency{Motors: motors, Repeats: repeats}
	add := func(to *float64, x float64) { *to = math.Sqrt(*to**to + x*x/float64(motors)) }
	for k := range motors {
		c := Exact(seed + uint64(k))
		rec, truth := c.Record()
		b, err := CramerRao(rec, truth, c.FrontEnd)
		if err != nil {
			return e, err
		}
		a := Achieve(c, repeats)
		add(&e.Bound.Edge, b.Edge)
		add(&e.Bound.Phase, b.Phase)
		add(&e.Achieved.Edge, a.Edge)
		add(&e.Achieved.Phase, a.Phase)
		add(&e.Achieved.EdgeBias, a.EdgeBias)
		add(&e.Achieved.PhaseBias, a.PhaseBias)
	}
	return e, nil
}
