package main

import (
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"handspin/capture/synth"
)

// simulate runs the command and returns the recording's text and the truth.
func simulate(t *testing.T, flags string) (string, synth.Truth) {
	t.Helper()
	path := t.TempDir() + "/truth.json"
	got := handspin("", append(strings.Fields("simulate --truth "+path), strings.Fields(flags)...)...)
	if got.status != done || got.stderr != "" {
		t.Fatalf("%s: %d %s", flags, got.status, got.stderr)
	}
	var truth synth.Truth
	if err := json.Unmarshal([]byte(readFile(t, path)), &truth); err != nil {
		t.Fatal(err)
	}
	return got.stdout, truth
}

// TestSimulateSaysTheTruth: each flag has the effect that it names. The wanted
// values are those in the flags.
func TestSimulateSaysTheTruth(t *testing.T) {
	for flags, right := range map[string]func(text string, truth synth.Truth) bool{
		"--pole-pairs 11":                      func(_ string, u synth.Truth) bool { return u.PolePairs == 11 },
		"--flux 0.5 --weak-phase p1=1,p2=1":    func(_ string, u synth.Truth) bool { return u.FluxVS > 0.4 && u.FluxVS < 0.6 },
		"--open-phase p1,p3":                   func(_ string, u synth.Truth) bool { return u.Phases[0].Open && !u.Phases[1].Open && u.Phases[2].Open },
		"--weak-phase p1=1,p2=0.5,p3=1":        func(_ string, u synth.Truth) bool { return near(u.Phases[1].Amplitude, 0.5) },
		"--harmonics 5=0.25 --weak-phase p1=1": func(_ string, u synth.Truth) bool { return len(u.Phases[0].Wave) == 2 && u.Phases[0].Wave[1].N == 5 },
		"--stuck-low h2":                       func(_ string, u synth.Truth) bool { return u.Sensors[1].Stuck && !u.Sensors[1].High },
		"--stuck-high h3":                      func(_ string, u synth.Truth) bool { return u.Sensors[2].Stuck && u.Sensors[2].High },
		"--hysteresis 2.5":                     func(_ string, u synth.Truth) bool { return u.Sensors[0].HysteresisDeg == 2.5 },
		"--drill 50":                           func(_ string, u synth.Truth) bool { return u.TurnsForward > 295 && u.TurnsForward < 305 && !u.Mirrored },
		"--drill -50 --seconds 2":              func(_ string, u synth.Truth) bool { return u.TurnsForward > 95 && u.TurnsForward < 105 && u.Mirrored },
		"--back-and-forth 6x20":                func(_ string, u synth.Truth) bool { return u.TurnsBackward > 5 },
		"--turns 2.5":                          func(_ string, u synth.Truth) bool { return u.TurnsForward > 1.5 && u.TurnsForward < 3.5 },
		"--spacing 60 --alignment 30":          func(_ string, u synth.Truth) bool { return apart(u, 0, 1, 60) },
		"--sensor-order 132":                   func(_ string, u synth.Truth) bool { return apart(u, 0, 2, 120) },
		"--sensor-error h2=7":                  func(_ string, u synth.Truth) bool { return apart(u, 0, 1, 127) },
		"--kind half-waves":                    func(text string, _ synth.Truth) bool { return strings.Contains(text, ",0,") },
		"--reference differences":              func(text string, _ synth.Truth) bool { return strings.Contains(text, "t_us,hall,p12,p23,p31\n") },
		"--edge-rows no":                       func(text string, _ synth.Truth) bool { return !strings.Contains(text, ",,,") },
		"--leads p1=red,h2=grey":               func(text string, _ synth.Truth) bool { return strings.Contains(text, "# leads: p1=red,h2=grey\n") },
		"--skew 0,10,20":                       func(text string, _ synth.Truth) bool { return strings.Contains(text, "# skew_us: 0,10,20\n") },
		"--hall-lag 7.5":                       func(text string, _ synth.Truth) bool { return strings.Contains(text, "# hall_lag_us: 7.5\n") },
		"--volts-per-count 0.25":               func(text string, _ synth.Truth) bool { return strings.Contains(text, "# volts_per_count: 0.25\n") },
		"--rate 500 --edge-rows no":            func(text string, _ synth.Truth) bool { return strings.Contains(text, "\n2000,") },
		"--noise 0 --offset 1,2,3 --flux 0":    func(text string, _ synth.Truth) bool { return strings.Contains(text, ",1,2,3\n") },
		"--clip 400,600 --flux 9": func(text string, _ synth.Truth) bool {
			return strings.Contains(text, ",400") && strings.Contains(text, ",600")
		},
		"--missing 1,2": func(text string, _ synth.Truth) bool { return !rowIn15.MatchString(text) },
	} {
		if text, truth := simulate(t, flags); !right(text, truth) {
			t.Errorf("%s: %.400s\n%+v", flags, text, truth)
		}
	}
}

// rowIn15 is a row at 1.50 to 1.59 s.
var rowIn15 = regexp.MustCompile(`\n15\d{5},`)

func near(got, want float64) bool { return got > want-1e-9 && got < want+1e-9 } // rounding errors

// apart reports whether sensor b rises deg after sensor a in the machine's sense.
func apart(u synth.Truth, a, b int, deg float64) bool {
	d := u.Sensors[b].RiseDeg - u.Sensors[a].RiseDeg
	if u.Mirrored { // then what rises in one sense falls in the other
		d = u.Sensors[a].FallDeg - u.Sensors[b].FallDeg
	}
	for d < 0 {
		d += 360
	}
	return near(d, deg)
}

// TestSimulateIsReproducible: the seed and the flags are all that counts.
func TestSimulateIsReproducible(t *testing.T) {
	one, _ := simulate(t, "--seed 7")
	two, _ := simulate(t, "--seed 7")
	other, _ := simulate(t, "--seed 8")
	if one != two || one == other {
		t.Error("the recording does not depend on the seed alone")
	}
}

// TestSimulatedFilesCanBeRanked: plain and packed files hold the same.
func TestSimulatedFilesCanBeRanked(t *testing.T) {
	dir := t.TempDir()
	var answers []string
	for _, name := range []string{"/a.csv", "/a.csv.gz"} {
		if got := handspin("", "simulate", "--seed", "2", "-o", dir+name); got.status != done || got.stdout != "" {
			t.Fatalf("%+v", got)
		}
		got := handspin("", "rank", dir+name, "--format", "csv")
		answers = append(answers, got.stdout)
	}
	if answers[0] != answers[1] || !strings.Contains(answers[0], "clean-forward") {
		t.Errorf("%s\n%s", answers[0], answers[1])
	}
	plain, err := os.Stat(dir + "/a.csv")
	if err != nil {
		t.Fatal(err)
	}
	packed, err := os.Stat(dir + "/a.csv.gz")
	if err != nil {
		t.Fatal(err)
	}
	if packed.Size() >= plain.Size() {
		t.Errorf("packed %d bytes, plain %d", packed.Size(), plain.Size())
	}
}
