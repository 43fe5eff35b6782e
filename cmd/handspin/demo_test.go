package main

import (
	"encoding/json"
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
)

// ranked is what the tests read of the JSON answer.
type ranked struct {
	Schema, Verdict string
	Motor           struct {
		Sensors []struct {
			Rise float64 `json:"rise_deg"`
			Fall float64 `json:"fall_deg"`
		}
		Phases []struct {
			Angle float64 `json:"angle_deg"`
		}
	}
	Wirings []struct {
		U, V, W, HU, HV, HW string
		Behaviour           string
	}
}

// cleanOf returns the clean wirings of an answer, with what they do.
func (r ranked) cleanOf() map[string]string {
	out := map[string]string{}
	for _, w := range r.Wirings {
		if commutation.Behaviour(w.Behaviour).Clean() {
			out["U="+w.U+" V="+w.V+" W="+w.W+" HU="+w.HU+" HV="+w.HV+" HW="+w.HW] = w.Behaviour
		}
	}
	return out
}

func answerOf(t *testing.T, text string) (r ranked) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// motorOf returns a true motor as far as judging wirings goes.
func motorOf(truth synth.Truth) (m commutation.Motor) {
	for i, p := range truth.Phases {
		for _, w := range p.Wave {
			m.EMF[i] = append(m.EMF[i], commutation.Harmonic{N: w.N, Sin: w.Sin, Cos: w.Cos})
		}
		s := truth.Sensors[i]
		m.Sensors[i] = commutation.Sensor{RiseDeg: s.RiseDeg, FallDeg: s.FallDeg}
	}
	return m
}

// TestDemo compares the demo's answer with the truth about its motor.
func TestDemo(t *testing.T) {
	var truth synth.Truth
	if err := json.Unmarshal([]byte(readFile(t, "../../testdata/demo.truth.json")), &truth); err != nil {
		t.Fatal(err)
	}
	truth = truth.From(truth.Seen[0].AngleDeg)
	r := answerOf(t, handspin("", "demo", "--format", "json").stdout)
	if r.Schema != "handspin.rank/1" || r.Verdict != "ranked" {
		t.Fatalf("%s %s", r.Schema, r.Verdict)
	}
	const tolerance = 0.5 // degrees; what the program promises on ordinary recordings
	near := func(what string, got, want float64) {
		if !(math.Abs(commutation.Signed(got-want)) <= tolerance) {
			t.Errorf("%s at %.2f degrees, in truth %.2f", what, got, want)
		}
	}
	for i, s := range truth.Sensors {
		// Turned forward only, an edge is seen late by the hysteresis.
		near("rise", r.Motor.Sensors[i].Rise, s.RiseDeg+s.HysteresisDeg)
		near("fall", r.Motor.Sensors[i].Fall, s.FallDeg+s.HysteresisDeg)
		near("phase", r.Motor.Phases[i].Angle, truth.Seen[i].AngleDeg)
	}
	clean := r.cleanOf()
	want := commutation.Rank(motorOf(truth), nil, commutation.Typical()).Clean()
	if len(want) != 6 || len(clean) != len(want) {
		t.Fatalf("%d clean wirings, in truth %d", len(clean), len(want))
	}
	for _, j := range want {
		if clean[j.Wiring.String()] != string(j.Behaviour) {
			t.Errorf("%v is %q, in truth %s", j.Wiring, clean[j.Wiring.String()], j.Behaviour)
		}
	}
}
