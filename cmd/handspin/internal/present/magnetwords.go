package present

import (
	"fmt"
	"math"
	"slices"

	"handspin/commutation"
	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// add puts findings before the others; they are the rotor's or the winding's.
func (n *Inspection) add(found []commutation.Finding) {
	if len(found) == 0 {
		return
	}
	own := *n.Spin
	own.Findings = slices.Concat(found, own.Findings)
	n.Spin = &own
	n.settle()
}

// nearTie is how far past p1's first coil the first magnet is, in electrical degrees of the
// 90 at which the next one is as near, where the eye may take either: a sixth of a pole.
const nearTie = 60.0

// firstMagnet says from which magnet they count.
func (r *Rotor) firstMagnet() string {
	when := "as the recording began"
	if r.Shaft.Indexed() {
		when = "at the index pulse"
	}
	ahead := 0.0
	if r.Pattern != nil {
		ahead = r.Pattern.AheadDeg
	}
	switch {
	case ahead > nearTie:
		return "the one that, turning forward, was just past p1's first coil " + when + ", about as far as the next was from it"
	case ahead < -nearTie:
		return "the one that, turning forward, was next to come to p1's first coil " + when + ", about as far as the last was past it"
	}
	return "the one before p1's first coil " + when
}

// lookAt is how magnets are seen.
const lookAt = "look at them with magnetic viewing film or a compass"

// findings are what is worth a word about the rotor.
func (r *Rotor) findings() []commutation.Finding {
	if r.Untested != "" {
		return nil
	}
	if r.Other > 0 { // the pattern of another rotor's turn means nothing
		return []commutation.Finding{{
			Code: "rotor-pole-pairs", Severity: commutation.Note,
			Text: fmt.Sprintf("what repeats with every turn of the shaft says %d pole pairs or a multiple of that, not %d", r.Other, r.Shaft.PolePairs),
			Hint: "count the magnets again: there are twice as many as pole pairs",
		}}
	}
	var out []commutation.Finding
	grave := false
	if r.Pattern != nil {
		for _, c := range r.Pattern.Causes {
			out = append(out, r.causeFinding(c))
			grave = grave || c.Kind == rotor.Missing || c.Kind == rotor.Flipped
		}
	}
	if f, ok := r.gapFinding(); ok && !grave {
		out = append([]commutation.Finding{f}, out...)
	}
	if f, ok := r.lateFinding(); ok && len(out) == 0 {
		out = append(out, f)
	}
	if f, ok := r.unevenFinding(); ok && len(out) == 0 {
		out = append(out, f)
	}
	return out
}

func (r *Rotor) causeFinding(c rotor.Cause) commutation.Finding {
	f := commutation.Finding{Code: "rotor-pole-pattern", Severity: commutation.Note, Hint: "magnets count from " + r.firstMagnet() + ", in the order in which they passed; " + lookAt}
	if r.any(c.Magnets) {
		f.Hint = "which one it is cannot be told: " + lookAt
	}
	f.Text = r.causeWords(c)
	switch c.Kind {
	case rotor.Weak:
		f.Code = "rotor-weak"
	case rotor.Missing, rotor.Flipped:
		f.Severity = commutation.Repair
	case rotor.Eccentric:
		f.Hint = "measure the gap at several places of the rotor, and look for a bent shaft or a worn bearing"
	}
	for _, other := range c.Or {
		f.Text += "; or " + r.causeWords(other)
		f.Code = "rotor-pole-pattern"
	}
	if len(c.Or) > 0 {
		f.Hint = "the leads show these alike; " + f.Hint
	}
	if c.Kind == rotor.Shifted || slices.ContainsFunc(c.Or, func(o rotor.Cause) bool { return o.Kind == rotor.Shifted }) {
		f.Hint += "; the gaps beside one that is out of place are uneven"
	}
	return f
}

// causeWords say what a cause is.
func (r *Rotor) causeWords(c rotor.Cause) string {
	which, size := r.which(c.Magnets), value(100*c.Size, 100*c.SD, 1)
	switch c.Kind {
	case rotor.Weak:
		return fmt.Sprintf("%s is weak: it has %s %% of the others' strength", which, size)
	case rotor.Strong:
		return fmt.Sprintf("%s is strong: it has %s %% of the others' strength", which, size)
	case rotor.Missing:
		return fmt.Sprintf("%s is missing or dead: its strength is %s %% of the others'", which, size)
	case rotor.Flipped:
		return fmt.Sprintf("%s is the wrong way up: its strength is %s %% of the others'", which, size)
	case rotor.Eccentric:
		return fmt.Sprintf("the rotor's field swings by %s %% once around it: it is eccentric, or its magnets come from two lots", size)
	}
	way := "late"
	if c.Size < 0 {
		way = "early"
	}
	off := value(math.Abs(c.Size), c.SD, 1) + " electrical degrees " + way
	if r.Blind { // only sensors see it
		return fmt.Sprintf("%s is out of place, or weak or missing: the sensors see its pole %s", which, off)
	}
	return fmt.Sprintf("%s is out of place, %s", which, off)
}

// any reports whether it may be any magnet.
func (r *Rotor) any(some []int) bool { return len(some) >= 2*r.Shaft.PolePairs }

// which names one of some magnets.
func (r *Rotor) which(some []int) string {
	const few = 4
	switch {
	case r.any(some):
		return "one magnet"
	case len(some) > few:
		return "one of magnets " + numbers(some, ", ")
	}
	return "magnet " + numbers(some, " or ")
}

// gaps returns how many borders all of the sensors miss alike in a turn; 0 where they
// do not agree, which then is not the rotor's fault.
func (r *Rotor) gaps() int {
	return r.agreed(func(b spin.Borders) int { return len(b.Missing()) &^ 1 }) // they come in pairs
}

// displaced returns how many borders all of the sensors see far from their places; 0
// where they do not agree.
func (r *Rotor) displaced() int {
	return r.agreed(func(b spin.Borders) int { return len(b.Displaced()) })
}

// agreed is a count that all sensors with a place agree about, two or more; else 0.
func (r *Rotor) agreed(of func(spin.Borders) int) int {
	if r == nil || r.Shaft == nil {
		return 0
	}
	count, sensors := 0, 0
	for _, b := range r.Shaft.Borders {
		if math.IsNaN(b.PlaceDeg) {
			continue
		}
		n := of(b)
		if sensors > 0 && n != count {
			return 0
		}
		count, sensors = n, sensors+1
	}
	if sensors < 2 {
		return 0
	}
	return count
}

func (r *Rotor) gapFinding() (commutation.Finding, bool) {
	n := r.gaps()
	switch {
	case n == 0 && r.displaced() > 0:
		return commutation.Finding{
			Code: "rotor-pole-pattern", Severity: commutation.Repair,
			Text: "each sensor changes far from its place at the same magnet in every turn: a magnet is missing, dead, very weak or far out of place",
			Hint: lookAt,
		}, true
	case n == 0:
		return commutation.Finding{}, false
	}
	return commutation.Finding{
		Code: "rotor-pole-pattern", Severity: commutation.Repair,
		Text: fmt.Sprintf("the sensors change %d times less in a turn than %d magnets would make them, each at the same magnets: one or more magnets are missing, dead or the wrong way up",
			n, 2*r.Shaft.PolePairs),
		Hint: "look at the magnets with magnetic viewing film or a compass: neighbours must differ",
	}, true
}

// lateWorth is how late, in electrical degrees, a pole must be in all sensors' eyes to
// be worth a word.
const lateWorth = 4.0

// lateFinding is about a pole that the sensors see out of its place.
func (r *Rotor) lateFinding() (commutation.Finding, bool) {
	least, sense := math.Inf(1), 0.0
	for _, b := range r.Shaft.Borders {
		most := 0.0
		for k := range b.OffDeg {
			v := b.Late(k)
			if !math.IsNaN(v.Value) && math.Abs(v.Value) > math.Abs(most) && math.Abs(v.Value) > sureBy*v.SD {
				most = v.Value
			}
		}
		if sense == 0 {
			sense = most
		}
		if sense*most <= 0 {
			return commutation.Finding{}, false
		}
		least = min(least, math.Abs(most))
	}
	if least < lateWorth || math.IsInf(least, 1) {
		return commutation.Finding{}, false
	}
	way := "late"
	if sense < 0 {
		way = "early"
	}
	return commutation.Finding{
		Code: "rotor-pole-pattern", Severity: commutation.Note,
		Text: fmt.Sprintf("each sensor sees one pole about %.0f electrical degrees %s with both its borders: a magnet is out of place by up to twice that", least, way),
		Hint: "measure the gaps between the magnets",
	}, true
}

// unevenFinding is about half waves that differ where the magnets are not known.
func (r *Rotor) unevenFinding() (commutation.Finding, bool) {
	lead, pole, uneven := r.worst()
	if !uneven || r.Pattern != nil && r.Pattern.Explained() {
		return commutation.Finding{}, false
	}
	h := r.Waves[lead][pole]
	hint := "with --slots the magnet is found, where the winding allows it; " + lookAt
	if r.Untold != "" {
		hint = "which magnet it is cannot be told: " + lookAt
	}
	return commutation.Finding{
		Code: "rotor-pole-pattern", Severity: commutation.Note,
		Text: fmt.Sprintf("the magnets are uneven: half wave %d of %s brings %.0f %% of the mean in every turn of the shaft", pole+1, phaseKey(lead), 100*h.Strength),
		Hint: hint,
	}, true
}
