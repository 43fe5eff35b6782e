package main

import (
	"strings"
	"testing"
)

// TestReversing: carrying out what the demo's answer says leads from its first
// wiring to one that it lists as clean in reverse.
func TestReversing(t *testing.T) {
	// Worked out by hand from the demo's first wiring, yellow blue green / white
	// brown grey: exchanging V and W, HU and HV.
	text := handspin("", "demo").stdout
	if !strings.Contains(text, "exchange V and W, and HU and HV") || !strings.Contains(text, "U yellow  V green   W blue    HU brown  HV white  HW grey") {
		t.Errorf("got\n%s", text)
	}
}

// TestTurningTheBoard: sensors that all switch 12 degrees late (42 for 30) cost
// 1 - cos 12 = 2 %, and are turned against the forward direction; early the other
// way; in place there is nothing to say.
func TestTurningTheBoard(t *testing.T) {
	for alignment, want := range map[string]string{
		"42": "too late. Turning their board",
		"18": "too early. Turning their board",
		"30": "",
	} {
		recording, _ := simulate(t, "--seed 5 --hysteresis 0 --alignment "+alignment)
		text := strings.Join(strings.Fields(handspin(recording, "rank", "-").stdout), " ")
		way := map[string]string{"42": "against the forward direction would bring the torque from 98 % to 100 % forward, and from 98 % to 100 % in reverse", "18": "in the forward direction would"}[alignment]
		if !strings.Contains(text, want) || !strings.Contains(text, way) || want == "" && strings.Contains(text, "Turning their board") {
			t.Errorf("at %s:\n%s", alignment, text)
		}
	}
}

// TestMiddleSensor: of three sensors 60 degrees apart placed in the order 2 1 3
// the middle one is h1, which goes to HV.
func TestMiddleSensor(t *testing.T) {
	recording, _ := simulate(t, "--seed 5 --spacing 60 --alignment 90 --sensor-order 213")
	got := handspin(recording, "rank", "-", "--controller", "typical-60")
	if !strings.Contains(strings.Join(strings.Fields(got.stdout), " "), "takes the middle sensor at one input only: h1 goes to HV.") {
		t.Errorf("got\n%s", got.stdout)
	}
}

// TestAllInverted: three inverted sensors are no fault; other wirings are the
// clean ones.
func TestAllInverted(t *testing.T) {
	plain, _ := simulate(t, "--seed 5 --alignment 30")
	inverted, _ := simulate(t, "--seed 5 --alignment 30 --inverted h1,h2,h3")
	a, b := answerOf(t, handspin(plain, "rank", "-", "--format", "json").stdout), answerOf(t, handspin(inverted, "rank", "-", "--format", "json").stdout)
	if a.Verdict != "ranked" || b.Verdict != "ranked" || len(b.cleanOf()) != 6 {
		t.Fatalf("%s, inverted %s with %d clean", a.Verdict, b.Verdict, len(b.cleanOf()))
	}
	for wiring := range a.cleanOf() {
		if a.cleanOf()[wiring] == b.cleanOf()[wiring] {
			t.Errorf("%s is %s with either", wiring, b.cleanOf()[wiring])
		}
	}
}
