package main

import (
	"strings"
	"testing"
)

// TestRestPositions: the demo's motor, its rest positions worked out by hand from
// testdata/demo.truth.json (p1 to p3 lag by 0, 240, 120 degrees; h1 to h3 rise near
// 30, 270, 150), has the same clean wirings as its hand spin. Forward is p1 p3 p2
// there, so --spun backward.
func TestRestPositions(t *testing.T) {
	got := handspin("", "rank", "../../testdata/rest.csv", "--spun", "backward", "--format", "json")
	if got.status != done {
		t.Fatal(got.stderr)
	}
	rest := answerOf(t, got.stdout)
	spin := answerOf(t, handspin("", "demo", "--format", "json").stdout)
	if rest.Verdict != "ranked" || len(rest.cleanOf()) != 6 {
		t.Fatalf("%s %v", rest.Verdict, rest.cleanOf())
	}
	for wiring, behaviour := range spin.cleanOf() {
		if rest.cleanOf()[wiring] != behaviour {
			t.Errorf("%s is %q, in the spin %s", wiring, rest.cleanOf()[wiring], behaviour)
		}
	}
	if !strings.Contains(got.stdout, `"seconds": null`) || !strings.Contains(got.stdout, `"rest_positions": 6`) {
		t.Errorf("what is not known is given:\n%s", got.stdout)
	}
}

func TestRestPositionsSayTheirLimits(t *testing.T) {
	got := handspin("", "rank", "../../testdata/rest.csv")
	words := strings.Join(strings.Fields(got.stdout), " ")
	for _, want := range []string{"6 rest positions of the rotor", "cogging and friction", "steps when yellow, green and blue are high in turn"} {
		if !strings.Contains(words, want) {
			t.Errorf("no %q in\n%s", want, got.stdout)
		}
	}
	got = handspin("high,low,hall\np1,p2,101\np1,p3,1\n", "rank", "-")
	if got.status != failed || !strings.HasPrefix(got.stderr, `handspin: standard input:3:7: hall "1" is not three of 0, 1 and x`) {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}
