package csvfile

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
)

// sent is a row as a board sends it. The phase value of a sample is its own
// number, so that a row whose cells were mixed with another's is seen.
type sent struct {
	micros int
	hall   capture.Levels
	edge   bool
	number int
}

func (s sent) String() string {
	text := fmt.Sprintf("%d,%s,", uint32(s.micros), s.hall)
	if !s.edge {
		text += fmt.Sprint(s.number)
	}
	return text
}

// drawStretch draws rows from the counter's value start on, in the order of time,
// at the same time edges first. Steps of up to 5 ms are far below what tells a
// wrap, a restart or a far row, and the last row is a sample, as the board never
// stops sending them.
func drawStretch(t *rapid.T, start int) []sent {
	n := rapid.IntRange(2, 30).Draw(t, "rows")
	rows := make([]sent, n)
	for i := range rows {
		rows[i] = sent{start, capture.Levels(rapid.IntRange(0, 7).Draw(t, "levels")), rapid.Bool().Draw(t, "edge"), i}
		start += rapid.SampledFrom([]int{0, 1, 26, 312, 5000}).Draw(t, "step")
	}
	rows[n-1].edge = false
	if first, last := rows[0].micros, rows[n-1].micros; first == last {
		rows[n-1].micros++ // time that stands still is an error
	}
	slices.SortStableFunc(rows, func(a, b sent) int {
		if a.micros != b.micros || a.edge == b.edge {
			return a.micros - b.micros
		}
		if a.edge {
			return -1
		}
		return 1
	})
	return rows
}

// delay puts samples up to so many rows further back, each stream still in order.
func delay(t *rapid.T, rows []sent, most int) []sent {
	type placed struct {
		sent
		at int
	}
	out := make([]placed, len(rows))
	latest := 0
	for i, row := range rows {
		out[i] = placed{row, i}
		if !row.edge {
			latest = max(latest, i+rapid.IntRange(0, most).Draw(t, "delay"))
			out[i].at = latest
		}
	}
	slices.SortStableFunc(out, func(a, b placed) int { return a.at - b.at })
	delayed := make([]sent, len(rows))
	for i, p := range out {
		delayed[i] = p.sent
	}
	return delayed
}

func text(rows []sent) string {
	var text strings.Builder
	text.WriteString("# volts_per_count: 1\nt_us,hall,p1\n")
	for _, row := range rows {
		fmt.Fprintln(&text, row)
	}
	return text.String()
}

// checkRead checks that the text of the rows in file gives those in want, whose
// times are in microseconds from the first.
func checkRead(t *rapid.T, file, want []sent) {
	rec, err := Parse([]byte(text(file)), "f", Options{})
	if err != nil {
		t.Fatalf("%v\n%s", err, text(file))
	}
	if rec.Rows() != len(want) || rec.BadRows != 0 {
		t.Fatalf("%d rows, want %d, and %d bad ones %v\n%s", rec.Rows(), len(want), rec.BadRows, rec.Damage, text(file))
	}
	for i, w := range want {
		number := rec.Columns[0].Value[i]
		if rec.Time[i] != float64(w.micros-want[0].micros)/1e6 || rec.Edge[i] != w.edge || rec.Hall[i] != w.hall ||
			w.edge != (number != number) || !w.edge && number != float64(w.number) {
			t.Fatalf("row %d: %v %s, edge %v, %v; want %v\n%s", i, rec.Time[i], rec.Hall[i], rec.Edge[i], number, w, text(file))
		}
	}
}

// Whatever edges go in front of samples, and on whichever side of a wrap the two
// streams are, the rows come out as they were stamped.
func TestBoardOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.IntRange(0, 40_000).Draw(t, "before the counter's end")
		start := rapid.SampledFrom([]int{0, 20_000, 1 << 31, counterRange - before}).Draw(t, "start")
		rows := drawStretch(t, start)
		checkRead(t, rows, rows)
		checkRead(t, delay(t, rows, 10), rows)
	})
}

// A restart loses what the board still holds, so the rows of two stretches do
// not mix; the second begins one second after the first ends.
func TestBoardOrderWithRestarts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var file, want []sent
		shift := 0
		for _, start := range []int{9_000_000, 5_000_000, 20_000} {
			rows := drawStretch(t, start)
			file = append(file, delay(t, rows, 10)...)
			if len(want) > 0 {
				shift = want[len(want)-1].micros + 1_000_000 - rows[0].micros
			}
			for _, row := range rows {
				row.micros += shift
				want = append(want, row)
			}
		}
		checkRead(t, file, want)
	})
}

// Rows in the order of time are not moved, and to see that takes no memory that
// grows with them.
func TestOrderedStreamsAreLeftAlone(t *testing.T) {
	allocations := func(n int) float64 {
		time, edge := make([]float64, n), make([]bool, n)
		return testing.AllocsPerRun(10, func() {
			for i := range time {
				time[i], edge[i] = float64(20000+312*(i/2)), i%16 == 2
			}
			c := clock{perSecond: 1e6, counter: true}
			c.run(time, edge)
			if rows := c.order(); rows != nil || !slices.IsSorted(time) {
				t.Fatalf("%d rows are moved", len(rows))
			}
		})
	}
	if few, many := allocations(1000), allocations(50_000); few != many {
		t.Errorf("%g allocations for 1,000 rows, %g for 50,000", few, many)
	}
}
