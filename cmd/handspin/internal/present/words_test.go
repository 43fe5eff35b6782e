package present

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/olekukonko/tablewriter/pkg/twwidth"

	"handspin/commutation"
)

// TestClean: Unicode's general categories Cc and Cf do not print (UAX 44); the
// wanted texts are Go's escapes for those characters.
func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"yellow":        "yellow",
		"grün, 黄":       "grün, 黄",
		"a\x1b[31mb":    `a\x1b[31mb`,
		"a\nb\tc\r":     `a\nb\tc\r`,
		"\x7f\u0085":    `\x7f\u0085`,
		"\u202eabc":     `\u202eabc`,
		"\u2066\u200b":  `\u2066\u200b`,
		"bad \xff\xfe.": `bad \xff\xfe.`,
		"real \ufffd.":  `real �.`,
		"\U000e0001":    `\U000e0001`,
	} {
		if got := Clean(in); got != want {
			t.Errorf("%q gives %q, want %q", in, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	text := strings.Repeat("word ", 100) + strings.Repeat("x", 100) + " " + strings.Repeat("黄色 ", 40)
	got := wrap("  - ", "    ", text)
	if strings.Join(strings.Fields(got)[1:], " ") != strings.Join(strings.Fields(text), " ") {
		t.Errorf("words were lost:\n%s", got)
	}
	for line := range strings.Lines(got) {
		line = strings.TrimSuffix(line, "\n")
		if n := twwidth.Width(line); n > columns && !strings.Contains(line, "xxx") {
			t.Errorf("%d columns: %s", n, line)
		}
	}
	// The percent sign would be in column 80: the number goes with it.
	if got, want := wrap("", "", strings.Repeat("x", 76)+" 33 %"), strings.Repeat("x", 76)+"\n33 %\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestNumbers(t *testing.T) {
	nan := math.NaN()
	for want, got := range map[string]string{
		"30.1 ±0.2":  value(30.123, 0.18, 1),
		"30.1 ±0.1":  value(30.123, 0.004, 1), // the deviation shows as the last digit
		"101 ±13":    value(101.3, 12.8, 1),
		"0.0":        value(-0.01, nan, 1),
		"?":          value(nan, 1, 1),
		"99.99 %":    percentSure(1),
		"95.12 %":    percentSure(0.951299), // down, never up
		"60 %":       percentSure(0.6),
		"45 to 55 %": percentRange(0.449, 0.551),
		"50 %":       percentRange(0.499, 0.501),
		"+1.5":       signed(1.49),
		"-2.0":       signed(-2),
	} {
		if got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
	if got := signed(-0.01); got != "0.0" {
		t.Error(got)
	}
	if got := sure(0.99999); got != 0.9999 {
		t.Errorf("certain by %g", got)
	}
	if got := harmonics(map[int]float64{11: 0.01, 3: 0.1, 5: 0.052}); got != "3rd 10.0 %, 5th 5.2 %, 11th 1.0 %" {
		t.Error(got)
	}
}

// tables120 returns the twelve drive tables that there are for sensors 120
// degrees apart, made from the typical one by exchanging terminals and sense, and
// the published ones.
func tables120(t *testing.T) []commutation.DriveTable {
	t.Helper()
	var all []commutation.DriveTable
	for _, w := range commutation.Wirings() {
		if w.Hall != [3]int{0, 1, 2} {
			continue
		}
		var text strings.Builder
		text.WriteString("state,high,low\n")
		for s := range commutation.State(8) {
			if d, ok := commutation.Typical().At(s); ok {
				fmt.Fprintf(&text, "%v,%v,%v\n", s, commutation.Terminal(w.Phase[d.High]), commutation.Terminal(w.Phase[d.Low]))
			}
		}
		table, err := commutation.ParseTable("made", []byte(text.String()))
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, table, table.Reverse())
	}
	files, err := filepath.Glob("../../../../testdata/tables/*.csv")
	if err != nil || len(files) == 0 {
		t.Fatal("no published tables", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		table, err := commutation.ParseTable(file, text)
		if err != nil {
			t.Fatal(err)
		}
		if table.SpacingDeg() == 120 {
			all = append(all, table)
		}
	}
	return all
}

// TestTryPhasesIsTrue: whichever table for 120 degrees a controller has, one of
// the six phase orders, and one only, is clean with the Hall leads in any order.
func TestTryPhasesIsTrue(t *testing.T) {
	tables := tables120(t)
	if len(tables) < 24 {
		t.Fatalf("only %d tables", len(tables))
	}
	for _, table := range tables {
		clean := map[[3]int]int{}
		for _, j := range commutation.Rank(ideal(), nil, table).Clean() {
			clean[j.Wiring.Hall]++
		}
		for hall, n := range clean {
			if n != 1 {
				t.Errorf("%s: %d clean phase orders with Hall order %v", table.Name, n, hall)
			}
		}
		if len(clean) != 6 {
			t.Errorf("%s: %d Hall orders have a clean phase order", table.Name, len(clean))
		}
	}
}
