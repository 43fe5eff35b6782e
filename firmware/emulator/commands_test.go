package emulator_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/firmware/emulator"
)

// TestCommands: each command is answered, and obeyed.
func TestCommands(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	for _, c := range []struct {
		before, command string // before leaves the state that command changes
		obeyed          func(r *recorded) bool
	}{
		{"", "header", func(r *recorded) bool { return r.count("# handspin-capture: 1") == 2 && !r.quiet(100000, 200000) }},
		{"stop", "start", func(r *recorded) bool { return r.quiet(60000, 100000) && !r.quiet(110000, 300000) }},
		{"", "stop", func(r *recorded) bool { return r.count("# handspin-capture: 1") == 1 && r.quiet(110000, 300000) }},
		{"mode safe", "mode fast", func(r *recorded) bool {
			return r.count("# baud: 500000") == 1 && r.header["baud"] == "1000000" && r.header["full_scale"] == "2046"
		}},
		{"", "mode safe", func(r *recorded) bool { return r.header["baud"] == "500000" && r.header["full_scale"] == "3069" }},
		{"reference internal", "reference supply", func(r *recorded) bool {
			return r.count("# reference: internal") == 1 && r.header["reference"] == "supply" && r.lastSum() < 1100
		}},
		{"", "reference internal", func(r *recorded) bool { return r.header["reference"] == "internal" && r.lastSum() == 2046 }},
	} {
		var s emulator.Script
		s.Wave(0, [3]float64{2500, 2500, 2500}) // half the supply, over twice the internal reference
		if c.before != "" {
			s.Command(50000, c.before)
		}
		s.Command(100000, c.command)
		s.End(300000)
		r := record(t, &s, emulator.Options{})
		if r.count("# ok: "+c.command) != 1 || !c.obeyed(r) {
			t.Errorf("%s: %q", c.command, r.lines)
		}
	}
}

// lastSum is p1 in the last row.
func (r *recorded) lastSum() uint16 { return r.sets[len(r.sets)-1].Phase[0] }

func (r *recorded) count(text string) (n int) {
	for _, l := range r.lines {
		if l == text {
			n++
		}
	}
	return n
}

// quiet reports whether no set came between two times.
func (r *recorded) quiet(from, to uint32) bool {
	return !slices.ContainsFunc(r.sets, func(s row) bool { return from < s.TimeUS && s.TimeUS < to })
}

// TestRefusedCommands: what is no command is answered as such, and changes
// nothing.
func TestRefusedCommands(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	for command, answer := range map[string]string{
		"sing":                           "# refused: sing",
		"stop now":                       "# refused: stop now",
		"STOP":                           "# refused: STOP",
		"st\x01p":                        "# refused: st?p",
		strings.Repeat("x", 70):          "# refused: " + strings.Repeat("x", 24),
		"stop" + strings.Repeat(" ", 60): "# refused: stop" + strings.Repeat(" ", 20),
	} {
		var s emulator.Script
		s.Wave(0, [3]float64{})
		s.Command(100000, command)
		s.Command(150000, "") // an empty line is no command at all
		s.End(300000)
		r := record(t, &s, emulator.Options{})
		if r.count(answer) != 1 || r.count("# handspin-capture: 1") != 1 || r.quiet(110000, 290000) {
			t.Errorf("%q: %q", command, r.lines)
		}
	}
}

// TestStopAndStart: between the two there is silence, and afterwards the levels
// that changed meanwhile.
func TestStopAndStart(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	var s emulator.Script
	s.Wave(0, [3]float64{})
	s.Hall(50000, 5)
	s.Command(100000, "stop")
	s.Hall(150000, 3)
	s.Command(200000, "start")
	s.End(300000)
	r := record(t, &s, emulator.Options{})
	var got []capture.Levels
	for _, e := range r.edges {
		got = append(got, e.Hall)
	}
	if !slices.Equal(got, []capture.Levels{0, 5, 3}) || !r.quiet(110000, 199000) {
		t.Errorf("edges %v", got)
	}
}

// TestSupply: the board measures its supply, and its volts follow from it. The
// internal reference is 1.1 V, a conversion at 1.1 V has 1100/supply*1023 counts
// in the emulator, and the rounding of one count is the tolerance.
func TestSupply(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	for _, supply := range []int{4500, 5000, 5250} {
		var s emulator.Script
		s.Wave(0, [3]float64{})
		s.Command(50000, "reference internal")
		s.Command(150000, "reference supply")
		s.End(300000)
		r := record(t, &s, emulator.Options{SupplyMV: supply})
		tolerance := float64(supply) / 225
		said := numbers(t, r.header["supply_mv"])[0]
		if math.Abs(said-float64(supply)) > tolerance {
			t.Errorf("a supply of %d mV is %g", supply, said)
		}
		// Two conversions of 1024 counts each, behind dividers by 11.
		want := said / 1000 / 2048 * 11
		if got := numbers(t, r.header["volts_per_count"])[0]; math.Abs(got-want) > 2e-6 {
			t.Errorf("%g V per count, want %g", got, want)
		}
		internal := "# volts_per_count: 0.005908" // 1.1/2048*11, rounded down
		if r.count(internal) != 1 {
			t.Errorf("no %q in %q", internal, r.lines)
		}
	}
}
