package emf

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
)

// oversampled is a recording of so many rows at rate Hz of three leads that turn at hz,
// with an edge row, which has no phase value, after every edgeEvery samples.
func oversampled(rows int, rate, hz float64, edgeEvery int) *capture.Recording {
	rec := &capture.Recording{Columns: make([]capture.Column, 3)}
	for i := range rows {
		edge := edgeEvery > 0 && i%edgeEvery == edgeEvery-1
		rec.Time = append(rec.Time, float64(i)/rate)
		rec.Edge = append(rec.Edge, edge)
		rec.Hall = append(rec.Hall, capture.UnknownLevels)
		for k := range rec.Columns {
			v := math.Sin(2 * math.Pi * (hz*float64(i)/rate - float64(k)/3))
			if edge {
				v = capture.Missing
			}
			rec.Columns[k].Value = append(rec.Columns[k].Value, v)
		}
	}
	return rec
}

// Rows are reduced where there are many of them and of each turn. A block is one of
// about 320 of a turn: 60 degrees are found in steps of a quarter, at which the
// product is still above the half, so that it is up to a fifth short.
func TestBlockSize(t *testing.T) {
	for _, c := range []struct {
		name           string
		rows           int
		rate, hz, most float64
		least          float64
	}{
		{"a board's", 20_000, 3200, 15, 1, 1},
		{"a board's, long", 1_000_000, 3200, 15, 1, 1},
		{"few rows of a fast instrument", 300_000, 1e6, 10, 1, 1},
		{"many rows: 4000 in a turn", 2_600_000, 200e3, 50, 12.5, 10},
		{"the rows that are left bound it", 1_000_000, 1e6, 10, 5, 5},
	} {
		got := float64(blockSize(oversampled(c.rows, c.rate, c.hz, 0)))
		if got < c.least || got > c.most {
			t.Errorf("%s: %g in a block, want %g to %g", c.name, got, c.least, c.most)
		}
	}
}

// A block has the mean of its samples and of their times, by plain counting; edge
// rows do not count, and no block bridges a gap.
func TestAverage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := oversampled(rapid.IntRange(30, 200).Draw(t, "rows"), 1000, 3, rapid.IntRange(0, 9).Draw(t, "edge every"))
		gap := rapid.IntRange(1, 29).Draw(t, "gap")
		for i := gap; i < rec.Rows(); i++ {
			rec.Time[i] += 5 // s
		}
		size := rapid.IntRange(2, 7).Draw(t, "size")
		s := &Signals{Channels: make([]Channel, len(rec.Columns))}
		s.average(rec, size)

		block, before, n := []int{}, math.Inf(-1), 0
		for i, at := range rec.Time {
			if math.IsNaN(rec.Columns[0].Value[i]) {
				continue
			}
			if at-before > 1 {
				block = block[:0]
			}
			before = at
			if block = append(block, i); len(block) < size {
				continue
			}
			for c, ch := range append(s.Channels, Channel{Value: s.Time}) {
				want := 0.0
				for _, row := range block {
					if c < 3 {
						want += rec.Columns[c].Value[row] / float64(size)
					} else {
						want += rec.Time[row] / float64(size)
					}
				}
				if len(ch.Value) <= n || math.Abs(ch.Value[n]-want) > 1e-12 { // rounding of up to 7 terms below 6
					t.Fatalf("block %d of %v is not %g", n, ch.Value, want)
				}
			}
			n, block = n+1, block[:0]
		}
		if len(s.Time) != n {
			t.Fatalf("%d blocks, want %d", len(s.Time), n)
		}
	})
}

// Columns without edge rows are not copied: they may take half of the memory.
func TestColumnsAreNotCopied(t *testing.T) {
	rec := oversampled(1000, 3200, 15, 0)
	s := Columns(rec)
	if &s.Time[0] != &rec.Time[0] || &s.Channels[2].Value[0] != &rec.Columns[2].Value[0] {
		t.Error("the columns are copies")
	}
}
