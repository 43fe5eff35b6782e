package present

import (
	"fmt"
	"math"
	"slices"

	"handspin/commutation"
	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// A finding about one part of a motor may be what another part does: sensors whose level
// is wrong past a magnet that is the wrong way up, phases that differ by a coil.

// amend lets each finding be changed, or taken out where ok is false.
func (n *Inspection) amend(change func(commutation.Finding) (f commutation.Finding, ok bool)) {
	own := *n.Spin
	own.Findings = nil
	for _, f := range n.Spin.Findings {
		if f, ok := change(f); ok {
			own.Findings = append(own.Findings, f)
		}
	}
	n.Spin = &own
	n.settle()
}

// drop takes out findings with one of the codes.
func (n *Inspection) drop(codes ...string) {
	n.amend(func(f commutation.Finding) (commutation.Finding, bool) { return f, !slices.Contains(codes, f.Code) })
}

// dropHint takes the hint from findings with a code: what it says was done.
func (n *Inspection) dropHint(code string) {
	n.amend(func(f commutation.Finding) (commutation.Finding, bool) {
		if f.Code == code {
			f.Hint = ""
		}
		return f, true
	})
}

// wrongLevel reports whether a finding says that sensors have the wrong level: one or, as a
// note about the angle, all of them.
func wrongLevel(f commutation.Finding) bool {
	return f.Code == "sensor-intermittent" || f.Code == "phase-irregular" && f.Severity == commutation.Note
}

// grave reports whether magnets are missing or the wrong way up for certain, which makes
// levels wrong.
func (r *Rotor) grave() bool {
	if r.gaps() > 0 || r.displaced() > 0 {
		return true
	}
	return r != nil && r.Pattern != nil && slices.ContainsFunc(r.Pattern.Causes, func(c rotor.Cause) bool {
		return (c.Kind == rotor.Missing || c.Kind == rotor.Flipped) && len(c.Or) == 0
	})
}

// suspectMagnets takes out what sensors are blamed for while it is magnets, and says where
// it may be. What passed a part of the sensors only is no sensor's fault yet.
func (n *Inspection) suspectMagnets() {
	r := n.Rotor
	judged := r.Untested == "" && r.Untold == ""
	short := r.Untested == spin.ErrFewTurns.Error()
	n.amend(func(f commutation.Finding) (commutation.Finding, bool) {
		switch {
		case !wrongLevel(f):
		case r.grave():
			return f, false
		case short:
			f.Severity = commutation.Data
			f.Hint = "a magnet that is missing or the wrong way up does that to the sensors it passed: turn the rotor through two whole turns and look again; if it is one sensor, " + f.Hint
		case !judged && f.Code == "phase-irregular":
			f.Severity = commutation.Data
			f.Hint = "a magnet that is missing or the wrong way up does that, too: " + lookAt + "; or " + f.Hint
		}
		return f, true
	})
}

// shiftWorth is the common error of all three sensors, in electrical degrees, from which
// it is worth a look: half way to where the next place is as near, and 3 % of the torque.
const shiftWorth = 15.0

// unlikePhases are the codes of phases that give no timing to hold sensors against.
var unlikePhases = []string{"phase-open", "phase-spacing", "phase-weak", "phase-unbalance"}

// shiftFinding is about a board of sensors that is turned.
func (n *Inspection) shiftFinding() (f commutation.Finding, ok bool) {
	shift := n.Spin.ShiftDeg
	if n.AtRest || !(math.Abs(shift) >= shiftWorth) || commutation.Found(n.Spin.Findings, unlikePhases...) {
		return f, false
	}
	off, late, way, other := math.Abs(shift), "late", "back", "forward"
	if shift < 0 {
		late, way, other = "early", "forward", "back"
	}
	f = commutation.Finding{
		Code: "sensor-shifted", Severity: commutation.Note,
		Text: fmt.Sprintf("all three sensors together are %.0f electrical degrees %s, which costs %.0f %% of the torque", off, late, 100*(1-math.Cos(off*math.Pi/180))),
		Hint: fmt.Sprintf("turn their board %s by %.0f electrical degrees%s", way, off, n.ofTheShaft(off)),
	}
	if math.IsNaN(n.Spin.Sensors[0].HysteresisDeg.Value) {
		f.Text += "; their hysteresis is in that"
		f.Hint = "record a spin both ways first, which parts the two; then " + f.Hint
	}
	if off > 1.5*shiftWorth {
		f.Hint += fmt.Sprintf(", or %s by %.0f: they are about half way between two places", other, 60-off)
	}
	return f, true
}
