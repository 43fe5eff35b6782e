package synth

import (
	"fmt"
	"math"
)

// Machine is a motor coil by coil and magnet by magnet. Each tooth carries one
// coil; the flux through it is that of the field between the tooth's two edges,
// and the field is the sum of the magnets' (no saturation, no leakage). In a
// motor with a Machine the phases, their faults and their harmonics follow from
// it: Motor.Flux is then the peak flux linkage of a phase whose coils are all in
// phase, and Motor.Harmonics do not count.
type Machine struct {
	// Coils has one coil per tooth.
	Coils []Coil
	// Magnets has 2*PolePairs magnets, or none where all are alike. They are in
	// the order in which they pass a tooth in the machine's sense.
	Magnets []Magnet
	// ToothDeg is the machine angle at which magnet 0 faces tooth 0.
	ToothDeg float64
	// RotorEccentricity and StatorEccentricity are by how much the field is
	// larger on one side of the rotor or of the stator, relative.
	RotorEccentricity, StatorEccentricity float64
}

// Coil is the coil on a tooth: of magnetic phase 0, 1 or 2, wound in the sense +1
// or -1; 0 where the tooth has none.
type Coil struct{ Phase, Sense int }

// Magnet is one magnet: its strength, 1 for a sound one, 0 for a missing one and
// -1 for one the wrong way up, and by how much it is late of its place in
// electrical degrees.
type Magnet struct{ Strength, ShiftDeg float64 }

// The field of a magnet over the pole pitch of 180 degrees: flat to flatDeg from
// its middle, none from endDeg on, and half a cosine between, which makes an arc
// of 0.85 of the pitch with soft edges.
const flatDeg, endDeg = 67.5, 85.5

// bump is the field of one magnet of strength 1 at so many electrical degrees
// from its middle.
func bump(deg float64) float64 {
	switch deg = math.Abs(deg); {
	case deg <= flatDeg:
		return 1
	case deg >= endDeg:
		return 0
	}
	return (1 + math.Cos(math.Pi*(deg-flatDeg)/(endDeg-flatDeg))) / 2
}

// machine evaluates a Machine.
type machine struct {
	Machine
	poles   int
	magnets magnets
	// coil is the back-EMF of one coil per rad/s and unit of field, so that
	// its fundamental has the motor's flux.
	coil float64
}

func newMachine(m Motor, g magnets) *machine {
	out := &machine{Machine: *m.Machine, poles: 2 * m.PolePairs, magnets: g}
	sound := &machine{Machine: Machine{Coils: make([]Coil, len(out.Coils))}, poles: out.poles, magnets: magnets{
		strength: make([]float64, out.poles), shift: make([]float64, out.poles)}, coil: 1}
	for i := range sound.magnets.strength {
		sound.magnets.strength[i] = 1
	}
	// The fundamental of a coil at sound magnets, by quadrature over a turn.
	const n = 3600
	sum := 0.0
	for k := range n {
		a := 2 * math.Pi * float64(k) / n
		sum += sound.tooth(0, a) * math.Sin(a) * 2 / n
	}
	out.coil = m.Flux / sum * 3 / float64(len(out.Coils))
	return out
}

// field is the radial field at the place x of the stator (mechanical radians from
// tooth 0) while the rotor is at the electrical angle a from where magnet 0 faces
// tooth 0. Magnets with even numbers count negative.
func (m *machine) field(x, a float64) float64 {
	pairs := float64(m.poles) / 2
	deg := (a - pairs*x) * 180 / math.Pi
	near := int(math.Round(deg / 180))
	sum := 0.0
	for k := near - 1; k <= near+1; k++ {
		i := wrapIndex(k, m.poles)
		sign := float64(2*(i%2) - 1)
		sum += sign * m.magnets.strength[i] * bump(deg-180*float64(k)-m.magnets.shift[i])
	}
	if m.RotorEccentricity != 0 {
		sum *= 1 + m.RotorEccentricity*math.Cos(deg/pairs*math.Pi/180)
	}
	if m.StatorEccentricity != 0 {
		sum *= 1 + m.StatorEccentricity*math.Cos(x)
	}
	return sum
}

