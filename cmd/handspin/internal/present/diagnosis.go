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
	// Untested says why the winding was not judged; empty where it was. Of the rest
	// at most how far the phases differ is known then.
	Untested string
	// Layout is the winding as it should be.
	Layout winding.Layout
	// Delta is true where the phases lie between the leads.
	Delta bool
	// Whole is true where the back-EMF is the mean of whole turns of the shaft, to
	// which uneven magnets do nothing.
	Whole bool
	Found winding.Diagnosis
}

// mostGroups is how many likely faults are listed.
const mostGroups = 4

// surePart is how probable a fault has to be to be named in the headline: a coil that
// is named is opened, and one in ten of them for nothing is what a look at the
// resistances before that is worth. likelier is where what else could be outweighs a
// sound winding. worthOff is three standard deviations of sound phases. repairOff is the
// difference of a phase from which something is to be repaired whatever it is: dividers of
// 5 % resistors, a miscount of a turn or two in twenty and a rotor that rubs make less.
const (
	surePart  = 0.9
	likelier  = 0.5
	worthOff  = 0.03
	repairOff = 0.15
)

// testWords say how a measurement tells likely faults apart.
var testWords = map[winding.Test]string{
	winding.Resistance:  "the resistances of the three pairs of leads, with a four-wire meter",
	winding.StarPoint:   "a spin recorded against the star point (--star-point)",
	winding.OtherInputs: "a spin with each lead at the next input: what stays with an input is its divider's",
	winding.Gap:         "the gap at several places around the stator, with strips of plastic",
	winding.Drag:        "whether the rotor brakes with all leads open, as a shorted coil makes it",
	winding.SingleCoil:  "each coil by itself, with a probe, or a compass and a small direct current through the phase",
}

// of names the machine.
func (d *Diagnosis) of() string {
	return fmt.Sprintf("a winding of %d slots and %d poles", d.Layout.Slots(), d.Layout.Poles())
}

// words is the diagnosis in one sentence.
func (d *Diagnosis) words() string {
	switch {
	case d.Untested != "":
		return "The winding is not judged: " + d.Untested + "."
	case d.Found.Sound() && d.differs():
		return fmt.Sprintf("The back-EMF is that of %s without a fault, though a phase is off by %.0f %%.", d.of(), 100*d.Found.Off)
	case d.Found.Sound():
		return "The back-EMF is that of " + d.of() + " without a fault."
	case d.Found.Faulty():
		return "The back-EMF is not that of " + d.of() + " as it should be. What fits:"
	case !d.Found.Explained():
		return "The back-EMF is not that of " + d.of() + ": " + d.unexplained() + "."
	case d.Found.PSound() < likelier:
		return "The back-EMF is hardly that of " + d.of() + " without a fault:"
	}
	return "No fault of " + d.of() + " is claimed. What could be:"
}

// differs reports whether the phases differ by more than usual sound ones. Over less
// than a turn of the shaft magnets make them differ.
func (d *Diagnosis) differs() bool {
	return d.Whole && d.Found.Off >= worthOff+3*d.Found.OffSD
}

// unexplained says that no fault fits.
func (d *Diagnosis) unexplained() string {
	return fmt.Sprintf("a phase is off by %.0f %% of what it should be, and no single fault of this winding explains it", 100*d.Found.Off)
}

// lines are the likely faults, those that cannot be told apart on one line.
func (d *Diagnosis) lines() []string {
	if !d.open() {
		return nil
	}
	var out []string
	rest, count := 1.0, 0
	for i, g := range d.Found.Groups {
		if i >= mostGroups || g.Probability < 0.01 {
			count += len(g.Faults)
			continue
		}
		rest -= g.Probability
		out = append(out, fmt.Sprintf("%.0f %%: %s", 100*min(g.Probability, 0.99), g)+".")
	}
	if rest >= 0.01 {
		out = append(out, fmt.Sprintf("%.0f %%: %d others, each less likely.", 100*rest, count))
	}
	return out
}

// open reports whether there is something to tell apart.
func (d *Diagnosis) open() bool {
	return d != nil && d.Untested == "" && !d.Found.Sound() && d.Found.Explained()
}

func (d *Diagnosis) tests() string {
	if len(d.Found.Tests) == 0 || !d.open() {
		return ""
	}
	var out []string
	for _, t := range d.Found.Tests {
		if t == winding.StarPoint && d.Delta {
			out = append(out, "the back-EMF across one opened corner of the delta")
			continue
		}
		out = append(out, testWords[t])
	}
	return "What would tell them apart: " + strings.Join(out, "; ") + "."
}

// fewTeeth is how many teeth are listed in a sentence, fewCoils how many coils.
const (
	fewTeeth = 6
	fewCoils = 24
)

// counting says how the teeth of the motor are counted.
func (d *Diagnosis) counting() string {
	coils := d.Layout.String()
	switch usual := d.Layout.Letters() == d.Layout.Machine.Layout().Letters(); {
	case !usual:
		coils = "in --layout"
	case d.Layout.Slots() > fewCoils:
		coils = fmt.Sprintf("handspin winding --slots %d --poles %d lists them", d.Layout.Slots(), d.Layout.Poles())
	}
	leads := "A is p1's phase, B p2's, C p3's"
	if d.Delta {
		leads = "A lies between p1 and p2, B between p2 and p3, C between p3 and p1"
	}
	return fmt.Sprintf("To find a tooth on the motor trace its coils: %s. Tooth 1 is any from which, in one of the two directions, they come out as %s; either sense may be +. p1's first coil is that on tooth 1.", leads, coils)
}

// blocks are what is said about the winding; none where it is not known.
func (d *Diagnosis) blocks() []block {
	if d == nil {
		return nil
	}
	out := []block{{text: d.words(), items: d.lines()}}
	if text := d.tests(); text != "" {
		out = append(out, block{text: text})
	}
	return out
}

// SetWinding adds what the back-EMF says about the winding.
func (n *Inspection) SetWinding(d *Diagnosis) {
	n.Winding = d
	if d.Untested == "" {
		n.dropHint("phase-unbalance")
	}
	f, claimed := d.finding()
	if !claimed {
		return
	}
	if d.Found.Faulty() && d.Whole { // which is what makes a phase weak, or the three unequal
		n.drop("phase-unbalance", "phase-weak")
	}
	if !d.Whole && f.Hint == wholeTurns && commutation.Found(n.Spin.Findings, "phase-clipped") {
		f.Hint = cutOff
	}
	n.add([]commutation.Finding{f})
}

// countsMagnets reports whether single magnets are named, which count from a coil.
func (n *Inspection) countsMagnets() bool {
	return n.Winding != nil && n.Winding.Layout.Coils != nil && n.Rotor != nil && n.Rotor.Pattern != nil && len(n.Rotor.Pattern.Causes) > 0
}

// windingBlocks are the winding's with the person's names of the leads.
func (n *Inspection) windingBlocks() []block {
	out := n.Winding.blocks()
	if n.Winding.open() || n.countsMagnets() {
		out = append(out, block{text: n.Winding.counting()})
	}
	for i, b := range out {
		out[i].text = n.withNames(b.text)
	}
	return out
}
