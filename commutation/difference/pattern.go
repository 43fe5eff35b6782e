package difference

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Pattern is what magnets that differ add to the back-EMF over a turn of the shaft.
type Pattern struct {
	// PolePairs are those of both rotors; 0 where they are not known. Pairs are those of
	// either, as given or as found beyond doubt, else 0.
	PolePairs int
	Pairs     [2]int
	// Uneven is how uneven the magnets of the first and of the second are, as
	// [spin.Shaft.Unevenness]; NaN where a whole turn of the shaft is not known.
	Uneven [2]spin.Value
	// Change is the effective value of what differs between the two patterns, relative to
	// the fundamental, with the rotor seated where they differ least; NaN where they
	// cannot be compared. Changed is true where that is more than chance.
	Change  spin.Value
	Changed bool
	// Err says what keeps them from being compared.
	Err error
}

// The reasons why patterns cannot be compared.
var (
	ErrNoPairs = errors.New("the number of pole pairs is not known, and nothing repeats that would tell it")
	ErrPairs   = errors.New("the two recordings have or show other numbers of pole pairs")
	ErrClipped = errors.New("the columns of one of the recordings are cut off at a limit")
	ErrWinding = errors.New("more than one phase changed, and the winding shows magnets through its phases")
)

// OtherPairs reports whether the second rotor has another number of pole pairs.
func (p *Pattern) OtherPairs() bool {
	return p.Pairs[0] != p.Pairs[1] && min(p.Pairs[0], p.Pairs[1]) > 0
}

// shafts are the back-EMFs of both over a turn of the shaft.
type shafts struct {
	pairs int
	sure  [2]int // as Pattern.Pairs
	turn  [2]*spin.Shaft
	err   error
}

// findPairs sets the pole pairs of both: those that are given or certain, else what either
// may have.
func (s *shafts) findPairs(both [2]*spin.Result, given [2]int) {
	s.sure = given
	var maybe [2]int
	for i, r := range both {
		if given[i] > 0 {
			continue
		}
		if n, certain := r.FindPolePairs(); certain {
			s.sure[i] = n
		} else {
			maybe[i] = n
		}
	}
	n := s.sure
	if n == [2]int{} {
		n = maybe
	}
	switch s.pairs = max(n[0], n[1]); {
	case s.pairs == 0:
		s.err = ErrNoPairs
	case min(n[0], n[1]) > 0 && n[0] != n[1]:
		s.pairs, s.err = 0, ErrPairs
	}
}

func shaftsOf(first, second *spin.Result, given [2]int) (s shafts) {
	if s.findPairs([2]*spin.Result{first, second}, given); s.err != nil {
		return s
	}
	for i, r := range []*spin.Result{first, second} {
		if s.turn[i], s.err = r.Shaft(s.pairs); s.err != nil {
			return s
		}
		if clipped(r) {
			s.err = ErrClipped
			return s
		}
	}
	return s
}

// clipped reports whether columns are cut off, for a part of the time.
func clipped(r *spin.Result) bool { return commutation.Found(r.Findings, "phase-clipped") }

// take puts the fundamental over whole turns, in which each magnet counts alike, into the
// view of one of them.
func (s shafts) take(v *view, i int) {
	order := s.pairs - 1
	variance := 0.0
	for k := range 3 {
		variance += s.turn[i].Cov[order][k][k] / 3
	}
	v.emf, v.sd = s.turn[i].EMF[order], max(v.sd, math.Sqrt(variance))
}

// LeastPattern is the least change of a pattern that is worth a word: what is left
// between spins of the same rotor, by how the angle follows a speed that changes. Of 86
// pairs of spins of simulated motors it was 0.0054 at the most.
const LeastPattern = 0.008

// compare compares the patterns of the first and of the second as it is with an exchange
// undone, which b is already.
func (s shafts) compare(a, b view, f Frame, undone Exchange) Pattern {
	p := Pattern{PolePairs: s.pairs, Pairs: s.sure, Change: unknown, Uneven: [2]spin.Value{unknown, unknown}, Err: s.err}
	if s.err != nil {
		return p
	}
	p.Uneven = [2]spin.Value{s.turn[0].Unevenness(), s.turn[1].Unevenness()}
	if f.By == AllSensors || f.By == AllPhases && phasesDiffer(a, b) {
		p.Err = ErrWinding
		return p
	}
	x := ripple(s.turn[0], a, f.Lead)
	y := ripple(s.second(undone), b, f.Lead)
	p.Change = x.differs(y)
	p.Changed = differs(p.Change, LeastPattern)
	return p
}

