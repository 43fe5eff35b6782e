package winding

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestPartTables: what a share of the turns does, by hand. Of a phase's back-EMF the
// coil on tooth 1 of 12/10 is e^(j 15)/(4 cos 15) = 0.25 + 0.067j, of 9/8 that of the
// outer coils 1/(1 + 2 cos 20) e^(j 20) = 0.3264 + 0.1188j and of the middle one
// 0.3473, of 12/8 a quarter and of 9/6 a third; a share of that is taken away. With
// phase A at a = 1 - y in its own direction a line to it has sqrt((a^2 + a + 1)/3), and
// the mean of the three is y/3.
func TestPartTables(t *testing.T) {
	for _, c := range []struct {
		slots, poles int
		f            Fault
		size, deg    float64 // of phase A
		line, zero   float64 // 0 where not worked out
	}{
		{12, 10, Fault{Kind: CoilPart, Teeth: []int{0}, Share: 0.5}, 0.8756, -2.19, 0, 0.0431}, // 0.875 - 0.0335j; |0.125 + 0.0335j|/3
		{12, 10, Fault{Kind: CoilPart, Teeth: []int{1}, Share: 0.5}, 0.8756, 2.19, 0, 0.0431},
		{12, 10, Fault{Kind: CoilPart, Teeth: []int{0}, Share: 1}, 0.7530, -5.10, 0.901, 0.086}, // the row of the coil missing
		{9, 8, Fault{Kind: CoilPart, Teeth: []int{1}, Share: 0.4}, 0.8611, 0, 0, 0.0463},
		{9, 8, Fault{Kind: CoilPart, Teeth: []int{0}, Share: 0.5}, 0.8389, -4.06, 0, 0}, // 0.8368 - 0.0594j
		{12, 8, Fault{Kind: CoilPart, Teeth: []int{0}, Share: 0.48}, 0.88, 0, 0.9407, 0.04},
		{9, 6, Fault{Kind: CoilPart, Teeth: []int{3}, Share: 0.3}, 0.9, 0, 0.9504, 0.0333},
		{12, 10, Fault{Kind: PhaseTurns, Share: 0.13}, 0.87, 0, 0.9357, 0.0433},
		{9, 8, Fault{Kind: PhaseTurns, Share: -0.08}, 1.08, 0, 1.0406, 0.0267},
	} {
		l := machine(t, c.slots, c.poles).Layout()
		c.f.Phases = []int{0}
		e := l.Predict(c.f, false)
		name := fmt.Sprintf("%d/%d %v", c.slots, c.poles, c.f)
		near(t, name+" size", cmplx.Abs(e[0]), c.size, 1e-4) // to four decimals
		near(t, name+" angle", degrees(e[0]), c.deg, 0.006)  // to two decimals
		near(t, name+" B", cmplx.Abs(e[1]-l.EMF(l)[1]), 0, exact)
		if c.line != 0 {
			near(t, name+" line", cmplx.Abs(Lines(e)[0]), c.line, three)
		}
		if c.zero != 0 {
			near(t, name+" zero", cmplx.Abs(Zero(e)), c.zero, three)
		}
	}
}

// TestPartResistances: the share of a coil of four is a quarter of that of the phase.
func TestPartResistances(t *testing.T) {
	l := machine(t, 12, 8).Layout()
	for _, c := range []struct {
		f    Fault
		want [3]float64
	}{
		{Fault{Kind: CoilPart, Phases: []int{0}, Teeth: []int{0}, Share: 0.48}, [3]float64{0.88, 1, 1}},
		{Fault{Kind: PhaseTurns, Phases: []int{1}, Share: 0.13}, [3]float64{1, 0.87, 1}},
		{Fault{Kind: PhaseTurns, Phases: []int{2}, Share: -0.1}, [3]float64{1, 1, 1.1}},
	} {
		for i, r := range l.Resistances(c.f) {
			near(t, c.f.String(), r, c.want[i], exact)
		}
	}
}

