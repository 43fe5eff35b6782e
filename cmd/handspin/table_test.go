package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestOwnTableAsController: with its own table the motor runs clean as it is
// connected, forward, and with --reverse in reverse.
func TestOwnTableAsController(t *testing.T) {
	for flag, want := range map[string]string{"--reverse=false": "clean-forward", "--reverse": "clean-reverse"} {
		got := handspin("", "table", demoFile, "--format", "csv", flag)
		file := write(t, "own.csv", got.stdout)
		list := answerOf(t, handspin("", "rank", demoFile, "--format", "json", "--controller", file).stdout).cleanOf()
		if list["U=p1 V=p2 W=p3 HU=h1 HV=h2 HW=h3"] != want {
			t.Errorf("%s: %v with\n%s", flag, list, got.stdout)
		}
	}
}

func TestOwnTableForms(t *testing.T) {
	for format, want := range map[string][]string{
		"text":     {"Never seen: 000, 111.", "white", "yellow+ "},
		"markdown": {"| state |", "| 000   | never seen", "Never seen: 000, 111."},
		"json":     {`"handspin.table/1"`, `"000",`, `"spacing_deg": 120`},
	} {
		got := handspin("", "table", demoFile, "--format", format)
		for _, part := range want {
			if !strings.Contains(got.stdout, part) {
				t.Errorf("%s: no %q in\n%s", format, part, got.stdout)
			}
		}
		for line := range strings.Lines(got.stdout) {
			if format == "text" && len(line) > 81 {
				t.Errorf("too wide: %s", line)
			}
		}
	}
}

// entry is a row of the C arrays.
var entry = regexp.MustCompile(`\{ ?(-?\d), +(-?\d), +(-?\d)\}`)

// TestOwnTableInC reads the arrays back and compares with the CSV: the entries
// in the order of the states, the second array the negative of the first.
func TestOwnTableInC(t *testing.T) {
	rows := entry.FindAllStringSubmatch(handspin("", "table", demoFile, "--format", "c").stdout, -1)
	if len(rows) != 16 {
		t.Fatalf("%d rows", len(rows))
	}
	var got strings.Builder
	for s, row := range rows[:8] {
		high, low := slices.Index(row[1:], "1"), slices.Index(row[1:], "-1")
		back := rows[8+s][1:]
		if slices.Index(back, "-1") != high || slices.Index(back, "1") != low {
			t.Errorf("state %03b: %v and in reverse %v", s, row[0], back)
		}
		if high >= 0 && low >= 0 {
			fmt.Fprintf(&got, "%03b,%c,%c\n", s, "UVW"[high], "UVW"[low])
		}
	}
	if _, want, _ := strings.Cut(handspin("", "table", demoFile, "--format", "csv").stdout, "state,high,low\n"); got.String() != want || want == "" {
		t.Errorf("the array holds\n%s, the CSV\n%s", got.String(), want)
	}
}

func TestOwnTableRefuses(t *testing.T) {
	text, _ := simulate(t, "--reversed-phase p2")
	if got := handspin(text, "table", "-"); got.status != failed || got.stdout != "" || !strings.Contains(got.stderr, "not ready for a drive table") {
		t.Errorf("%d %s%s", got.status, got.stdout, got.stderr)
	}
}

// connected simulates an ordinary motor with phases and sensors in the given
// orders at the plug.
func connected(t *testing.T, phases, sensors, more string) string {
	text, _ := simulate(t, fmt.Sprintf("--seed 5 --phase-order %s --sensor-order %s --alignment 30 %s", phases, sensors, more))
	return text
}

// TestLongNamesFit: names of thirty letters widen no table beyond the terminal.
func TestLongNamesFit(t *testing.T) {
	var leads []string
	for i, key := range []string{"p1", "p2", "p3", "h1", "h2", "h3"} {
		leads = append(leads, fmt.Sprintf("%s=%s%d", key, strings.Repeat("long", 7), i))
	}
	for _, command := range []string{"rank --all", "table", "confirm", "next"} {
		args := append(strings.Fields(command), demoFile, "--leads", strings.Join(leads, ","))
		for line := range strings.Lines(handspin("", args...).stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 && !strings.Contains(line, leads[0]) {
				t.Errorf("%s: %d columns: %s", command, n, line)
			}
		}
	}
}

// TestHelpFits: so does the help of every command.
func TestHelpFits(t *testing.T) {
	for _, command := range []string{"", "rank", "inspect", "compare", "next", "table", "confirm", "winding", "magnets", "simulate"} {
		for line := range strings.Lines(handspin("", append(strings.Fields(command), "--help")...).stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", command, n, line)
			}
		}
	}
}
