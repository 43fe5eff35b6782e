package rotor

import (
	"cmp"
	"slices"

	"handspin/commutation/winding"
)

// Kind is what makes a rotor uneven.
type Kind string

// The kinds. Strength: one magnet is weaker or stronger than the others. Shifted:
// one is out of its place. Eccentric: the gap is smaller on one side of the rotor.
const (
	Weak      Kind = "weak"
	Missing   Kind = "missing"
	Flipped   Kind = "flipped"
	Strong    Kind = "strong"
	Shifted   Kind = "shifted"
	Eccentric Kind = "eccentric"
)

// Cause is one thing that makes the rotor uneven.
type Cause struct {
	Kind Kind
	// Magnets are those of which one it is, counted from 0: the winding does not
	// tell them apart. None for an eccentric rotor.
	Magnets []int
	// Size is the magnet's strength, 1 for one like the others; or its shift in
	// electrical degrees, late positive; or the field's relative swing. SD is its
	// standard deviation.
	Size, SD float64
	// Or are other causes that explain what is seen nearly as well in this one's place,
	// the likeliest first: a few orders of the turn tell little of a magnet.
	Or []Cause
}

// PoleSeen is what is known of one magnet, or of the mean of several that the winding
// does not tell apart.
type PoleSeen struct {
	// Numbers count from 0, the magnet that faces p1's first coil at
	// Turn.StartDeg, in the order in which they pass.
	Numbers []int
	// Strength is relative to the mean of all, ShiftDeg in electrical degrees;
	// each with its standard deviation.
	Strength, StrengthSD float64
	ShiftDeg, ShiftSD    float64
}

// Pattern is the rotor magnet by magnet.
type Pattern struct {
	// FirstDeg is the shaft's angle at which magnet 0 faces p1's first coil.
	FirstDeg float64
	// AheadDeg is by how many electrical degrees magnet 0 is past p1's first coil at
	// Turn.StartDeg, turned forward, from -90 to 90: at either end the magnet that
	// follows, or the one before, is about as near.
	AheadDeg float64
	// Poles is empty where the winding shows no single magnet, or nothing explains
	// what is seen.
	Poles []PoleSeen
	// Causes explain the pattern, the largest first; none where magnets are as
	// even as usual ones.
	Causes []Cause
	// Scatter is how uneven the other magnets are, relative to usual ones.
	Scatter float64
	// Fit is the probability of a pattern as far off as this or farther if the
	// causes are right and other magnets as even as usual.
	Fit float64
	// Sensors is how many sensors' edges were told magnet by magnet.
	Sensors int

	poles    int
	evidence float64
}

// minFit is the least fit with which a pattern is explained, and mostCauses how many
// causes are looked for. A cause must be more likely than none, and its size between
// what is worth a word and what a magnet can be.
const (
	minFit      = 1e-3
	mostCauses  = 4
	worthWeak   = 0.05 // relative strength
	mostStrong  = 0.3
	worthPlace  = 0.03 // pole pitches
	mostPlace   = 0.5
	worthCentre = 0.02 // relative field
)

// Explained reports whether the causes explain the pattern.
func (p *Pattern) Explained() bool { return p.Fit >= minFit }

// Even reports whether magnets differ by no more than usual.
func (p *Pattern) Even() bool { return len(p.Causes) == 0 && p.Explained() && p.Scatter <= 1 }

// Find finds what makes a rotor uneven, for a stator with the sound layout in all of its
// three phases, or if it is not sound, with one of the faulty ones. Causes are added, the
// most likely first, as long as that makes what is seen more likely (the evidence, with
// every unknown integrated out), for each scatter that the other magnets may have; the
// likeliest of these is the answer. Where that does not explain what is seen, neither
// magnets nor causes are told. The error is ErrBlind, where sensors do not help either,
// ErrWhichFault or ErrNoFundamental.
func Find(t Turn, sound winding.Layout, faulty ...winding.Layout) (out *Pattern, err error) {
	t.limit = t.mostPlace()
	if len(faulty) == 0 {
		out, err = find(t, sound, nil)
	} else {
		out, err = among(t, sound, faulty)
	}
	if err == nil && !out.Explained() {
		out.Poles, out.Causes = nil, nil
	}
	return out, err
}

// find is Find for one layout. The magnets are told in the sets given, or if there are
// none, in those of which the back-EMF shows strength alike.
func find(t Turn, l winding.Layout, sets [][]int) (*Pattern, error) {
	m, err := newModel(t, l)
	switch {
	case err != nil:
		return nil, err
	case !Shows(l) && m.sensors == 0:
		return nil, ErrBlind
	}
	if sets == nil {
		sets = m.sameStrength
	}
	best := slices.MaxFunc(m.explanations(), func(a, b *search) int { return cmp.Compare(a.evidence(), b.evidence()) })
	out := best.pattern(sets)
	if m.astray() && !slices.ContainsFunc(out.Causes, func(c Cause) bool { return c.Kind == Shifted }) {
		t.Edges = nil // which magnets they see is not told, and nothing is gained
		return find(t, l, sets)
	}
	if !Shows(l) { // sensors see places only
		out.Poles = nil
	}
	return out, nil
}

// explanations are what explains the rows best for each scatter.
func (m *model) explanations() []*search {
	var out []*search
	for _, scatter := range scatters {
		s := newSearch(m, scatter)
		for len(s.causes) < mostCauses {
			with := s.withBest()
			if with == nil || with.evidence() <= s.evidence() {
				break
			}
			s = with
		}
		out = append(out, s)
	}
	return out
}

// atom is a direction in the space of unknowns that one cause moves along.
type atom struct {
	kind    Kind // Weak for any strength
	magnets []int
	one     int // of magnets, the one that it is
	// along are one or two directions: unknowns of the model.
	along [][]float64
	// wide is the standard deviation of its size before anything is known of it.
	wide float64
}