// TestSharesAreFound: any share that is a fault is among the likely ones, by its coil
// or phase, with its size within four standard deviations; the recorded noise is under
// a third of the limits, which the standard deviations have.
func TestSharesAreFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 150 {
		pair := [][2]int{{12, 10}, {12, 14}, {9, 8}, {12, 8}, {9, 6}, {18, 16}}[rng.IntN(6)]
		l, floating := machine(t, pair[0], pair[1]).Layout(), rng.IntN(2) == 0
		parts := l.parts(floating)
		p := parts[rng.IntN(len(parts))]
		if rng.IntN(2) == 0 {
			p = parts[rng.IntN(3)] // a phase
		}
		f := p.Fault
		f.Share = p.shares[rng.IntN(len(p.shares))]
		d := diagnose(t, measure(rng, l, f, floating, unequal(rng, 0.003)), l)
		found := slices.IndexFunc(d.Likely(), func(g Fault) bool {
			return g.Kind == f.Kind && g.Phases[0] == f.Phases[0] && slices.Equal(g.Teeth, f.Teeth)
		})
		if found < 0 || d.Sound() || !d.Explained() {
			t.Errorf("%v floating %v, %v: likely %v", pair, floating, f, d.Likely())
			continue
		}
		if g := d.Likely()[found]; math.Abs(g.Share-f.Share) > 4*g.ShareSD {
			t.Errorf("%v floating %v, %v: got %v", pair, floating, f, g)
		}
	}
}

// TestSmallShares: what is nearer than two standard deviations of the limits to a
// sound winding is called nothing.
func TestSmallShares(t *testing.T) {
	for _, pair := range [][2]int{{12, 10}, {9, 8}, {12, 8}} {
		l := machine(t, pair[0], pair[1]).Layout()
		for _, floating := range []bool{false, true} {
			p := l.parts(floating)[0]
			f := p.Fault
			f.Share = p.shares[0] * 2 / leastFar
			if d := diagnose(t, Measured{EMF: l.Predict(f, floating), Floating: floating}, l); !d.Sound() {
				t.Errorf("%v floating %v, %v: %v", pair, floating, f, d.Likely())
			}
		}
	}
}

// TestCrossedOrFewerTurns: in 12/10 the coils on teeth 2 (A) and 9 (B) stand 15 degrees
// off their phases. Exchanged with their senses, A changes by -0.134 e^(j 60) and B by
// the same: A loses e^(-j 15)/(4 cos 15) and gains what B loses. Without the star point
// that is C changed by 0.134 e^(j 60), which is C with 1 - sqrt(3)/2 = 13.4 % fewer
// turns. Both are listed then; against the star point one is left.
//
// Floating, a phase that is off by y is y/sqrt(3) away from the nearest sound ones (a
// third of it is in the mean of the three, a third of that left in their strength), so
// the share's standard deviation is 0.0173 with floorSD. Shares that count begin five
// of these from 0 and make 0.413 + 0.163 up to 0.5 and 0.25: the evidence is
// sqrt(2 pi) 0.0173/0.576 = 0.0754 for one phase of three, against 2 of 24 pairs of
// opposite sense. That is 0.30 for 1; a tenth for what is linear only near 0.
func TestCrossedOrFewerTurns(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	f := Fault{Kind: PhaseTurns, Phases: []int{2}, Share: 1 - math.Sqrt(3)/2}
	crossed := fault(t, l, CoilsCrossed, 2, 9)
	for i, e := range l.Predict(crossed, true) {
		near(t, "the same phasors", cmplx.Abs(e-l.Predict(f, true)[i]), 0, exact)
	}
	probability := func(d Diagnosis, k Kind, phase int) float64 {
		for _, g := range d.Groups {
			if g.Is(k) && slices.Contains(g.Faults[0].Phases, phase) && (k == PhaseTurns || has(g.Faults, crossed)) {
				return g.Probability
			}
		}
		return 0
	}
	d := diagnose(t, Measured{EMF: l.Predict(f, true), Floating: true}, l)
	turns, pair := probability(d, PhaseTurns, 2), probability(d, CoilsCrossed, 0)
	near(t, "turns to crossed", turns/pair, 0.30, 0.03)
	if !d.Faulty() || turns+pair < 0.8 {
		t.Errorf("turns %g, crossed %g of %v", turns, pair, d.Likely())
	}
	if tests := l.Tests(d.Likely(), true); !slices.Contains(tests, Resistance) || !slices.Contains(tests, StarPoint) || !slices.Contains(tests, OtherInputs) || !slices.Contains(tests, SingleCoil) {
		t.Errorf("told apart by %v", tests)
	}
	d = diagnose(t, Measured{EMF: l.Predict(f, false)}, l)
	if turns, pair := probability(d, PhaseTurns, 2), probability(d, CoilsCrossed, 0); turns < 0.9 || pair > 1e-6 {
		t.Errorf("against the star point: turns %g, crossed %g", turns, pair)
	}
}

