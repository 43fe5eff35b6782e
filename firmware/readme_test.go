package firmware_test

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"handspin/capture/csvfile"
	"handspin/firmware/emulator"
)

func readme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// table returns the numbers of the table of README that has so many columns of
// them.
func table(t *testing.T, columns int) (rows [][]float64) {
	t.Helper()
	for text := range strings.Lines(readme(t)) {
		cells := strings.Split(strings.Trim(strings.TrimSpace(text), "|"), "|")
		var row []float64
		for _, c := range cells {
			if v, err := strconv.ParseFloat(strings.TrimSpace(c), 64); err == nil {
				row = append(row, v)
			}
		}
		if len(row) == columns && len(cells) == columns {
			rows = append(rows, row)
		}
	}
	if len(rows) != 5 {
		t.Fatalf("%d rows of %d columns", len(rows), columns)
	}
	return rows
}

// The supply in volts, and the counts of a conversion over the whole supply.
const supply, counts = 5.0, 1024

// TestDividers works the table of dividers out anew: Ohm's law.
func TestDividers(t *testing.T) {
	for _, row := range table(t, 7) {
		r1, r2 := row[0], row[1]
		divides := (r1 + r2) / r2
		for i, c := range []struct{ want, rounding float64 }{
			{divides, 0.05},
			{supply / 2 * divides, 0.0501},
			{supply / counts * divides * 1000, 0.05},
			{r1 * r2 / (r1 + r2), 0.05},
			{supply + r1, 0.5}, // 1 mA through R1 kOhm is R1 volts
		} {
			if got := row[2+i]; math.Abs(got-c.want) > c.rounding {
				t.Errorf("R1 %g kOhm: %g, not %g", r1, c.want, got)
			}
		}
		if source := r1 * r2 / (r1 + r2); source > 10 {
			t.Errorf("R1 %g kOhm: a source of %g kOhm", r1, source)
		}
	}
}

// TestMotors works the table of motors out anew. Six-step drive at no-load speed:
// the peak from lead to lead is about the supply (common practice), and that from
// lead to star point is by the square root of three less.
func TestMotors(t *testing.T) {
	const r2 = 10
	for _, row := range table(t, 4) {
		peak := row[0] / math.Sqrt(3)
		divides := (row[1] + r2) / r2
		if ends := supply / 2 * divides / peak * 100; math.Abs(ends-row[2]) > 0.5 {
			t.Errorf("%g V: the range ends at %.1f %%, not %g", row[0], ends, row[2])
		}
		if swing := 0.1 * peak / (supply / counts * divides); math.Abs(swing-row[3]) > 0.5 {
			t.Errorf("%g V: %.1f counts, not %g", row[0], swing, row[3])
		}
		if row[0] > supply+row[1] {
			t.Errorf("%g V: over 1 mA into the pin", row[0])
		}
	}
}

// TestSmallMotors: the numbers of the paragraph on small motors, in its order: the
// middle, the division, the range and the count at 1.1 V.
func TestSmallMotors(t *testing.T) {
	text := readme(t)
	middle := supply * 1 / (8.2 + 1)
	divides := (10.0 + 100) / 100
	for _, want := range []string{
		strconv.FormatFloat(middle, 'f', 2, 64) + " V by",
		"--divider " + strconv.FormatFloat(divides, 'f', 1, 64) + "`",
		"then " + strconv.FormatFloat(middle*divides, 'f', 1, 64) + " V about",
		"count " + strconv.FormatFloat(1100/1024.0*divides, 'f', 1, 64) + " mV",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("README does not say %q", want)
		}
	}
}

// TestCommandsInReadme: README names the commands that the program knows.
func TestCommandsInReadme(t *testing.T) {
	source, err := os.ReadFile("handspin/session.c")
	if err != nil {
		t.Fatal(err)
	}
	commands := regexp.MustCompile(`\{"([a-z ]+)", \w+\}`).FindAllStringSubmatch(string(source), -1)
	if len(commands) != 7 {
		t.Fatalf("%d commands", len(commands))
	}
	for _, c := range commands {
		if !strings.Contains(readme(t), "`"+c[1]+"`") {
			t.Errorf("README does not name %q", c[1])
		}
	}
}

// stub stands in for another board's library. Reading takes its time, that which
// README says, and a phase's value is when it was sampled, in microseconds after
// the clock was last read. The host has sent a line before the second row.
const stub = `#include <cstdio>
#include <string>
static const int A0 = 14, A1 = 15, A2 = 16;
static unsigned long now, read_at, rows;
unsigned long micros() { return read_at = now; }
int digitalRead(int pin) { now += 4; return pin == 9; }
int analogRead(int) { unsigned long sampled = now + 16; now += 112; return sampled - read_at; }
struct { std::string in = "\nheader\n";
  void begin(long) {}
  int available() { return rows == 2 ? in.size() : 0; } int read() { int c = in[0]; in.erase(0, 1); return c; }
  void println(const char *s = "") { now += 300; rows++; std::puts(s); }
  void print(char c) { now += 10; std::putchar(c); } void print(unsigned long n) { now += 50; std::printf("%lu", n); }
} Serial;
`

// TestSketchInReadme runs README's sketch on a stand-in for its board; what it
// prints is a recording whose skew is right, and it answers who asks.
func TestSketchInReadme(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	block := regexp.MustCompile("(?s)```cpp\n(.*?)```").FindStringSubmatch(readme(t))
	if block == nil {
		t.Fatal("README has no sketch")
	}
	dir := t.TempDir()
	source := stub + block[1] + "int main() { setup(); for (int i = 0; i < 3; i++) loop(); }\n"
	if err := os.WriteFile(filepath.Join(dir, "sketch.cpp"), []byte(source), 0o666); err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(dir, "sketch")
	if out, err := exec.Command("g++", "-o", program, program+".cpp").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	text, err := exec.Command(program).Output()
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(text), "# handspin-capture: 1\n"); n != 2 {
		t.Errorf("%d headers, one of them asked for", n)
	}
	rec, err := csvfile.Parse(text, "sketch", csvfile.Options{})
	if err != nil || rec.Rows() != 3 || rec.BadRows != 0 || rec.Hall[1].String() != "010" {
		t.Fatalf("%v %+v\n%s", err, rec, text)
	}
	for _, c := range rec.Columns {
		for _, sampled := range c.Value {
			if want := c.Skew * 1e6; math.Abs(sampled-want) > 1e-6 {
				t.Errorf("%s is sampled %g us after the row's time, not %g", c.Source, sampled, want)
			}
		}
	}
}
