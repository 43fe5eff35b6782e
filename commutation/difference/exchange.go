package difference

import (
	"cmp"
	"math"
	"slices"

	"handspin/commutation"
)

// Exchange is a way in which leads may have been exchanged between the recordings: lead k
// of the first is lead Phases[k] or Halls[k] of the second.
type Exchange struct {
	Phases, Halls [3]int
	// Opposite is true where the rotor was then turned the other way.
	Opposite bool
	// OffDeg is the most by which a sensor is then off the others' shift, and SharedDeg
	// the least by which all must have moved as well.
	OffDeg, SharedDeg float64
	// Magnets is true where the magnets must then have changed as well.
	Magnets bool
}

// straight is no exchange.
var straight = [3]int{0, 1, 2}

// as says which way the rotor was turned if leads were exchanged so.
func as(a, b view, x Exchange) Exchange {
	x.Opposite = b.relabelled(x.Phases, x.Halls).order[1] != a.order[1]
	return x
}

// undone is the second recording's view as it would be without.
func (x Exchange) undone(a, b view) view { return b.relabelled(x.Phases, x.Halls).alike(a) }

// The largest move of a sensor that needs no exchange to explain it, and how far
// sensors may be off where one does explain it, as sensors are off their places.
const (
	muchDeg  = 45.0
	nearlyBy = 15.0
)

// exchanges returns the exchanges that explain sensors that moved far, simplest first;
// none where they did not move far or no exchange explains it.
func exchanges(a, b view, turns shafts) []Exchange {
	plain := b.alike(a)
	m := common(a, plain, rotating(a, plain))
	if !m.far() {
		return nil
	}
	var out []Exchange
	for _, phases := range orders() {
		for _, halls := range orders() {
			if x := as(a, b, Exchange{Phases: phases, Halls: halls}); x.tried(a, b, turns) {
				out = append(out, x)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Exchange) int {
		return cmp.Or(cmp.Compare(x.changes(), y.changes()), cmp.Compare(count(x.Opposite), count(y.Opposite)),
			cmp.Compare(x.OffDeg+math.Abs(x.SharedDeg), y.OffDeg+math.Abs(y.SharedDeg)))
	})
	if len(out) == 0 || out[0].changes() >= plainly(m) {
		return nil
	}
	best := out[0]
	return slices.DeleteFunc(out, func(x Exchange) bool { return x.swaps() > best.swaps() || x.mixed() && !best.mixed() })
}

// mixed reports whether leads of both kinds were exchanged.
func (x Exchange) mixed() bool { return x.Phases != straight && x.Halls != straight }

// turnedBoard is by how much all sensors moved if no lead was exchanged; NaN where they did
// not move together.
func turnedBoard(a, b view) float64 {
	plain := b.alike(a)
	if m := common(a, plain, rotating(a, plain)); m.near(m.shared) == m.sensors {
		return m.shared
	}
	return math.NaN()
}

// far reports whether a sensor moved far.
func (m moves) far() bool {
	for _, v := range m.deg {
		off := v.Value
		if m.open() {
			off = commutation.Signed(v.Value - m.shared)
		}
		if math.Abs(off) > muchDeg {
			return true
		}
	}
	return false
}

// plainly is in how many things sensors moved if no lead was exchanged; all by the same
// much counts as three, which is more than two exchanges: a board is hardly turned so far.
func plainly(m moves) int {
	return 3*count(math.Abs(m.least()) > muchDeg) + m.sensors - m.near(m.shared)
}

// changes counts what else than the leads changed, and the leads.
func (x Exchange) changes() int {
	return x.swaps() + count(x.OffDeg > sensorWorth, math.Abs(x.SharedDeg) > sensorWorth, x.Magnets)
}

// swaps is how many pairs of leads were exchanged.
func (x Exchange) swaps() int { return swaps(x.Phases) + swaps(x.Halls) }

// swaps is how many exchanges of two make an order.
func swaps(order [3]int) int {
	at := count(order[0] == 0, order[1] == 1, order[2] == 2)
	return map[int]int{3: 0, 1: 1, 0: 2}[at]
}

// tried reports whether an exchange explains what there is, and sets what it leaves.
func (x *Exchange) tried(a, b view, turns shafts) bool {
	undone := x.undone(a, b)
	if x.swaps() == 0 || phasesDiffer(a, undone) {
		return false
	}
	f := rotating(a, undone)
	m := common(a, undone, f)
	for k, v := range m.deg {
		x.OffDeg = max(x.OffDeg, math.Abs(commutation.Signed(v.Value-m.shared)))
		if !math.IsNaN(v.Value) && math.Abs(commutation.Signed(undone.hall[k].width-a.hall[k].width)) > muchDeg {
			return false
		}
	}
	x.SharedDeg = m.least()
	if m.sensors < 3 || x.OffDeg >= nearlyBy || math.Abs(x.SharedDeg) >= nearlyBy {
		return false
	}
	x.Magnets = turns.compare(a, undone, f, *x).Changed
	return true
}

// orders are the six orders of three leads.
func orders() [][3]int {
	return [][3]int{straight, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}}
}
