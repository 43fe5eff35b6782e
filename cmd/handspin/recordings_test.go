package main

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/commutation"
)

// record simulates a spin and returns the recording and where its sensors rise.
func record(t *testing.T, flags string) (rec *capture.Recording, rises [3]float64) {
	t.Helper()
	text, truth := simulate(t, flags)
	rec, err := csvfile.Read(strings.NewReader(text), "spin", csvfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range truth.Sensors {
		rises[i] = s.RiseDeg
	}
	return rec, rises
}

// dump writes a recording's Hall levels as a value change dump.
func dump(rec *capture.Recording) string {
	var out bytes.Buffer
	out.WriteString("$timescale 1 us $end $var wire 1 a h1 $end $var wire 1 b h2 $end $var wire 1 c h3 $end $enddefinitions $end\n")
	before := capture.UnknownLevels
	for i, l := range rec.Hall {
		if l == before && i < len(rec.Hall)-1 {
			continue
		}
		fmt.Fprintf(&out, "#%.0f\n", rec.Time[i]*1e6)
		for lead, id := range "abc" {
			fmt.Fprintf(&out, "%c%c\n", l.String()[lead], id)
		}
		before = l
	}
	return out.String()
}

// TestHallsOnlyDump: a dump has no back-EMF, so that no list can be right, but the
// sensors are judged all the same: their order, their spacing and, from the rises
// of h1, their places.
func TestHallsOnlyDump(t *testing.T) {
	rec, rises := record(t, "--seed 5 --spacing 120 --sensor-order 132 --sensor-error h2=6 --pushes 4x14")
	got := handspin(dump(rec), "rank", "-", "--format", "json")
	r := answerOf(t, got.stdout)
	if got.status != done || r.Verdict != "more-data" || len(r.Wirings) != 0 {
		t.Fatalf("%d %s, %d wirings\n%s", got.status, r.Verdict, len(r.Wirings), got.stderr)
	}
	if !strings.Contains(got.stdout, `"no-phases"`) || !strings.Contains(got.stdout, `"sensor_spacing_deg": 120`) {
		t.Errorf("neither what is missing nor the spacing is in\n%s", got.stdout)
	}
	// The angle comes from the edges alone; a rotor's speed within one turn is
	// then known to a degree or so.
	const tolerance = 2
	for i, s := range r.Motor.Sensors {
		want := commutation.Signed(rises[i] - rises[0])
		if d := commutation.Signed(s.Rise - r.Motor.Sensors[0].Rise - want); !(math.Abs(d) <= tolerance) {
			t.Errorf("h%d rises %.1f degrees after h1, in truth %.1f", i+1, s.Rise-r.Motor.Sensors[0].Rise, want)
		}
	}
}

// scope writes a recording as an oscilloscope with six channels has it: settings,
// names, units, times before the trigger, Hall lines as voltages, each from its low
// to its high level.
func scope(rec *capture.Recording, levels [3][2]float64) string {
	var out bytes.Buffer
	out.WriteString("Model,X6\nRecord Length,20000\nTime,CH1,CH2,CH3,CH4,CH5,CH6\nms,V,V,V,V,V,V\n")
	for i, l := range rec.Hall {
		fmt.Fprintf(&out, "%.4f", rec.Time[i]*1e3-100)
		for lead := range 3 {
			volts := levels[lead][0]
			if high, _ := l.Level(lead); high {
				volts = levels[lead][1]
			}
			fmt.Fprintf(&out, ",%.2f", volts)
		}
		for _, c := range rec.Columns {
			fmt.Fprintf(&out, ",%.5f", c.Value[i]*rec.VoltsPerUnit)
		}
		out.WriteString("\n")
	}
	return out.String()
}

// sound are a Hall line's levels at a supply of 5 V.
var sound = [2]float64{0.12, 4.87}

// TestHallVoltages: a line that swings half as far as the others, and one that stays
// between their levels, are findings with their volts, and the first one leaves the
// list as it is.
func TestHallVoltages(t *testing.T) {
	rec, _ := record(t, "--seed 7 --edge-rows no --skew 0,0,0")
	for want, levels := range map[string][3][2]float64{
		"h2 swings by only 2.40 V, from 0.10 V to 2.50 V, another by 4.75 V":  {sound, {0.1, 2.5}, sound},
		"h3 stays at 2.40 V, between the levels 0.12 V and 4.87 V of another": {sound, sound, {2.4, 2.4}},
	} {
		got := handspin(scope(rec, levels), "inspect", "-", "--format", "json")
		if !strings.Contains(got.stdout, `"sensor-level"`) || !strings.Contains(got.stdout, want) {
			t.Errorf("%q is not in\n%s%s", want, got.stdout, got.stderr)
		}
	}
	half := handspin(scope(rec, [3][2]float64{sound, {0.1, 2.5}, sound}), "rank", "-", "--format", "json")
	if answerOf(t, half.stdout).Verdict != "ranked" {
		t.Errorf("half a swing gives\n%s", half.stdout)
	}
	if whole := handspin(scope(rec, [3][2]float64{sound, sound, sound}), "rank", "-", "--format", "json"); strings.Contains(whole.stdout, "sensor-level") {
		t.Errorf("sound levels give\n%s", whole.stdout)
	}
}

// TestScopeGivesTheSameAnswer: the same spin, without edge rows, as an
// oscilloscope's file gives the same clean wirings, without a flag.
func TestScopeGivesTheSameAnswer(t *testing.T) {
	const flags = "--seed 7 --edge-rows no --skew 0,0,0"
	rec, _ := record(t, flags)
	text, _ := simulate(t, flags)
	want := answerOf(t, handspin(text, "rank", "-", "--format", "json").stdout)
	got := answerOf(t, handspin(scope(rec, [3][2]float64{sound, sound, sound}), "rank", "-", "--format", "json").stdout)
	if want.Verdict != "ranked" || got.Verdict != want.Verdict || len(want.cleanOf()) != 6 {
		t.Fatalf("verdict %s, from the format %s with %d clean wirings", got.Verdict, want.Verdict, len(want.cleanOf()))
	}
	for wiring, behaviour := range want.cleanOf() {
		if got.cleanOf()[wiring] != behaviour {
			t.Errorf("%s is %q, want %s", wiring, got.cleanOf()[wiring], behaviour)
		}
	}
}
