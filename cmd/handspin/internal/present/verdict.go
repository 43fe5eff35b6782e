package present

import (
	"fmt"
	"slices"
	"strings"

	"handspin/commutation"
	"handspin/commutation/winding"
)

// finding is what is to be repaired or worth a look; ok is false where nothing is
// claimed. Coils are named where they are likely, otherwise the kind of fault.
func (d *Diagnosis) finding() (f commutation.Finding, ok bool) {
	switch {
	case d.Untested != "":
		return d.uneven()
	case !d.Found.Explained():
		return d.strange(), true
	case d.Found.PSound() >= likelier:
		return d.uneven()
	}
	best := d.Found.Groups[0]
	f = commutation.Finding{Code: best.Faults[0].Kind.Code(), Severity: d.severity(), Hint: d.hint()}
	kind := d.kinds()[0]
	switch {
	case !d.Found.Faulty():
		f.Code, f.Severity = "winding-doubtful", commutation.Note
		f.Text = fmt.Sprintf("the winding may have a fault%s: it is sound%s (%.0f %%); %s", d.onePhase(), d.offCentre(), 100*d.Found.PSound(), d.choices())
	case best.Probability >= surePart && len(best.Names()) <= mostGroups:
		f.Text = "the winding fits best with a fault: " + best.String()
	case kind.p >= surePart:
		f.Text = "the winding has a fault: " + kind.words + kind.where()
	default:
		f.Code = "winding-faulty"
		f.Text = "the winding has a fault" + d.onePhase() + ", and of which kind does not show: " + d.choices()
	}
	if !d.Whole {
		f.Text = "without the whole turn of the shaft it looks as if " + f.Text
	}
	return f, true
}

// onePhase names the phase that all likely faults are in, if there is one.
func (d *Diagnosis) onePhase() string {
	var phases []int
	for _, f := range d.Found.Likely() {
		phases = append(phases, f.Phases...)
	}
	slices.Sort(phases)
	if phases = slices.Compact(phases); len(phases) != 1 {
		return ""
	}
	text := " in phase " + winding.PhaseName(phases[0])
	if !d.Delta {
		text += ", that of " + phaseKey(phases[0])
	}
	return text
}

// offCentre says so where that is what makes a winding sound.
func (d *Diagnosis) offCentre() string {
	if d.Found.P(winding.OffCentre) > d.Found.P(winding.Sound) {
		return " and the rotor off centre"
	}
	return ""
}

// wholeTurns is what to do where magnets count for more than coils.
const wholeTurns = "uneven magnets do that where the turn of the shaft is not wholly seen: turn the rotor by hand through whole turns one way, and look again"

// cutOff is what to do where the turn is not seen because columns are cut off.
const cutOff = "uneven magnets do that where the turn of the shaft is not wholly seen, and here the phase columns are cut off: bias the dividers to half the supply or use a larger ratio, turn the rotor by hand through whole turns, and look again"

// hint is what would tell faults apart.
func (d *Diagnosis) hint() string {
	if !d.Whole {
		return wholeTurns
	}
	text := strings.TrimSuffix(d.tests(), ".")
	if text == "" {
		return ""
	}
	return strings.ToLower(text[:1]) + text[1:]
}

// severity is that of what is likely: a phase whose number of turns is another runs, and
// over less than a turn of the shaft a magnet may be what is wrong.
func (d *Diagnosis) severity() commutation.Severity {
	if !d.Whole {
		return commutation.Data
	}
	broken := 0.0
	for _, g := range d.Found.Groups {
		if !g.Is(winding.Sound) && !g.Is(winding.OffCentre) && !g.Is(winding.PhaseTurns) {
			broken += g.Probability
		}
	}
	if broken < likelier {
		return commutation.Note
	}
	return commutation.Repair
}

// strange is the finding that nothing explains the back-EMF.
func (d *Diagnosis) strange() commutation.Finding {
	f := commutation.Finding{Code: "winding-unexplained", Severity: commutation.Note, Text: "the back-EMF is not that of a sound winding: " + d.unexplained()}
	switch {
	case !d.Whole:
		f.Severity, f.Hint = commutation.Data, wholeTurns
		return f
	case d.Found.Off >= repairOff:
		f.Severity = commutation.Repair
	}
	f.Hint = "there are several faults, or slots, poles or layout are others: count them; measure the three pairs of leads with a four-wire meter, and each coil by itself with a probe; " + testWords[winding.OtherInputs]
	return f
}

