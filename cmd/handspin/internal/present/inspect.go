package present

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"handspin/commutation"
)

// Inspection is the health of a motor as a hand spin shows it.
type Inspection struct {
	*Answer
	// RadiusMM is the distance of the sensors from the shaft's axis in mm, 0
	// where it is not known.
	RadiusMM float64
	// PolesNeeded is true where the winding was not judged because the number of
	// magnets that was found is not certain.
	PolesNeeded bool
	// Winding is nil where slots and poles are not known.
	Winding *Diagnosis
	// Rotor is nil where nobody asked.
	Rotor *Rotor
}

// NewInspection returns the inspection of the motor of an answer. Its findings
// and verdict are those about the motor, whatever the controller.
func NewInspection(a *Answer, radiusMM float64) *Inspection {
	own := *a
	own.Ranking = commutation.Ranking{}
	own.Confidence = a.Spin.Reliability
	n := &Inspection{Answer: &own, RadiusMM: radiusMM}
	if f, ok := n.shiftFinding(); ok {
		n.add([]commutation.Finding{f})
	}
	n.settle()
	return n
}

// settle sets the verdict that follows from the findings.
func (n *Inspection) settle() {
	n.Verdict = commutation.Ranked
	if n.AtRest { // which shows neither timing nor back-EMF
		n.Verdict = commutation.MoreData
	}
	for _, f := range n.Spin.Findings {
		switch {
		case f.Severity == commutation.Repair:
			n.Verdict = commutation.RepairFirst
		case f.Severity == commutation.Data && n.Verdict == commutation.Ranked:
			n.Verdict = commutation.MoreData
		}
	}
}

// opening is the one sentence that matters.
func (n *Inspection) opening() string {
	all := n.findings()
	switch n.Verdict {
	case commutation.RepairFirst:
		return "Something is to be repaired: " + n.said(all[0]) + others(all, commutation.Repair) + "."
	case commutation.MoreData:
		if n.AtRest {
			return "Rest positions do not show whether a motor is sound: record a hand spin for that."
		}
		text := "The recording does not tell all: " + n.said(all[0]) + others(all, commutation.Data) + "."
		if worth := n.worth(); worth != "" {
			text += " Worth a look all the same: " + worth + "."
		}
		return text
	}
	if worth := n.worth(); worth != "" {
		return "The motor will run; worth a look: " + worth + "."
	}
	return n.soundParts() + " are sound, as far as a hand spin shows" + n.hidden() + ": if the motor runs badly all the same, look at the controller and its cables."
}

// worthCodes begin the codes of notes that are worth a look.
var worthCodes = []string{"sensor-misplaced", "sensor-shifted", "sensor-intermittent", "sensor-noisy", "sensor-level", "phase-irregular", "rotor-", "winding-", "coil-", "phase-turns", "phase-weak", "phase-unbalance"}

// worth lists the notes about the motor that are worth a look.
func (n *Inspection) worth() string {
	var out []string
	for _, f := range n.findings() {
		about := func(code string) bool { return strings.HasPrefix(f.Code, code) }
		if f.Severity == commutation.Note && slices.ContainsFunc(worthCodes, about) {
			out = append(out, n.said(f))
		}
	}
	return strings.Join(out, "; ")
}

// soundParts names what was tested where nothing is wrong.
func (n *Inspection) soundParts() string {
	parts := []string{"Sensors", "back-EMF"}
	if n.Winding != nil && n.Winding.Found.Sound() {
		parts[1] = "winding"
	}
	if n.Rotor.even() && n.Rotor.Pattern != nil {
		parts = append(parts, "magnets")
	}
	return enumerate(parts)
}

func (n *Inspection) said(f commutation.Finding) string { return n.withNames(f.Text) }

// others counts the findings of a severity beside the first.
func others(all []commutation.Finding, s commutation.Severity) string {
	count := -1
	for _, f := range all {
		if f.Severity == s {
			count++
		}
	}
	if count <= 0 {
		return ""
	}
	return fmt.Sprintf(" (and %d more, below)", count)
}

// InspectText prints an inspection for a terminal.
func InspectText(w io.Writer, n *Inspection) error {
	p := &page{}
	p.para(n.opening())
	p.recording(n.Answer)
	p.sensors(n.Answer)
	p.sensorHealth(n)
	if !n.AtRest {
		p.phases(n.Answer)
	}
	p.speed(n.Answer)
	p.section(n.windingBlocks())
	p.section(n.rotorBlocks())
	p.constants(n.Answer)
	p.allFindings(n)
	p.limits()
	p.para(hiddenWords)
	p.para(n.untested())
	return p.flush(w)
}

// untested says what this recording, unlike others, does not show.
func (n *Inspection) untested() string {
	var parts []string
	if n.Rotor != nil && n.Rotor.Untested != "" {
		parts = append(parts, "single magnets, because "+n.Rotor.Untested)
	}
	if n.Rotor != nil && n.Rotor.Untested == "" && n.Rotor.Blind {
		parts = append(parts, "single magnets, for all that the sensors' edges do not show: "+lookAt)
	}
	switch {
	case n.PolesNeeded:
		parts = append(parts, "single coils, because the number of magnets is not certain: count them and give --poles")
	case n.Winding != nil && n.Winding.Untested != "":
		parts = append(parts, "single coils, for the reason above")
	case n.Winding == nil:
		parts = append(parts, "single coils, for which --slots N is needed")
	}
	if r := n.Rotor; r != nil && r.Found && r.PolePairs > 0 && !r.Certain {
		parts = append(parts, "the motor's constants and all that is in degrees of the shaft, because the number of magnets is not certain: count them and give --pole-pairs")
	}
	if d := n.Winding; d != nil && d.Untested == "" && !d.Layout.ShowsOffCentre() {
		parts = append(parts, "a rotor that runs off centre or has a weaker side, which this winding does not show: measure the gap at several places")
	}
	if len(parts) == 0 {
		return ""
	}
	return "Not tested with this recording: " + strings.Join(parts, "; ") + "."
}

func (p *page) allFindings(n *Inspection) {
	all := n.findings()
	if len(all) == 0 {
		return
	}
	p.gap()
	p.para("Findings")
	for _, f := range all {
		p.item("  - ", string(f.Severity)+": "+n.findingWords(f)+".")
	}
}
