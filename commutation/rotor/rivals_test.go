package rotor

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestWhatLooksAlike: with a quarter slot per pole and phase a tooth spans 4/3 of a pole,
// and of all orders below twice the pole pairs p only p/2 shows: 3p/2 has a whole wave
// before each tooth. One phasor is seen, to which neighbouring magnets add at right angles.
// So magnet i weaker by w is what i+2 stronger by w is, which magnets seldom are (mostStrong);
// and a magnet out of place by x pole
// pitches adds its own phasor turned back by a right angle times (p/2)(pi/p) x, so that i+1
// early or i-1 late by x = 2 w/pi is that, too. All are told as possible. Where sensors see
// all magnets in their places the weak one is left.
func TestWhatLooksAlike(t *testing.T) {
	const weaker = 0.4
	early := 180 * 2 * weaker / math.Pi
	rng := rand.New(rand.NewPCG(15, 16))
	for _, q := range [][2]int{{9, 12}, {12, 16}, {6, 8}} {
		for _, sensors := range []int{0, 3} {
			l, m, at := layoutOf(t, q[0], q[1]), even(q[1]), rng.IntN(q[1])
			m.strength[at] = 1 - weaker
			turn := turnOf(l, m, arc, 0.0005, false, rng)
			turn.Floating = rng.IntN(2) == 0
			// The bend of the angle is not in turnOf: usual magnets' places are.
			turn.Edges = edgesOf(even(q[1]), rng.Perm(q[1])[:sensors], rng)
			want := []Cause{{Kind: Weak, Magnets: []int{at}, Size: 1 - weaker}}
			if sensors == 0 {
				want = append(want, Cause{Kind: Shifted, Magnets: []int{at + 1}, Size: -early}, Cause{Kind: Shifted, Magnets: []int{at - 1}, Size: early})
			}
			p, err := Find(turn, l)
			if err != nil || len(p.Causes) != 1 {
				t.Errorf("%v, %d sensors: %v %+v", q, sensors, err, p)
				continue
			}
			got := append([]Cause{p.Causes[0]}, p.Causes[0].Or...)
			if len(got) != len(want) {
				t.Errorf("%v, %d sensors, magnet %d: %+v", q, sensors, at, got)
			}
			for _, c := range want {
				k := slices.IndexFunc(got, func(g Cause) bool { return g.Kind == c.Kind && (g.Size < 0) == (c.Size < 0) })
				if k < 0 || !slices.Contains(got[k].Magnets, wrap(c.Magnets[0], q[1])) {
					t.Errorf("%v, %d sensors: %+v is not among %+v", q, sensors, c, got)
					continue
				}
				// The tolerance of TestFindNamesTheMagnet, in the cause's unit.
				off := weaker
				if c.Kind == Shifted {
					off = early
				}
				near(t, fmt.Sprintf("%v %s", q, c.Kind), got[k].Size, c.Size, 4*got[k].SD+shapeError*off)
			}
		}
	}
}

// TestOneCauseIsNamedAlone: where the winding shows many orders, a magnet that is weak or
// missing is like nothing else.
func TestOneCauseIsNamedAlone(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	for _, q := range [][2]int{{12, 10}, {12, 14}, {9, 8}, {15, 14}} {
		for _, strength := range []float64{0.8, 0, -1} {
			l, m := layoutOf(t, q[0], q[1]), even(q[1])
			m.strength[rng.IntN(q[1])] = strength
			p, err := Find(turnOf(l, m, 0.8, 0.0005, false, rng), l)
			if err != nil || len(p.Causes) != 1 || len(p.Causes[0].Or) > 0 {
				t.Errorf("%v, a magnet of %g: %v %+v", q, strength, err, p.Causes)
			}
		}
	}
}

// TestFarOutOfPlace: a magnet that the sensors see out of its place may be as far out as
// the back-EMF says, and no more than four times what its borders show.
func TestFarOutOfPlace(t *testing.T) {
	m := even(8)
	m.shift[2] = 20 // its borders take 10 each
	edges := edgesOf(m, []int{0, 3}, rand.New(rand.NewPCG(19, 20)))
	// One of four rises and one of four falls are 10 late, and the mean of either sort is
	// taken off. Four standard deviations of two edges with 0.2 each.
	near(t, "farthest", 180*Turn{Edges: edges}.mostPlace(), (10-10.0/4)/shownOfPlace, 4*0.2/math.Sqrt2/shownOfPlace)
	edges[1].LateDeg[4] = math.NaN()
	for name, turn := range map[string]Turn{"an edge is absent": {Edges: edges}, "no sensors": {}} {
		if got := turn.mostPlace(); got != mostPlace {
			t.Errorf("%s: %g", name, got)
		}
	}
}
