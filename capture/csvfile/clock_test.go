package csvfile

import (
	"slices"
	"testing"
)

func TestClock(t *testing.T) {
	micro := clock{perSecond: 1e6, counter: true}
	for _, c := range []struct {
		name  string
		clock clock
		in    []float64
		// want has the seconds of the rows that are kept; strays are the others.
		want            []float64
		strays          []int
		wraps, restarts int
	}{
		{"plain", micro, []float64{5, 5, 7}, []float64{0, 0, 2e-6}, nil, 0, 0},
		// 4294967296 - 4294000000 + 20000 = 987296
		{"a wrap over a gap of a second", micro, []float64{4294000000, 20000, 20001}, []float64{0, 0.987296, 0.987297}, nil, 1, 0},
		{"a wrap on the last row", micro, []float64{4294967295, 0}, []float64{0, 1e-6}, nil, 1, 0},
		// The counter would have stood still for over half its range.
		{"a restart", micro, []float64{2e9, 2e9 + 10, 300, 310}, []float64{0, 1e-5, 1.00001, 1.00002}, nil, 0, 1},
		{"seconds do not wrap", clock{perSecond: 1}, []float64{4294967295, 4294967296, 1, 2}, []float64{0, 1, 2, 3}, nil, 0, 1},
		{"two restarts", micro, []float64{500, 600, 100, 200, 300, 100, 200, 300}, []float64{0, 1e-4, 1.0001, 1.0002, 1.0003, 2.0003, 2.0004, 2.0005}, nil, 0, 2},
		{"a step back too small for a restart", micro, []float64{0, 1000, 2000, 2100, 1500, 1900, 2500}, []float64{0, 1e-3, 2e-3, 2.1e-3, 2.5e-3}, []int{4, 5}, 0, 0},
		{"one row too far ahead rather than two behind", micro, []float64{0, 1000, 2000, 1500, 1900, 2500}, []float64{0, 1e-3, 1.5e-3, 1.9e-3, 2.5e-3}, []int{2}, 0, 0},
		{"a step back on the last row", micro, []float64{0, 1e6, 5}, []float64{0, 1}, []int{2}, 0, 0},
		{"a jump ahead", micro, []float64{0, 1000, 9e8, 2000, 3000}, []float64{0, 1e-3, 2e-3, 3e-3}, []int{2}, 0, 0},
		{"a stray near the counter's end is no wrap", micro, []float64{0, 1000, 4294967290, 2000, 3000}, []float64{0, 1e-3, 2e-3, 3e-3}, []int{2}, 0, 0},
		{"backward throughout", micro, []float64{5, 4, 3, 2}, []float64{0}, []int{1, 2, 3}, 0, 0},
		{"a stray first row", micro, []float64{9e6, 1, 2}, []float64{0, 1e-6}, []int{0}, 0, 0},
		{"a stray first row before a restart", micro, []float64{9e8, 2e6, 2e6 + 1, 5, 6}, []float64{0, 1e-6, 1.000001, 1.000002}, []int{0}, 0, 1},
		{"a torn first row is not the row after a wrap", micro, []float64{300, 4292421462, 4292421463}, []float64{0, 1e-6}, []int{0}, 0, 0},
		{"a stray just after a wrap", micro, []float64{4294967295, 900, 4, 9}, []float64{0, 5e-6, 1e-5}, []int{1}, 1, 0},
		{"segments before zero", clock{perSecond: 1}, []float64{-4, -3, -2, -4, -3, -2, -4, -3}, []float64{0, 1, 2, 3, 4, 5, 6, 7}, nil, 0, 2},
		// Up to 2^55 a float64 holds every fourth number, above it every eighth. Seconds get lost, and the last
		// two rows, shifted by 2^55 - 1024 + 2^53 - 5, rounded down by 3, would come 4 before the row before them.
		{"the largest times do not go back by rounding", clock{perSecond: 1}, []float64{1024 - 1<<53, 1 << 53, -1 << 53, 0, 1 << 53, 5 - 1<<53, 5 - 1<<53},
			[]float64{0, 1<<54 - 1024, 1<<54 - 1024, 1<<54 + 1<<53 - 1024, 1<<55 - 1024, 1<<55 - 1024, 1<<55 - 1024}, nil, 0, 2},
	} {
		in := slices.Clone(c.in)
		c.clock.run(in, make([]bool, len(in)))
		var strays []int
		for _, s := range c.clock.strays {
			strays = append(strays, s.row)
		}
		got := in
		if rows := c.clock.order(); rows != nil {
			got = pick(in, rows)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if !slices.Equal(strays, c.strays) || c.clock.wraps != c.wraps || c.clock.restarts != c.restarts {
			t.Errorf("%s: strays %v, %d wraps, %d restarts", c.name, strays, c.clock.wraps, c.clock.restarts)
		}
	}
}
