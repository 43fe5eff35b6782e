package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// examples returns the example commands of a command's help, as arguments; a
// backslash at a line's end joins the next.
func examples(t *testing.T, name string) [][]string {
	t.Helper()
	help := handspin("", name, "--help").stdout
	_, text, ok := strings.Cut(help, "Examples:\n")
	text, _, end := strings.Cut(text, "\n\n")
	if !ok || !end {
		t.Fatalf("no examples in %s", help)
	}
	var all [][]string
	for line := range strings.Lines(strings.ReplaceAll(text, "\\\n", "")) {
		var args []string
		for i, part := range strings.Split(strings.TrimSpace(line), `"`) { // odd parts are quoted
			if i%2 == 1 {
				args = append(args, part)
			} else {
				args = append(args, strings.Fields(part)...)
			}
		}
		all = append(all, args[1:])
	}
	return all
}

// TestExamplesOfHelp: what help shows works, and the second winding has a mistake.
func TestExamplesOfHelp(t *testing.T) {
	for name, wants := range map[string][]int{"winding": {done, failed, done}, "magnets": {done, done}} {
		all := examples(t, name)
		if len(all) != len(wants) {
			t.Fatalf("%s: %d examples", name, len(all))
		}
		for i, args := range all {
			if got := handspin("", args...); got.status != wants[i] || got.stdout == "" || got.stderr != "" {
				t.Errorf("%v: %+v", args, got)
			}
		}
	}
}

// narrow fails where a line is wider than 80 columns; the texts are ASCII.
func narrow(t *testing.T, text string) {
	t.Helper()
	for line := range strings.Lines(text) {
		if line = strings.TrimRight(line, "\n"); len(line) > 80 || line != strings.TrimRight(line, " ") {
			t.Errorf("%d columns: %q", len(line), line)
		}
	}
}

// TestWindingText: the numbers are those of the star of slots (see the tests of
// commutation/winding for their sources).
func TestWindingText(t *testing.T) {
	got := handspin("", "winding", "--slots", "12", "--poles", "10")
	narrow(t, got.stdout)
	for _, want := range []string{
		"12 slots and 10 poles can be wound in balance, with a winding factor of 0.9330.\n",
		"+A -A -B +B +C -C -A +A +B -B -C +C\n", "AabBCcaABbcC\n",
		"0.9330 = pitch 0.9659 x distribution 0.9659", "3rd 0.500, 5th 0.067, 7th 0.067",
		"60 times a turn", "150 electrical degrees", "2|3 at 45.0  10|11 at 285.0  6|7 at 165.0  240.0  spread evenly",
	} {
		if !strings.Contains(got.stdout, want) {
			t.Errorf("no %q in\n%s", want, got.stdout)
		}
	}
	for flags, want := range map[string]string{
		"--slots 18 --poles 14":              "no slot opening is right on time; these are 10 electrical degrees off, which\n    costs 1.5 % of the torque; 1.4 mechanical degrees up the tooth numbers", // cos 10 = 0.985, 10/7 = 1.4
		"--slots 9 --poles 8 --spacing 60":   "Sensors 60 electrical degrees apart cannot all sit in slot openings",
		"--slots 12 --poles 10 --spacing 60": "6|7 at 165.0  4|5 at 105.0  2|3 at 45.0  120.0  one board",
		"--slots 12 --poles 2":               "a coil of one tooth spans only 30 of the pole's 180 degrees",
		"--slots 9 --poles 8":                "yes: slots and poles have no common divisor",
		"--slots 999 --poles 998":            "999 slots and 998 poles",
		"--slots 12 --poles 14":              "follow one another as A,\nB, C.",
	} {
		got := handspin("", append([]string{"winding"}, strings.Fields(flags)...)...)
		narrow(t, got.stdout)
		if got.status != done || !strings.Contains(got.stdout, want) {
			t.Errorf("%s: no %q in\n%s%s", flags, want, got.stdout, got.stderr)
		}
	}
}

// checked runs winding with a layout.
func checked(slots, poles int, layout string, more ...string) result {
	return handspin("", append([]string{"winding", "--slots", fmt.Sprint(slots), "--poles", fmt.Sprint(poles), "--layout", layout}, more...)...)
}

// TestWindingCheck: a right layout exits with 0, a wrong one with 1 and its teeth.
func TestWindingCheck(t *testing.T) {
	for _, c := range []struct {
		slots, poles int
		layout       string
		status       int
		wants        []string
	}{
		{12, 10, "AabBCcaABbcC", done, []string{"The layout is right: balanced, with a winding factor of 0.9330.\n"}},
		// Seen with B and C exchanged: 12/14's list on ten poles.
		{12, 10, "AacCBbaACcbB", done, []string{"The layout is right", "A,\nC, B."}},
		// Tooth 3 the other way: phase B is 0.5176, 15 degrees early, by hand.
		{12, 10, "+A -A +B +B +C -C -A +A +B -B -C +C", failed, []string{
			"The layout is wrong: its phases are not balanced. One tooth differs", "  3      +B  -B\n", "B      52 %   105.0  120.0\n"}},
		// All in one sense: 2 cos 20 - 1 over 2 cos 20 + 1 is 31 %, by hand.
		{18, 16, "AAABBBCCCAAABBBCCC", failed, []string{"it is balanced, but gives only 31 % of the voltage", "6 teeth differ"}},
		// The list of 9/8 and its inverse cancel.
		{18, 16, "AaABbBCcCaAabBbcCc", failed, []string{"9 teeth differ", "A      0 %   -     0.0\n", "other right layout"}},
	} {
		got := checked(c.slots, c.poles, c.layout)
		narrow(t, got.stdout)
		if got.status != c.status || got.stderr != "" {
			t.Errorf("%s: %d %s", c.layout, got.status, got.stderr)
		}
		for _, want := range c.wants {
			if !strings.Contains(got.stdout, want) {
				t.Errorf("%s: no %q in\n%s", c.layout, want, got.stdout)
			}
		}
	}
}

