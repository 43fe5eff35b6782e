package winding

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// counts is a sound phase in counts of a converter, noise the standard deviation
// of each part of a phasor that a recording of many samples with 1.5 counts each
// leaves, generously taken.
const (
	counts = 100
	noise  = 0.3
)

// measure returns what a recording of a motor with the fault would give: at an
// unknown size and time, either way round, with noise and phases that differ
// from the prediction by the gains.
func measure(rng *rand.Rand, l Layout, f Fault, floating bool, gain [3]complex128) Measured {
	e := l.Predict(f, floating)
	turn := polar(counts*(0.5+rng.Float64()), 360*rng.Float64())
	common := complex(rng.NormFloat64(), rng.NormFloat64())
	back := rng.IntN(2) == 0
	m := Measured{Floating: floating}
	for i := range e {
		z := e[i] * gain[i] * turn
		if floating {
			z += common * counts // does not count
		}
		if back {
			z = cmplx.Conj(z)
		}
		m.EMF[i] = z + complex(noise*rng.NormFloat64(), noise*rng.NormFloat64())
	}
	for i := range m.Cov {
		m.Cov[i][i] = noise * noise
	}
	return m
}

// unequal returns gains with a standard deviation of sd in both parts.
func unequal(rng *rand.Rand, sd float64) [3]complex128 {
	var gain [3]complex128
	for i := range gain {
		gain[i] = complex(1+sd*rng.NormFloat64(), sd*rng.NormFloat64())
	}
	return gain
}

func diagnose(t testing.TB, m Measured, l Layout) Diagnosis {
	t.Helper()
	d, err := Diagnose(m, l)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func has(faults []Fault, f Fault) bool {
	return slices.ContainsFunc(faults, func(g Fault) bool { return g.String() == f.String() })
}

// TestEveryFaultIsFound: whatever the fault, it is among the likely ones and the
// diagnosis is explained; a sound winding is called sound, and up to 12 slots a
// faulty one faulty. Beyond, some pairs hardly differ from what they replace; and in
// 9/8 and 9/10 a rotor that nearly rubs does without the star point what a crossed pair
// does, as nearly as its place can be anything.
func TestEveryFaultIsFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, pair := range [][2]int{{12, 10}, {12, 14}, {9, 8}, {9, 10}, {12, 8}, {9, 6}, {18, 16}, {15, 14}} {
		l := machine(t, pair[0], pair[1]).Layout()
		for _, floating := range []bool{false, true} {
			for _, f := range l.Faults() {
				d := diagnose(t, measure(rng, l, f, floating, unequal(rng, 0.003)), l)
				if !d.Explained() || !has(d.Likely(), f) || d.Sound() != (f.Kind == Sound) || d.Faulty() && d.Sound() || !d.Faulty() && !d.Sound() && pair[0] <= 12 && !(l.ShowsOffCentre() && floating && d.PSound() < 0.1) {
					t.Errorf("%v floating %v, %v: fit %g, likely %v", pair, floating, f, d.Fit, d.Likely())
				}
			}
		}
	}
}

// TestSoundIsSound: of 1000 sound windings none is called faulty with the phases
// unequal by as much as the model allows for; nor with an eccentric rotor on 9/8,
// whose phases by first-order superposition are 1.031, 0.962, 1.007 with 5 % of
// eccentricity in the field.
func TestSoundIsSound(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	small, undecided := 0, 0
	for range 1000 {
		c := windingFactors[rng.IntN(len(windingFactors))]
		l := machine(t, c.slots, c.poles).Layout()
		d := diagnose(t, measure(rng, l, Fault{}, rng.IntN(2) == 0, unequal(rng, floorSD)), l)
		if d.Faulty() {
			t.Errorf("%d/%d: %v", c.slots, c.poles, d.Likely())
		}
		if c.slots <= 12 {
			small++
			if !d.Sound() {
				undecided++
			}
		}
	}
	// In a larger stator a coil is a small part of a phase. Of the small ones those
	// whose phases are three standard deviations apart, one in 90 (exp(-9/2), two
	// parts), leave open whether a phase has turns too few: 1.8 of 159, and 5 or
	// fewer in 99 of 100 such tests (Poisson).
	if small < 100 || undecided > 5 {
		t.Errorf("%d of %d undecided", undecided, small)
	}
	l := machine(t, 9, 8).Layout()
	for _, floating := range []bool{false, true} {
		d := diagnose(t, measure(rng, l, Fault{}, floating, [3]complex128{1.031, 0.962, 1.007}), l)
		if !d.Sound() {
			t.Errorf("eccentric 9/8: %v", d.Likely())
		}
	}
}