// TestFewerTurnsAreNoSwap: a phase 9 or 20 % low is near what a crossed pair does to
// 12/10, 12/14 and 24/22, and not near enough: no fault is named before the phase, and
// that is among the likely ones.
func TestFewerTurnsAreNoSwap(t *testing.T) {
	for _, pair := range [][2]int{{12, 10}, {12, 14}} {
		l := machine(t, pair[0], pair[1]).Layout()
		for _, share := range []float64{0.09, 0.2} {
			f := Fault{Kind: PhaseTurns, Phases: []int{1}, Share: share}
			d := diagnose(t, Measured{EMF: l.Predict(f, true), Floating: true}, l)
			first := d.Groups[0].Faults[0]
			if first.Kind != PhaseTurns && first.Kind != CoilPart || !d.Faulty() {
				t.Errorf("%v %v: %v", pair, f, d.Likely())
			}
			if !slices.ContainsFunc(d.Likely(), func(g Fault) bool { return g.Kind == PhaseTurns && g.Phases[0] == 1 }) {
				t.Errorf("%v %v is not among %v", pair, f, d.Likely())
			}
		}
	}
}

// TestFaultOfNoPlace: a coil reversed among 51 surely is one, though none of its
// phase's seventeen is likely by itself.
func TestFaultOfNoPlace(t *testing.T) {
	l := machine(t, 51, 46).Layout()
	f := fault(t, l, CoilReversed, 14)
	d := diagnose(t, Measured{EMF: l.Predict(f, true), Floating: true}, l)
	if !d.Faulty() || d.PSound() > 1e-3 || d.Groups[0].Probability > 0.5 || !d.Groups[0].Is(CoilReversed) {
		t.Errorf("sound %g, first %v at %g", d.PSound(), d.Groups[0], d.Groups[0].Probability)
	}
}

func TestGroupNames(t *testing.T) {
	l := machine(t, 12, 8).Layout()
	reversed := diagnose(t, Measured{EMF: l.Predict(fault(t, l, CoilReversed, 4), false)}, l).Groups[0]
	want := "coil on tooth 1, 4, 7 or 10 (A) reversed; or two of the coils on teeth 1, 4, 7 and 10 (A) missing or shorted"
	if reversed.String() != want {
		t.Errorf("got %s", reversed)
	}
	// 36/42 is the 12/14 winding three times over, so that the two pairs of its coils that
	// are exchanged alike are 2 x 3 x 3.
	six := machine(t, 36, 42).Layout()
	crossed := diagnose(t, Measured{EMF: six.Predict(fault(t, six, CoilsCrossed, 1, 6), false)}, six).Groups[0]
	want = "two coils of A and B, on any of 18 pairs of teeth such as 1 and 6, exchanged together with their senses"
	if crossed.String() != want {
		t.Errorf("got %s", crossed)
	}
	part := Fault{Kind: CoilPart, Phases: []int{1}, Teeth: []int{2}, Share: 0.48, ShareSD: 0.062}
	if got := part.String(); got != "coil on tooth 3 (B) with 48 ±7 % of its turns shorted or left out" || part.Kind.Code() != "coil-short" {
		t.Errorf("got %s %s", got, part.Kind.Code())
	}
	more := Fault{Kind: PhaseTurns, Phases: []int{1}, Share: -0.08}
	if got := more.String(); got != "phase B with 8 % more turns" || more.Kind.Code() != "phase-turns" {
		t.Errorf("got %s", got)
	}
}
