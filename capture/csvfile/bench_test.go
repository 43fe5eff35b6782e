package csvfile

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"testing"

	"handspin/capture/line"
)

// spinText is a recording as the board sends it, with n rows of which every
// sixteenth is a Hall edge. The numbers mean nothing.
func spinText(n int) []byte {
	text := []byte("# handspin-capture: 1\n# volts_per_count: 0.0538\n# skew_us: 0,26,52\nt_us,hall,p1,p2,p3\n")
	states := [6]string{"101", "100", "110", "010", "011", "001"}
	var row []byte
	for i := range n {
		row = fmt.Appendf(row[:0], "%d,%s", 20000+312*i, states[i/16%6])
		for p := range 3 {
			if i%16 == 15 {
				row = append(row, ',')
				continue
			}
			row = fmt.Appendf(row, ",%.0f", 512+400*math.Sin(float64(i)/15+2*float64(p)))
		}
		text = append(line.Append(text, row), '\n')
	}
	return text
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{20_000, 200_000, 2_000_000} {
		text := spinText(n)
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				rec, err := Read(bytes.NewReader(text), "bench.csv", Options{})
				if err != nil || rec.Rows() != n || rec.BadRows != 0 {
					b.Fatal(rec.Rows(), err)
				}
			}
		})
	}
}

// BenchmarkReadBoardOrder has every edge eight rows further up, where a board on
// a full line sends it.
func BenchmarkReadBoardOrder(b *testing.B) {
	for _, n := range []int{20_000, 200_000, 2_000_000} {
		rows := bytes.SplitAfter(spinText(n), []byte{'\n'})
		for i := 4 + 15; i < len(rows); i += 16 { // four lines are before the first row
			edge := rows[i]
			copy(rows[i-7:], rows[i-8:i])
			rows[i-8] = edge
		}
		text := bytes.Join(rows, nil)
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				rec, err := Read(bytes.NewReader(text), "bench.csv", Options{})
				if err != nil || rec.Rows() != n || rec.BadRows != 0 || rec.Edge[7] || !rec.Edge[15] {
					b.Fatal(rec.Rows(), err)
				}
			}
		})
	}
}

// plainText is spinText without sums: rows that encoding/csv and strconv can read.
func plainText(n int) []byte {
	var out []byte
	for l := range bytes.Lines(spinText(n)) {
		data, _ := line.Strip(bytes.TrimSuffix(l, []byte("\n")))
		out = append(append(out, data...), '\n')
	}
	return out
}

// BenchmarkAgainstEncodingCSV reads one text by this package and by encoding/csv
// with strconv, which gets the numbers alone: what is compared is their MB/s.
func BenchmarkAgainstEncodingCSV(b *testing.B) {
	const n = 2_000_000
	text := plainText(n)
	b.Run("handspin", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			if rec, err := Parse(text, "bench.csv", Options{}); err != nil || rec.Rows() != n {
				b.Fatal(err)
			}
		}
	})
	b.Run("encoding-csv", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			if got := standardRows(b, text); got != n {
				b.Fatal(got)
			}
		}
	})
}

// standardRows reads the rows' numbers by the standard library.
func standardRows(b *testing.B, text []byte) int {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment, r.ReuseRecord = '#', true
	if _, err := r.Read(); err != nil { // the names
		b.Fatal(err)
	}
	var columns [5][]float64
	for {
		cells, err := r.Read()
		if err == io.EOF {
			return len(columns[0])
		}
		if err != nil {
			b.Fatal(err)
		}
		for i, c := range cells {
			v, err := strconv.ParseFloat(c, 64)
			if err != nil && c != "" {
				b.Fatal(err)
			}
			columns[i] = append(columns[i], v)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	text := spinText(20_000)
	rec, err := Parse(text, "bench.csv", Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if err := Write(io.Discard, rec); err != nil {
			b.Fatal(err)
		}
	}
}
