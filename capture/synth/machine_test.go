package synth

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// coils reads a layout as in "+A -A +B", with phases B and C exchanged where the
// field passes them the other way round.
func coils(layout string, exchanged bool) []Coil {
	var out []Coil
	for _, word := range strings.Fields(layout) {
		c := Coil{Phase: int(word[1] - 'A'), Sense: 1}
		if word[0] == '-' {
			c.Sense = -1
		}
		if exchanged && c.Phase > 0 {
			c.Phase = 3 - c.Phase
		}
		out = append(out, c)
	}
	return out
}

// The usual layouts, from the star of slots.
const (
	twelve = "+A -A -B +B +C -C -A +A +B -B -C +C"
	nine   = "+A -A +A +B -B +B +C -C +C"
)

func every(n int) []Coil { return coils(strings.Repeat("+A +B +C ", n), false) }

// rotorWith returns the magnets of a rotor, the first changed.
func rotorWith(poles int, first Magnet) []Magnet {
	out := slices.Repeat([]Magnet{{Strength: 1}}, poles)
	out[0] = first
	return out
}

func alone(poles int, m Machine) *machine {
	motor := NewMotor(poles/2, 1)
	motor.Machine = &m
	return newMachine(motor, newMagnets(motor, rand.New(rand.NewPCG(1, 1))))
}

// turn of the shaft, phase A, in n points per pole.
func turned(m *machine, phase int) []float64 {
	const n = 256
	out := make([]float64, n*m.poles)
	for k := range out {
		out[k] = m.slope(phase, math.Pi*float64(k)/n)
	}
	return out
}

// TestMagnetFaultsLeaveTheirPattern holds the sums over coils and magnets against
// figures that were computed from the winding factor of each order of the shaft
// turn and a magnet arc of 0.85, apart from this program: the fundamental falls to
// 1-2/(2p) with one magnet flipped, to 1-1/(2p) with one missing, the same in all
// phases; the largest other orders are the share given of the sound fundamental;
// and with one missing, the smallest of a phase's cycles. The last two depend on
// the magnets' edges, by three in the third digit.
func TestMagnetFaultsLeaveTheirPattern(t *testing.T) {
	for _, c := range []struct {
		name       string
		poles      int
		coils      []Coil
		flip, miss float64
		orders     map[int]float64 // with one flipped
		shifted    map[int]float64 // with one a tenth of the pitch late
		least      float64
	}{
		{"12/10", 10, coils(twelve, false), 0.800, 0.900, map[int]float64{7: 0.139, 3: 0.133}, map[int]float64{7: 0.030, 3: 0.013}, 0.81},
		{"12/14", 14, coils(twelve, true), 0.857, 0.929, map[int]float64{5: 0.169, 3: 0.101, 9: 0.060}, map[int]float64{5: 0.019, 9: 0.012}, 0.81},
		{"9/8", 8, coils(nine, false), 0.750, 0.875, map[int]float64{5: 0.203, 3: 0.177, 6: 0.093}, map[int]float64{5: 0.040}, 0.67},
		{"9/10", 10, coils(nine, true), 0.800, 0.900, map[int]float64{4: 0.226, 3: 0.152, 6: 0.104}, map[int]float64{4: 0.028, 6: 0.019}, 0.67},
		{"9/6", 6, every(3), 0.667, 0.833, map[int]float64{2: 0, 4: 0}, nil, 0.833},
		{"12/8", 8, every(4), 0.750, 0.875, map[int]float64{3: 0, 5: 0}, nil, 0.875},
	} {
		t.Run(c.name, func(t *testing.T) {
			pairs := c.poles / 2
			sound := turned(alone(c.poles, Machine{Coils: c.coils}), 0)
			unit := cmplx.Abs(bins(sound)[pairs])
			with := func(m Magnet) *machine {
				return alone(c.poles, Machine{Coils: c.coils, Magnets: rotorWith(c.poles, m)})
			}
			flipped, missing, shifted := with(Magnet{Strength: -1}), with(Magnet{}), with(Magnet{1, 18})
			for phase := range 3 {
				near(t, "flipped", cmplx.Abs(bins(turned(flipped, phase))[pairs])/unit, c.flip, 5e-4) // three digits
				near(t, "missing", cmplx.Abs(bins(turned(missing, phase))[pairs])/unit, c.miss, 5e-4)
			}
			for order, want := range c.orders {
				near(t, fmt.Sprintf("flipped, order %d", order), cmplx.Abs(bins(turned(flipped, 0))[order])/unit, want, 0.003)
			}
			for order, want := range c.shifted {
				near(t, fmt.Sprintf("shifted, order %d", order), cmplx.Abs(bins(turned(shifted, 0))[order])/unit, want, 0.003)
			}
			near(t, "missing, smallest cycle", smallest(turned(missing, 0), pairs)/smallest(sound, pairs), c.least, 0.005)
		})
	}
}

