package main

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/commutation/winding"
)

// wound returns the recording of a sound star against its star point as it would
// be with the fault: each phase's wave is turned and scaled by what the fault
// does to its phasor. The quadrature of a phase is the difference of the two
// others over the square root of three.
func wound(rec *capture.Recording, l winding.Layout, f winding.Fault) *capture.Recording {
	sound, faulty := l.Predict(winding.Fault{}, false), l.Predict(f, false)
	out := *rec
	out.Columns = nil
	for k := range 3 {
		z := faulty[k] / sound[k]
		c := rec.Columns[k]
		v := make([]float64, len(c.Value))
		for i := range v {
			ahead := (rec.Columns[(k+2)%3].Value[i] - rec.Columns[(k+1)%3].Value[i]) / math.Sqrt(3)
			v[i] = 512 + real(z)*(c.Value[i]-512) - imag(z)*ahead
		}
		c.Value = v
		out.Columns = append(out.Columns, c)
	}
	return &out
}

// TestInspectFindsWindingFaults: every kind of single fault of a 12-slot 10-pole
// winding is among the likeliest that inspect names, from noisy recordings; a
// sound one has none. Faults of one phase are enough, since phases are alike.
func TestInspectFindsWindingFaults(t *testing.T) {
	m, err := winding.New(12, 10)
	if err != nil {
		t.Fatal(err)
	}
	l := m.Layout()
	rec, _ := record(t, "--seed 4 --pole-pairs 5 --reference neutral --harmonics 5=0 --skew 0,0,0 --offset 512,512,512 --gain-error 0,0,0 --weak-phase p1=1,p2=1,p3=1 --phase-order 123 --noise 1.5 --pole-strength 0.005 --pushes 4x12")
	seen := map[string]bool{}
	for _, f := range l.Faults() {
		if slices.Contains(f.Phases, 1) || slices.Contains(f.Phases, 2) {
			continue
		}
		var text strings.Builder
		if err := csvfile.Write(&text, wound(rec, l, f)); err != nil {
			t.Fatal(err)
		}
		got := handspin(text.String(), "inspect", "-", "--slots", "12", "--poles", "10", "--star-point", "--format", "json")
		var d struct {
			Winding struct {
				Sound, Faulty bool
				Groups        []struct{ Faults []struct{ Code string } }
			}
		}
		if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
			t.Fatalf("%v: %v\n%s", f, err, got.stderr)
		}
		seen[f.Kind.Code()] = true
		if f.Kind == winding.Sound {
			if !d.Winding.Sound {
				t.Errorf("a sound winding is not called so: %+v", d.Winding)
			}
			continue
		}
		if f.Kind == winding.PhaseOpen {
			continue // a lead without back-EMF is named before any winding is
		}
		likely := func(c struct{ Code string }) bool { return c.Code == f.Kind.Code() }
		if !d.Winding.Faulty || len(d.Winding.Groups) == 0 || !slices.ContainsFunc(d.Winding.Groups[0].Faults, likely) {
			t.Errorf("%v: %+v", f, d.Winding)
		}
	}
	if len(seen) < 4 {
		t.Errorf("only %v were tried", seen)
	}
}
