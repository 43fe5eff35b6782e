package main

import (
	"encoding/json"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation/spin"
	"handspin/commutation/winding"
)

// TestInspectOpensWithTheMagnet: the first sentence names the magnet, or what the
// sensors see where the winding shows none; every line fits a terminal.
func TestInspectOpensWithTheMagnet(t *testing.T) {
	motor := "--seed 4 --noise 1.5 --pole-strength 0.005 --pole-shift 0.3 --pushes 4x12 --reference neutral "
	for flags, c := range map[string]struct{ inspect, want string }{
		"--pole-pairs 4 --slots 9":                 {"--slots 9 --star-point", "Sensors, winding and magnets are sound"},
		"--pole-pairs 4 --slots 9 --magnet 3=0.8":  {"--slots 9 --star-point", "is weak: it has"},
		"--pole-pairs 4 --slots 9 --magnet 3=-1":   {"--slots 9 --star-point", "is the wrong way up"},
		"--pole-pairs 4 --slots 12 --magnet 3=-1":  {"--slots 12", "the sensors change 2 times less in a turn than 8 magnets would"},
		"--pole-pairs 6 --slots 9 --magnet 3=0.6":  {"--slots 9 --poles 12 --star-point", "magnet 3 or 7 or 11 is weak"},
		"--pole-pairs 8 --slots 12 --magnet 3=-1":  {"--slots 12 --poles 16", "magnet 3 or 7 or 11 or 15 is the wrong way up"},
		"--pole-pairs 5 --slots 12 --magnet 3=0.4": {"", "the magnets are uneven: half wave"},
		"--pole-pairs 7 --slots 12":                {"--pole-pairs 5", "what repeats with every turn of the shaft says 7 pole pairs or a multiple of that, not 5"},
	} {
		text, _ := simulate(t, motor+flags)
		got := handspin(text, append([]string{"inspect", "-"}, strings.Fields(c.inspect)...)...)
		first, _, _ := strings.Cut(got.stdout, "\n\n")
		if got.status != done || !strings.Contains(strings.Join(strings.Fields(got.stdout), " "), c.want) || !strings.Contains(strings.Join(strings.Fields(first), " "), c.want) {
			t.Errorf("%s: %d\n%s%s", flags, got.status, got.stdout, got.stderr)
		}
		for line := range strings.Lines(got.stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", flags, n, line)
			}
		}
	}
}

// TestDoubtfulPoles: of 14 magnets one is weak, and 12/14 shows the sum of opposite ones, so
// that 7 pole pairs or a multiple of that repeat. With 16 poles given, which is none, the
// magnets are neither sound nor accused one by one. Two poles are judged without a pattern.
func TestDoubtfulPoles(t *testing.T) {
	motor := "--seed 4 --noise 1.5 --pole-strength 0.005 --pole-shift 0.3 --pushes 2x12 --reference neutral "
	for flags, c := range map[string]struct{ poles, want string }{
		"--pole-pairs 7 --slots 12 --magnet 3=0.7": {"16", "Magnets are not told one by one: what poles differ by seems to repeat every 7 pole pairs or a multiple of that, not every 8;"},
		"--pole-pairs 1 --slots 3":                 {"2", "In this winding each phase sees all magnets at once"},
	} {
		text, _ := simulate(t, motor+flags)
		slots := flags[strings.LastIndex(flags, "--slots"):]
		got := handspin(text, append([]string{"inspect", "-", "--star-point", "--poles", c.poles}, strings.Fields(slots)[:2]...)...)
		words := strings.Join(strings.Fields(got.stdout), " ")
		if got.status != done || !strings.Contains(words, c.want) || strings.Contains(words, "magnets are sound") {
			t.Errorf("%s: %d %s%s", flags, got.status, got.stdout, got.stderr)
		}
	}
}

// TestPolesThatAreNotCertain: a number that may be a part of the real one makes no constants
// and no degrees of the shaft, which would be off by a factor; given, it does.
func TestPolesThatAreNotCertain(t *testing.T) {
	text, _ := simulate(t, "--seed 4 --noise 1.5 --pole-strength 0.005 --pole-shift 0.3 --pushes 2x12 --reference neutral --pole-pairs 7 --slots 12 --magnet 3=0.7")
	for flags, certain := range map[string]bool{"inspect -": false, "inspect - --pole-pairs 7": true} {
		got := handspin(text, strings.Fields(flags)...)
		for _, words := range []string{"of the shaft).", "shaft, deg", "Kv, by six-step drive"} {
			if got.status != done || strings.Contains(got.stdout, words) != certain {
				t.Errorf("%s: %q: %s%s", flags, words, got.stdout, got.stderr)
			}
		}
		if strings.Contains(strings.Join(strings.Fields(got.stdout), " "), "the number of magnets is not certain: count them and give --pole-pairs") == certain {
			t.Errorf("%s: %s", flags, got.stdout)
		}
	}
}

// TestInspectASwing: a sound motor that is swung over 0.7 to 0.95 turns of its shaft and
// back, up to 1.9 turns in all, keeps its coils and magnets, and magnets are not judged.
func TestInspectASwing(t *testing.T) {
	t.Parallel()
	each(motors(12), func(seed uint64) {
		m := drawMotor(seed)
		m.config.Spin = synth.Swing((0.7 + 0.25*m.rng.Float64()) * float64(m.layout.PolePairs()))
		m.start()
		n, _, err := m.inspect()
		if err != nil || n.Winding == nil {
			t.Errorf("%v: not judged: %v", m, err)
			return
		}
		if n.Winding.Found.Faulty() || len(rotorCodes(n)) > 0 || n.Verdict == "repair-first" || n.Rotor.Untested != spin.ErrFewTurns.Error() {
			t.Errorf("%v: %v %v %+v", m, n.Winding.Found.Groups[0], n.Spin.Findings, n.Rotor)
		}
	})
}

