package present

import (
	"fmt"
	"math"
	"strings"

	"handspin/commutation"
)

// reversing says how to get from the first wiring to reverse, and what changes
// nothing.
func (a *Answer) reversing() string {
	forward := a.having(commutation.CleanForward)
	if len(forward) == 0 {
		return ""
	}
	_, swaps, ok := commutation.Nearest(forward[0].Wiring, a.having(commutation.CleanReverse))
	if !ok {
		return ""
	}
	var ends []string
	for _, s := range swaps {
		ends = append(ends, s.String())
	}
	text := "To reverse: from the first, exchange " + strings.Join(ends, ", and ") + "."
	if len(forward) == 3 {
		text += " Moving all phase leads and all Hall leads one terminal on changes nothing."
	}
	return text
}

// middleWords names the middle sensor of a set that is 60 degrees apart, where
// the table is for such sets.
func (a *Answer) middleWords() string {
	clean := a.Ranking.Clean()
	if a.Ranking.Table.SpacingDeg() != 60 || len(clean) == 0 {
		return ""
	}
	var seen [8]bool
	own := commutation.OwnTable(a.Spin.Motor)
	for s := range commutation.State(8) {
		_, seen[s] = own.At(s)
	}
	pair, ok := commutation.MissingPair(seen)
	if middle := pair.Middle(); ok && middle >= 0 {
		for input, lead := range clean[0].Wiring.Hall {
			if lead == middle {
				return fmt.Sprintf("A table for 60 degrees takes the middle sensor at one input only: %s goes to %s.", a.hallName(middle), terminals[3+input])
			}
		}
	}
	return ""
}

// worthTurning is the timing error in electrical degrees from which it is worth
// a word: it costs half a percent of the torque.
const worthTurning = 6.0

// timingWords says which way to turn the sensors' board, and what that wins.
func (a *Answer) timingWords() string {
	clean := a.Ranking.Clean()
	if a.AtRest || a.Verdict != commutation.Ranked || len(clean) == 0 {
		return ""
	}
	forward, ok := a.timing(commutation.CleanForward)
	if !ok || math.Abs(forward.LateDeg) < worthTurning {
		return ""
	}
	way, late := "against the forward direction", "late"
	if forward.LateDeg < 0 {
		way, late = "in the forward direction", "early"
	}
	deg := math.Abs(forward.LateDeg)
	text := fmt.Sprintf("Running forward, the sensors together switch %.0f degrees too %s. Turning their board %.0f electrical degrees%s %s would bring the torque from %s to %s forward",
		deg, late, deg, a.ofTheShaft(deg), way, percent(forward.Torque), percent(forward.Best))
	if reverse, ok := a.timing(commutation.CleanReverse); ok {
		text += fmt.Sprintf(", and from %s to %s in reverse", percent(reverse.Torque), percent(reverse.Best))
	}
	return text + "."
}

// timing returns that of the best wiring with the given behaviour.
func (a *Answer) timing(b commutation.Behaviour) (commutation.Timing, bool) {
	list := a.having(b)
	if len(list) == 0 {
		return commutation.Timing{}, false
	}
	return commutation.TimingOf(a.Spin.Motor, list[0].Wiring, a.Ranking.Table), true
}

// ofTheShaft returns an angle in degrees of the shaft, if the pole pairs are known.
func (a *Answer) ofTheShaft(electrical float64) string {
	if n := a.Recording.PolePairs; n > 0 {
		return fmt.Sprintf(" (%.1f of the shaft)", electrical/float64(n))
	}
	return ""
}
