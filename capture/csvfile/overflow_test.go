package csvfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// A sine of 10 V on an input of 8 V: what is beyond is marked, and is then the end
// of the range on its side. One mark amid the range, and one of a column that has
// no other, is missing; none is ever 0.
func TestOverflowIsClippedOrMissing(t *testing.T) {
	wave := func(i int) float64 { return 10 * math.Sin(2*math.Pi*float64(i)/100) }
	for _, marks := range [][2]string{{"9.91E+37", "9.91E+37"}, {"1.#INF", "-1.#INF"}, {"inf", "-inf"}, {"∞", "-∞"}, {"OL", "-OL"}, {"****", "****"}} {
		var text strings.Builder
		text.WriteString("time_s,p1,p2\n")
		for i := range 1000 {
			first := fmt.Sprintf("%.4f", wave(i))
			switch v := wave(i); {
			case v > 8:
				first = marks[0]
			case v < -8:
				first = marks[1]
			case i == 100:
				first = marks[0]
			}
			second := fmt.Sprint(i % 7)
			if i == 500 {
				second = marks[0]
			}
			fmt.Fprintf(&text, "%.4f,%s,%s\n", 0.0001*float64(i), first, second)
		}
		rec, err := Parse([]byte(text.String()), "f", Options{})
		if err != nil {
			t.Fatal(err)
		}
		p1, p2 := rec.Columns[0].Value, rec.Columns[1].Value
		for i, v := range p1 {
			// The last value within the range is at most one step, 0.38 V, from 8 V.
			want, tolerance := max(-8, min(8, wave(i))), 0.38
			if math.Abs(wave(i)) < 8 {
				tolerance = 0.0001 // four digits are written
			}
			if i == 100 {
				if !math.IsNaN(v) {
					t.Errorf("%s amid the range is %g", marks[0], v)
				}
			} else if !(math.Abs(v-want) <= tolerance) {
				t.Fatalf("%v: row %d is %g, want %g", marks, i, v, want)
			}
		}
		if !math.IsNaN(p2[500]) {
			t.Errorf("one mark alone is %g", p2[500])
		}
	}
}