// bins are the orders of a turn of the shaft, by gonum's FFT.
func bins(wave []float64) []complex128 { return fourier.NewFFT(len(wave)).Coefficients(nil, wave) }

// smallest is the least peak to peak of an electrical cycle, which may begin
// anywhere in the turn.
func smallest(wave []float64, pairs int) float64 {
	n := len(wave) / pairs
	double := slices.Concat(wave, wave)
	least := math.Inf(1)
	for begin := range wave {
		c := double[begin : begin+n]
		if begin%16 == 0 {
			least = min(least, slices.Max(c)-slices.Min(c))
		}
	}
	return least
}

// TestPhasesOfAMachine: a sound winding has the winding factor's distribution part
// times the flux, 0.9659 for 12/10 (two coils 30 degrees apart: cos 15) and 0.9598
// for 9/8 ((1 + 2 cos 20)/3), phases 120 degrees apart, and tooth 1 at zero.
func TestPhasesOfAMachine(t *testing.T) {
	for _, c := range []struct {
		poles int
		coils []Coil
		kd    float64
	}{{10, coils(twelve, false), math.Cos(math.Pi / 12)}, {8, coils(nine, false), (1 + 2*math.Cos(math.Pi/9)) / 3}, {8, every(4), 1}} {
		m := alone(c.poles, Machine{Coils: c.coils})
		a := m.wave(0)[0]
		near(t, "amplitude", math.Hypot(a.Sin, a.Cos), c.kd, 1e-8) // quadrature of soft edges
		for phase := 1; phase < 3; phase++ {
			p := m.wave(phase)[0]
			lag := cmplx.Phase(complex(a.Sin, a.Cos)/complex(p.Sin, p.Cos)) * 180 / math.Pi
			near(t, "lag", math.Remainder(lag-120*float64(phase), 360), 0, 1e-9)
		}
	}
}

// TestEccentricRotor: the phases stay equal and the fundamental as it was, while
// first-order sidebands appear; an eccentric stator of 5 % makes those of 9/8
// 1.031, 0.962 and 1.007 and leaves 12/10 alone (by first-order superposition).
func TestEccentric(t *testing.T) {
	size := func(m *machine, phase int) float64 {
		w := m.wave(phase)[0]
		return math.Hypot(w.Sin, w.Cos)
	}
	for _, c := range []struct {
		poles int
		coils []Coil
		want  []float64
	}{{8, coils(nine, false), []float64{0.962, 1.007, 1.031}}, {10, coils(twelve, false), []float64{1, 1, 1}}} {
		sound := alone(c.poles, Machine{Coils: c.coils})
		stator := alone(c.poles, Machine{Coils: c.coils, StatorEccentricity: 0.05})
		rotor := alone(c.poles, Machine{Coils: c.coils, RotorEccentricity: 0.05})
		var got []float64
		for phase := range 3 {
			got = append(got, size(stator, phase)/size(sound, phase))
			near(t, "rotor eccentric", size(rotor, phase)/size(sound, phase), 1, 1e-3)
		}
		slices.Sort(got)
		for i := range got {
			near(t, "stator eccentric", got[i], c.want[i], 0.005) // where on the stator is free
		}
	}
}

// TestBordersOfAMachine: a magnet that is missing or the wrong way up takes two of
// the borders away; one that is late takes half of that to both its borders.
func TestBordersOfAMachine(t *testing.T) {
	sound := alone(6, Machine{Coils: every(3)}).magnets.borders
	for i, deg := range sound.deg {
		near(t, "border", deg, 180*float64(i), 1e-12)
	}
	for _, strength := range []float64{0, -1} {
		for at := range 6 {
			magnets := rotorWith(6, Magnet{Strength: 1})
			magnets[at].Strength = strength
			b := alone(6, Machine{Coils: every(3), Magnets: magnets}).magnets.borders
			if len(b.deg) != 4 || !slices.IsSorted(b.deg) {
				t.Errorf("strength %g of magnet %d: borders %v", strength, at, b.deg)
			}
			widest := 0.0
			for j := range 4 {
				widest = max(widest, b.at(j+1)-b.at(j))
			}
			near(t, "widest pole", widest, 540, 1e-12)
		}
	}
	late := alone(6, Machine{Coils: every(3), Magnets: rotorWith(6, Magnet{1, 10})}).magnets.borders
	near(t, "border behind", late.at(0), 5, 1e-12)
	near(t, "border before", late.at(5), 905, 1e-12)
}
