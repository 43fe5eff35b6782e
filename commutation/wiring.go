package commutation

import (
	"fmt"
	"strings"
)

// Wiring says which of the motor's leads goes to which of the controller's
// terminals.
type Wiring struct {
	// Phase has the phase lead at U, V, W and Hall the Hall lead at HU, HV,
	// HW, each 0 to 2.
	Phase, Hall [3]int
	// Invert is by Hall lead, not by input: true where an inverter sits
	// between the lead and the controller.
	Invert [3]bool
}

// Wirings returns the 36 wirings without inverted leads, from p1 p2 p3 with
// h1 h2 h3 on, in the order of their leads.
func Wirings() []Wiring {
	orders := [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}
	all := make([]Wiring, 0, 36)
	for _, phase := range orders {
		for _, hall := range orders {
			all = append(all, Wiring{Phase: phase, Hall: hall})
		}
	}
	return all
}

// String returns the wiring terminal by terminal, as in
// "U=p1 V=p2 W=p3 HU=h1 HV=h2 HW=h3"; an inverted lead is "not h1".
func (w Wiring) String() string {
	var b strings.Builder
	for i, lead := range w.Phase {
		fmt.Fprintf(&b, "%v=p%d ", Terminal(i), lead+1)
	}
	for i, lead := range w.Hall {
		not := ""
		if w.Invert[lead] {
			not = "not "
		}
		fmt.Fprintf(&b, "H%v=%sh%d ", Terminal(i), not, lead+1)
	}
	return strings.TrimSuffix(b.String(), " ")
}

// moved returns how many leads are not where p1 p2 p3 / h1 h2 h3 has them.
func (w Wiring) moved() int {
	n := 0
	for i := range 3 {
		if w.Phase[i] != i {
			n++
		}
		if w.Hall[i] != i {
			n++
		}
	}
	return n
}

// inputs returns the state at the controller's inputs when the Hall leads show s.
func (w Wiring) inputs(s State) State {
	var in State
	for _, lead := range w.Hall {
		in <<= 1
		if s.Level(lead) != w.Invert[lead] {
			in |= 1
		}
	}
	return in
}

// steps is what a drive table does to a motor through a wiring: for each state
// of the Hall leads 0 where no lead is driven, +(p+1) where lead p is driven
// high against lead p+1 (mod 3), and -(p+1) where it is driven low against it.
type steps [8]int8

// steps returns what table t does to the motor's leads through w.
func (w Wiring) steps(t DriveTable) steps {
	var out steps
	for s := range State(8) {
		d, ok := t.At(w.inputs(s))
		if !ok {
			continue
		}
		high, low := w.Phase[d.High], w.Phase[d.Low]
		if low == (high+1)%3 {
			out[s] = int8(high + 1)
		} else {
			out[s] = -int8(low + 1)
		}
	}
	return out
}

// undirected returns s with the sign of its first step made positive. Wirings
// whose steps are equal but for the direction run the motor equally well.
func (s steps) undirected() steps {
	sign := int8(0)
	for i, step := range s {
		if sign == 0 && step != 0 {
			sign = step / max(step, -step)
		}
		s[i] = sign * step
	}
	return s
}
