package vcd

import (
	"bytes"
	"fmt"
	"strconv"
	"testing"

	"handspin/capture/csvfile"
)

// BenchmarkParse reads dumps of n changes.
func BenchmarkParse(b *testing.B) {
	for _, n := range []int{20_000, 200_000, 2_000_000} {
		var text bytes.Buffer
		text.WriteString(three)
		for i := range n {
			fmt.Fprintf(&text, "#%d\n%d%c\n", 100*i, i/3%2, "!#$"[i%3])
		}
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			b.SetBytes(int64(text.Len()))
			b.ReportAllocs()
			for b.Loop() {
				if rec, err := Parse(text.Bytes(), "bench.vcd", csvfile.Options{}); err != nil || rec.Rows() < n/2 {
					b.Fatal(rec.Rows(), err)
				}
			}
		})
	}
}
