package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// TestCompare: the second motor has 0.62 times the flux and was spun the other
// way round; only the rotor differs.
func TestCompare(t *testing.T) {
	first, _ := simulate(t, "--seed 3 --flux 0.1 --reference neutral --pushes 4x12")
	second, _ := simulate(t, "--seed 3 --flux 0.062 --reference neutral --pushes 4x-13")
	files := []string{write(t, "a.csv", first), write(t, "b.csv", second)}
	got := handspin("", append([]string{"compare", "--format", "json"}, files...)...)
	var d struct {
		Schema, Verdict string
		Ratio           float64 `json:"flux_ratio"`
	}
	if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
		t.Fatal(err, got.stderr)
	}
	// The columns' gains are the same in both: 2 % is for the magnets.
	if d.Schema != "handspin.compare/1" || d.Verdict != "rotor" || math.Abs(d.Ratio/0.62-1) > 0.02 {
		t.Errorf("%+v\n%s", d, got.stdout)
	}
	text := handspin("", append([]string{"compare"}, files...)...).stdout
	if !strings.HasPrefix(text, "Winding and sensors are as they were; the rotor gives 38 % less flux") {
		t.Errorf("the text begins with\n%s", text)
	}
	for line := range strings.Lines(text) {
		if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

// TestComparePattern: a magnet that came off weakens the flux and leaves its pattern: by
// the winding factors of its orders 7.0 and 6.7 % for 7 and 3 of 12/10 with one missing
// of ten, of a fundamental that fell to 0.9, and 2 and 1 % for 9 and 1; the line voltages
// leave out 3 and 9. A rotor against itself is no change.
func TestComparePattern(t *testing.T) {
	motor := "--seed 3 --pole-pairs 5 --slots 12 --reference neutral --pole-strength 0.005 --pushes 4x12"
	first, _ := simulate(t, motor)
	second, _ := simulate(t, motor+" --magnet 4=0")
	files := []string{write(t, "a.csv", first), write(t, "b.csv", second)}
	var d struct {
		Verdict string
		Uneven  [2]float64 `json:"magnets_uneven"`
	}
	compare := func(a, b string) {
		t.Helper()
		got := handspin("", "compare", "--format", "json", a, b)
		if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
			t.Fatal(err, got.stderr)
		}
	}
	compare(files[0], files[1])
	want := math.Hypot(0.070, 0.010) / 0.9
	// The third digit of the figures, and half a per cent that even magnets add.
	if d.Verdict != "rotor" || math.Abs(d.Uneven[1]-want) > 0.005 || d.Uneven[0] > 0.005 {
		t.Errorf("%+v, want %.4f", d, want)
	}
	compare(files[0], files[0])
	if d.Verdict != "nothing" {
		t.Errorf("against itself: %+v", d)
	}
}

// TestCompareStopped: a sensor that died is a change whichever recording shows it, and
// whichever way the rotor was spun; the two others stay where they were.
func TestCompareStopped(t *testing.T) {
	sound, _ := simulate(t, "--seed 3 --pushes 4x12")
	dead, _ := simulate(t, "--seed 3 --pushes 4x-13 --stuck-low h2")
	sooner, later := write(t, "sound.csv", sound), write(t, "dead.csv", dead)
	for _, c := range []struct{ first, second, want string }{
		{sooner, later, "Rotor and winding are as they were; h2 no longer switches."},
		{later, sooner, "Rotor and winding are as they were; h2 switches again."},
		{later, later, "Nothing changed"},
	} {
		if got := handspin("", "compare", c.first, c.second); !strings.HasPrefix(got.stdout, c.want) || got.status != done {
			t.Errorf("%s, want %s", got.stdout, c.want)
		}
	}
}

// TestCompareNeedsMotors: what keeps a recording from being compared is said.
func TestCompareNeedsMotors(t *testing.T) {
	first, _ := simulate(t, "--seed 3")
	second, _ := simulate(t, "--seed 3 --open-phase p2")
	got := handspin("", "compare", write(t, "a.csv", first), write(t, "b.csv", second))
	if got.status != done || !strings.Contains(got.stdout, "determine a whole motor") || !strings.Contains(got.stdout, "p2 carries no back-EMF") {
		t.Errorf("%d\n%s%s", got.status, got.stdout, got.stderr)
	}
}
