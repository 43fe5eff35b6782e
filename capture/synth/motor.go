package synth

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Motor is a synthetic motor.
type Motor struct {
	PolePairs int
	// Flux is the peak flux linkage of the fundamental of one phase, lead to
	// star point, in V s (volts per electrical radian per second).
	Flux float64
	// Harmonics are back-EMF amplitudes relative to the fundamental by order,
	// all of them sine terms: h*sin(n a); a negative one is in antiphase.
	Harmonics map[int]float64
	// PhaseOrder is the magnetic phase (0, 1, 2) that p1, p2, p3 lead to.
	PhaseOrder [3]int
	// Gain multiplies a lead's back-EMF: 1 for a sound phase, less for a weak
	// one, negative for a reversed one.
	Gain [3]float64
	// Open leads have no connection to the winding.
	Open [3]bool
	// PoleStrength is the standard deviation of the magnets' strengths,
	// relative. PoleShift is that of the places of the borders between
	// magnets, in electrical degrees; only the sensors see it, since the
	// coils of a phase sit over many magnets and average their places.
	PoleStrength, PoleShift float64
	// Sensors are those of h1, h2, h3.
	Sensors [3]Sensor
	// Machine is nil where coils and magnets are not told one by one.
	Machine *Machine
}

// NewMotor returns a sound motor with sinusoidal back-EMF of the given peak
// flux linkage in V s, its sensors 120 degrees apart with edges midway between
// the zero crossings of the phases.
func NewMotor(polePairs int, flux float64) Motor {
	return Motor{
		PolePairs:  polePairs,
		Flux:       flux,
		PhaseOrder: [3]int{0, 1, 2},
		Gain:       [3]float64{1, 1, 1},
		Sensors:    Placed(120, 30, [3]int{0, 1, 2}, [3]float64{}),
	}
}

// order is one term of the flux linkage of a phase.
type order struct {
	n    int
	flux float64 // V s, of -cos(n x)
}

// magnets are the 2*PolePairs magnets as they differ from one another.
type magnets struct {
	strength []float64 // relative, mean 1
	// shift is of the border before each magnet, or of the magnet itself in a
	// Machine, in electrical degrees.
	shift   []float64
	borders borders
}

// maxDeviation cuts the normal distribution of the borders' shifts, in standard
// deviations, so that borders cannot change places.
const maxDeviation = 3

// newMagnets draws the magnets. The means are taken out, separately for the
// rising and falling borders, so that the motor's truth stays as configured.
func newMagnets(m Motor, rng *rand.Rand) magnets {
	n := 2 * m.PolePairs
	g := magnets{strength: make([]float64, n), shift: make([]float64, n)}
	for i := range n {
		g.strength[i] = m.PoleStrength * rng.NormFloat64()
		g.shift[i] = m.PoleShift * min(max(rng.NormFloat64(), -maxDeviation), maxDeviation)
	}
	centre(g.strength, 0, 1)
	for i := range n {
		g.strength[i]++
	}
	centre(g.shift, 0, 2)
	centre(g.shift, 1, 2)
	if m.Machine == nil {
		g.borders = g.regular()
		return g
	}
	for i, own := range m.Machine.Magnets {
		g.strength[i] *= own.Strength
		g.shift[i] += own.ShiftDeg
	}
	g.borders = g.crossings()
	return g
}

// centre takes the mean out of every stride-th value from the first on.
func centre(v []float64, first, stride int) {
	sum, n := 0.0, 0
	for i := first; i < len(v); i += stride {
		sum += v[i]
		n++
	}
	for i := first; i < len(v); i += stride {
		v[i] -= sum / float64(n)
	}
}

// winding gives the flux linkages of the leads at a rotor angle.
type winding struct {
	motor   Motor
	orders  []order
	turns   [3][]phasor // by lead, how far each order is turned back by its phase
	magnets magnets
	machine *machine // nil where the motor has none
}

func newWinding(m Motor, g magnets) *winding {
	w := &winding{motor: m, magnets: g, orders: []order{{1, m.Flux}}}
	if m.Machine != nil {
		w.machine = newMachine(m, g)
	}
	for n, h := range m.Harmonics {
		w.orders = append(w.orders, order{n, m.Flux * h / float64(n)})
	}
	slices.SortFunc(w.orders, func(a, b order) int { return a.n - b.n })
	for lead := range w.turns {
		for _, o := range w.orders {
			w.turns[lead] = append(w.turns[lead], newPhasor(-float64(o.n)*w.lag(lead)))
		}
	}
	return w
}

// lag is by how much a lead's magnetic phase lags phase 0, in radians.
func (w *winding) lag(lead int) float64 {
	return float64(w.motor.PhaseOrder[lead]) * 2 * math.Pi / 3
}

// phasor is the sine and cosine of an angle.
type phasor struct{ sin, cos float64 }

func newPhasor(a float64) phasor {
	sin, cos := math.Sincos(a)
	return phasor{sin, cos}
}

// plus is the phasor of the sum of two angles.
func (p phasor) plus(q phasor) phasor {
	return phasor{p.sin*q.cos + p.cos*q.sin, p.cos*q.cos - p.sin*q.sin}
}

// linkage returns a lead's flux linkage in V s at the electrical angle a in
// radians, whose phasor is at, and its derivative with respect to a. The magnet
// over the phase scales the linkage; midway between two magnets the scale passes
// smoothly from one to the other.
func (w *winding) linkage(lead int, a float64, at phasor) (flux, slope float64) {
	all, n := phasor{0, 1}, 0
	for k, o := range w.orders {
		for ; n < o.n; n++ {
			all = all.plus(at)
		}
		x := all.plus(w.turns[lead][k])
		flux -= o.flux * x.cos
		slope += o.flux * float64(o.n) * x.sin
	}
	gain := w.motor.Gain[lead]
	if w.motor.PoleStrength == 0 {
		return gain * flux, gain * slope
	}
	scale, rate := w.magnets.scale(a-w.lag(lead), at.plus(w.turns[lead][0]))
	return gain * scale * flux, gain * (scale*slope + rate*flux)
}

// scale returns the strength of the magnet over a phase at the electrical angle
// x from that phase's, whose phasor is at, and its derivative. Magnet m is centred
// at m*pi.
func (g magnets) scale(x float64, at phasor) (scale, rate float64) {
	pole := int(math.Floor(x / math.Pi))
	if pole&1 != 0 {
		at = phasor{-at.sin, -at.cos} // from the middle of this magnet
	}
	n := wrapIndex(pole, len(g.strength))
	from, to := g.strength[n], g.strength[0]
	if n+1 < len(g.strength) {
		to = g.strength[n+1]
	}
	return from + (to-from)*(1-at.cos)/2, (to - from) * at.sin / 2
}

func wrapIndex(i, n int) int { return ((i % n) + n) % n }

// emf returns the back-EMF of the three leads against the star point, in volts,
// at the electrical angle a (rad) and speed w (rad/s).
func (w *winding) emf(a, speed float64) [3]float64 {
	var e [3]float64
	at := newPhasor(a)
	for lead := range e {
		switch {
		case w.motor.Open[lead]:
		case w.machine != nil:
			e[lead] = w.motor.Gain[lead] * w.machine.slope(w.motor.PhaseOrder[lead], a) * speed
		default:
			_, slope := w.linkage(lead, a, at)
			e[lead] = slope * speed
		}
	}
	return e
}
