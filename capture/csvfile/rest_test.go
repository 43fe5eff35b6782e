package csvfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

const (
	takenCH = "by their order the columns are taken: CH1 for p1, CH2 for p2, CH3 for p3; --columns says otherwise"
	takenD  = "by their order the columns are taken: D0 for h1, D1 for h2, D2 for h3; --columns says otherwise"
)

// Files of which some columns only have names of the format. Rows are written as
// in TestShapes.
var partlyNamed = []shape{
	{name: "Hall leads named, phases not", text: "Time (s),h1,h2,h3,CH1,CH3,CH2\n0,1,0,1,1.5,2,3\n1,1,0,0,4,5,6\n2,1,1,0,7,8,9\n",
		rows: "0 101 1.5 3 2\n1 100 4 6 5\n2 110 7 9 8", scale: 1, notes: takenCH + "|" + volts},
	{name: "phases named, Hall leads not", text: "t_s,p1,p2,p3,D1,D0,D2\n0,1.5,2,3,0,1,1\n1,4,5,6,0,1,0\n2,7,8,9,1,1,0\n",
		rows: "0 101 1.5 2 3\n1 100 4 5 6\n2 110 7 8 9", scale: 1, notes: takenD + "|" + volts},
	{name: "units in a row", text: "Time,h1,h2,h3,CH1\ns,,,,mV\n0,1,0,1,1.5\n1,1,0,0,4\n2,1,1,0,7\n",
		rows: "0 101 1.5\n1 100 4\n2 110 7", scale: 1e-3,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise"},
	{name: "in a table without times", text: "Sample interval,1s\nSample,h1,h2,h3,CH1 (V)\n0,1,0,1,1.5\n1,1,0,0,4\n2,1,1,0,7\n",
		rows: "0 101 1.5\n1 100 4\n2 110 7", scale: 1,
		notes: `"Sample" counts the rows, which are 1 s apart, as the file says|by their order the columns are taken: CH1 for p1; --columns says otherwise|lines before the rows that are not used: 1`},
	{name: "two of the phases named", text: "t_s,hall,p1,p2,CH3\n0,101,1.5,2,3\n1,100,4,5,6\n", rows: "0 101 1.5 2\n1 100 4 5", scale: 1,
		notes: `columns that are not used: "CH3"; --columns can say what they are|` + volts},
	{name: "all named, others beside", text: "t_s,hall,p1,D0,battery,remark\n0,101,1.5,0,12,a\n1,100,4,1,12,b\n", rows: "0 101 1.5\n1 100 4", scale: 1,
		notes: `columns that are not used: "D0" "battery"; --columns can say what they are|` + volts},
	{name: "a temperature is no phase", text: "t_s,hall,temperature\n0,101,20.5\n1,100,21\n", rows: "0 101 e\n1 100 e",
		notes: `columns that are not used: "temperature"; --columns can say what they are|` + changes},
	{name: "four that could be phases", text: "t_s,hall,A1,A2,A3,A4\n0,101,2,2,2,2\n1,100,3,3,3,3\n", rows: "0 101 e\n1 100 e",
		notes: `columns that are not used: "A1" "A2" "A3" "A4"; --columns can say what they are|` + changes},
}

func TestPartlyNamed(t *testing.T) {
	for _, s := range partlyNamed {
		t.Run(s.name, func(t *testing.T) {
			rec, err := Parse([]byte(s.text), "f", s.opt)
			if err != nil {
				t.Fatalf("%v\n%s", err, hintOf(err))
			}
			if got := printRows(rec); got != s.rows {
				t.Errorf("rows\n%s\nwant\n%s", got, s.rows)
			}
			if got := strings.Join(rec.Notes, "|"); got != s.notes || rec.VoltsPerUnit != s.scale {
				t.Errorf("%g V per unit, notes\n%s\nwant %g\n%s", rec.VoltsPerUnit, got, s.scale, s.notes)
			}
		})
	}
}

// Columns that begin with zeros and ones but are none later on are not levels.
func TestLevelsBesideNamesThatAreNoneLater(t *testing.T) {
	text := "t_s,A,B,C,p1\n"
	for i := range factRows + 1 {
		text += fmt.Sprintf("%d,%d,0,1,1.5\n", i, i/factRows*2)
	}
	if rec, err := Parse([]byte(text), "f", Options{}); err == nil || !strings.Contains(err.Error(), "which column is which lead cannot be told") {
		t.Errorf("%v, %v", rec, err)
	}
}

// A comma with three digits behind it is refused where nothing tells whether it
// parts thousands. Positions are counted by hand.
func TestThousands(t *testing.T) {
	const want = "the comma may part thousands or be the decimal mark, and nothing in the file tells which"
	for _, c := range []struct {
		name, text, err string
		p1              float64 // the second row's, as it is written
	}{
		{name: "in quotes", text: "t_s,p1\n0,900\n1,\"1,234\"\n2,950\n", err: "f:3:4: " + want},
		{name: "between semicolons, in a table", text: "Time (s);CH1 (mV)\n0;900\n1;1,234\n2;-1,950\n", err: "f:3:3: " + want},
		{name: "a zero before it", text: "t_s;p1\n0;0,900\n1;1,234\n", p1: 1.234},
		{name: "another number of digits", text: "t_s;p1\n0;1,5\n1;1,234\n", p1: 1.234},
		{name: "thousands without it", text: "t_ms;p1\n0;900\n1000;1,234\n", p1: 1.234},
		{name: "parting cells", text: "t_s,p1\n0,900\n1,234\n", p1: 234},
		{name: "in a column that is not used", text: "t_s;p1;remark\n0;2;1,234\n1;3;1,234\n", p1: 3},
	} {
		rec, err := Parse([]byte(c.text), "f", Options{})
		switch {
		case c.err != "" && (err == nil || err.Error() != c.err):
			t.Errorf("%s: %v, want %s", c.name, err, c.err)
		case c.err == "" && (err != nil || rec.Columns[0].Value[1] != c.p1):
			t.Errorf("%s: %v, %v, want %g", c.name, rec, err, c.p1)
		}
	}
}

// Hall outputs in volts beside phases in millivolts are told apart as they are with
// both in volts: their swing, 4.8, is far below that of the phases, 3000, by the
// numbers alone.
func TestUnitsCountForSwings(t *testing.T) {
	for _, unit := range []struct {
		name string
		size float64
	}{{"V", 1}, {"mV", 1000}} {
		text := fmt.Sprintf("Time (s),A (V),B (V),C (V),CH1 (%s)\n", unit.name)
		for i := range 240 {
			text += fmt.Sprintf("%d,%g,%g,%g,%.6g\n", i, level(i), level(i+8), level(i+16), unit.size*1.5*math.Sin(float64(i)/24*2*math.Pi))
		}
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil || len(rec.Columns) != 1 || rec.Columns[0].Source != "CH1" || rec.Hall[0].String() != "001" {
			t.Errorf("%s: %v, %v", unit.name, rec, err)
		}
	}
}

// level is a Hall output of 24 samples a period.
func level(i int) float64 {
	if i%24 < 12 {
		return 0.1
	}
	return 4.9
}

// Which columns have decimals is decided on the first rows; all rows are then read
// that way, and one that does not fit is damaged and left as it is.
func TestDecimalsBeyondTheRowsThatDecide(t *testing.T) {
	text := "Time (s),CH1 (V),CH2 (V)\n"
	n := joinedRows + 10
	for i := range n {
		text += fmt.Sprintf("%d,-1,%d,-2,%d\n", i, 1+i%9, 1+i%8)
	}
	text += fmt.Sprintf("%d,-1,25,-2,x\n%d,-1,25,-2,75\n", n, n+1)
	rec, err := Parse([]byte(text), "f", Options{})
	if err != nil || rec.BadRows != 1 || rec.Rows() != n+1 {
		t.Fatalf("%v, %v", rec, err)
	}
	if a, b := rec.Columns[0].Value[n], rec.Columns[1].Value[n]; a != -1.25 || b != -2.75 {
		t.Errorf("%g, %g; want -1.25, -2.75", a, b)
	}
}
