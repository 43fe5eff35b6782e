package csvfile

import (
	"fmt"
	"testing"
)

// Rows as a short program prints them, with blanks between the numbers.
func TestPartedByBlanks(t *testing.T) {
	const rows = "0 1 0 1 515 389 631\n250  1 0 1 516 390 630\n500 1 0 0 517 391 629\n750 1 0 0 518 392 628\n"
	for name, text := range map[string]string{
		"names":            "t_us h1 h2 h3 p1 p2 p3\n" + rows,
		"a header line":    "# note: all is well\nt_us h1 h2 h3 p1 p2 p3\n" + rows,
		"stamps":           "t_us h1 h2 h3 p1 p2 p3\n10:20:30.400 -> 0 1 0 1 515 389 631 \n10:20:30.400 -> 250 1 0 1 516 390 630 \n10:20:30.400 -> 500 1 0 0 517 391 629\n10:20:30.400 -> 750 1 0 0 518 392 628\n",
		"carriage returns": "t_us h1 h2 h3 p1 p2 p3\r\n0 1 0 1 515 389 631\r\n250 1 0 1 516 390 630\r\n500 1 0 0 517 391 629\r\n750 1 0 0 518 392 628\r\n",
	} {
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := fmt.Sprint(rec.Rows(), rec.Time[3], rec.Hall[3], rec.Columns[2].Value[3]); got != "4 0.00075 100 628" {
			t.Errorf("%s: %s", name, got)
		}
	}
	// A place in the text stays what it was: the x is the byte 9 of line 5.
	rec, err := Parse([]byte("t_us h1 h2 h3 p1\n0 1 0 1 5\n1 1 0 1 5\n2 1 0 1 5\n3  1 0  x 5\n4 1 0 1 5\n"), "f", Options{})
	if err != nil || rec.BadRows != 1 || rec.Damage[0].Pos.String() != "f:5:9" {
		t.Errorf("%+v %v", rec, err)
	}
}
