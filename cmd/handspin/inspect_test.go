package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// TestInspectOpens: the first sentence is the one that matters.
func TestInspectOpens(t *testing.T) {
	for flags, want := range map[string]string{
		"--seed 3":                                    "Sensors and back-EMF are sound",
		"--seed 3 --stuck-low h2":                     "Something is to be repaired: h2 stayed low",
		"--seed 3 --weak-phase p2=0.5":                "The motor will run; worth a look: p2 has only",
		"--seed 3 --turns 0.5":                        "The recording does not tell all: the rotor turned",
		"--seed 3 --spacing 120 --sensor-error h1=20": "The motor will run; worth a look: h1 sits",
	} {
		text, _ := simulate(t, flags)
		got := handspin(text, "inspect", "-", "--pole-pairs", "10", "--sensor-radius", "20")
		if got.status != done || !strings.HasPrefix(strings.Join(strings.Fields(got.stdout), " "), want) {
			t.Errorf("%s: %d\n%s%s", flags, got.status, got.stdout, got.stderr)
		}
		for line := range strings.Lines(got.stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", flags, n, line)
			}
		}
	}
}

// TestInspectClaimsNoMore: rest positions are no proof of a sound motor, and where a
// phase is reversed no lead reads what a phase makes, so that no constants follow.
func TestInspectClaimsNoMore(t *testing.T) {
	got := handspin("", "inspect", "../../testdata/rest.csv")
	if got.status != done || !strings.HasPrefix(got.stdout, "Rest positions do not show") || strings.Contains(got.stdout, "Phases") {
		t.Errorf("%d\n%s%s", got.status, got.stdout, got.stderr)
	}
	for flags, want := range map[string]bool{"--seed 3": true, "--seed 3 --reversed-phase p2": false} {
		text, _ := simulate(t, flags)
		for format, word := range map[string]string{"text": "\nConstants", "json": `"ke_line_peak`} {
			got := handspin(text, "inspect", "-", "--pole-pairs", "10", "--format", format)
			if got.status != done || strings.Contains(got.stdout, word) != want {
				t.Errorf("%s as %s: %d, constants are not %t\n%s", flags, format, got.status, want, got.stdout)
			}
		}
	}
}

// TestInspectJSON: the JSON of rank without the wirings, and with the motor's
// constants. With flux linkage L and p pole pairs the line's peak constant is
// sqrt(3) p L, and Kt times Kv by six-step drive is 60/(2 pi) (identities of the
// definitions).
func TestInspectJSON(t *testing.T) {
	got := handspin("", "inspect", "../../testdata/demo.csv.gz", "--pole-pairs", "23", "--format", "json")
	var d struct {
		Schema  string
		Wirings *[]any
		Motor   struct {
			Flux float64 `json:"flux_linkage_wb"`
		}
		Constants map[string]float64
	}
	if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
		t.Fatal(err)
	}
	if d.Schema != "handspin.inspect/1" || d.Wirings != nil {
		t.Errorf("schema %s, wirings %v", d.Schema, d.Wirings)
	}
	// The JSON has four significant digits.
	if k := d.Constants["ke_line_peak_v_s_per_rad"]; math.Abs(k/(math.Sqrt(3)*23*d.Motor.Flux)-1) > 1e-3 {
		t.Errorf("Ke %v from flux linkage %v", k, d.Motor.Flux)
	}
	if x := d.Constants["kt_six_step_nm_per_a"] * d.Constants["kv_six_step_rpm_per_v"]; math.Abs(x/(30/math.Pi)-1) > 1e-3 {
		t.Errorf("Kt Kv = %v, want %v", x, 30/math.Pi)
	}
}

// TestRankBeforePower: a list that holds does not hide that a phase is weak; a sound
// motor's answer asks for nothing.
func TestRankBeforePower(t *testing.T) {
	for flags, want := range map[string]bool{"--seed 3": false, "--seed 3 --weak-phase p2=0.5": true} {
		text, _ := simulate(t, flags)
		got := handspin(text, "rank", "-", "--leads", "p2=red")
		answer := strings.Join(strings.Fields(got.stdout), " ")
		if !strings.HasPrefix(answer, "Ranked") || strings.Contains(answer, "in reverse. To do: before you power it, see why p2 (red) has only") != want {
			t.Errorf("%s: %d\n%.400s%s", flags, got.status, got.stdout, got.stderr)
		}
	}
}
