package spin

import (
	"math"
	"slices"
	"testing"

	"handspin/capture/synth"
)

// TestMissedAndExtraEdges: a pole that is taken out of a clean line is missed at both
// its borders, at the times at which they were, and a pulse put in is an extra one.
func TestMissedAndExtraEdges(t *testing.T) {
	c := synth.Random(synth.Ordinary, 5)
	c.Motor.PoleShift = 0
	rec, _ := c.Record()
	var edges []int // rows at which h1 changes
	for i := 1; i < rec.Rows(); i++ {
		before, _ := rec.Hall[i-1].Level(0)
		now, _ := rec.Hall[i].Level(0)
		if now != before {
			edges = append(edges, i)
		}
	}
	mid := len(edges) / 2
	if r := Analyse(rec, Options{}).Sensors[0]; len(r.Missed)+len(r.Extra) > 0 {
		t.Fatalf("of a clean line: missed %v, extra %v", r.Missed, r.Extra)
	}
	spoilt := *rec
	spoilt.Hall = slices.Clone(rec.Hall)
	flip := func(from, to int) {
		for i := from; i < to; i++ {
			high, _ := spoilt.Hall[i].Level(0)
			spoilt.Hall[i] = spoilt.Hall[i].With(0, !high)
		}
	}
	flip(edges[mid], edges[mid+1])
	pulse := (edges[mid+4] + edges[mid+5]) / 2
	flip(pulse, pulse+2)
	got := Analyse(&spoilt, Options{}).Sensors[0]
	lag := func(i int) float64 { return rec.Time[i] - rec.HallLag }
	// The border's place is a mean over the magnets: a degree at 15 Hz or more is 0.2 ms.
	const tol = 1e-3
	if len(got.Missed) != 2 || math.Abs(got.Missed[0]-lag(edges[mid])) > tol || math.Abs(got.Missed[1]-lag(edges[mid+1])) > tol {
		t.Errorf("missed at %v, want %v and %v", got.Missed, lag(edges[mid]), lag(edges[mid+1]))
	}
	if len(got.Extra) != 1 || math.Abs(got.Extra[0]-rec.Time[pulse]) > tol {
		t.Errorf("extra at %v, want %v", got.Extra, rec.Time[pulse])
	}
}