func TestWindingForms(t *testing.T) {
	const layout = "+A -A +B +B +C -C -A +A +B -B -C +C"
	rows, err := csv.NewReader(strings.NewReader(checked(12, 10, layout, "--format", "csv").stdout)).ReadAll()
	if err != nil || len(rows) != 13 || strings.Join(rows[3], " ") != "3 B 1 300.000 B -1" { // tooth 3 is at 2 x 150 degrees
		t.Errorf("%v %v", err, rows)
	}
	var d struct {
		Schema  string
		Factor  float64 `json:"winding_factor"`
		Cogging int     `json:"cogging_per_turn"`
		Given   struct {
			Right bool
			Wrong []int `json:"wrong_teeth"`
		}
		Sensors struct {
			Openings []struct{ Openings []string } `json:"slot_openings"`
		}
	}
	text := checked(12, 10, layout, "--format", "json").stdout
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	if d.Schema != "handspin.winding/1" || math.Abs(d.Factor-.9330) > 5e-5 || d.Cogging != 60 || d.Given.Right ||
		fmt.Sprint(d.Given.Wrong) != "[3]" || fmt.Sprint(d.Sensors.Openings[0].Openings) != "[2|3 10|11 6|7]" {
		t.Errorf("%+v", d)
	}
	md := checked(12, 10, layout, "--format", "markdown").stdout
	if !strings.HasPrefix(md, "**The layout is wrong") || !strings.Contains(md, "| 3     | +B | -B        |\n") {
		t.Error(md)
	}
}

func TestWindingMisuse(t *testing.T) {
	help := "handspin: hint: handspin winding --help tells how to use it\n"
	const how = "handspin: hint: write one coil per tooth, as in \"+A -A -B +B\", or as one word with small letters for the other sense, as in \"AabB\"; 0 is a tooth without coil\n"
	for _, c := range []struct {
		args []string
		want result
	}{
		{[]string{"--poles", "8"}, result{misuse, "", "handspin: required flag(s) \"slots\" not set\n" + help}},
		{[]string{"--slots", "x", "--poles", "8"}, result{misuse, "", "handspin: invalid argument \"x\" for \"--slots\" flag: \"x\" is not a whole number from 1 to 1000000\n" + help}},
		{[]string{"--slots", "9", "--poles", "8", "--spacing", "90"}, result{misuse, "", "handspin: invalid argument \"90\" for \"--spacing\" flag: it is one of 120, 60\n" + help}},
		{[]string{"--slots", "9", "--poles", "8", "--layout", "+A -X"}, result{misuse, "", "handspin: layout:5: 'X' is none of the phases A, B, C\n" + how}},
		{[]string{"--slots", "9", "--poles", "8", "--layout", "+A -A"}, result{misuse, "", "handspin: layout: it has 2 coils for 9 teeth\n" + how}},
		{[]string{"--slots", "12", "--poles", "12"}, result{failed, "", "handspin: 12 slots and 12 poles: the teeth stand at 2 places of the electrical turn, 6 at each, and that is not a multiple of three, so no three equal phases 120 degrees apart can be made\n" +
			"handspin: hint: with 12 slots, 10 or 14 poles would do: count the magnets again\n"}},
		{[]string{"--slots", "-3", "--poles", "8"}, result{misuse, "", "handspin: invalid argument \"-3\" for \"--slots\" flag: \"-3\" is not a whole number from 1 to 1000000\n" + help}},
		{[]string{"--slots", "1002", "--poles", "8"}, result{failed, "", "handspin: 1002 slots and 8 poles: the number of slots must be from 3 to 999\nhandspin: hint: count the teeth of the stator\n"}},
	} {
		if got := handspin("", append([]string{"winding"}, c.args...)...); got != c.want {
			t.Errorf("%q: got %d\n%s%s", c.args, got.status, got.stdout, got.stderr)
		}
	}
}

// TestWindingNeverPanics: whatever is asked, there is an answer or an error.
func TestWindingNeverPanics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		slots, poles := rapid.IntRange(-3, 60).Draw(t, "slots"), rapid.IntRange(-3, 70).Draw(t, "poles")
		letters := rapid.SliceOfN(rapid.SampledFrom([]byte("AaBbCc0")), max(slots, 0), max(slots, 0)).Draw(t, "layout")
		format := rapid.SampledFrom([]string{"text", "markdown", "csv", "json"}).Draw(t, "format")
		spacing := rapid.SampledFrom([]string{"60", "120"}).Draw(t, "spacing")
		got := checked(slots, poles, string(letters), "--format", format, "--spacing", spacing)
		if got.status != done && got.status != failed && got.status != misuse || got.stdout+got.stderr == "" {
			t.Fatalf("%+v", got)
		}
		if strings.Contains(got.stdout, "NaN") || strings.Contains(got.stdout, "Inf") {
			t.Fatal(got.stdout)
		}
	})
}
