package rotor

import (
	"errors"
	"math/cmplx"

	"handspin/commutation/winding"
)

// Turn is the back-EMF of three leads over a turn of the shaft, by orders.
type Turn struct {
	PolePairs int
	// EMF[n-1] has the leads' phasors of order n of the shaft turn: lead k shows
	// the imaginary part of EMF[n-1][k] exp(i n angle), in any unit. The last
	// order is twice the pole pairs.
	EMF [][3]complex128
	// Cov[n-1] is the covariance of order n between the leads, the same for both
	// parts of the phasors.
	Cov [][3][3]float64
	// Floating is true where the reference was not the star point.
	Floating bool
	// Backward is true where the leads follow one another p1, p3, p2: teeth, which
	// count so that p1, p2, p3 follow, are then passed from high to low.
	Backward bool
	// StartDeg is the shaft's angle from which magnets are counted.
	StartDeg float64
	// PlaceScatter is the usual deviation of magnets from their places in
	// electrical degrees; 0 or NaN where nothing but the back-EMF tells it.
	PlaceScatter float64
	// Edges are the sensors'.
	Edges []Edges
	limit float64 // mostPlace by all edges that there are
}

// AcrossDelta returns what phases in delta, of which A lies from the first lead to the
// second, show: the differences of the leads.
func (t Turn) AcrossDelta() Turn {
	out := t
	out.Floating, out.EMF, out.Cov = true, nil, nil
	for n, e := range t.EMF {
		var across [3]complex128
		var cov [3][3]float64
		for a := range e {
			b := (a + 1) % 3
			across[a] = e[a] - e[b]
			for c := range e {
				d := (c + 1) % 3
				cov[a][c] = t.Cov[n][a][c] - t.Cov[n][a][d] - t.Cov[n][b][c] + t.Cov[n][b][d]
			}
		}
		out.EMF, out.Cov = append(out.EMF, across), append(out.Cov, cov)
	}
	return out
}

// An uneven rotor is a sum of magnets. The coil on tooth k sees magnet m at the
// shaft angle phi_m + theta_k, so that order n of lead c is
//
//	E_c(n) = h(n) K_c(n) sum over m of (-1)^m (1 + s_m) exp(-i n (phi_m + x_m)),
//
// with K the winding's sum of coil phasors, s a magnet's relative strength and x
// its shift. h is the same for all magnets: that of a block of 0.85 of the pole
// pitch seen by a tooth, to within shapeError of what arcs from 0.7 to 1 have.
// Even magnets leave order p alone. Everything is linear in small s and x.
//
// The fitted angle is bent by d(angle) where magnets differ, which adds the
// derivative of d times the fundamental to every lead: orders p+k and p-k in the
// phases' own sequence. Where the winding shows these orders in another sequence,
// the two are told apart; where k is a multiple of three, only the part of a
// pattern that no bend makes is seen, and the uncertainty says so.
const (
	arc        = 0.85
	shapeError = 0.1
	bendSD     = 0.3 // electrical rad
)

// Usual magnets differ by so much: relative strength, and place relative to the
// pole pitch, times one of the scatters (common practice; no published source).
const (
	usualStrength = 0.01
	usualPlace    = 0.004
)

// scatter is how uneven the magnets of a rotor may be, and how likely that is before
// it is measured.
type scatter struct{ times, odds float64 }

var scatters = []scatter{{0.25, 0.25}, {0.5, 0.3}, {1, 0.3}, {2, 0.1}, {4, 0.05}}

// ErrBlind says that the winding does not show single magnets: each phase always
// sees as many of all of them.
var ErrBlind = errors.New("this winding sees all magnets at once, so its back-EMF cannot tell them apart")

// ErrNoFundamental says that there is no back-EMF to begin with.
var ErrNoFundamental = errors.New("the leads show no back-EMF of this number of poles")

// Shows reports whether a winding shows single magnets in its back-EMF at all:
// some order below twice the pole pairs, other than the fundamental. Of two poles there
// is none.
func Shows(l winding.Layout) bool {
	for n := 1; n < l.Poles(); n++ {
		if n != l.PolePairs() && sees(l.Shaft(n)) {
			return true
		}
	}
	return false
}

func sees(k [3]complex128) bool {
	return cmplx.Abs(k[0])+cmplx.Abs(k[1])+cmplx.Abs(k[2]) > 1e-6
}
