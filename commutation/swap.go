package commutation

import "fmt"

// Swap exchanges what is connected to two terminals of one kind.
type Swap struct {
	// Hall is true for two of the inputs HU HV HW, false for two of U V W.
	Hall bool
	A, B Terminal
}

// String names the two terminals, as in "U and W" or "HU and HV".
func (s Swap) String() string {
	ends := s.Ends()
	return ends[0] + " and " + ends[1]
}

// Ends returns the names of the two terminals.
func (s Swap) Ends() [2]string {
	if s.Hall {
		return [2]string{fmt.Sprintf("H%v", s.A), fmt.Sprintf("H%v", s.B)}
	}
	return [2]string{s.A.String(), s.B.String()}
}

// Swaps returns the fewest exchanges, one after the other, that make the wiring
// from into the wiring to: at most two of the phases and two of the Halls.
func Swaps(from, to Wiring) []Swap {
	return append(swaps(false, from.Phase, to.Phase), swaps(true, from.Hall, to.Hall)...)
}

// swaps puts one terminal right at a time. Of three leads either none, two or
// all are at a wrong place, so that none, one or two exchanges are needed, and
// this takes no more.
func swaps(hall bool, from, to [3]int) []Swap {
	var out []Swap
	for i := range 3 {
		for j := i + 1; j < 3; j++ {
			if from[i] != to[i] && from[j] == to[i] {
				from[i], from[j] = from[j], from[i]
				out = append(out, Swap{hall, Terminal(i), Terminal(j)})
			}
		}
	}
	return out
}

// Nearest returns the wiring of list that takes the fewest exchanges from the
// wiring from, the first of those, and the exchanges; false where list is empty.
func Nearest(from Wiring, list []Judged) (Judged, []Swap, bool) {
	var best Judged
	var least []Swap
	for i, j := range list {
		if s := Swaps(from, j.Wiring); i == 0 || len(s) < len(least) {
			best, least = j, s
		}
	}
	return best, least, len(list) > 0
}
