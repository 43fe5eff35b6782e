package winding

import (
	"math/cmplx"
	"math/rand/v2"
	"slices"
	"testing"
)

// A delta's leads show e12 = A less what circulates, (A+B+C)/3, and so on; against
// three equal resistors in star a lead is then a third of the difference of the two
// that meet in it: (e12 - e31)/3 (Kirchhoff). Taken back across the delta that is A
// without the common part, which is what a floating star shows, and the faults are
// found as there.
func TestAcrossDelta(t *testing.T) {
	m, err := New(12, 14)
	if err != nil {
		t.Fatal(err)
	}
	l := m.Layout()
	rng := rand.New(rand.NewPCG(7, 8))
	for _, f := range l.Faults() {
		phases := measure(rng, l, f, true, [3]complex128{1, 1, 1})
		got := leadsOfDelta(phases).AcrossDelta()
		mean := Zero(phases.EMF)
		for k, e := range phases.EMF {
			if cmplx.Abs(got.EMF[k]-(e-mean)) > 1e-12 {
				t.Errorf("%v: phase %d is %v, want %v", f, k, got.EMF[k], e-mean)
			}
		}
		// Of the covariance of equal errors of the leads, that of a difference is
		// twice one, and of two differences that share a lead minus one.
		for i := range got.Cov {
			for j := range got.Cov {
				want := 0.0
				switch {
				case i == j:
					want = 2 * noise * noise
				case i%2 == j%2:
					want = -noise * noise
				}
				if d := got.Cov[i][j] - want; d*d > 1e-24 {
					t.Fatalf("covariance %d, %d is %g, want %g", i, j, got.Cov[i][j], want)
				}
			}
		}
		if d := diagnose(t, got, l); !slices.ContainsFunc(d.Groups[:min(3, len(d.Groups))], func(g Group) bool { return has(g.Faults, f) }) {
			t.Errorf("%v is not among the first three groups", f)
		}
	}
}

// leadsOfDelta returns what the leads of phases in delta show, with equal
// independent errors, as the phases have.
func leadsOfDelta(phases Measured) Measured {
	out := phases
	for k := range out.EMF {
		out.EMF[k] = (phases.EMF[k] - phases.EMF[(k+2)%3]) / 3
	}
	return out
}
