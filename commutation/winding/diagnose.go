package winding

import (
	"errors"
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Measured is the fundamental back-EMF of three leads, averaged over whole turns
// of the shaft.
type Measured struct {
	// EMF is by lead, in any unit; a lead that lags by an angle has its phasor
	// at minus or plus that angle, for all three alike. The leads are taken as
	// phases A, B, C: where nobody has traced them, teeth in the result count
	// from any +A tooth in the direction that suits the leads.
	EMF [3]complex128
	// Cov is the covariance of real part, imaginary part of the first lead, of
	// the second, of the third, in units of EMF squared.
	Cov [6][6]float64
	// Floating is true where the reference was not the star point, so that
	// what the leads have in common is not known.
	Floating bool
}

// AcrossDelta returns what phases in delta, of which A lies from the first lead to
// the second, show: the differences of the leads, whose common part circulates in
// the delta and is not seen.
func (m Measured) AcrossDelta() Measured {
	out := Measured{Floating: true}
	part := func(i int) (lead, next, of int) { return i / 2, (i/2 + 1) % 3, i % 2 }
	for k := range m.EMF {
		out.EMF[k] = m.EMF[k] - m.EMF[(k+1)%3]
	}
	for i := range m.Cov {
		a, b, u := part(i)
		for j := range m.Cov {
			c, d, v := part(j)
			out.Cov[i][j] = m.Cov[2*a+u][2*c+v] - m.Cov[2*a+u][2*d+v] - m.Cov[2*b+u][2*c+v] + m.Cov[2*b+u][2*d+v]
		}
	}
	return out
}

// Group is faults that the phasors cannot tell apart.
type Group struct {
	Faults []Fault
	// Chi2 is the squared distance from the measured phasors in units of the
	// standard deviation, with strength, time and the way round fitted.
	Chi2 float64
	// Probability is among all groups: the faults are taken as the only ones
	// that there are, and before measuring as likely as [Diagnose] says.
	Probability float64
}

// Diagnosis is what the phasors say about the winding.
type Diagnosis struct {
	// Groups are all faults, likely ones first.
	Groups []Group
	// Fit is the probability of a distance as large as the best group's or
	// larger if that group is right.
	Fit float64
	// Tests are the measurements that can tell the likely faults apart.
	Tests []Test
}

// The model's own limits as standard deviations of each phase, in both parts of
// its phasor, relative to a sound phase. Hand-wound and factory windings alike
// have phases within about 1 % (common practice). An eccentric rotor makes phases
// in one sector of the stator unequal by up to 4 % (first-order eccentricity of
// 5 % of the field, by superposition).
const (
	floorSD       = 0.01
	sectorFloorSD = 0.02
)

// Likely is how probable the groups of [Diagnosis.Likely] are together, and minFit
// the least fit with which a diagnosis is [Diagnosis.Explained].
const (
	likely = 0.99
	minFit = 1e-3
)

// errNothing is returned where there are no phasors to diagnose.
var errNothing = errors.New("the phasors are zero or not numbers")

// Diagnose holds measured phasors against the layout, which is the right one, with
// each of its single faults. Before measuring, a sound winding is as likely as all
// faults together, the kinds of fault are equally likely, and so are the faults
// within a kind. Errors are Gaussian, from the covariance and the model's limits.
func Diagnose(m Measured, l Layout) (Diagnosis, error) {
	w, err := newWhitener(m, l.floor())
	if err != nil {
		return Diagnosis{}, err
	}
	faults := l.Faults()
	prior := priors(faults)
	index := map[signature]int{}
	var groups []Group
	for _, f := range faults {
		e := l.Predict(f, m.Floating)
		key := sign(e)
		i, known := index[key]
		if !known {
			i = len(groups)
			index[key] = i
			groups = append(groups, Group{Chi2: w.distance(e)})
		}
		groups[i].Faults = append(groups[i].Faults, f)
		groups[i].Probability += prior[f.Kind]
	}
	weigh(groups)
	d := Diagnosis{Groups: groups}
	d.Fit = distuv.ChiSquared{K: w.freedom()}.Survival(d.best())
	d.Tests = l.Tests(d.Likely(), m.Floating)
	return d, nil
}

func (l Layout) floor() float64 {
	if l.OneSector() {
		return sectorFloorSD
	}
	return floorSD
}

// priors returns the probability of a single fault of each kind before measuring.
func priors(faults []Fault) [kinds]float64 {
	var count, p [kinds]float64
	for _, f := range faults {
		count[f.Kind]++
	}
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
		groups[i].Probability *= math.Exp((least - groups[i].Chi2) / 2)
		sum += groups[i].Probability
	}
	for i := range groups {
		groups[i].Probability /= sum
	}
	slices.SortStableFunc(groups, func(a, b Group) int { return compare(b.Probability, a.Probability) })
}

// best returns the smallest distance of all groups.
func (d Diagnosis) best() float64 {
	best := math.Inf(1)
	for _, g := range d.Groups {
		best = min(best, g.Chi2)
	}
	return best
}

// Explained reports whether some single fault, or none, fits the phasors at all.
func (d Diagnosis) Explained() bool { return d.Fit >= minFit }

// Sound reports whether no fault is likely. A large stator may be neither Sound
// nor [Diagnosis.Faulty]: one of its coils is so small a part of a phase that it
// does not show.
func (d Diagnosis) Sound() bool {
	likely := d.Likely()
	return d.Explained() && len(likely) == 1 && likely[0].Kind == Sound
}

// Faulty reports whether a single fault is likely and a sound winding is not.
func (d Diagnosis) Faulty() bool {
	return d.Explained() && !slices.ContainsFunc(d.Likely(), func(f Fault) bool { return f.Kind == Sound })
}

// Likely returns the faults of the fewest groups that together are 99 % probable,
// the likeliest group first.
func (d Diagnosis) Likely() []Fault {
	var all []Fault
	sum := 0.0
	for _, g := range d.Groups {
		if sum >= likely {
			break
		}
		sum += g.Probability
		all = append(all, g.Faults...)
	}
	return all
}

// scale returns the size of a sound phase as far as the leads show it: the
// largest difference between two, over the square root of three.
func (m Measured) scale() float64 {
	size := 0.0
	for _, line := range Lines(m.EMF) {
		size = max(size, cmplx.Abs(line))
	}
	return size
}
