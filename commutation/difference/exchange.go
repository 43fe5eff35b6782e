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
	// Winding is how many phases must then have changed as well, 2 for more than one, and
	// Magnets is true where the magnets must.
	Winding int
	Magnets bool
}

// straight is no exchange.
var straight = [3]int{0, 1, 2}

// as says which way the rotor was turned if leads were exchanged so.
func as(a, b view, x Exchange) Exchange {
	x.Opposite = turnedAgainst(a, b.relabelled(x.Phases, x.Halls))
	return x
}

// undone are the two views as they would be without.
func (x Exchange) undone(a, b view) (view, view) {
	if b = b.relabelled(x.Phases, x.Halls); x.Opposite {
		b = b.turnedOver()
	}
	return agree(a, b)
}

// The largest move of a sensor, or of all, that needs no exchange to explain it, and how
// far sensors may be off one another where one does explain it, as sensors are off their
// places.
const (
	muchDeg  = 45.0
	nearlyBy = 15.0
)

// exchanges returns the exchanges that explain sensors that moved far, simplest first;
// none where they did not move far, no exchange explains it, or a broken phase leaves
// open what the phases' order is.
func exchanges(a, b view, turns shafts) []Exchange {
	plain := plainly(a, b)
	if a.broken || b.broken || !plain.moves.far() {
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
	if len(out) == 0 || out[0].changes() >= plain.changes() {
		return nil
	}
	best := out[0]
	return slices.DeleteFunc(out, func(x Exchange) bool { return x.swaps() > best.swaps() || x.mixed() && !best.mixed() })
}

// mixed reports whether leads of both kinds were exchanged.
func (x Exchange) mixed() bool { return x.Phases != straight && x.Halls != straight }

// plain is what there is to explain if no lead was exchanged.
type plain struct {
	moves   moves
	winding int // as in [Exchange]
}

func plainly(a, b view) plain {
	a, b = as(a, b, Exchange{Phases: straight, Halls: straight}).undone(a, b)
	f := frame(a, b)
	return plain{common(a, b, f), f.winding(a, b)}
}

// turnedDeg is by how much all sensors moved then; NaN where they did not move together.
func (p plain) turnedDeg() float64 {
	if m := p.moves; m.near(m.shared) == m.sensors {
		return m.shared
	}
	return math.NaN()
}

// far reports whether a sensor moved far, or all of them did.
func (m moves) far() bool {
	for _, v := range m.deg {
		if math.Abs(commutation.Signed(v.Value-m.shared)) > muchDeg {
			return true
		}
	}
	return math.Abs(m.least()) > muchDeg
}

// changes counts what changed then; all sensors by the same much counts as three, which is
// more than two exchanges: a board is hardly turned so far.
func (p plain) changes() int {
	m := p.moves
	return 3*count(math.Abs(m.least()) > muchDeg) + m.sensors - m.near(m.shared) + p.winding
}

// changes counts what else than the leads changed, and the leads.
func (x Exchange) changes() int {
	return x.swaps() + count(x.OffDeg > sensorWorth, math.Abs(x.SharedDeg) > sensorWorth, x.Magnets) + x.Winding
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
	a, b = x.undone(a, b)
	f := frame(a, b)
	m := common(a, b, f)
	if x.swaps() == 0 || m.sensors < 2 {
		return false
	}
	for k, v := range m.deg {
		if math.IsNaN(v.Value) {
			continue
		}
		x.OffDeg = max(x.OffDeg, math.Abs(commutation.Signed(v.Value-m.shared)))
		if math.Abs(commutation.Signed(b.hall[k].width-a.hall[k].width)) > muchDeg {
			return false
		}
	}
	x.SharedDeg, x.Winding = m.least(), f.winding(a, b)
	if x.OffDeg >= nearlyBy || math.Abs(x.SharedDeg) >= muchDeg {
		return false
	}
	x.Magnets = turns.compare(a, b, f, *x).Changed
	return true
}

// orders are the six orders of three leads.
func orders() [][3]int {
	return [][3]int{straight, {1, 0, 2}, {0, 2, 1}, {2, 1, 0}, {1, 2, 0}, {2, 0, 1}}
}
