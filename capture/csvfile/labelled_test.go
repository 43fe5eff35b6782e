package csvfile

import (
	"strings"
	"testing"
)

// Places in messages are those of the file, although a line of names was put before
// it; a row that is torn, or has other names, is damaged alone.
func TestLabelledRows(t *testing.T) {
	text := "tart: 5\nt_us=0 h1=1 p1=-1.5\nt_us=500 h1=1 p1=2\nt_us=1000 h1=0 p1=3\nt_us=1500 h1=0\nt_us=2000 h1=0 p1=4e-1\nt_us=2500 h2=0 p1=5\n"
	rec, err := Parse([]byte(text), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := rec.Columns[0].Value; len(got) != 4 || got[0] != -1.5 || got[3] != 0.4 {
		t.Errorf("p1 is %v, want -1.5 2 3 0.4", got)
	}
	var damage []string
	for _, d := range rec.Damage {
		damage = append(damage, d.Error())
	}
	if got, want := strings.Join(damage, "|"), "f:1:1: the row has 1 cell, not 3|f:5:1: the row has 1 cell, not 3|f:7:1: the row has 1 cell, not 3"; got != want {
		t.Errorf("damage\n%s\nwant\n%s", got, want)
	}
}

// Times without a unit are in the only one that fits, whatever the other columns
// are called.
func TestUnitThatFits(t *testing.T) {
	rec, err := Parse([]byte("time,hall,p1\n0,101,1\n0.01,100,2\n0.02,110,3\n"), "f", Options{})
	if err != nil || rec.Seconds() != 0.02 || !strings.Contains(strings.Join(rec.Notes, "|"), `the time column "time" is taken for s, since no other unit fits`) {
		t.Errorf("%v %v, want 0.02 s and a note", rec, err)
	}
}

// A column whose unit changes is refused: a number of volts among millivolts may
// not be left out, nor taken for one of those.
func TestUnitsInCellsThatChange(t *testing.T) {
	_, err := Parse([]byte("time,A\n0 ms,500 mV\n1 ms,900 mV\n2 ms,950 mV\n3 ms,1.1 V\n4 ms,1.2 V\n5 ms,1.3 V\n6 ms,1.4 V\n"), "f", Options{})
	if want := `f:5:6: A is not a number: "1.1 V", where the first rows have another unit (4 of 7 rows cannot be read)`; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}
