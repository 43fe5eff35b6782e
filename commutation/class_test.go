package commutation

import (
	"testing"

	"pgregory.net/rapid"
)

func TestPublishedTablesAreOfAClass(t *testing.T) {
	// The classes were found by comparing the tables by hand; see classes and
	// tables60.
	for name, want := range classes {
		c, ok := Classify(published(t, name))
		if w := (Class{120, 30 + int(want.lateDeg), want.opposite}); !ok || c != w {
			t.Errorf("%s: got %v %v, want %v", name, c, ok, w)
		}
	}
	for name, rise := range tables60 {
		c, ok := Classify(published(t, name))
		opposite := Wrap(rise[1]-rise[0]) > 180
		if w := (Class{60, int(rise[0]), opposite}); !ok || c != w {
			t.Errorf("%s: got %v %v, want %v", name, c, ok, w)
		}
	}
}

func TestClassesDiffer(t *testing.T) {
	// Six places and two senses, for either spacing.
	names, tables := map[string]bool{}, map[[8]Drive]bool{}
	for _, c := range Classes() {
		table := c.Table()
		names[table.Name], tables[table.drives] = true, true
		if table.SpacingDeg() != float64(c.SpacingDeg) {
			t.Errorf("%v: spacing %g", c, table.SpacingDeg())
		}
		if back, ok := Classify(table); !ok || back != c {
			t.Errorf("%v taken for %v", c, back)
		}
	}
	if len(names) != 24 || len(tables) != 24 {
		t.Errorf("%d names and %d tables", len(names), len(tables))
	}
}

func TestNoClass(t *testing.T) {
	// A table of eight states serves two classes, and one with a row wrong none.
	both := Typical()
	both.drives[0b000], both.drives[0b111] = Drive{U, V}, Drive{V, U}
	wrong := Typical()
	wrong.drives[0b101] = Drive{W, V}
	for _, table := range []DriveTable{both, wrong, {}} {
		if c, ok := Classify(table); ok {
			t.Errorf("%v is said to be %v", table, c)
		}
	}
}

func TestOwnTableRunsTheMotor(t *testing.T) {
	// What it is made for: straight wiring, and no wiring or table does better.
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		r := Rank(m, nil, OwnTable(m))
		if r.Inverted != [3]bool{} {
			t.Fatal("its own table needs an inverted lead")
		}
		own := 0.0
		for _, j := range r.Wirings {
			if j.Wiring == straight() {
				own = j.Torque
			}
		}
		for _, c := range Classes() {
			for _, j := range Rank(m, nil, c.Table()).Wirings {
				if j.Wiring.Invert == [3]bool{} && j.Torque > own+rounding {
					t.Fatalf("%v at %v gives %g, the own table %g", c, j.Wiring, j.Torque, own)
				}
			}
		}
	})
}

func TestOwnTableOfADeadSensor(t *testing.T) {
	m := motor120()
	m.Sensors[1] = Sensor{Stuck: true}
	table := OwnTable(m)
	for s := range State(8) {
		if _, ok := table.At(s); ok && s.Level(1) {
			t.Errorf("drives at %v, which h2 never shows", s)
		}
	}
}
