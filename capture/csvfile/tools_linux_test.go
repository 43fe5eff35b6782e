package csvfile

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
)

// pandasRead prints how long pandas itself takes to read a file, in seconds,
// without the start of the interpreter.
const pandasRead = `import sys, time, pandas
begin, cpu = time.perf_counter(), time.process_time()
rows = len(pandas.read_csv(sys.argv[1], comment="#"))
print(rows, time.perf_counter() - begin, time.process_time() - cpu)`

// BenchmarkAgainstTools reads one file by this package and by what a person would
// otherwise use: pandas, of which the reading alone counts, and mawk, which sums
// one column of it, with its start. What is compared is their MB/s. A tool that is
// missing is left out. cpu-s are the processor's seconds for one reading, which a
// busy machine does not lengthen as it does the rest.
func BenchmarkAgainstTools(b *testing.B) {
	const n = 2_000_000
	path := filepath.Join(b.TempDir(), "bench.csv")
	text := plainText(n)
	if err := os.WriteFile(path, text, 0o666); err != nil {
		b.Fatal(err)
	}
	megabytes := float64(len(text)) / 1e6
	b.Run("handspin", func(b *testing.B) {
		before := ownCPU(b)
		for b.Loop() {
			text, err := os.ReadFile(path)
			if err != nil {
				b.Fatal(err)
			}
			if rec, err := Parse(text, "bench.csv", Options{}); err != nil || rec.Rows() != n {
				b.Fatal(err)
			}
		}
		b.ReportMetric(megabytes*float64(b.N)/b.Elapsed().Seconds(), "file-MB/s")
		b.ReportMetric((ownCPU(b)-before)/float64(b.N), "cpu-s")
	})
	b.Run("pandas", func(b *testing.B) {
		seconds, cpu := 0.0, 0.0
		for b.Loop() {
			said, err := exec.Command("/usr/bin/python3", "-c", pandasRead, path).Output()
			if err != nil {
				b.Logf("left out: python3-pandas does not run: %v", err)
				return
			}
			var rows int
			var took, own float64
			if _, err := fmt.Sscan(string(said), &rows, &took, &own); err != nil || rows != n {
				b.Fatalf("%s: %v", said, err)
			}
			seconds, cpu = seconds+took, cpu+own
		}
		b.ReportMetric(megabytes*float64(b.N)/seconds, "file-MB/s")
		b.ReportMetric(cpu/float64(b.N), "cpu-s")
	})
	b.Run("mawk", func(b *testing.B) {
		cpu := 0.0
		for b.Loop() {
			cmd := exec.Command("mawk", "-F,", "{ s += $3 } END { print s }", path)
			if err := cmd.Run(); err != nil {
				b.Logf("left out: mawk does not run: %v", err)
				return
			}
			cpu += (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
		}
		b.ReportMetric(megabytes*float64(b.N)/b.Elapsed().Seconds(), "file-MB/s")
		b.ReportMetric(cpu/float64(b.N), "cpu-s")
	})
}

// ownCPU returns the processor's seconds that this process has used.
func ownCPU(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}
