package winding

import (
	"errors"

	"gonum.org/v1/gonum/stat/distuv"
)

// Diagnosis is what the phasors say about the winding.
type Diagnosis struct {
	// Groups are all faults, likely ones first.
	Groups []Group
	// Fit is the best of the likely groups'.
	Fit float64
	// Off is the largest difference of a lead from a sound winding that fits
	// best, relative to a sound phase, and OffSD what the measured errors make
	// of that at most.
	Off, OffSD float64
	// Tests are the measurements that can tell the likely faults apart.
	Tests []Test
}

// likely is how probable the groups of [Diagnosis.Likely] are together, and minFit
// the least fit with which a diagnosis is [Diagnosis.Explained].
const (
	likely = 0.99
	minFit = 1e-3
)

// ErrNothing is returned where there are no phasors to diagnose.
var ErrNothing = errors.New("the phasors are zero or not numbers")

// Diagnose holds measured phasors against the layout, which is the right one, with
// each of its single faults. Before measuring, a sound winding is as likely as all
// faults together, the kinds of fault are equally likely, and so are the faults
// within a kind, and any share of turns that is a fault. Errors are Gaussian, from
// the covariance and the model's limits.
func Diagnose(m Measured, l Layout) (Diagnosis, error) {
	w, err := newWays(m, l, eccentricSD)
	if err != nil {
		return Diagnosis{}, err
	}
	wide, err := newWays(m, l, offCentreSD)
	if err != nil {
		return Diagnosis{}, err
	}
	d := Diagnosis{Groups: l.groups(m.Floating, w, wide)}
	d.Off, d.OffSD = l.off(m)
	for i := range d.Groups {
		g := &d.Groups[i]
		free := w[0].freedom()
		if g.Faults[0].partial() {
			free-- // its share was fitted
		}
		g.Fit = distuv.ChiSquared{K: free}.Survival(g.Chi2)
	}
	for _, g := range d.likely() {
		d.Fit = max(d.Fit, g.Fit)
	}
	d.Tests = l.Tests(d.Likely(), m.Floating)
	return d, nil
}

// Explained reports whether some single fault, or none, fits the phasors at all.
func (d Diagnosis) Explained() bool { return d.Fit >= minFit }

// PSound is the probability of a sound winding, be the rotor off centre or not.
func (d Diagnosis) PSound() float64 { return d.P(Sound) + d.P(OffCentre) }

// P is the probability of the groups of a kind.
func (d Diagnosis) P(k Kind) (p float64) {
	for _, g := range d.Groups {
		if g.Is(k) {
			p += g.Probability
		}
	}
	return p
}

// Sound reports whether a sound winding explains the phasors and no fault is likely. A
// large stator may be neither Sound nor [Diagnosis.Faulty]: one of its coils is so
// small a part of a phase that it does not show.
func (d Diagnosis) Sound() bool {
	return d.Explained() && d.PSound() >= likely
}

// Faulty reports whether the phasors are those of a winding with a single fault, be
// it known which or not, and a sound winding is not likely.
func (d Diagnosis) Faulty() bool { return d.Explained() && d.PSound() <= 1-likely }

// Likely returns the faults of the fewest groups that together are 99 % probable,
// the likeliest group first.
func (d Diagnosis) Likely() []Fault {
	var all []Fault
	for _, g := range d.likely() {
		all = append(all, g.Faults...)
	}
	return all
}

func (d Diagnosis) likely() []Group {
	sum := 0.0
	for i, g := range d.Groups {
		if sum >= likely {
			return d.Groups[:i]
		}
		sum += g.Probability
	}
	return d.Groups
}

// Layouts returns l with each likely fault in it. Losses of a part of the turns have no
// layout of their own: where these are the likelier ones there is none.
func (d Diagnosis) Layouts(l Layout) []Layout {
	var out []Layout
	part := 0.0
	for _, g := range d.likely() {
		if g.Faults[0].partial() {
			part += g.Probability
			continue
		}
		for _, f := range g.Faults {
			out = append(out, l.With(f))
		}
	}
	if part > 0.5 {
		return nil
	}
	return out
}
