package csvfile

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// TestQuickNumber: the quick way reads a number as the standard library does, or
// leaves it to the slow way.
func TestQuickNumber(t *testing.T) {
	taken := 0
	check := func(s string) {
		q := quick{reader: &reader{source: source{text: []byte(s + ",")}}}
		v, end, ok := q.number(0)
		want, err := strconv.ParseFloat(s, 64)
		switch {
		case !ok || end < len(s): // what follows is no separator, and the row is left, too
		case err != nil || v != want:
			t.Errorf("%q is read as %g, want %g, %v", s, v, want, err)
		default:
			taken++
		}
	}
	for _, s := range []string{"", "-", ".", "-.", "e5", "1e", "1e+", "1e-", "1e1000", "1e99999999999999999999", "1.2.3", "123456789012345678", "1e-400", "0x1p3", "+-1", "1_000"} {
		check(s)
	}
	before := taken
	for _, s := range []string{"0", "-0", "+7", "512", "4294967295", "-1.25", ".5", "5.", "1.5E-03", "-2.00000e+00", "123456789012345", "9.9e22"} {
		check(s)
	}
	if taken-before != 12 {
		t.Errorf("%d of 12 plain numbers are read the quick way", taken-before)
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		check(strconv.FormatFloat((r.Float64()-0.5)*1e6, "efg"[r.IntN(3)], r.IntN(12), 64))
	}
}

// TestIndexInParts: an index column is kept where rows are read in parts, too.
func TestIndexInParts(t *testing.T) {
	var text strings.Builder
	text.WriteString("t_us,hall,p1,p2,p3,index\n")
	for i := range 2000 {
		fmt.Fprintf(&text, "%d,101,%d,%d,%d,%d\n", 300*i, i%90, i%80, i%70, b2i(i%500 == 250))
	}
	wantSameInParts(t, []byte(text.String()), Options{})
	rec, err := parse([]byte(text.String()), "x.csv", Options{}, 700)
	if err != nil || len(rec.Index) != 4 { // at rows 250, 750, 1250, 1750
		t.Fatalf("%v pulses, %v", rec.Index, err)
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
