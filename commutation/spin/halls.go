package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/emf"
)

// Where the back-EMF does not give the angle, the sensors do, more coarsely:
// each change of state is a step of the angle, of a size that is the same in
// every turn. Sizes and angle are found by turns: given the sizes a smooth
// angle, given the angle the mean of each size.

// step is a change from one state of the ring to a neighbour: the boundary
// between ring[k] and ring[k+1] in turn number turn.
type step struct {
	t     float64
	k     int
	turns int
}

// unwrap follows the visits around the ring. A jump over a state, a missed one,
// goes on the shorter way; a jump to the opposite state ends the chain and
// begins another.
func unwrap(v []visit, ring []capture.Levels) [][]step {
	var place [8]int
	for k, s := range ring {
		place[s] = k + 1
	}
	size := len(ring)
	var chains [][]step
	var chain []step
	flush := func() {
		if len(chain) >= size {
			chains = append(chains, chain)
		}
		chain = nil
	}
	index := 0
	for i := 1; i < len(v); i++ {
		a, b := place[v[i-1].state], place[v[i].state]
		if v[i-1].group != v[i].group || a == 0 || b == 0 {
			flush()
			continue
		}
		d := (b - a + size) % size
		switch {
		case d == 1:
			chain = append(chain, newStep(v[i].start, index, size))
			index++
		case d == size-1:
			index--
			chain = append(chain, newStep(v[i].start, index, size))
		case d < size-d:
			index += d
		case d > size-d:
			index -= size - d
		default:
			flush()
		}
		if len(chain) == 0 {
			index = b - 1
		}
	}
	flush()
	return chains
}

func newStep(t float64, index, size int) step {
	turns := int(math.Floor(float64(index) / float64(size)))
	return step{t, index - turns*size, turns}
}

// followHalls derives the angle from the sensors that change. A single one does
// not tell the direction, and the rotor counts as always turned the same way.
func (a *analysis) followHalls() {
	mask, alive := a.aliveLeads()
	recorded := 0
	for i := range a.data {
		if a.hallKnown(i) {
			recorded++
		}
	}
	if alive == 0 || alive == 1 && recorded > 1 { // one that changes by itself may as well tremble
		return
	}
	v := visits(a.rec, mask)
	ring := cycle(v, 2*alive)
	if ring == nil {
		return
	}
	chains := unwrap(v, ring)
	if len(chains) == 0 {
		return
	}
	if sp := hallSpline(chains, len(ring)); sp != nil {
		a.rotor = &rotorAngle{angle: sp, sense: 1}
	}
}

// hallSpline finds the angle, in rad, from the steps.
func hallSpline(chains [][]step, size int) *curve.Curve {
	var times [][2]float64
	var t []float64
	for _, c := range chains {
		times = append(times, [2]float64{c[0].t, c[len(c)-1].t})
		for _, s := range c {
			t = append(t, s.t)
		}
	}
	boundary := make([]float64, size)
	for k := range boundary {
		boundary[k] = 2 * math.Pi * float64(k) / float64(size)
	}
	values := make([]float64, len(t))
	var sp *curve.Curve
	const passes = 25 // the boundaries' errors shrink by about a third in each
	for range passes {
		setAngles(values, chains, boundary)
		if sp == nil {
			rate := meanRate(t, values)
			if !(rate > 0) {
				return nil
			}
			sp = curve.New(times, emf.ByHand.Spacing(rate, span(times)/float64(20*len(t))))
		}
		rough := emf.ByHand.Rough(meanRate(t, values), sp.Spacing)
		if sp.Approximate(t, values, []curve.Stretch{{Lo: 0, Hi: len(t)}}, 0.02, rough) != nil {
			return nil
		}
		moveBoundaries(boundary, chains, sp)
	}
	return sp
}

// span is the time that the stretches last together.
func span(stretches [][2]float64) float64 {
	sum := 0.0
	for _, s := range stretches {
		sum += s[1] - s[0]
	}
	return sum
}

func setAngles(values []float64, chains [][]step, boundary []float64) {
	i := 0
	for _, c := range chains {
		for _, s := range c {
			values[i] = boundary[s.k] + 2*math.Pi*float64(s.turns)
			i++
		}
	}
}

// moveBoundaries sets each boundary, but the first, to where the angle is when
// it is passed.
func moveBoundaries(boundary []float64, chains [][]step, sp *curve.Curve) {
	sum, n := make([]float64, len(boundary)), make([]float64, len(boundary))
	for _, c := range chains {
		for _, s := range c {
			v, _ := sp.AtTime(s.t)
			sum[s.k] += v - 2*math.Pi*float64(s.turns)
			n[s.k]++
		}
	}
	if n[0] == 0 {
		return
	}
	zero := sum[0] / n[0]
	for k := range boundary {
		if n[k] > 0 {
			boundary[k] = sum[k]/n[k] - zero
		}
	}
}

// meanRate is the mean absolute rate of the values.
func meanRate(t, values []float64) float64 {
	turned, time := 0.0, 0.0
	for i := 1; i < len(t); i++ {
		if dt := t[i] - t[i-1]; dt > 0 && dt < 0.5 {
			turned += math.Abs(values[i] - values[i-1])
			time += dt
		}
	}
	if time == 0 {
		return 0
	}
	return turned / time
}
