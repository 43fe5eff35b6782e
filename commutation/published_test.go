package commutation

import (
	"math/bits"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// published reads the table of that name in testdata/tables, where a README
// gives each one's source and how it is known.
func published(t testing.TB, name string) DriveTable {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "tables", name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	table, err := ParseTable(name, text)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// classes sorts the published 120-degree tables by the place of the sensors that
// they are for: by how many degrees h1 rises later than in motor120, and whether
// the sensors follow one another in the order of the phases. That each is one of
// these twelve was found by comparing the tables by hand.
var classes = map[string]struct {
	lateDeg  float64
	opposite bool
}{
	"avr443-cw": {}, "msk4470-120-pos": {}, "lb1976-fr-high": {}, "lb1695m-fr-high": {},
	"lb1620-frc-high": {}, "lb11988n-fr-high": {}, "lm621-120": {}, "simscape": {},
	"se557599-question": {}, "applied-ee": {}, "mc33035-120-fwd": {}, "an857-cw": {},
	"avr443-ccw": {lateDeg: 180}, "msk4470-120-neg": {lateDeg: 180}, "ti-rdk-120-fwd": {lateDeg: 180},
	"lb1976-fr-low": {lateDeg: 180}, "lb1695m-fr-low": {lateDeg: 180}, "lb1620-frc-low": {lateDeg: 180},
	"lb11988n-fr-low": {lateDeg: 180}, "se557599-answer": {lateDeg: 180}, "mc33035-120-rev": {lateDeg: 180},
	"ti-rdk-120-rev": {},
	"a3930-dir1":     {lateDeg: 60}, "mcb": {lateDeg: 60}, "a3930-dir0": {lateDeg: 240},
	"an957": {opposite: true},
}

// tables60 are the published 60-degree tables with where h1, h2, h3 of the
// sensors that each is for rise, in the terms of motor120; worked out by hand.
var tables60 = map[string][]float64{
	"msk4470-60-pos": {90, 150, 210}, "mc33035-60-fwd": {90, 150, 210}, "msk4470-60-neg": {270, 330, 30},
	"ti-rdk-60-fwd": {210, 150, 90}, "lm621-60": {210, 150, 90}, "an885-60-cw": {210, 150, 90},
}

func TestEveryPublishedTableIsTested(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "tables", "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != len(classes)+len(tables60) {
		t.Errorf("%d files for %d tables", len(files), len(classes)+len(tables60))
	}
	readme, err := os.ReadFile(filepath.Join("..", "testdata", "tables", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".csv")
		_, is120 := classes[name]
		_, is60 := tables60[name]
		if is120 == is60 {
			t.Errorf("%s is in %v and %v of the two lists", name, is120, is60)
		}
		if !strings.Contains(string(readme), "`"+name+"`") {
			t.Errorf("the README gives no source for %s", name)
		}
	}
}

func TestPublishedTablesChangeOnePhaseAtATime(t *testing.T) {
	// Common practice: a sensor edge changes one of the two driven terminals.
	check := func(name string) {
		table := published(t, name)
		for a := range State(8) {
			for b := range a {
				x, okA := table.At(a)
				y, okB := table.At(b)
				if !okA || !okB || bits.OnesCount8(uint8(a^b)) != 1 {
					continue
				}
				if (x.High == y.High) == (x.Low == y.Low) {
					t.Errorf("%s: %v drives %v, its neighbour %v drives %v", name, a, x, b, y)
				}
			}
		}
	}
	for name := range classes {
		check(name)
	}
	for name := range tables60 {
		check(name)
	}
}

func TestPublished120(t *testing.T) {
	// 3 forward and 3 reverse of the 36: common practice ("6 of 36"). The rest
	// by evaluating the torque of each pair of permutations by hand.
	want := map[Behaviour]int{CleanForward: 3, CleanReverse: 3, WeakForward: 6, WeakReverse: 6, Stall: 18}
	for name, class := range classes {
		table := published(t, name)
		if table.SpacingDeg() != 120 {
			t.Errorf("%s: spacing %g", name, table.SpacingDeg())
		}
		r := Rank(motor120(), nil, table)
		for b, n := range want {
			if got := tally(r)[b]; got != n {
				t.Errorf("%s: %d wirings %s, want %d", name, got, b, n)
			}
		}
		if len(r.Findings) != 0 {
			t.Errorf("%s: findings %v", name, r.Findings)
		}
		rise := []float64{30, 150, 270}
		if class.opposite {
			rise[1], rise[2] = rise[2], rise[1]
		}
		m := ideal(rise[0]+class.lateDeg, rise[1]+class.lateDeg, rise[2]+class.lateDeg)
		own := find(t, Rank(m, nil, table), straight())
		if own.Behaviour != CleanForward {
			t.Errorf("%s: a motor of its class is %s", name, own.Behaviour)
		}
		near(t, name, own.Torque, 1, rounding)
	}
}

func TestPublished60(t *testing.T) {
	// Half of the 120-degree motor's wirings of one Hall order remain when the
	// middle sensor has to be on its own input: 12 of 36, worked out by hand.
	want := map[Behaviour]int{CleanForward: 1, CleanReverse: 1, WeakForward: 2, WeakReverse: 2, Stall: 6, Fault: 24}
	for name, rise := range tables60 {
		table := published(t, name)
		if table.SpacingDeg() != 60 {
			t.Errorf("%s: spacing %g", name, table.SpacingDeg())
		}
		m := ideal(rise...)
		r := Rank(m, nil, table)
		for b, n := range want {
			if got := tally(r)[b]; got != n {
				t.Errorf("%s: %d wirings %s, want %d", name, got, b, n)
			}
		}
		for _, j := range r.Wirings {
			if middle := j.Wiring.Hall[1] == 1; middle != (j.Behaviour != Fault) {
				t.Errorf("%s: %v is %s", name, j.Wiring, j.Behaviour)
			}
		}
		own := find(t, r, straight())
		if own.Behaviour != CleanForward {
			t.Errorf("%s: its own motor is %s", name, own.Behaviour)
		}
		near(t, name, own.Torque, 1, rounding)
	}
}

// with returns t as seen through inputs that are exchanged or inverted: the row
// of each state is that of change(state).
func (t DriveTable) with(change func(State) State) DriveTable {
	out := DriveTable{}
	for s := range State(8) {
		out.drives[s] = t.drives[change(s)]
	}
	return out
}

func outerExchanged(s State) State { return s&0b010 | s>>2 | s<<2&0b100 }
func middleInverted(s State) State { return s ^ 0b010 }

func TestRelationsBetweenPublishedTables(t *testing.T) {
	// Found by comparing the rows by hand.
	rows := func(name string) DriveTable {
		table := published(t, name)
		table.Name = ""
		return table
	}
	msk60, msk120 := rows("msk4470-60-pos"), rows("msk4470-120-pos")
	ti60, ti120 := rows("ti-rdk-60-fwd"), rows("ti-rdk-120-fwd")
	lm60, lm120 := rows("lm621-60"), rows("lm621-120")
	for what, pair := range map[string][2]DriveTable{
		"TI is MSK with the outer sensors exchanged":             {ti60, msk60.with(outerExchanged)},
		"LM621 is MSK with the outer sensors exchanged":          {lm60, msk60.with(outerExchanged)},
		"AN885 (from memory) equals TI":                          {rows("an885-60-cw"), ti60},
		"MC33035 (from memory) equals MSK":                       {rows("mc33035-60-fwd"), msk60},
		"TI: 60 is 120 with the middle inverted":                 {ti60, ti120.with(middleInverted)},
		"MSK: so it is, but reversed and with the outer swapped": {msk60, msk120.with(outerExchanged).Reverse().with(middleInverted)},
		"LM621: so it is, but reversed":                          {lm60, lm120.Reverse().with(middleInverted)},
		"MSK -I is +I reversed":                                  {rows("msk4470-60-neg"), msk60.Reverse()},
		"AVR443 CCW is CW reversed":                              {rows("avr443-ccw"), rows("avr443-cw").Reverse()},
		"A3930: DIR reverses":                                    {rows("a3930-dir0"), rows("a3930-dir1").Reverse()},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s: got %v and %v", what, pair[0], pair[1])
		}
	}
	if msk60 == msk120.with(middleInverted) {
		t.Error("MSK: 60 is 120 with the middle inverted, which it is not")
	}
	for name, builtin := range map[string]DriveTable{"avr443-cw": Typical(), "msk4470-60-pos": Typical60()} {
		builtin.Name = ""
		if rows(name) != builtin {
			t.Errorf("built-in table differs from %s", name)
		}
	}
}
