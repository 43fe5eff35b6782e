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

// TestCompareNeedsMotors: what keeps a recording from being compared is said.
func TestCompareNeedsMotors(t *testing.T) {
	first, _ := simulate(t, "--seed 3")
	second, _ := simulate(t, "--seed 3 --open-phase p2")
	got := handspin("", "compare", write(t, "a.csv", first), write(t, "b.csv", second))
	if got.status != done || !strings.Contains(got.stdout, "determine a whole motor") || !strings.Contains(got.stdout, "p2 carries no back-EMF") {
		t.Errorf("%d\n%s%s", got.status, got.stdout, got.stderr)
	}
}
