package winding

import (
	"math"
	"math/cmplx"
)

const pi = math.Pi

// Factor is the share of its turns' flux that a phase links, as the product of
// two shares.
type Factor struct {
	// Winding is the winding factor, Pitch that of a coil that spans one
	// tooth, Distribution that of coils at different angles in one phase.
	Winding, Pitch, Distribution float64
}

// Factor returns the factors of a phase for the harmonic of the given order, 1
// and up; a phase without coils has none.
//
// With s the coils' senses, theta their angles, N their number, Q slots and p
// pole pairs: distribution |sum s exp(j order theta)|/N, pitch
// |sin(order pi p/Q)| (star of slots, textbook).
func (l Layout) Factor(phase, order int) Factor {
	n := l.Count()[phase]
	if n == 0 {
		return Factor{}
	}
	// Whole multiples of Q change nothing; the remainder keeps the sine exact.
	pitch := math.Abs(math.Sin(pi * float64(order*l.PolePairs()%(2*l.slots)) / float64(l.slots)))
	distribution := cmplx.Abs(l.sums(order)[phase]) / float64(n)
	return Factor{pitch * distribution, pitch, distribution}
}
