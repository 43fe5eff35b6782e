package main

import (
	"bufio"
	"compress/gzip"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
)

// largeRows and largeRate are those of an instrument's recording of 100 s: some
// 500 MB of text.
const (
	largeRows = 20_000_000
	largeRate = 200_000 // Hz
)

// BenchmarkRankLarge ranks a large recording by the built program, plain and
// packed. peak-MB is the most memory that the program had at once.
func BenchmarkRankLarge(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "handspin")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for _, name := range []string{"large.csv", "large.csv.gz"} {
		path := filepath.Join(dir, name)
		size := writeLarge(b, path)
		b.Run(name, func(b *testing.B) {
			peak := 0.0
			b.SetBytes(size)
			for b.Loop() {
				cmd := exec.Command(program, "rank", path)
				if err := cmd.Run(); err != nil {
					b.Fatal(err)
				}
				used := cmd.ProcessState.SysUsage().(*syscall.Rusage)
				peak = max(peak, float64(used.Maxrss)*1024/1e6) // kB, getrusage(2)
			}
			b.ReportMetric(peak, "peak-MB")
		})
	}
}

// writeLarge writes the recording of a rotor pushed every 3 s to up to 12 electrical
// turns a second, and returns the size of its text.
func writeLarge(b *testing.B, path string) int64 {
	f, err := os.Create(path)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	var file io.Writer = f
	if filepath.Ext(path) == ".gz" {
		z, _ := gzip.NewWriterLevel(f, gzip.BestSpeed) // a level there is
		defer z.Close()
		file = z
	}
	w := bufio.NewWriter(file)
	defer w.Flush()
	n, _ := w.WriteString("# handspin-capture: 1\n# volts_per_count: 0.0538\nt_us,hall,p1,p2,p3\n")
	size := int64(n)
	rng := rand.New(rand.NewPCG(1, 2))
	angle := 0.0 // rad
	var row []byte
	for i := range largeRows {
		t := float64(i) / largeRate
		hz := 2 + 10*math.Pow(math.Sin(math.Pi*t/3), 2)
		angle += 2 * math.Pi * hz / largeRate
		row = append(strconv.AppendInt(row[:0], int64(math.Round(1e6*t)), 10), ',')
		for k := range 3 { // sensors that suit, see commutation
			level := byte('0')
			if math.Sin(angle-math.Pi/6-2*math.Pi/3*float64(k)) > 0 {
				level = '1'
			}
			row = append(row, level)
		}
		for k := range 3 {
			v := 512 + 30*hz*math.Sin(angle-2*math.Pi/3*float64(k)) + 1.5*rng.NormFloat64()
			row = strconv.AppendInt(append(row, ','), int64(math.Round(v)), 10)
		}
		n, err := w.Write(append(row, '\n'))
		if err != nil {
			b.Fatal(err)
		}
		size += int64(n)
	}
	return size
}