// TestBothFaults: with a coil missing, reversed or exchanged and a magnet missing or weak,
// the page blames no magnet but that one, and where it names one, that is it.
func TestBothFaults(t *testing.T) {
	t.Parallel()
	var astray atomic.Int64
	all := motors(12)
	each(all, func(seed uint64) {
		m := drawMotor(seed)
		m.config.Motor.PoleStrength = min(m.config.Motor.PoleStrength, 0.01)
		kind := []winding.Kind{winding.CoilReversed, winding.CoilMissing, winding.CoilsSwapped}[seed%3]
		faults := slices.DeleteFunc(m.layout.Faults(), func(f winding.Fault) bool { return f.Kind != kind })
		fault := faults[m.rng.IntN(len(faults))]
		m.wind(m.layout.With(fault))
		at := m.rng.IntN(m.layout.Poles())
		m.config.Motor.Machine.Magnets[at].Strength = []float64{0, 0.6}[m.rng.IntN(2)]
		n, truth, err := m.inspect()
		if n.Rotor == nil || err != nil && n.Rotor.Shaft != nil {
			t.Errorf("%v: not judged: %v", m, err)
			return
		}
		if n.Rotor.Untested == spin.ErrAstray.Error() || n.Rotor.Untested == spin.ErrNoAngle.Error() {
			astray.Add(1) // with both faults as large as they get
			return
		}
		if n.Rotor.Pattern == nil || len(n.Rotor.Pattern.Causes) == 0 {
			if n.Rotor.Untold == "" && !n.Rotor.Blind {
				t.Errorf("%v, %v: nothing is said of magnet %d", m, fault, m.number(truth, at))
			}
			return
		}
		causes := n.Rotor.Pattern.Causes
		if len(causes) != 1 || !slices.Contains(causes[0].Magnets, m.number(truth, at)) {
			t.Errorf("%v, %v, magnet %d: %v", m, fault, m.number(truth, at), causes)
		}
	})
	if n := astray.Load(); 6*n > int64(all) { // else the test tests nothing
		t.Errorf("%d of %d were not followed", n, all)
	}
}

// TestPolePairsOfARepeatingWinding: 18 slots and 16 poles are the same after half a turn,
// so that the back-EMF repeats after 4 pole pairs; the sensors see the one magnet that
// misses, and tell that there are 8.
func TestPolePairsOfARepeatingWinding(t *testing.T) {
	for magnet, want := range map[string]string{"3=-1": "is the wrong way up", "3=0": "is missing or dead", "3=0.7": "is weak"} {
		text, _ := simulate(t, "--seed 4 --noise 1.5 --pole-strength 0.01 --pole-shift 0.4 --pushes 4x12 --pole-pairs 8 --slots 18 --magnet "+magnet)
		got := handspin(text, "inspect", "-", "--slots", "18")
		words := strings.Join(strings.Fields(got.stdout), " ")
		if got.status != done || !strings.Contains(words, "Rotor: 8 pole pairs") || !strings.Contains(words, "magnet 3 or 11 "+want) {
			t.Errorf("magnet %s: %s%s", magnet, got.stdout, got.stderr)
		}
	}
}

// TestInspectRotorJSON: the table of magnets as JSON, counted from an index pulse. The
// magnet that is missing is one of the opposite two that 12/10 does not tell apart.
func TestInspectRotorJSON(t *testing.T) {
	text, _ := simulate(t, "--seed 4 --noise 1.5 --pole-strength 0.005 --pushes 4x12 --reference neutral --pole-pairs 5 --slots 12 --magnet 3=0 --index 30")
	got := handspin(text, "inspect", "-", "--slots", "12", "--star-point", "--format", "json")
	var d struct {
		Verdict string
		Rotor   struct {
			PolePairs int  `json:"pole_pairs"`
			Found     bool `json:"pole_pairs_found"`
			Magnets   []struct {
				Magnets  []int
				Strength float64
			}
			Causes []struct {
				Kind    string
				Magnets []int
			}
			HalfWaves []struct{ Waves []any }      `json:"half_waves"`
			Poles     []struct{ Poles []struct{} } `json:"sensor_poles"`
		}
		Findings []struct{ Code string }
	}
	if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
		t.Fatal(err, got.stderr)
	}
	r := d.Rotor
	if r.PolePairs != 5 || len(r.Magnets) != 5 || len(r.HalfWaves) != 3 || len(r.HalfWaves[0].Waves) != 10 || len(r.Poles) != 3 || len(r.Poles[0].Poles) != 10 {
		t.Errorf("%+v", r)
	}
	if len(r.Causes) != 1 || r.Causes[0].Kind != "missing" || len(r.Causes[0].Magnets) != 2 || r.Causes[0].Magnets[1] != r.Causes[0].Magnets[0]+5 {
		t.Errorf("%+v", r.Causes)
	}
	if d.Verdict != "repair-first" || !slices.ContainsFunc(d.Findings, func(f struct{ Code string }) bool { return f.Code == "rotor-pole-pattern" }) {
		t.Errorf("%s: %v", d.Verdict, d.Findings)
	}
}
