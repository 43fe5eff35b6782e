package commutation

import "fmt"

// Class is one of the kinds that regular six-step tables fall into. A table is
// for a motor whose back-EMFs follow one another as U, V, W forward and whose
// sensors switch where one pair of terminals takes over from the next; the
// class says at which of these places the sensor of each input is. Every table
// known to us is of some class: six places and two senses for sensors 120
// degrees apart, and as many for 60 with the middle sensor at HV.
type Class struct {
	// SpacingDeg is 120 or 60.
	SpacingDeg int
	// RiseDeg is by how many electrical degrees HU rises after the back-EMF
	// of U crosses zero rising: 30, 90, ... 330.
	RiseDeg int
	// Opposite is true where the inputs HU, HV, HW follow one another against
	// the order of U, V, W.
	Opposite bool
}

// Classes returns the twelve classes of 120 degrees, then the twelve of 60.
func Classes() []Class {
	var all []Class
	for _, spacing := range []int{120, 60} {
		for _, opposite := range []bool{false, true} {
			for rise := 30; rise < 360; rise += 60 {
				all = append(all, Class{spacing, rise, opposite})
			}
		}
	}
	return all
}

// String names the class by its three numbers, as in "120-30" or
// "60-210-opposite".
func (c Class) String() string {
	name := fmt.Sprintf("%d-%d", c.SpacingDeg, c.RiseDeg)
	if c.Opposite {
		name += "-opposite"
	}
	return name
}

// Table returns the class's drive table.
func (c Class) Table() DriveTable {
	t := OwnTable(c.motor())
	t.Name = c.String()
	return t
}

// motor returns the motor that the class's table is for, with unit back-EMF.
func (c Class) motor() Motor {
	step := float64(c.SpacingDeg)
	if c.Opposite {
		step = -step
	}
	var m Motor
	for i := range 3 {
		m.EMF[i] = Sine(1, 120*float64(i))
		rise := float64(c.RiseDeg) + step*float64(i)
		m.Sensors[i] = Sensor{RiseDeg: Wrap(rise), FallDeg: Wrap(rise + 180)}
	}
	return m
}

// Classify returns the class whose table drives what t drives in every state;
// it is false where there is none, as for a table of eight states, which serves
// two classes.
func Classify(t DriveTable) (Class, bool) {
	for _, c := range Classes() {
		if c.Table().drives == t.drives {
			return c, true
		}
	}
	return Class{}, false
}
