package present

import (
	"strings"
	"testing"

	"handspin/commutation"
	"handspin/commutation/winding"
)

// diagnosed is the diagnosis of a fault as a floating reference shows it, without noise;
// of a coil that lacks a part of its turns, of 60 %.
func diagnosed(t *testing.T, slots, poles int, k winding.Kind, tooth int) *Diagnosis {
	t.Helper()
	share := 0.0
	if k == winding.CoilPart {
		share = 0.6
	}
	m, err := winding.New(slots, poles)
	if err != nil {
		t.Fatal(err)
	}
	l := m.Layout()
	f := winding.Fault{Kind: k, Phases: []int{l.Coils[tooth-1].Phase}, Teeth: []int{tooth - 1}, Share: share}
	found, err := winding.Diagnose(winding.Measured{EMF: l.Predict(f, true), Floating: true}, l)
	if err != nil {
		t.Fatal(err)
	}
	return &Diagnosis{Layout: l, Whole: true, Found: found}
}

// TestOverLessThanATurn: uneven magnets make phases differ as faults do unless whole
// turns were averaged; then a better recording is asked for, not a repair.
func TestOverLessThanATurn(t *testing.T) {
	for _, whole := range []bool{true, false} {
		d := diagnosed(t, 12, 10, winding.CoilReversed, 3)
		d.Whole = whole
		f, claimed := d.finding()
		want := map[bool]commutation.Severity{true: commutation.Repair, false: commutation.Data}[whole]
		if !claimed || f.Severity != want || strings.Contains(f.Hint, "whole turns") == whole {
			t.Errorf("whole turns %t: %+v", whole, f)
		}
	}
}

// TestWhatFollows: phases that differ by a coil that was found are not found again, and
// where they differ though no fault was found, the winding was looked at already.
func TestWhatFollows(t *testing.T) {
	differ := commutation.Finding{Code: "phase-unbalance", Severity: commutation.Note, Text: "the phases differ", Hint: "inspect looks for a coil"}
	for kind, stays := range map[winding.Kind]bool{winding.CoilReversed: false, winding.Sound: true} {
		n := NewInspection(answer(ideal(), differ), 0)
		n.SetWinding(diagnosed(t, 12, 10, kind, 3))
		if commutation.Found(n.Spin.Findings, "phase-unbalance") != stays || stays && n.Spin.Findings[0].Hint != "" {
			t.Errorf("%v: %+v", kind, n.Spin.Findings)
		}
	}
}

// TestColumnsCutOff: more turning by hand does not help where columns are cut off.
func TestColumnsCutOff(t *testing.T) {
	for _, cut := range []bool{true, false} {
		a := answer(ideal())
		if cut {
			a = answer(ideal(), commutation.Finding{Code: "phase-clipped", Severity: commutation.Note})
		}
		n, d := NewInspection(a, 0), diagnosed(t, 12, 10, winding.CoilReversed, 3)
		d.Whole = false
		n.SetWinding(d)
		if f := n.Spin.Findings[0]; f.Code != "coil-reversed" || strings.Contains(f.Hint, "bias the dividers") != cut {
			t.Errorf("cut off %t: %+v", cut, f)
		}
	}
}

// TestCountingInDelta: no phase belongs to a lead there, and there is no star point.
func TestCountingInDelta(t *testing.T) {
	for _, delta := range []bool{true, false} {
		d := diagnosed(t, 12, 10, winding.CoilMissing, 3)
		d.Delta = delta
		text := d.counting() + d.tests()
		if strings.Contains(text, "A lies between p1 and p2") != delta || strings.Contains(text, "opened corner") != delta || strings.Contains(text, "--star-point") == delta {
			t.Errorf("delta %t: %s", delta, text)
		}
	}
}

// TestFewNamesInTheHeadline: coils are named where one in ten at most is opened for
// nothing; of 51 each is less likely, and the phase is named.
func TestFewNamesInTheHeadline(t *testing.T) {
	few, _ := diagnosed(t, 9, 8, winding.CoilReversed, 2).finding()
	if few.Text != "the winding fits best with a fault: coil on tooth 2 (A) reversed" {
		t.Errorf("got %s", few.Text)
	}
	many, _ := diagnosed(t, 51, 46, winding.CoilReversed, 14).finding()
	if !strings.HasPrefix(many.Text, "the winding has a fault: a coil is reversed") || !strings.HasSuffix(many.Text, "(A)") {
		t.Errorf("got %s", many.Text)
	}
}

// TestPhaseIsNamed: all coils of a phase of 12/8 stand at one angle, so that turns lost in
// one look like turns lost in the phase; which phase is known all the same.
func TestPhaseIsNamed(t *testing.T) {
	d := diagnosed(t, 12, 8, winding.CoilPart, 2)
	for delta, want := range map[bool]string{false: "the winding has a fault in phase B, that of p2, and of which kind does not show", true: "the winding has a fault in phase B, and of"} {
		d.Delta = delta
		if f, ok := d.finding(); !ok || !strings.HasPrefix(f.Text, want) {
			t.Errorf("delta %t: %s", delta, f.Text)
		}
	}
}

// TestNoteHidesNothing: where a recording does not tell all, what it tells of the motor
// is said in the same breath; a repair comes before both.
func TestNoteHidesNothing(t *testing.T) {
	steady := commutation.Finding{Code: "speed-steady", Severity: commutation.Data, Text: "the speed hardly varied"}
	for _, c := range []struct {
		severity commutation.Severity
		want     string
	}{
		{commutation.Note, "The recording does not tell all: the speed hardly varied. Worth a look all the same: a phase is low."},
		{commutation.Repair, "Something is to be repaired: a phase is low."},
	} {
		n := NewInspection(answer(ideal(), steady, commutation.Finding{Code: "winding-unexplained", Severity: c.severity, Text: "a phase is low"}), 0)
		if got := n.opening(); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

// TestSoundDelta: two legs of a delta show the back-EMF of the third (Kirchhoff), so
// that an open one is not passed for sound.
func TestSoundDelta(t *testing.T) {
	for _, delta := range []bool{true, false} {
		n := NewInspection(answer(ideal()), 0)
		d := diagnosed(t, 12, 10, winding.Sound, 1)
		d.Delta = delta
		n.SetWinding(d)
		if got := n.opening(); strings.Contains(got, "open leg of the delta") != delta || !strings.HasPrefix(got, "Sensors and winding are sound") {
			t.Errorf("delta %t: %s", delta, got)
		}
	}
}
