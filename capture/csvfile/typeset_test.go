package csvfile

import (
	"fmt"
	"testing"
)

// Numbers with the minus sign proper and blanks between thousands are those with hyphens
// and without; a message's column is that of the text as it is, in bytes.
func TestTypesetNumbers(t *testing.T) {
	const names = "Time (us);CH1 (V)\n"
	text := names + "0;\u22121,5\n500;\u2212,25\n1\u202f000;+1\u00a0234,5\n1\u2009500;\u22121\u202f234\u202f567e\u22123\n"
	rec, err := Parse([]byte(text), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{-1.5, -0.25, 1234.5, -1234.567} {
		if got := rec.Columns[0].Value[i]; got != want {
			t.Errorf("row %d is %g, want %g", i, got, want)
		}
	}
	if rec.Seconds() != 0.0015 {
		t.Errorf("it takes %g s, want 0.0015", rec.Seconds())
	}
	rec, err = Parse([]byte(text+"2\u202f000;\u22121x\n"), "f", Options{})
	if err != nil || rec.BadRows != 1 {
		t.Errorf("%v, %d bad rows, want 1", err, rec.BadRows)
	}
}

// Blanks in names and behind the decimal mark are left alone.
func TestTypesetElsewhere(t *testing.T) {
	text := "Time (ms);CH\u00a0500 (V)\n0;1\n1;\u2212.5\n2;0.123\u202f456\n"
	for i := range 60 {
		text += fmt.Sprintf("%d;%d\n", 3+i, i%7)
	}
	rec, err := Parse([]byte(text), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if rec.BadRows != 1 || rec.Columns[0].Source != "CH\u00a0500" || rec.Columns[0].Value[1] != -0.5 {
		t.Errorf("%d bad rows, %q", rec.BadRows, rec.Columns[0].Source)
	}
}

// So they are with commas between the cells, in any column; four digits are no group. A minus
// sign in a name is one.
func TestTypesetBetweenCommas(t *testing.T) {
	rec, err := Parse([]byte("time_us,p1\u2212p2,p2\u2212p3,p3\u2212p1\n0,512,4\u202f000.5,511\n500,513,1\u202f000,\u2212511\n1\u202f000,513,999,511\n1\u202f500,1234\u202f567,1,2\n"), "f", Options{})
	if err != nil || rec.BadRows != 1 || !rec.Columns[0].Signal.Difference() {
		t.Fatalf("%v, %d bad rows, want 1; %v", err, rec.BadRows, rec.Columns[0].Signal)
	}
	for i, want := range []float64{4000.5, 1000, 999} {
		if got := rec.Columns[1].Value[i]; got != want {
			t.Errorf("row %d is %g, want %g", i, got, want)
		}
	}
	if got := rec.Columns[2].Value[1]; got != -511 {
		t.Errorf("p31 is %g, want -511", got)
	}
}
