package winding

import (
	"fmt"
	"math"
	"slices"
)

// Placement is where three Hall sensors can sit in slot openings.
type Placement struct {
	// Openings are those of the sensors that switch first, second and third
	// while the rotor turns towards higher tooth numbers; opening k lies
	// between tooth k and the next.
	Openings [3]int
	// MechanicalDeg are their places from the middle of the first tooth.
	MechanicalDeg [3]float64
	// SpanDeg is the mechanical angle from the first to the last along the
	// stator, which a board that carries all three has to span.
	SpanDeg float64
	// OffDeg is by how many electrical degrees all three switch after the
	// best moment of six-step drive, the same for all.
	OffDeg float64
}

// Placements returns the ways to put sensors into slot openings so that they
// switch 120 or 60 electrical degrees apart (the middle sensor second), those
// nearest to the best moment only, the shortest span first. Turning all three by
// [Layout.TurnBy] teeth gives further places as good. There may be none.
//
// A sensor on the axis of a phase, or any 60 degrees from it, switches where the
// voltage between two leads crosses zero, which is where six-step drive has to
// change over: the sensor's field is a quarter turn ahead of the coil's back-EMF,
// and lead-to-lead zeros lie at 30, 90, ... degrees from those of a phase.
func (l Layout) Placements(spacingDeg int) []Placement {
	first, off := l.firstOpening()
	step := l.TurnBy()
	n := l.slots / step
	seen := map[[3]int]bool{}
	var all []Placement
	for i := 1; i < n; i++ {
		for j := i + 1; j < n; j++ {
			shape := smallest([3]int{i, j - i, n - j})
			order, ok := l.inOrder([3]int{first, first + i*step, first + j*step}, spacingDeg)
			if !ok || seen[shape] || n-j < max(i, j-i) { // else another turn of the shape is shorter
				continue
			}
			seen[shape] = true
			all = append(all, l.placement(order, float64(j*step), off))
		}
	}
	slices.SortStableFunc(all, func(a, b Placement) int { return compare(a.SpanDeg, b.SpanDeg) })
	return all
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// smallest returns the least of the three rotations of a cycle of gaps.
func smallest(gaps [3]int) [3]int {
	least := gaps
	for range 2 {
		gaps = [3]int{gaps[1], gaps[2], gaps[0]}
		if slices.Compare(gaps[:], least[:]) < 0 {
			least = gaps
		}
	}
	return least
}

// TurnBy returns by how many teeth sensors may be moved together and still be on
// time: the fewest that make a multiple of 60 electrical degrees.
func (m Machine) TurnBy() int { return m.slots / gcd(m.slots, 6*m.PolePairs()) }

// openingDeg returns the electrical angle of an opening in [0, 360).
func (m Machine) openingDeg(opening int) float64 {
	return 180 * float64((2*opening+1)*m.PolePairs()%(2*m.slots)) / float64(m.slots)
}

// firstOpening returns the first opening that is nearest to the best place, and
// by how many electrical degrees it is past it.
func (l Layout) firstOpening() (opening int, offDeg float64) {
	axis := l.AxisDeg()
	offDeg = math.Inf(1)
	for k := range l.TurnBy() {
		off := math.Remainder(l.openingDeg(k)-axis, 60)
		if math.Abs(off) < math.Abs(offDeg)-exact {
			opening, offDeg = k, off
		}
	}
	if math.Abs(offDeg) < exact {
		offDeg = 0
	}
	return opening, offDeg
}

// inOrder puts openings into the order in which their sensors switch; ok is false
// where they do not switch spacingDeg apart.
func (l Layout) inOrder(openings [3]int, spacingDeg int) (order [3]int, ok bool) {
	for _, p := range [6][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {0, 2, 1}, {2, 1, 0}, {1, 0, 2}} {
		order = [3]int{openings[p[0]], openings[p[1]], openings[p[2]]}
		if l.apart(order[0], order[1], spacingDeg) && l.apart(order[1], order[2], spacingDeg) {
			return order, true
		}
	}
	return order, false
}

// apart reports whether opening b is spacingDeg after opening a, in whole numbers:
// both differ by a multiple of 360 p/Q degrees.
func (m Machine) apart(a, b, spacingDeg int) bool {
	return ((b-a)*m.PolePairs()*360-spacingDeg*m.slots)%(360*m.slots) == 0
}

func (l Layout) placement(openings [3]int, span, offDeg float64) Placement {
	pitch := 360 / float64(l.slots)
	p := Placement{Openings: openings, SpanDeg: span * pitch, OffDeg: offDeg}
	for i, k := range openings {
		p.MechanicalDeg[i] = (float64(k) + 0.5) * pitch
	}
	return p
}

// OpeningName returns the names of the teeth beside an opening: "2|3".
func (m Machine) OpeningName(opening int) string {
	return fmt.Sprintf("%d|%d", opening+1, (opening+1)%m.slots+1)
}

// Spacings returns the mechanical angles between neighbouring sensors, at most
// 120 degrees, with which three of them in a row switch spacingDeg apart, in
// either order; smallest first. The first sensor belongs at [Layout.BestDeg].
func (m Machine) Spacings(spacingDeg int) []float64 {
	p := m.PolePairs()
	var all []float64
	for electrical := spacingDeg; electrical <= 120*p; electrical += 360 {
		all = append(all, float64(electrical)/float64(p))
	}
	for electrical := 360 - spacingDeg; electrical <= 120*p; electrical += 360 {
		all = append(all, float64(electrical)/float64(p))
	}
	slices.Sort(all)
	return all
}

// BestDeg returns the first place on time for a sensor: the mechanical angle from
// the middle of the first tooth, from 0 on. Others follow every 60 electrical
// degrees.
func (l Layout) BestDeg() float64 {
	best := math.Mod(l.AxisDeg()+360, 60)
	if best < exact || best > 60-exact {
		best = 0
	}
	return best / float64(l.PolePairs())
}
