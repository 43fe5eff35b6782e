package winding

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Kind is a kind of mistake or damage.
type Kind int

// The kinds, and none.
const (
	Sound Kind = iota
	// CoilReversed is a coil whose ends are exchanged.
	CoilReversed
	// CoilMissing is a coil left out, or shorted as a whole.
	CoilMissing
	// PairMissing is two coils with the same phasor left out or shorted. It
	// is here because a voltage cannot tell it from one of them reversed.
	PairMissing
	// CoilsSwapped is two coils of different phases each connected in the
	// other's phase, each tooth keeping the sense in which it is wound.
	CoilsSwapped
	// CoilsCrossed is two coils of opposite sense that have changed places
	// with their senses: each tooth has the other's phase and sense.
	CoilsCrossed
	// PhaseReversed is a phase whose ends are exchanged.
	PhaseReversed
	// PhaseOpen is a phase without connection.
	PhaseOpen
	// PhaseTurns is a phase with a share of its turns too few, or too many.
	PhaseTurns
	// CoilPart is a coil with a share of its turns shorted, or too few.
	CoilPart
	// OffCentre is a sound winding whose rotor runs off centre by more than usual,
	// where the layout shows that.
	OffCentre
	kinds
)

// Code returns the kind's code as a finding; empty for [Sound].
func (k Kind) Code() string {
	return [kinds]string{"", "coil-reversed", "coil-missing", "coil-missing", "coils-swapped", "coils-swapped", "phase-reversed", "phase-open", "phase-turns", "coil-short", "off-centre"}[k]
}

// Fault is a single mistake in a winding.
type Fault struct {
	Kind Kind
	// Phases are those concerned, Teeth those of the coils concerned; for a
	// whole phase there are no teeth. The order of two is that of the teeth.
	Phases []int
	Teeth  []int
	// Share is the share of the phase's or the coil's turns that is lost, for
	// the kinds that have one: negative where there are too many. ShareSD is its
	// standard deviation where it was measured.
	Share, ShareSD float64
}

// String says what is wrong, as in "coil on tooth 3 (B) reversed".
func (f Fault) String() string { return f.says(f.coils()) }

// says is String with the coils named as given.
func (f Fault) says(coils string) string {
	switch f.Kind {
	case CoilReversed:
		return coils + " reversed"
	case CoilMissing, PairMissing:
		return coils + " missing or shorted"
	case CoilsSwapped:
		return coils + " exchanged, each tooth with its own sense"
	case CoilsCrossed:
		return coils + " exchanged together with their senses"
	case PhaseReversed:
		return "phase " + PhaseName(f.Phases[0]) + " reversed"
	case PhaseOpen:
		return "phase " + PhaseName(f.Phases[0]) + " open"
	case PhaseTurns:
		more := "fewer"
		if f.Share < 0 {
			more = "more"
		}
		return fmt.Sprintf("phase %s with %s %s turns", PhaseName(f.Phases[0]), f.share(), more)
	case CoilPart:
		return coils + " with " + f.share() + " of its turns shorted or left out"
	case OffCentre:
		return "winding sound, and the rotor off centre in the stator"
	}
	return "winding sound"
}

// share is the size of the share with its uncertainty, in whole percent.
func (f Fault) share() string {
	text := fmt.Sprintf("%.0f", 100*math.Abs(f.Share))
	if f.ShareSD > 0 {
		text += fmt.Sprintf(" ±%.0f", math.Ceil(100*f.ShareSD))
	}
	return text + " %"
}

// coils names those concerned; of a phase there are none.
func (f Fault) coils() string {
	var names []string
	for i, k := range f.Teeth {
		names = append(names, fmt.Sprintf("%d (%s)", k+1, PhaseName(f.Phases[min(i, len(f.Phases)-1)])))
	}
	return plural(len(names), "coil on tooth ", "coils on teeth ") + strings.Join(names, " and ")
}

// Faults returns [Sound] and every single fault that the layout can have and that
// is there or not; those of a part of the turns are [part].
func (l Layout) Faults() []Fault {
	all := []Fault{{Kind: Sound}}
	for phase := range 3 {
		all = append(all, newFault(PhaseReversed, phase), newFault(PhaseOpen, phase))
	}
	for i, a := range l.Coils {
		if a.Sense == 0 {
			continue
		}
		all = append(all, newFault(CoilReversed, a.Phase, i), newFault(CoilMissing, a.Phase, i))
		for j := i + 1; j < len(l.Coils); j++ {
			if l.Coils[j].Sense != 0 {
				all = append(all, l.between(i, j)...)
			}
		}
	}
	return all
}

// newFault returns a fault of one phase.
func newFault(k Kind, phase int, teeth ...int) Fault {
	return Fault{Kind: k, Phases: []int{phase}, Teeth: teeth}
}

// between returns the faults that concern two coils.
func (l Layout) between(i, j int) []Fault {
	a, b := l.Coils[i], l.Coils[j]
	teeth := []int{i, j}
	if a.Phase == b.Phase {
		if l.alike(i, j) {
			return []Fault{newFault(PairMissing, a.Phase, i, j)}
		}
		return nil
	}
	both := []int{a.Phase, b.Phase}
	faults := []Fault{{Kind: CoilsSwapped, Phases: both, Teeth: teeth}}
	if a.Sense != b.Sense { // else it is the same as with their own senses
		faults = append(faults, Fault{Kind: CoilsCrossed, Phases: both, Teeth: teeth})
	}
	return faults
}

// alike reports whether two coils have the same phasor, in whole numbers: half a
// turn apart where their senses differ, none where not.
func (l Layout) alike(i, j int) bool {
	halves := 2 * (j - i) * l.PolePairs() // in units of 180/Q degrees
	if l.Coils[i].Sense != l.Coils[j].Sense {
		halves += l.slots
	}
	return halves%(2*l.slots) == 0
}

// With returns the layout with a fault in it. An open phase is as without coils;
// where a part of the turns is lost the coils are all there.
func (l Layout) With(f Fault) Layout {
	out := Layout{l.Machine, slices.Clone(l.Coils)}
	c := out.Coils
	switch f.Kind {
	case CoilReversed:
		c[f.Teeth[0]].Sense *= -1
	case CoilMissing, PairMissing:
		for _, k := range f.Teeth {
			c[k] = Coil{}
		}
	case CoilsSwapped:
		c[f.Teeth[0]].Phase, c[f.Teeth[1]].Phase = f.Phases[1], f.Phases[0]
	case CoilsCrossed:
		c[f.Teeth[0]], c[f.Teeth[1]] = c[f.Teeth[1]], c[f.Teeth[0]]
	case PhaseReversed:
		out.scale(f.Phases[0], -1)
	case PhaseOpen:
		out.scale(f.Phases[0], 0)
	}
	return out
}

// scale multiplies the senses of a phase's coils.
func (l Layout) scale(phase, by int) {
	for k := range l.Coils {
		if l.Coils[k].Phase == phase {
			l.Coils[k].Sense *= by
		}
	}
}
