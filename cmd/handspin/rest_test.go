package main

import (
	"encoding/json"
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

// TestRestPositionsAreNeverSurer: at most 99 %, with the reason, in the list and
// for each wiring; and a table of the motor from them says so.
func TestRestPositionsAreNeverSurer(t *testing.T) {
	var a struct {
		Confidence float64
		Wirings    []struct{ Confidence float64 }
	}
	if err := json.Unmarshal([]byte(handspin("", "rank", "../../testdata/rest.csv", "--format", "json").stdout), &a); err != nil {
		t.Fatal(err)
	}
	if a.Confidence > 0.99 || len(a.Wirings) == 0 {
		t.Errorf("%g, %d wirings", a.Confidence, len(a.Wirings))
	}
	for _, w := range a.Wirings {
		if w.Confidence > 0.99 {
			t.Errorf("%+v", w)
		}
	}
	text := strings.Join(strings.Fields(handspin("", "rank", "../../testdata/rest.csv").stdout), " ")
	if !strings.Contains(text, "nothing here is called more than 99 % sure") {
		t.Errorf("no reason in\n%s", text)
	}
	for format, want := range map[string]string{
		"text": "by its rest positions", "markdown": "by its rest positions", "csv": "# by rest positions",
		"c": "by rest positions", "json": `"from_rest_positions": true`,
	} {
		got := handspin("", "table", "../../testdata/rest.csv", "--format", format)
		if got.status != done || !strings.Contains(got.stdout, want) || strings.Contains(got.stdout, "as measured") || strings.Contains(got.stdout, "was turned") {
			t.Errorf("%s: %s%s", format, got.stdout, got.stderr)
		}
	}
}

// TestNoListFromNothing: levels that never change, or were never seen, invent no
// wiring, not even with --all.
func TestNoListFromNothing(t *testing.T) {
	pairs := []string{"p1,p2", "p1,p3", "p2,p3", "p2,p1", "p3,p1", "p3,p2"}
	for levels, want := range map[string]string{"000": "h1 stayed low", "111": "h1 stayed high", "xxx": "no level of h1 was written down"} {
		text := "high,low,hall\n"
		for _, pair := range pairs {
			text += pair + "," + levels + "\n"
		}
		got := handspin(text, "rank", "-", "--all")
		if got.status != done || !strings.Contains(got.stdout, want) || strings.Contains(got.stdout, "Connect") || strings.Contains(got.stdout, "clean-forward") {
			t.Errorf("%s: %d\n%s", levels, got.status, got.stdout)
		}
		if list := handspin(text, "rank", "-", "--all", "--format", "csv").stdout; strings.Count(list, "\n") != 1 {
			t.Errorf("%s:\n%s", levels, list)
		}
	}
}
