package rotor

import (
	"math/rand/v2"
	"slices"
	"testing"

	"handspin/commutation/winding"
)

// diagnosed is what the order of the pole pairs says about the winding.
func diagnosed(t *testing.T, turn Turn, l winding.Layout) winding.Diagnosis {
	t.Helper()
	m := winding.Measured{EMF: turn.EMF[l.PolePairs()-1], Floating: turn.Floating}
	for i := range m.Cov {
		m.Cov[i][i] = turn.Cov[l.PolePairs()-1][i/2][i/2]
	}
	d, err := winding.Diagnose(m, l)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// ofKind is one of the layout's faults of a kind.
func ofKind(l winding.Layout, k winding.Kind, rng *rand.Rand) winding.Fault {
	all := slices.DeleteFunc(l.Faults(), func(f winding.Fault) bool { return f.Kind != k })
	return all[rng.IntN(len(all))]
}

// TestMagnetBesideAWindingFault: with coils reversed, missing or exchanged, or a phase
// reversed, the one magnet that is bad is named and no other, or one as far on as the
// winding repeats, for it cannot be told in which part of the stator the fault is; on
// what the fault makes of the sound layout it would be others. The faults are those that
// the order of the pole pairs says, and the magnet's share of it does not mislead that.
func TestMagnetBesideAWindingFault(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 3))
	// By the stars of slots: 9/8 has no two coils alike; 12/10, 12/14 and 24/22 are the same
	// after half a turn with all senses reversed, and 12/8 after each quarter.
	repeats := map[[2]int]int{{9, 8}: 8, {12, 10}: 5, {12, 14}: 7, {12, 8}: 2, {24, 22}: 11}
	for pair, every := range repeats {
		l := layoutOf(t, pair[0], pair[1])
		for _, kind := range []winding.Kind{winding.CoilReversed, winding.CoilMissing, winding.CoilsSwapped, winding.PhaseReversed} {
			if kind == winding.PhaseReversed && every == 2 { // 12/8 shows single magnets by a fault of coils only
				continue
			}
			for _, strength := range []float64{0.7, 0, -1} {
				fault, at := ofKind(l, kind, rng), rng.IntN(pair[1])
				m := even(pair[1])
				m.strength[at] = strength
				turn := turnOf(l.With(fault), m, 0.85, 0.0005, rng.IntN(2) == 0, rng)
				found := diagnosed(t, turn, l)
				p, err := Find(turn, l, found.Layouts(l)...)
				if err != nil || !found.Faulty() {
					t.Errorf("%v, %v, magnet %d of %g: %v %v", pair, fault, at, strength, err, found.Groups[0])
					continue
				}
				want := ofStrength(strength)
				if len(p.Causes) != 1 || p.Causes[0].Kind != want || !slices.Equal(p.Causes[0].Magnets, widened([]int{at}, every, pair[1])) {
					t.Errorf("%v, %v, magnet %d of %g: fit %.3g, %v", pair, fault, at, strength, p.Fit, p.Causes)
				}
			}
		}
	}
}

// TestNothingThatDoesNotExplain: on a layout that is not the stator's, where no few
// magnets make what is seen, neither magnets nor causes are told.
func TestNothingThatDoesNotExplain(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 3))
	l := layoutOf(t, 9, 8)
	m := even(8)
	m.strength[6] = 0
	p, err := Find(turnOf(l.With(ofKind(l, winding.CoilMissing, rng)), m, 0.85, 0.0005, false, rng), l)
	if err != nil || p.Explained() || len(p.Poles)+len(p.Causes) > 0 || p.Even() {
		t.Errorf("%v: %+v", err, p)
	}
}

// TestAhead: by how far the first magnet is past tooth 1 is what the start says: magnet 0
// faces it at zero, and half a pole further the next one is as near.
func TestAhead(t *testing.T) {
	l := layoutOf(t, 9, 8)
	for start, want := range map[float64]float64{0: 0, 85: 85, 95: -85, -85: -85} {
		turn := turnOf(l, even(8), 0.85, 0.0005, false, rand.New(rand.NewPCG(1, 1)))
		turn.StartDeg = start / 4
		p, err := Find(turn, l)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "ahead", p.AheadDeg, want, 0.5) // the noise of a phasor is 0.03 degrees
	}
}

// TestMissingExplainsItsNeighbours: poles beside a magnet that is missing reach into its
// place by some degrees, and are not out of theirs.
func TestMissingExplainsItsNeighbours(t *testing.T) {
	l := layoutOf(t, 24, 22)
	m := even(22)
	m.strength[5], m.shift[4], m.shift[6] = 0, 8, -8
	p, err := Find(turnOf(l, m, 0.85, 0.0005, false, rand.New(rand.NewPCG(1, 1))), l)
	if err != nil || len(p.Causes) != 1 || p.Causes[0].Kind != Missing || !slices.Contains(p.Causes[0].Magnets, 5) {
		t.Errorf("%v: %+v", err, p.Causes)
	}
}
