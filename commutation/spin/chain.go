package spin

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/mat"

	"handspin/commutation"
)

// Recordings made one after another have an angle zero each. A sensor that two of
// them have ties their zeros, and a chain of such ties joins those that have no
// sensor in common.

// marks are the edges by which recordings are tied: each Hall lead's rise and fall.
const marks = 6

// mark returns where a part has edge m, on its own scale, in degrees.
func (a *analysis) mark(m int) (Value, bool) {
	s := a.result.Sensors[m/2]
	if !s.Placed || s.Agreement < poorAgreement {
		return unknown, false
	}
	if m%2 == 0 {
		return s.RiseDeg, true
	}
	return s.FallDeg, true
}

// linkage is a chain, a set of parts that sensors tie together. Angles are in degrees on the
// chain's scale.
type linkage struct {
	parts []*analysis
	// zero is what is to be added to the angles of each part; NaN for parts that
	// nothing ties to the others.
	zero []Value
	mark [marks]Value // NaN where no part of the chain has it
	// against are the parts that have sensors elsewhere than the parts before.
	against map[int]float64
}

// longestChain returns the chain with the most parts.
func longestChain(parts []*analysis) *linkage {
	var best *linkage
	for root := range parts {
		if c := grow(parts, root); best == nil || c.length() > best.length() {
			best = c
		}
	}
	best.solve()
	return best
}

func (c *linkage) has(part int) bool { return !math.IsNaN(c.zero[part].Value) }

// length returns how many parts the chain has.
func (c *linkage) length() (n int) {
	for i := range c.parts {
		if c.has(i) {
			n++
		}
	}
	return n
}

// grow returns the chain of a part and all that sensors tie to it, roughly in
// place.
func grow(parts []*analysis, root int) *linkage {
	c := &linkage{parts: parts, zero: make([]Value, len(parts)), against: map[int]float64{}}
	for i := range c.zero {
		c.zero[i] = unknown
	}
	for m := range c.mark {
		c.mark[m] = unknown
	}
	c.add(root, 0)
	for grew := true; grew; {
		grew = false
		for i := range parts {
			if zero, off, tied := c.tie(i); !c.has(i) && tied {
				c.add(i, zero)
				if grew = true; off > apartDeg {
					c.against[i] = off
				}
			}
		}
	}
	return c
}

// add puts part i into the chain, with the edges that no part had before.
func (c *linkage) add(i int, zero float64) {
	c.zero[i] = Value{Value: zero}
	for m := range c.mark {
		if v, ok := c.parts[i].mark(m); ok && math.IsNaN(c.mark[m].Value) {
			c.mark[m] = Value{Value: v.Value + zero}
		}
	}
}

// tie returns the zero that the chain's edges give part i, and how far one of them
// is from where the part has it then. tied is false where they have none in common.
func (c *linkage) tie(i int) (zero, off float64, tied bool) {
	var sum complex128
	var apart []float64
	for m, known := range c.mark {
		if v, ok := c.parts[i].mark(m); ok && !math.IsNaN(known.Value) {
			apart = append(apart, known.Value-v.Value)
			sum += cmplx.Rect(1, (known.Value-v.Value)*math.Pi/180)
		}
	}
	zero = cmplx.Phase(sum) * 180 / math.Pi
	for _, d := range apart {
		off = max(off, math.Abs(commutation.Signed(d-zero)))
	}
	return zero, off, len(apart) > 0
}

// solve moves zeros and edges to where they fit what the parts show best (weighted
// least squares, linear in small corrections), with their standard deviations. The
// edge that most parts have stays where it is: all else counts from there.
func (c *linkage) solve() {
	n := len(c.parts)
	fixed := c.commonest()
	normal := mat.NewSymDense(n+marks, nil)
	right := mat.NewVecDense(n+marks, nil)
	for k := range n + marks {
		normal.SetSym(k, k, 1e-12) // for those that nothing is known of
	}
	normal.SetSym(n+fixed, n+fixed, 1e12)
	for i, p := range c.parts {
		if _, against := c.against[i]; against || !c.has(i) {
			continue
		}
		for m := range c.mark {
			v, ok := p.mark(m)
			if !ok {
				continue
			}
			w := 1 / (v.SD*v.SD + leastDeg*leastDeg)
			left := commutation.Signed(v.Value + c.zero[i].Value - c.mark[m].Value) // = mark - zero, in corrections
			normal.SetSym(n+m, n+m, normal.At(n+m, n+m)+w)
			normal.SetSym(i, i, normal.At(i, i)+w)
			normal.SetSym(i, n+m, normal.At(i, n+m)-w)
			right.SetVec(n+m, right.AtVec(n+m)+w*left)
			right.SetVec(i, right.AtVec(i)-w*left)
		}
	}
	c.correct(normal, right)
}

// leastDeg is the standard deviation that an edge's place has at least, in
// electrical degrees: magnets differ by more.
const leastDeg = 0.05

// correct solves the normal equations and adds what they give.
func (c *linkage) correct(normal *mat.SymDense, right *mat.VecDense) {
	var chol mat.Cholesky
	var step mat.VecDense
	var cov mat.SymDense
	if !chol.Factorize(normal) || chol.SolveVecTo(&step, right) != nil || chol.InverseTo(&cov) != nil {
		return
	}
	n := len(c.parts)
	for i := range c.zero {
		c.zero[i].Value += step.AtVec(i)
		c.zero[i].SD = math.Sqrt(cov.At(i, i))
	}
	for m := range c.mark {
		c.mark[m].Value += step.AtVec(n + m)
		c.mark[m].SD = math.Sqrt(cov.At(n+m, n+m))
	}
}

// commonest returns the edge that most parts of the chain have.
func (c *linkage) commonest() (edge int) {
	most := 0
	for m := range c.mark {
		n := 0
		for i, p := range c.parts {
			if _, ok := p.mark(m); ok && c.has(i) {
				n++
			}
		}
		if n > most {
			edge, most = m, n
		}
	}
	return edge
}
