package present

import (
	"math"
	"strings"
	"testing"

	"handspin/commutation"
	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// TestMagnetsBeforeSensors: levels that are wrong past a magnet that is missing for certain
// are no sensor's fault. Where the turn of the shaft was not seen it is not known yet whose,
// and the recording is asked for again; where the magnet is told apart from nothing, or
// magnets are even, the sensor is named.
func TestMagnetsBeforeSensors(t *testing.T) {
	intermittent := commutation.Finding{Code: "sensor-intermittent", Severity: commutation.Repair, Lead: "h1", Text: "h1 has the wrong level", Hint: "check its joints"}
	all := commutation.Finding{Code: "phase-irregular", Severity: commutation.Note, Text: "all sensors have the wrong level", Hint: "record again"}
	shaft := &spin.Shaft{PolePairs: 4, IndexDeg: math.NaN()}
	missing := rotor.Cause{Kind: rotor.Missing, Magnets: []int{2}, SD: 0.02}
	doubtful := missing
	doubtful.Or = []rotor.Cause{{Kind: rotor.Shifted, Magnets: []int{1}, Size: 30, SD: 2}}
	with := func(causes ...rotor.Cause) *Rotor {
		return &Rotor{Shaft: shaft, Pattern: &rotor.Pattern{Causes: causes, Fit: 1}}
	}
	for name, c := range map[string]struct {
		rotor   *Rotor
		finding commutation.Finding
		verdict commutation.Verdict
		opening string
		stays   bool
	}{
		"one missing":         {with(missing), intermittent, commutation.RepairFirst, "Something is to be repaired: magnet 3 is missing or dead", false},
		"one missing, all":    {with(missing), all, commutation.RepairFirst, "Something is to be repaired: magnet 3 is missing or dead", false},
		"missing or shifted":  {with(doubtful), intermittent, commutation.RepairFirst, "Something is to be repaired: magnet 3 is missing or dead: its strength is 0 ±2 % of the others'; or magnet 2 is out of place", true},
		"even":                {with(), intermittent, commutation.RepairFirst, "Something is to be repaired: h1 (white) has the wrong level", true},
		"less than a turn":    {&Rotor{Untested: spin.ErrFewTurns.Error()}, intermittent, commutation.MoreData, "The recording does not tell all: h1 (white) has the wrong level", true},
		"not judged":          {&Rotor{Untested: spin.ErrAstray.Error()}, intermittent, commutation.RepairFirst, "Something is to be repaired: h1 (white) has the wrong level", true},
		"not judged, all":     {&Rotor{Untested: spin.ErrAstray.Error()}, all, commutation.MoreData, "The recording does not tell all: all sensors have the wrong level", true},
		"no explanation, all": {&Rotor{Shaft: shaft, Untold: "none"}, all, commutation.MoreData, "The recording does not tell all: all sensors have the wrong level", true},
		"even, all":           {with(), all, commutation.Ranked, "The motor will run; worth a look: all sensors have the wrong level", true},
	} {
		n := NewInspection(answer(ideal(), c.finding), 0)
		n.SetRotor(c.rotor)
		stays := strings.Contains(texts(n), c.finding.Text)
		if n.Verdict != c.verdict || !strings.HasPrefix(n.opening(), c.opening) || stays != c.stays {
			t.Errorf("%s: %s, stays %t: %s", name, n.Verdict, stays, n.opening())
		}
	}
}

// texts are the findings' texts.
func texts(n *Inspection) string {
	var out []string
	for _, f := range n.Spin.Findings {
		out = append(out, f.Text)
	}
	return strings.Join(out, "\n")
}

// TestTurnedBoard: sensors that are all off by 20 degrees lose 1 - cos 20 = 6 % and are
// turned back by that where they are late; from 22.5 on the next place, 60 degrees on, is
// named too. Phases that are not alike give no timing.
func TestTurnedBoard(t *testing.T) {
	for _, c := range []struct {
		shift      float64
		text, hint string
	}{
		{14, "", ""},
		{20, "all three sensors together are 20 electrical degrees late, which costs 6 % of the torque", "turn their board back by 20 electrical degrees (2.0 of the shaft)"},
		{-28, "all three sensors together are 28 electrical degrees early, which costs 12 % of the torque",
			"turn their board forward by 28 electrical degrees (2.8 of the shaft), or back by 32: they are about half way between two places"},
		{math.NaN(), "", ""},
	} {
		a := answer(ideal())
		a.Spin.ShiftDeg = c.shift
		f, ok := NewInspection(a, 0).shiftFinding()
		if ok != (c.text != "") || f.Text != c.text || f.Hint != c.hint {
			t.Errorf("%g: %+v", c.shift, f)
		}
		a.Spin.Findings = append(a.Spin.Findings, commutation.Finding{Code: "phase-spacing", Severity: commutation.Repair})
		if f, ok := NewInspection(a, 0).shiftFinding(); ok {
			t.Errorf("with phases that are not alike: %+v", f)
		}
	}
}

// TestOpeningSaysWhatWasNotSeen: the first sentence calls no motor sound without a word about
// magnets that were not judged.
func TestOpeningSaysWhatWasNotSeen(t *testing.T) {
	shaft := &spin.Shaft{PolePairs: 4, IndexDeg: math.NaN()}
	for _, c := range []struct {
		rotor *Rotor
		says  string
	}{
		{&Rotor{Untested: spin.ErrFewTurns.Error()}, "Sensors and back-EMF are sound, as far as a hand spin shows (single magnets are not judged, for the reason below)"},
		{&Rotor{Shaft: shaft, Untold: "their number is in doubt"}, "Sensors and back-EMF are sound, as far as a hand spin shows (single magnets are not judged, for the reason below)"},
		{&Rotor{Shaft: shaft, Pattern: &rotor.Pattern{Fit: 1, Scatter: 1}}, "Sensors, back-EMF and magnets are sound, as far as a hand spin shows:"},
	} {
		n := NewInspection(answer(ideal()), 0)
		n.SetRotor(c.rotor)
		if got := n.opening(); !strings.HasPrefix(got, c.says) {
			t.Errorf("got %s", got)
		}
	}
}
