package winding

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Group is faults that the phasors cannot tell apart.
type Group struct {
	Faults []Fault
	// Chi2 is the squared distance from the measured phasors in units of the
	// standard deviation, with strength, time and the way round fitted.
	Chi2 float64
	// Fit is the probability of such a distance or a larger one if the group is
	// right.
	Fit float64
	// Probability is among all groups: the faults are taken as the only ones
	// that there are, and before measuring as likely as [Diagnose] says.
	Probability float64
	// evidence is the mean of the likelihood over what the group leaves open,
	// relative to its largest.
	evidence float64
}

// Is reports whether the group's faults are of a kind.
func (g Group) Is(k Kind) bool {
	return slices.ContainsFunc(g.Faults, func(f Fault) bool { return f.Kind == k })
}

// String names the faults, "or" between them.
func (g Group) String() string { return strings.Join(g.Names(), "; or ") }

// fewPairs is how many pairs of exchanged coils are named one by one.
const fewPairs = 2

// Names names the faults, those of coils of which any will do together.
func (g Group) Names() []string {
	var out []string
	for i, f := range g.Faults {
		other := func(h Fault) bool { return !f.likes(h) }
		alike := slices.DeleteFunc(slices.Clone(g.Faults), other)
		switch {
		case len(f.Teeth) == 0 || f.exchanged() && len(alike) <= fewPairs:
			out = append(out, f.String())
		case !slices.ContainsFunc(g.Faults[:i], f.likes):
			out = append(out, together(alike))
		}
	}
	return out
}

// exchanged reports whether two coils are in one another's phase.
func (f Fault) exchanged() bool { return f.Kind == CoilsSwapped || f.Kind == CoilsCrossed }

// likes reports whether another fault is the same on other teeth of the phases.
func (f Fault) likes(other Fault) bool {
	if f.Kind != other.Kind || len(f.Phases) != len(other.Phases) {
		return false
	}
	return !slices.ContainsFunc(f.Phases, func(phase int) bool { return !slices.Contains(other.Phases, phase) })
}

// together names faults of one kind and phase on one tooth, or on two, each.
func together(faults []Fault) string {
	if f := faults[0]; f.exchanged() {
		a, b := min(f.Phases[0], f.Phases[1]), max(f.Phases[0], f.Phases[1])
		return f.says(fmt.Sprintf("two coils of %s and %s, on any of %d pairs of teeth such as %d and %d,", PhaseName(a), PhaseName(b), len(faults), f.Teeth[0]+1, f.Teeth[1]+1))
	}
	var teeth []string
	for _, f := range faults {
		for _, tooth := range f.Teeth {
			if name := fmt.Sprint(tooth + 1); !slices.Contains(teeth, name) {
				teeth = append(teeth, name)
			}
		}
	}
	f, phase := faults[0], PhaseName(faults[0].Phases[0])
	switch {
	case len(faults) == 1:
		return f.String()
	case len(f.Teeth) == 2:
		return f.says(fmt.Sprintf("two of the coils on teeth %s (%s)", listed(teeth, "and"), phase))
	}
	return f.says(fmt.Sprintf("coil on tooth %s (%s)", listed(teeth, "or"), phase))
}

// listed is "1, 2 or 3".
func listed(names []string, before string) string {
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " " + before + " " + names[last]
}

// groups returns all faults by what they show, the likeliest first; wide has the limits
// of a rotor off centre.
func (l Layout) groups(floating bool, w, wide ways) []Group {
	faults, parts := l.Faults(), l.parts(floating)
	if l.ShowsOffCentre() {
		faults = append(faults, Fault{Kind: OffCentre})
	}
	var count [kinds]float64
	for _, f := range faults {
		count[f.Kind]++
	}
	for _, p := range parts {
		count[p.Kind]++
	}
	all := gathered{prior: priors(count), at: map[shown]int{}}
	for _, f := range faults {
		e := l.Predict(f, floating)
		all.add(f, e, func() Group {
			if f.Kind == OffCentre {
				return offCentre(e, w, wide)
			}
			return Group{Chi2: w.distance(e), evidence: 1, Faults: []Fault{f}}
		})
	}
	for _, p := range parts {
		p.Share = 1
		all.add(p.Fault, l.Predict(p.Fault, floating), func() Group { return p.group(l, floating, w.distance) })
	}
	weigh(all.groups)
	return all.groups
}

// offCentre returns the group of a rotor off centre: the likelihood of e over all places
// of the rotor is Gaussian, too, and as much lower as its bell is wider.
func offCentre(e [3]complex128, w, wide ways) Group {
	narrow, _ := w.nearer(e)
	broad, far := wide.nearer(e)
	return Group{Chi2: far, evidence: broad.density / narrow.density, Faults: []Fault{{Kind: OffCentre}}}
}

// gathered are faults in groups by what they show.
type gathered struct {
	prior  [kinds]float64
	groups []Group
	at     map[shown]int
}

// shown is what a fault shows, and its kind where that has something to be fitted.
type shown struct {
	signature
	fitted Kind
}

// add adds a fault that shows e, as what first returns where it is the first that does.
func (g *gathered) add(f Fault, e [3]complex128, first func() Group) {
	key := shown{signature: sign(e)}
	if f.partial() || f.Kind == OffCentre {
		key.fitted = f.Kind
	}
	i, known := g.at[key]
	if !known {
		i = len(g.groups)
		g.at[key], g.groups = i, append(g.groups, first())
	} else {
		alike := g.groups[i].Faults[0]
		f.Share, f.ShareSD = alike.Share, alike.ShareSD
		g.groups[i].Faults = append(g.groups[i].Faults, f)
	}
	g.groups[i].Probability += g.prior[f.Kind]
}

// priors returns the probability of a single fault of each kind before measuring,
// where there are so many of it.
func priors(count [kinds]float64) (p [kinds]float64) {
	present := 0.0
	for k := Sound + 1; k < kinds; k++ {
		if count[k] > 0 {
			present++
		}
	}
	p[Sound] = 0.5
	for k := Sound + 1; k < kinds; k++ {
		p[k] = 0.5 / present / max(count[k], 1)
	}
	return p
}

// weigh turns the groups' prior probabilities into those after measuring, and
// sorts the groups.
func weigh(groups []Group) {
	least := math.Inf(1)
	for _, g := range groups {
		least = min(least, g.Chi2)
	}
	sum := 0.0
	for i := range groups {
		groups[i].Probability *= groups[i].evidence * math.Exp((least-groups[i].Chi2)/2)
		sum += groups[i].Probability
	}
	for i := range groups {
		groups[i].Probability /= sum
	}
	slices.SortStableFunc(groups, func(a, b Group) int { return compare(b.Probability, a.Probability) })
}
