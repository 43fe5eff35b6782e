package csvfile

import (
	"cmp"
	"math"
	"slices"
)

// What tells a switched line with slow edges from a wave: an edge takes as long
// however fast the rotor turns, a crossing of a wave longer the slower it turns,
// with a back-EMF in proportion to the square of the time between two crossings.
const (
	// fewTransits in each direction tell nothing, and nor do half turns of which the
	// longest tenth is not changedSpeed times as long as the shortest: a rest, or a
	// bounce, is no change of speed.
	fewTransits  = 10
	changedSpeed = 2
	// By so much, and by samples at either end, edges may differ in length. A wave's
	// differ by the speed at least.
	alike     = 1.5
	alikeRows = 2
	// fewMiddle samples on the edges of a third of the half turns tell by how much
	// edges differ where each has but a sample or two.
	fewMiddle   = 5
	shareMiddle = 0.25 // how far from a level the middle begins, as a share of the swing
)

// transits are how many rows a column took to get to the low and to the high level,
// and how many it was there.
type transits struct {
	took, held [2][]int
}

// transitsOf follows a column between two levels.
func transitsOf(values []float64, s swing) (out transits) {
	low, high := s.low+shareMiddle*s.width(), s.high-shareMiddle*s.width()
	level, held, left := -1, 0, 0
	for _, v := range values {
		now := -1
		switch {
		case v < low:
			now = 0
		case v > high:
			now = 1
		}
		switch {
		case now < 0:
			left++
		case now == level:
			held, left = held+1, 0
		default:
			if level >= 0 {
				out.held[level] = append(out.held[level], held)
				out.took[now] = append(out.took[now], left)
			}
			level, held, left = now, 1, 0
		}
	}
	return out
}

// alike reports whether the speed changed and edges took as long all the same: the
// longest of them, and in sum those of the slowest third of half turns, which a wave
// would have longer by the ratio of the speeds.
func (t transits) alike() bool {
	for i, held := range t.held {
		took := t.took[1-i] // the edge that ended a level
		n := len(held)
		if n < fewTransits || float64(slices.Max(took)) > alike*float64(slices.Min(took))+alikeRows {
			return false
		}
		order := make([]int, n)
		for k := range order {
			order[k] = k
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(held[a], held[b]) })
		if held[order[n-1-n/10]] < changedSpeed*held[order[n/10]] {
			return false
		}
		fast, slow := order[:n/3], order[n-n/3:]
		ratio := float64(sumOf(held, slow)) / float64(sumOf(held, fast))
		quick := sumOf(took, fast)
		if quick < fewMiddle || float64(sumOf(took, slow)) > math.Sqrt(ratio)*float64(quick) {
			return false
		}
	}
	return true
}

func sumOf(values, which []int) (sum int) {
	for _, k := range which {
		sum += values[k]
	}
	return sum
}

// switched reports whether a column of voltages is a line that is switched, and
// whether that is open.
func (s swing) switched(values []float64) (is, open bool) {
	ratio := s.width() / s.spread
	switch {
	case ratio > surelySwitched:
		return true, false
	case ratio > apart && transitsOf(values, s).alike():
		return true, false
	}
	return false, ratio > surelyWaved
}
