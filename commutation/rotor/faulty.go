package rotor

import (
	"cmp"
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"handspin/commutation/winding"
)

// ErrWhichFault says that the winding's fault is not known well enough.
var ErrWhichFault = errors.New("the winding has a fault, and which one it is decides what the magnets are")

// mostFaulty is how many different faults of the winding are held against the magnets.
const mostFaulty = 8

// among returns what is found with each of the layouts that the stator may have, put
// together: the likeliest one's causes, of which the magnets are joined with those of
// layouts that are nearly as likely. Where the sound layout repeats around the stator it
// cannot be told in which of its parts the fault is, and a magnet may be that of any.
func among(t Turn, sound winding.Layout, faulty []winding.Layout) (*Pattern, error) {
	faulty = distinct(faulty)
	if len(faulty) > mostFaulty {
		return nil, ErrWhichFault
	}
	every := repeat(sound)
	var all []*Pattern
	for _, l := range faulty {
		t.Backward = t.backward(l)
		p, err := find(t, l, steps(every, sound.Poles()))
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	if slices.ContainsFunc(all, func(p *Pattern) bool { return p.Sensors != all[0].Sensors }) {
		t.Edges = nil // else it is not the same that the layouts have to explain
		return among(t, sound, faulty)
	}
	best := slices.MaxFunc(all, func(a, b *Pattern) int { return cmp.Compare(a.evidence, b.evidence) })
	for _, p := range all {
		if p != best && p.evidence > best.evidence-sure && !best.join(p) {
			return nil, ErrWhichFault
		}
	}
	for i, c := range best.Causes {
		best.Causes[i] = c.told(func(some []int) []int { return widened(some, every, sound.Poles()) })
	}
	return best, nil
}

// backward is which way round the leads follow one another if the layout is that: the
// order of their lags, which [Turn.Backward] is by, may be another with a phase reversed.
func (t Turn) backward(l winding.Layout) bool {
	least, back := math.Inf(1), t.Backward
	for _, way := range []bool{t.Backward, !t.Backward} {
		t.Backward = way
		if left := t.misfit(t.coils(l, t.PolePairs)); left < least*(1-1e-6) {
			least, back = left, way
		}
	}
	return back
}

// misfit is what the order of the pole pairs has beside the coils' phasors, squared.
func (t Turn) misfit(coils [3]complex128) float64 {
	unit, _, err := t.calibrate(coils)
	if err != nil {
		return math.Inf(1)
	}
	e := t.EMF[t.PolePairs-1]
	if t.Floating {
		e, coils = winding.Floated(e), winding.Floated(coils)
	}
	sum := 0.0
	for c := range e {
		off := cmplx.Abs(e[c] - unit*coils[c])
		sum += off * off
	}
	return sum
}

// join adds another pattern's causes to what this one's may be; false where they are of
// other kinds.
func (p *Pattern) join(other *Pattern) bool {
	if !slices.EqualFunc(p.Causes, other.Causes, func(a, b Cause) bool { return a.Kind == b.Kind }) {
		return false
	}
	ahead := int(math.Round((other.FirstDeg - p.FirstDeg) * float64(p.poles) / 360))
	for i, c := range other.Causes {
		c = c.told(func(some []int) (out []int) {
			for _, k := range some {
				out = append(out, wrap(k+ahead, p.poles))
			}
			return out
		})
		p.Causes[i].or(c)
		for _, o := range c.Or {
			p.Causes[i].or(o)
		}
	}
	return true
}

// steps are the magnets of so many poles in sets of those that are so many apart.
func steps(every, poles int) [][]int {
	out := make([][]int, every)
	for i := range poles {
		out[i%every] = append(out[i%every], i)
	}
	return out
}

// widened are some magnets and those that are so many apart from them, in order.
func widened(some []int, every, poles int) []int {
	var out []int
	for _, k := range some {
		out = append(out, steps(every, poles)[k%every]...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// repeat returns after how many magnets a layout is the same again.
func repeat(l winding.Layout) int {
	for k := 1; k < l.Slots(); k++ {
		if turned(l, l, k) {
			return k * l.Poles() / l.Slots()
		}
	}
	return l.Poles()
}

// turned reports whether layout b is a turned on by so many teeth, where that is a whole
// number of magnets, or that with all senses reversed.
func turned(a, b winding.Layout, teeth int) bool {
	if teeth*a.Poles()%a.Slots() != 0 {
		return false
	}
	sense := 0
	for i, c := range b.Coils {
		other := a.Coils[(i+teeth)%a.Slots()]
		if sense == 0 {
			sense = c.Sense * other.Sense
		}
		if c.Sense != sense*other.Sense || c.Sense != 0 && c.Phase != other.Phase {
			return false
		}
	}
	return true
}

// distinct are the layouts without those that are others turned on.
func distinct(all []winding.Layout) []winding.Layout {
	var out []winding.Layout
	for _, l := range all {
		known := slices.ContainsFunc(out, func(o winding.Layout) bool {
			for k := range l.Slots() {
				if turned(o, l, k) {
					return true
				}
			}
			return false
		})
		if !known {
			out = append(out, l)
		}
	}
	return out
}
