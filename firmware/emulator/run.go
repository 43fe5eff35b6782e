package emulator

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"handspin/capture"
)

// Script is what happens to the board. Times are in microseconds from its reset.
type Script struct {
	lines []scripted
}

type scripted struct {
	us   float64
	text string
}

func (s *Script) add(us float64, format string, args ...any) {
	s.lines = append(s.lines, scripted{us, fmt.Sprintf(format, args...)})
}

// Wave sets the voltages at the three phase inputs at a time, in millivolts; they
// are linear in between.
func (s *Script) Wave(us float64, mv [3]float64) {
	s.add(us, "w %.3f %.3f %.3f %.3f", us, mv[0], mv[1], mv[2])
}

// Hall sets the Hall lines.
func (s *Script) Hall(us float64, levels capture.Levels) { s.add(us, "h %.3f %s", us, levels) }

// Command lets the host send a line.
func (s *Script) Command(us float64, text string) { s.add(us, "c %.3f %s", us, text) }

// Poke sets 32 bits of the board's memory.
func (s *Script) Poke(us float64, address, value uint32) {
	s.add(us, "p %.3f %x %d", us, address, value)
}

// Reset resets the board.
func (s *Script) Reset(us float64) { s.add(us, "r %.3f", us) }

// End ends the run.
func (s *Script) End(us float64) { s.add(us, "e %.3f", us) }

func (s *Script) write(path string) error {
	slices.SortStableFunc(s.lines, func(a, b scripted) int { return cmp.Compare(a.us, b.us) })
	var text bytes.Buffer
	for _, l := range s.lines {
		text.WriteString(l.text + "\n")
	}
	return os.WriteFile(path, text.Bytes(), 0o666)
}

// Options are the board's surroundings.
type Options struct {
	// NoiseMV is the standard deviation of noise at the phase inputs, Seed its
	// seed.
	NoiseMV float64
	Seed    int
	// SupplyMV is the board's supply; 0 stands for 5000.
	SupplyMV int
}

func (o Options) args() []string {
	return []string{fmt.Sprint(o.NoiseMV), strconv.Itoa(o.Seed), strconv.Itoa(cmp.Or(o.SupplyMV, 5000))}
}

// Counts are what the emulator counted, by name: cycles, busy (cycles in
// interrupts or at work), clock_start (the cycle at which the board's clock
// began), conversions (of the phase inputs), bytes, and longest_N, the most cycles
// that interrupt N took with those that came in between.
type Counts map[string]int64

func parseCounts(text string) (Counts, error) {
	c := Counts{}
	for line := range strings.Lines(text) {
		name, value, ok := strings.Cut(strings.TrimSpace(line), " ")
		n, err := strconv.ParseInt(value, 10, 64)
		if ok && err == nil {
			c[name] = n
		}
	}
	if c["cycles"] == 0 {
		return nil, fmt.Errorf("the emulator printed %q", text)
	}
	return c, nil
}

// Run runs a script as fast as it goes and returns what the board sent.
func Run(t testing.TB, s *Script, opt Options) (sent []byte, counts Counts) {
	t.Helper()
	elf, _, err := build()
	if err != nil {
		t.Fatal(err)
	}
	return RunImage(t, elf, s, opt)
}

// RunImage is [Run] with another program of the board, an ELF file.
func RunImage(t testing.TB, elf string, s *Script, opt Options) (sent []byte, counts Counts) {
	t.Helper()
	_, program, err := build()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	script, output := filepath.Join(dir, "script"), filepath.Join(dir, "sent")
	if err := s.write(script); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(program, append([]string{elf, script, output}, opt.args()...)...).Output()
	if err != nil {
		t.Fatalf("emulator: %v", err)
	}
	if counts, err = parseCounts(withoutLog(string(out))); err != nil {
		t.Fatal(err)
	}
	if sent, err = os.ReadFile(output); err != nil {
		t.Fatal(err)
	}
	return sent, counts
}

// withoutLog takes out what simavr prints on its own.
func withoutLog(text string) string {
	var kept strings.Builder
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "Loaded ") {
			kept.WriteString(line)
		}
	}
	return kept.String()
}

// Board is an emulated board on a pseudo terminal.
type Board struct {
	// Port is the path of the pseudo terminal. The board is reset when it is
	// opened, and unplugged at the end of its script.
	Port string
	cmd  *exec.Cmd
	// done is closed when the emulator has ended, err is what it ended with.
	done chan struct{}
	err  error
	// unplugged is whether it was ended from here.
	unplugged bool
}

// Start starts a board that keeps to real time. It ends with the test.
func Start(t testing.TB, s *Script, opt Options) *Board {
	t.Helper()
	elf, program, err := build()
	if err != nil {
		t.Fatal(err)
	}
	script := filepath.Join(t.TempDir(), "script")
	if err := s.write(script); err != nil {
		t.Fatal(err)
	}
	b := &Board{done: make(chan struct{}), cmd: exec.Command(program, append([]string{elf, script, "pty"}, opt.args()...)...)}
	b.cmd.Stderr = os.Stderr
	out, err := b.cmd.StdoutPipe()
	if err == nil {
		err = b.cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.end(t) })
	for lines := bufio.NewScanner(out); b.Port == "" && lines.Scan(); {
		if port, ok := strings.CutPrefix(lines.Text(), "port "); ok {
			b.Port = port
		}
	}
	go func() {
		b.err = b.cmd.Wait()
		close(b.done)
	}()
	if b.Port == "" {
		t.Fatal("the emulator named no port")
	}
	return b
}

// end unplugs the board; that it has ended by itself with a failure is an error.
func (b *Board) end(t testing.TB) {
	select {
	case <-b.done:
		if b.err != nil && !b.unplugged {
			t.Errorf("the emulator ended: %v", b.err)
		}
	default:
		b.Unplug()
	}
}

// Unplug ends the board at once.
func (b *Board) Unplug() {
	select {
	case <-b.done:
	default:
		b.unplugged = true
		b.cmd.Process.Kill()
		<-b.done
	}
}