// second is the second's turn with its leads and its direction as in the first.
func (s shafts) second(undone Exchange) *spin.Shaft {
	out := *s.turn[1]
	out.EMF = append([][3]complex128(nil), out.EMF...)
	for n, e := range out.EMF {
		for k, from := range undone.Phases {
			out.EMF[n][k] = e[from]
			if undone.Opposite {
				out.EMF[n][k] = cmplx.Conj(e[from])
			}
		}
	}
	return &out
}

// rippling is what of the back-EMF of each order of the shaft turn beside the fundamental no
// turning of the angle makes, relative to the fundamental: see ripple. variance is that
// of each.
type rippling struct {
	pairs    int
	orders   []int
	emf      []complex128
	variance []float64
}

// ripple takes the orders p+q and p-q of a turn with p pole pairs together. The angle
// was fitted as if all magnets were alike, and so bent by what they do to all phases
// alike; how far depends on how fast the rotor turned. A bend by b(shaft) adds b times
// the flux's derivative, which in the component that rotates with the leads gives the
// two orders conjugate parts. What is left without those is the magnets' alone:
// half their difference there, and the component against the rotation. Where
// one phase changed, lead is that and the voltage of the two others is all there is.
func ripple(s *spin.Shaft, v view, lead int) rippling {
	out := rippling{pairs: s.PolePairs}
	with := func(n int) (with, against complex128) {
		e := s.EMF[n-1]
		for k := range e {
			e[k] /= complex(0, float64(n)) // flux: its derivative by the angle is the back-EMF
		}
		if lead >= 0 {
			return e[(lead+1)%3] - e[(lead+2)%3], 0
		}
		return v.sequences(e)
	}
	one, _ := with(s.PolePairs)
	turn := cmplx.Phase(one) + math.Pi/2 // the fundamental's back-EMF to phase 0
	at := func(n int, x complex128) complex128 {
		return x / complex(cmplx.Abs(one), 0) * cmplx.Rect(1, -turn*float64(n)/float64(s.PolePairs))
	}
	for q := 1; q < s.PolePairs; q++ {
		up, down := s.PolePairs+q, s.PolePairs-q
		x, xn := with(up)
		y, yn := with(down)
		x, y = at(up, x), at(down, y)
		both := math.Hypot(float64(up), float64(down))
		square := power(one)
		out.add(q, both, (x-cmplx.Conj(y))/2, (noise(s, up, lead)+noise(s, down, lead))/4/square)
		if lead < 0 {
			out.add(up, float64(up), at(up, xn), noise(s, up, lead)/square)
			out.add(down, float64(down), at(down, yn), noise(s, down, lead)/square)
		}
	}
	return out
}

// noise is the variance of the flux of order n, of a sequence of the three leads or of the
// voltage between those other than lead.
func noise(s *spin.Shaft, n, lead int) float64 {
	sum := 0.0
	for k := range 3 {
		switch {
		case lead < 0:
			sum += 2 * s.Cov[n-1][k][k] / 9
		case k != lead:
			sum += 2 * s.Cov[n-1][k][k]
		}
	}
	return sum / float64(n*n)
}

// add adds a part of the flux; it counts as the back-EMF does, by its order.
func (r *rippling) add(order int, weight float64, flux complex128, variance float64) {
	weight /= float64(r.pairs)
	r.orders, r.emf = append(r.orders, order), append(r.emf, flux*complex(weight, 0))
	r.variance = append(r.variance, weight*weight*variance)
}

// differs is the effective value of the difference of two patterns, the second turned
// on by as many whole electrical turns as make it least: where a turn of the shaft
// begins is not known.
func (r rippling) differs(other rippling) spin.Value {
	least := math.Inf(1)
	for m := range r.pairs {
		sum := 0.0
		for i, n := range r.orders {
			sum += power(other.emf[i]*cmplx.Rect(1, 2*math.Pi*float64(m*n)/float64(r.pairs)) - r.emf[i])
		}
		least = min(least, sum)
	}
	square, spread := least, 0.0
	for i, v := range r.variance {
		v += other.variance[i]
		square, spread = square-v, spread+v*v
	}
	square = max(0, square)
	// Of a sum of squares of so many normal parts about their means.
	sd := math.Sqrt(spread + 2*square*slices.Max(append(r.variance, other.variance...)))
	value := math.Sqrt(square)
	return spin.Value{Value: value, SD: min(sd/max(2*value, 1e-9), math.Sqrt(sd))}
}

func power(x complex128) float64 { return real(x)*real(x) + imag(x)*imag(x) }
