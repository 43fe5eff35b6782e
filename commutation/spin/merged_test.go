package spin

import (
	"maps"
	"slices"
	"testing"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// mergedWith returns recordings as if h1 of each had come from a file of its own, of
// the spin given.
func mergedWith(recs []*capture.Recording, h1From []int) (out []*capture.Recording) {
	n := recs[0].Rows()
	for _, r := range recs {
		n = min(n, r.Rows())
	}
	for k, r := range recs {
		w := *r
		w.Merged, w.Time, w.Edge, w.Hall = true, r.Time[:n], r.Edge[:n], slices.Clone(r.Hall[:n])
		for i := range w.Hall {
			high, _ := recs[h1From[k]].Hall[i].Level(0)
			w.Hall[i] = w.Hall[i].With(0, high)
		}
		w.Columns = slices.Clone(r.Columns)
		for c := range w.Columns {
			w.Columns[c].Value = w.Columns[c].Value[:n]
		}
		out = append(out, &w)
	}
	return out
}

// Files put together from different spins, whose speeds differ by 7 % and more, never
// make a list; those put together rightly do.
func TestMergedFromOtherSpins(t *testing.T) {
	for seed := range uint64(2) {
		recs, truth := fourSpins(seed + 1)
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		for _, from := range [][]int{{0, 1, 2, 3}, {1, 0, 2, 3}, {1, 2, 3, 0}, {0, 1, 3, 2}, {2, 1, 0, 3}} {
			r, verdict, ranking := rankAll(t, mergedWith(recs, from))
			right := slices.IsSorted(from)
			if right != (verdict == commutation.Ranked) || right && !maps.Equal(spintest.Clean(ranking), want) {
				t.Errorf("seed %d, h1 of %v: %s\n%v", seed+1, from, verdict, r.Findings)
			}
		}
	}
}

// levelsAt are three sensors, 120 degrees apart, at an electrical angle in turns.
func levelsAt(turns float64) capture.Levels {
	l := capture.Levels(0)
	for lead := range 3 {
		at := turns + float64(lead)/3
		l = l.With(lead, at-float64(int(at)) < 0.5)
	}
	return l
}

// Sensors of files joined by time: at a constant speed nothing shows that they are of
// one moment.
func TestMergedSteady(t *testing.T) {
	for name, turns := range map[string]func(t float64) float64{
		"speeding up": func(t float64) float64 { return 2*t + 2*t*t },
		"steady":      func(t float64) float64 { return 10 * t },
	} {
		rec := &capture.Recording{Merged: true}
		for i := range 16000 {
			at := float64(i) / 4000
			rec.Time, rec.Edge, rec.Hall = append(rec.Time, at), append(rec.Edge, false), append(rec.Hall, levelsAt(turns(at)))
		}
		if r := Analyse(rec, Options{}); hasFinding(r, "clock", "") != (name == "steady") {
			t.Errorf("%s: %v", name, r.Findings)
		}
	}
}
