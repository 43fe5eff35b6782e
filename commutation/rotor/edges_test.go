package rotor

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// border returns by how many electrical degrees the border after magnet i is late: the
// middle between where its field ends and the next one's begins, at half of either, found
// step by step in the field that the leads are summed from.
func (m magnets) border(i int) float64 {
	const step = 0.01
	from, to := 180*float64(i)+m.shift[i], 180*float64(i)+180
	for math.Abs(m.field(from, arc)) > math.Abs(m.strength[i])/2 {
		from += step
	}
	for math.Abs(m.field(to, arc)) > math.Abs(m.strength[(i+1)%len(m.strength)])/2 {
		to -= step
	}
	return (from+to)/2 - 180*float64(i) - 90
}

// edgesOf are what sensors show that see magnet at[k] leave as their first edge, with
// an error of a fifth of a degree each, and rises that are late by a few.
func edgesOf(m magnets, at []int, rng *rand.Rand) []Edges {
	const sd = 0.2
	var out []Edges
	n := len(m.strength)
	for _, first := range at {
		e := Edges{FirstDeg: 180 * float64(first)}
		for k := range n {
			own := 3 * float64(k%2)
			e.LateDeg = append(e.LateDeg, m.border((first+k)%n)+own+sd*rng.NormFloat64())
			e.SDDeg = append(e.SDDeg, sd)
		}
		out = append(out, e)
	}
	return out
}

// TestSensorsTellPlaces: a magnet that is out of place is found and named in machines
// whose leads against one another hide it, and found without its number where the leads
// show no single magnets at all, wherever the sensors sit.
func TestSensorsTellPlaces(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for _, q := range [][2]int{{12, 10}, {12, 14}, {9, 8}, {9, 10}, {18, 16}, {12, 8}, {24, 16}} {
		l := layoutOf(t, q[0], q[1])
		m := even(q[1])
		at := rng.IntN(q[1] - 1)
		m.shift[at] = 14
		turn := turnOf(l, m, arc, 0.0005, rng.IntN(2) == 0, rng)
		turn.Floating = true
		if _, err := Find(turn, l); !Shows(l) && !errors.Is(err, ErrBlind) {
			t.Errorf("%v without sensors: %v", q, err)
		}
		turn.Edges = edgesOf(m, rng.Perm(q[1])[:3], rng)
		name := fmt.Sprintf("%v, magnet %d", q, at)
		p, err := Find(turn, l)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if p.Sensors != 3 || len(p.Causes) != 1 || p.Causes[0].Kind != Shifted || !slices.Contains(p.Causes[0].Magnets, at) {
			t.Errorf("%s: %d sensors, fit %g, %v", name, p.Sensors, p.Fit, p.Causes)
			continue
		}
		// Four standard deviations.
		near(t, name, p.Causes[0].Size, 14, 4*p.Causes[0].SD)
		most := 4 // two neighbours, and those opposite to them
		if !Shows(l) {
			most = q[1]
		}
		if n := len(p.Causes[0].Magnets); n > most || Shows(l) != (len(p.Poles) > 0) {
			t.Errorf("%s: one of %d, and %d in the table", name, n, len(p.Poles))
		}
	}
}

// TestSensorsThatDisagree: edges that come elsewhere for each sensor are no magnet's, and
// nothing is made of them.
func TestSensorsThatDisagree(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	l := layoutOf(t, 12, 10)
	turn := turnOf(l, even(10), arc, 0.0005, false, rng)
	for range 3 {
		m := even(10)
		for i := range m.shift {
			m.shift[i] = 8 * (rng.Float64() - 0.5)
		}
		turn.Edges = append(turn.Edges, edgesOf(m, []int{0}, rng)...)
	}
	p, err := Find(turn, l)
	if err != nil || p.Sensors != 0 || len(p.Causes) != 0 {
		t.Errorf("%+v, %v", p, err)
	}
}

// BenchmarkFind is the time of an explanation with sensors, by the number of magnets.
func BenchmarkFind(b *testing.B) {
	for _, q := range [][2]int{{12, 14}, {36, 42}, {51, 56}} {
		b.Run(fmt.Sprintf("%d poles", q[1]), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(13, 14))
			l := layoutOf(b, q[0], q[1])
			m := even(q[1])
			m.shift[3] = 14
			turn := turnOf(l, m, arc, 0.0005, false, rng)
			turn.Edges = edgesOf(m, []int{0, 5, 7}, rng)
			for b.Loop() {
				if _, err := Find(turn, l); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestEdgesThatTellNothing: on four magnets, two changes that are absent in all sensors
// leave no edge that is not beside one of them: nothing is told of places, and nothing
// breaks. What the back-EMF alone tells is the same without the edges.
func TestEdgesThatTellNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	l := layoutOf(t, 6, 4)
	m := even(4)
	m.strength[1] = -1
	turn := turnOf(l, m, arc, 0.0005, false, rng)
	without, errWithout := Find(turn, l)
	turn.Edges = edgesOf(m, []int{0, 1}, rng)
	for i := range turn.Edges {
		turn.Edges[i].LateDeg[0], turn.Edges[i].LateDeg[1] = math.NaN(), math.NaN()
	}
	with, err := Find(turn, l)
	if !errors.Is(err, errWithout) || err == nil && len(with.Causes) != len(without.Causes) {
		t.Errorf("%+v %v, want %+v %v", with, err, without, errWithout)
	}
}