// uneven is the finding that phases differ though a sound winding explains it, or none
// is known.
func (d *Diagnosis) uneven() (f commutation.Finding, ok bool) {
	return commutation.Finding{
		Code: "winding-uneven", Severity: commutation.Note,
		Text: fmt.Sprintf("a phase is off by %.0f %% of what it should be, which turns too few or too many do, a divider, or in some windings a rotor off centre", 100*d.Found.Off),
		Hint: "measure the three pairs of leads with a four-wire meter, which turns and shorts show on; " + testWords[winding.OtherInputs],
	}, d.differs()
}

// kindSeen is a kind of fault with all its places.
type kindSeen struct {
	words string
	p     float64
	// teeth and phases are where such a fault may be, likely places first.
	teeth, phases []string
}

var kindWords = map[winding.Kind]string{
	winding.CoilReversed:  "a coil is reversed",
	winding.CoilMissing:   "a coil is missing or shorted",
	winding.PairMissing:   "two coils that are alike are missing or shorted",
	winding.CoilsSwapped:  "two coils are exchanged",
	winding.CoilsCrossed:  "two coils are exchanged",
	winding.PhaseReversed: "a phase is reversed",
	winding.PhaseOpen:     "a phase is open",
	winding.PhaseTurns:    "a phase has fewer or more turns than the others",
	winding.CoilPart:      "a coil lacks a part of its turns",
}

// kinds returns the kinds of fault, the likeliest first. What the phasors cannot tell
// apart is one kind.
func (d *Diagnosis) kinds() []kindSeen {
	var out []kindSeen
	at := map[string]int{}
	for _, g := range d.Found.Groups {
		if g.Is(winding.Sound) || g.Is(winding.OffCentre) {
			continue
		}
		var words []string
		for _, f := range g.Faults {
			words = once(words, kindWords[f.Kind])
		}
		all := strings.Join(words, ", or ")
		i, known := at[all]
		if !known {
			i = len(out)
			at[all], out = i, append(out, kindSeen{words: all})
		}
		out[i].p += g.Probability
		if out[i].p <= surePart+g.Probability { // what comes after is not likely
			out[i].places(g)
		}
	}
	slices.SortStableFunc(out, func(a, b kindSeen) int {
		if a.p > b.p {
			return -1
		}
		return 1
	})
	return out
}

// once appends what is not yet there.
func once(all []string, one string) []string {
	if slices.Contains(all, one) {
		return all
	}
	return append(all, one)
}

// places adds the places of a group.
func (k *kindSeen) places(g winding.Group) {
	for _, f := range g.Faults {
		for _, tooth := range f.Teeth {
			k.teeth = once(k.teeth, fmt.Sprint(tooth+1))
		}
		for _, phase := range f.Phases {
			k.phases = once(k.phases, winding.PhaseName(phase))
		}
	}
}

// where says where it may be, as far as that is told.
func (k kindSeen) where() string {
	switch {
	case len(k.teeth) == 0:
		return ": " + orWords(k.phases)
	case len(k.teeth) <= fewTeeth:
		return fmt.Sprintf(", among those on teeth %s (%s)", andWords(k.teeth), andWords(k.phases))
	}
	return fmt.Sprintf("; on which of %d teeth (%s) does not show", len(k.teeth), andWords(k.phases))
}

// andWords is "1, 2 and 3".
func andWords(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// choices lists the likely kinds.
func (d *Diagnosis) choices() string {
	var out []string
	for _, k := range d.kinds() {
		if k.p >= 0.05 {
			out = append(out, fmt.Sprintf("%s (%.0f %%)", k.words, 100*k.p))
		}
	}
	return strings.Join(out, "; ")
}

// hidden says what is not among the sound parts because this motor does not show it.
func (n *Inspection) hidden() string {
	var out []string
	switch r := n.Rotor; {
	case r == nil:
	case r.Blind:
		out = append(out, "single magnets do not show in the back-EMF of this winding")
	case r.Untested != "" || r.Untold != "":
		out = append(out, "single magnets are not judged, for the reason below")
	}
	if n.Winding != nil && n.Winding.Delta {
		out = append(out, "an open leg of the delta does not show: measure the resistances")
	}
	if out == nil {
		return ""
	}
	return " (" + strings.Join(out, "; ") + ")"
}