// tooth is the derivative of the flux through a tooth by the electrical angle: as
// the rotor turns, field comes in at one edge and leaves at the other.
func (m *machine) tooth(k int, a float64) float64 {
	half := math.Pi / float64(len(m.Coils))
	at := 2 * half * float64(k)
	return m.coil * (m.field(at-half, a) - m.field(at+half, a))
}

// slope is the back-EMF of a magnetic phase per electrical rad/s at the machine
// angle a in radians: the sum over its coils.
func (m *machine) slope(phase int, a float64) float64 {
	sum := 0.0
	for k, c := range m.Coils {
		if c.Phase == phase && c.Sense != 0 {
			sum += float64(c.Sense) * m.tooth(k, a-m.ToothDeg*math.Pi/180)
		}
	}
	return sum
}

// wave returns the harmonics of a magnetic phase over a whole turn of the shaft,
// on the machine's scale.
func (m *machine) wave(phase int) []Term {
	out := []Term{{N: 1}, {N: 3}, {N: 5}, {N: 7}}
	const perPole = 360
	n := perPole * m.poles
	for k := range n {
		a := math.Pi * float64(k) / perPole
		v := m.slope(phase, a) * 2 / float64(n)
		for i := range out {
			sin, cos := math.Sincos(float64(out[i].N) * a)
			out[i].Sin += v * sin
			out[i].Cos += v * cos
		}
	}
	return out
}

// borders are the places at which a sensor's level changes, as electrical degrees
// over one turn of the shaft from the first rise on, rises at even places.
type borders struct {
	deg  []float64
	turn float64 // electrical degrees of a turn of the shaft
}

// at returns the j-th border, counted on over turns.
func (b borders) at(j int) float64 {
	n := len(b.deg)
	k := wrapIndex(j, n)
	return b.deg[k] + b.turn*float64((j-k)/n)
}

// regular returns the borders between magnets that alternate, shifted as drawn.
func (g magnets) regular() borders {
	b := borders{turn: 180 * float64(len(g.shift))}
	for i, shift := range g.shift {
		b.deg = append(b.deg, 180*float64(i)+shift)
	}
	return b
}

// crossings returns the borders between neighbours of opposite field, midway
// between their middles; what is missing or the wrong way up has none. Border 0
// of sound magnets is between magnets 0 and 1.
func (g magnets) crossings() borders {
	n := len(g.strength)
	b := borders{turn: 180 * float64(n)}
	var there []int
	for i, s := range g.strength {
		if s != 0 {
			there = append(there, i)
		}
	}
	positive := func(i int) bool { return (i%2 == 1) == (g.strength[i] > 0) }
	for k, i := range there {
		next, turns := there[(k+1)%len(there)], 0.0
		if k+1 == len(there) {
			turns = b.turn
		}
		if positive(i) == positive(next) {
			continue
		}
		at := (180*float64(i) + g.shift[i] + 180*float64(next) + g.shift[next] + turns) / 2
		b.deg = append(b.deg, at-90)
		if len(b.deg) == 1 && positive(i) { // a fall: it is to be the last
			b.deg[0] += b.turn
		}
	}
	if len(b.deg) > 0 && b.deg[0] >= b.turn {
		b.deg = append(b.deg[1:], b.deg[0])
	}
	return b
}

// bounds are the numbers of a Machine that must make sense.
func (m Machine) bounds(polePairs int) []bound {
	out := []bound{
		{"number of teeth", float64(len(m.Coils)), 3, 999},
		{"angle of tooth 1 in degrees", m.ToothDeg, -1e4, 1e4},
		{"eccentricity of the rotor", m.RotorEccentricity, -1, 1},
		{"eccentricity of the stator", m.StatorEccentricity, -1, 1},
	}
	for i, c := range m.Coils {
		out = append(out, bound{fmt.Sprintf("phase of coil %d", i+1), float64(c.Phase), 0, 2},
			bound{fmt.Sprintf("sense of coil %d", i+1), float64(c.Sense), -1, 1})
	}
	if len(m.Magnets) > 0 {
		out = append(out, bound{"number of magnets", float64(len(m.Magnets)), float64(2 * polePairs), float64(2 * polePairs)})
	}
	for i, g := range m.Magnets {
		out = append(out, bound{fmt.Sprintf("strength of magnet %d", i+1), g.Strength, -2, 2},
			bound{fmt.Sprintf("place of magnet %d in degrees", i+1), g.ShiftDeg, -60, 60})
	}
	return out
}
