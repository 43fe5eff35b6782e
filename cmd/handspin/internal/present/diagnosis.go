package present

import (
	"fmt"
	"strings"

	"handspin/commutation"
	"handspin/commutation/winding"
)

// Diagnosis is what the back-EMF says about a winding whose slots and poles are
// known.
type Diagnosis struct {
	Machine winding.Machine
	Found   winding.Diagnosis
}

// mostGroups is how many likely faults are listed.
const mostGroups = 4

// testWords say how a measurement tells likely faults apart.
var testWords = map[winding.Test]string{
	winding.Resistance: "the resistances of the three pairs of leads, with a four-wire meter",
	winding.StarPoint:  "a spin recorded against the star point (--star-point)",
	winding.Drag:       "whether the rotor brakes with all leads open, as a shorted coil makes it",
	winding.SingleCoil: "each coil by itself, with a probe, or a compass and a small direct current through the phase",
}

// words is the diagnosis in one sentence.
func (d *Diagnosis) words() string {
	of := fmt.Sprintf("a winding of %d slots and %d poles", d.Machine.Slots(), d.Machine.Poles())
	switch {
	case d.Found.Sound():
		return "The back-EMF is that of " + of + " without a fault."
	case d.Found.Faulty():
		return "The back-EMF is not that of " + of + " as it should be; teeth count from a tooth of the first lead's phase, taken as A:"
	case !d.Found.Explained():
		return "No single fault of " + of + " explains the back-EMF: there are several, or slots and poles are others, or the rotor is uneven."
	}
	return "No fault of " + of + " is claimed; what could still be, beside a sound winding:"
}

// lines are the likely faults, those that cannot be told apart on one line.
func (d *Diagnosis) lines() []string {
	if d.Found.Sound() || !d.Found.Explained() {
		return nil
	}
	var out []string
	for _, g := range d.Found.Groups[:min(mostGroups, len(d.Found.Groups))] {
		if g.Probability < 0.01 {
			break
		}
		var names []string
		for _, f := range g.Faults {
			names = append(names, f.String())
		}
		out = append(out, fmt.Sprintf("%.0f %%: %s", 100*min(g.Probability, 0.99), strings.Join(names, "; or "))+".")
	}
	return out
}

func (d *Diagnosis) tests() string {
	if len(d.Found.Tests) == 0 || d.Found.Sound() || !d.Found.Explained() {
		return ""
	}
	var out []string
	for _, t := range d.Found.Tests {
		out = append(out, testWords[t])
	}
	return "What would tell them apart: " + strings.Join(out, "; ") + "."
}

// finding is the likeliest fault as a finding; ok is false where none is claimed.
func (d *Diagnosis) finding() (f commutation.Finding, ok bool) {
	if !d.Found.Faulty() {
		return f, false
	}
	likely := d.Found.Groups[0]
	var names []string
	for _, fault := range likely.Faults {
		names = append(names, fault.String())
	}
	hint := d.tests()
	return commutation.Finding{
		Code: likely.Faults[0].Kind.Code(), Severity: commutation.Repair,
		Text: "the winding fits best with a fault: " + strings.Join(names, "; or "),
		Hint: strings.TrimSuffix(strings.ToLower(hint[:min(1, len(hint))])+hint[min(1, len(hint)):], "."),
	}, true
}

// blocks are what is said about the winding; none where it is not known.
func (d *Diagnosis) blocks() []block {
	if d == nil {
		return nil
	}
	out := []block{{text: d.words(), items: d.lines()}}
	if tests := d.tests(); tests != "" {
		out = append(out, block{text: tests})
	}
	return out
}

type diagnosisJSON struct {
	Slots     int         `json:"slots"`
	Poles     int         `json:"poles"`
	Sound     bool        `json:"sound"`
	Faulty    bool        `json:"faulty"`
	Explained bool        `json:"explained"`
	Groups    []groupJSON `json:"groups"`
	Tests     []string    `json:"tests"`
}

type groupJSON struct {
	Probability *float64    `json:"probability"`
	Faults      []faultJSON `json:"faults"`
}

type faultJSON struct {
	Code  string `json:"code"`
	Text  string `json:"text"`
	Teeth []int  `json:"teeth,omitempty"`
}

func newDiagnosisJSON(d *Diagnosis) *diagnosisJSON {
	if d == nil {
		return nil
	}
	out := &diagnosisJSON{
		Slots: d.Machine.Slots(), Poles: d.Machine.Poles(), Sound: d.Found.Sound(), Faulty: d.Found.Faulty(),
		Explained: d.Found.Explained(), Groups: []groupJSON{}, Tests: []string{},
	}
	for _, g := range d.Found.Groups {
		if g.Probability < 1e-3 {
			break
		}
		group := groupJSON{Probability: known(g.Probability, 4)}
		for _, f := range g.Faults {
			fault := faultJSON{Code: f.Kind.Code(), Text: f.String()}
			for _, k := range f.Teeth {
				fault.Teeth = append(fault.Teeth, k+1)
			}
			group.Faults = append(group.Faults, fault)
		}
		out.Groups = append(out.Groups, group)
	}
	for _, t := range d.Found.Tests {
		out.Tests = append(out.Tests, string(t))
	}
	return out
}
