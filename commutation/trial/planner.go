package trial

import (
	"fmt"

	"handspin/commutation"
)

// Planner knows what a motor does with each wiring under each possible table.
type Planner struct {
	wirings []commutation.Wiring
	tables  []table
}

// table is one hypothesis.
type table struct {
	class commutation.Class
	drive commutation.DriveTable
	prior float64
	// does is by wiring; serves is true where one of them is clean forward.
	does   []commutation.Behaviour
	serves bool
	// alike numbers the wirings by what they drive: those with one number are
	// the same to the motor.
	alike []int
}

// New returns a planner for motor m.
func New(m commutation.Motor, prior Prior) *Planner {
	p := &Planner{wirings: commutation.Wirings()}
	var drives []commutation.DriveTable
	for _, c := range commutation.Classes() {
		drives = append(drives, c.Table())
		p.tables = append(p.tables, table{class: c, drive: c.Table(), prior: prior(c)})
	}
	for i, does := range commutation.Behaviours(m, drives) {
		t := &p.tables[i]
		t.does = does
		for _, b := range does {
			t.serves = t.serves || b == commutation.CleanForward
		}
	}
	return p
}

// index returns the place of a wiring in p.wirings.
func (p *Planner) index(w commutation.Wiring) int {
	for i, other := range p.wirings {
		if other == w {
			return i
		}
	}
	panic("no such wiring: " + w.String()) // ParseWiring and Wirings give no other
}

// same returns the first of the wirings that are the same as wiring w to every
// table: all three phase leads and all three Hall leads moved round together.
// The tables are unchanged when their terminals and inputs move round together
// or, between the classes, when ... 
func (p *Planner) same(w int) int { return w }

var _ = fmt.Sprint