// TestSameSignature: families that no phasor tells apart, worked out by hand, and
// what does.
func TestSameSignature(t *testing.T) {
	twelve, eight, nine := machine(t, 12, 10).Layout(), machine(t, 12, 8).Layout(), machine(t, 9, 8).Layout()
	for name, c := range map[string]struct {
		l        Layout
		floating bool
		faults   []Fault
		size     int // how many the family has in all; 0 where not worked out
		tests    []Test
	}{
		// Coils 1 and 7 have the same phasor; without both it is as with one reversed.
		"one reversed": {twelve, false, []Fault{
			fault(t, twelve, CoilReversed, 1), fault(t, twelve, CoilReversed, 7), fault(t, twelve, PairMissing, 1, 7),
		}, 3, []Test{Resistance, Drag, SingleCoil}},
		"one missing": {twelve, false, []Fault{fault(t, twelve, CoilMissing, 2), fault(t, twelve, CoilMissing, 8)}, 2, []Test{Drag, SingleCoil}},
		// The four coils of 12/8 are alike: 4 reversed, 6 pairs.
		"12/8": {eight, false, []Fault{fault(t, eight, CoilReversed, 1), fault(t, eight, CoilReversed, 4), fault(t, eight, PairMissing, 7, 10)},
			10, []Test{Resistance, Drag, SingleCoil}},
		// In 9/8 all phasors differ.
		"9/8": {nine, false, []Fault{fault(t, nine, CoilReversed, 1)}, 1, nil},
		// Line voltages alone: a coil of A missing is as two of B and C crossed.
		"lines only": {twelve, true, []Fault{fault(t, twelve, CoilMissing, 1), fault(t, twelve, CoilsCrossed, 3, 5)},
			0, []Test{Resistance, StarPoint, Drag, SingleCoil}},
		"own senses": {twelve, false, []Fault{fault(t, twelve, CoilsSwapped, 1, 3), fault(t, twelve, CoilsSwapped, 1, 9),
			fault(t, twelve, CoilsSwapped, 3, 7), fault(t, twelve, CoilsSwapped, 7, 9)}, 4, []Test{SingleCoil}},
	} {
		m := Measured{EMF: c.l.Predict(c.faults[0], c.floating), Floating: c.floating}
		d := diagnose(t, m, c.l)
		group := d.Groups[0].Faults
		for _, f := range c.faults {
			if !has(group, f) {
				t.Errorf("%s: %v is not among %v", name, f, group)
			}
		}
		if c.size > 0 && len(group) != c.size {
			t.Errorf("%s: %d in %v", name, len(group), group)
		}
		if got := c.l.Tests(group, c.floating); !slices.Equal(got, c.tests) {
			t.Errorf("%s: tests %v, want %v", name, got, c.tests)
		}
	}
}

// TestSignaturesDoNotMix: under one fault, groups differ by far more than what is
// rounded away, so each row of the tables is its own.
func TestSignaturesDoNotMix(t *testing.T) {
	for pair := range tables {
		l := machine(t, pair[0], pair[1]).Layout()
		for _, floating := range []bool{false, true} {
			d := diagnose(t, Measured{EMF: l.Predict(Fault{}, floating), Floating: floating}, l)
			near(t, "sound", d.Groups[0].Chi2, 0, 1e-6)
			for _, g := range d.Groups {
				if g.Faults[0].Kind != Sound && g.Faults[0].Kind != OffCentre && g.Chi2 < 25 { // five standard deviations
					t.Errorf("%v: %v is as good as sound: %g", pair, g.Faults, g.Chi2)
				}
			}
		}
	}
}

// TestUnexplained: two faults at once are not passed off as one.
func TestUnexplained(t *testing.T) {
	l := machine(t, 9, 8).Layout()
	both := l.With(fault(t, l, CoilReversed, 1)).With(fault(t, l, CoilMissing, 5))
	d := diagnose(t, Measured{EMF: both.EMF(l)}, l)
	if d.Explained() || d.Sound() || d.Faulty() {
		t.Errorf("fit %g, likely %v", d.Fit, d.Likely())
	}
}

// TestProbabilities: they sum to 1, fall, and are by hand even where noise drowns
// everything: the prior.
func TestProbabilities(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	m := Measured{EMF: l.Predict(Fault{}, false)}
	for i := range m.Cov {
		m.Cov[i][i] = 1e6
	}
	d := diagnose(t, m, l)
	sum, last := 0.0, 1.0
	for _, g := range d.Groups {
		if g.Probability > last {
			t.Errorf("%v after %g", g, last)
		}
		sum, last = sum+g.Probability, g.Probability
	}
	near(t, "sum", sum, 1, exact)
	near(t, "sound", d.Groups[0].Probability, 0.5, 1e-3) // distances are of the order of 1e-6
	if d.Sound() {
		t.Error("sound by the prior alone")
	}
}

func TestDiagnoseErrors(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	nan := complex(math.NaN(), 0)
	negative := Measured{EMF: l.EMF(l)}
	negative.Cov[0][0] = -1
	for want, m := range map[string]Measured{
		"the phasors are zero or not numbers":     {},
		"the covariance is not positive definite": negative,
	} {
		if _, err := Diagnose(m, l); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	if _, err := Diagnose(Measured{EMF: [3]complex128{nan, 1, 1}}, l); err == nil {
		t.Error("no error with NaN")
	}
}

// TestCovarianceCounts: what is known worse counts less. With lead A hardly known,
// a sound motor with A wrong by a fifth stays sound.
func TestCovarianceCounts(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	m := Measured{EMF: l.Predict(Fault{}, false)}
	m.EMF[0] *= 0.8
	if d := diagnose(t, m, l); d.Sound() {
		t.Error("sound with a phase of 0.8")
	}
	m.Cov[0][0], m.Cov[1][1] = 1, 1
	d := diagnose(t, m, l)
	if d.Groups[0].Faults[0].Kind != Sound || !d.Explained() {
		t.Errorf("fit %g, %v", d.Fit, d.Groups[0].Faults)
	}
}

func BenchmarkDiagnose(b *testing.B) {
	for _, pair := range [][2]int{{12, 14}, {51, 46}} {
		l := machine(b, pair[0], pair[1]).Layout()
		m := measure(rand.New(rand.NewPCG(1, 1)), l, Fault{}, true, [3]complex128{1, 1, 1})
		b.Run(l.Letters(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				diagnose(b, m, l)
			}
		})
	}
}
