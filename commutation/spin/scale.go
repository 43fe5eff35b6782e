package spin

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// A probe's switch or a front end's setting can make one column ten or a
// hundred times too small or large. Angles 120 degrees apart, which no damaged
// winding keeps against a floating reference, and a round factor tell it.
const (
	scaleAngle  = 5.0  // deg
	scaleFactor = 0.06 // relative
)

// mendScale corrects one column whose scale is off by a power of ten.
func (a *analysis) mendScale(w [3]commutation.Wave) {
	if a.fit.Signals.Floating {
		return
	}
	for k := range w {
		p, q, r := phasor(w[k]), phasor(w[(k+1)%3]), phasor(w[(k+2)%3])
		if p == 0 || q == 0 || r == 0 || !third120(p, q) || !third120(q, r) || !third120(r, p) {
			continue
		}
		others := (cmplx.Abs(q) + cmplx.Abs(r)) / 2
		if math.Abs(cmplx.Abs(q)/cmplx.Abs(r)-1) > 2*scaleFactor {
			continue
		}
		for _, factor := range []float64{10, 100, 0.1, 0.01} {
			if math.Abs(cmplx.Abs(p)*factor/others-1) < scaleFactor {
				a.mends[k] = factor
				return
			}
		}
	}
}

func third120(p, q complex128) bool {
	d := math.Abs(cmplx.Phase(p/q)) * 180 / math.Pi
	return math.Abs(d-120) < scaleAngle
}

// tenFold returns the power of ten, up to a hundred, that brings a to b within
// tolerance (relative); 1 where none but 1 does or none at all.
func tenFold(a, b, tolerance float64) float64 {
	for _, factor := range []float64{10, 100, 0.1, 0.01} {
		if math.Abs(a*factor/b-1) < tolerance {
			return factor
		}
	}
	return 1
}

// scaled is a column that was recorded at another scale than the others.
type scaled struct {
	signal capture.Signal
	factor float64
	// alone is set where nothing tells which of two is at the right scale.
	alone bool
}

// Before a fit, of two columns the angle between is known by their correlation:
// -0.5 for p12 and p23, and for two leads against the star point; 0.5 for leads
// against the third. Turns that are not whole move it, and the ratio of the
// columns' sizes, by up to 1/(4 pi n) for n turns: 0.08 and 0.04 for two.
const (
	halfCorrelated  = 0.15
	roughlyTenfold  = 0.12
	scaledBetweenSD = 12.0 // standard deviations of its noise that a column shows at least
)

// mendColumns returns rec with a difference column that is ten or a hundred times
// too small or large brought to the others' scale, and which one that was. With
// three leads recorded one by one the fit tells it better, see mendScale.
func mendColumns(rec *capture.Recording) (*capture.Recording, []scaled) {
	n := len(rec.Columns)
	if n < 2 || n == 3 && !rec.Columns[0].Signal.Difference() {
		return rec, nil
	}
	s := emf.Columns(rec)
	var offsets [3]float64
	for c, ch := range s.Channels {
		offsets[c] = ch.Offset()
	}
	cov := s.Covariance(offsets)
	size := func(c int) float64 { return math.Sqrt(cov.At(c, c)) }
	odd := oddColumn(n, size)
	for c := range n {
		if !(size(c) > scaledBetweenSD*s.Channels[c].Noise) {
			return rec, nil
		}
		if r := cov.At(c, odd) / (size(c) * size(odd)); c != odd && math.Abs(math.Abs(r)-0.5) > halfCorrelated {
			return rec, nil
		}
	}
	other := (odd + 1) % n
	factor := tenFold(size(odd), size(other), roughlyTenfold)
	if factor == 1 || n == 3 && tenFold(size(odd), size((odd+2)%n), roughlyTenfold) != factor {
		return rec, nil
	}
	out := *rec
	out.Columns = slices.Clone(rec.Columns)
	out.Columns[odd].Value = slices.Clone(rec.Columns[odd].Value)
	for i := range out.Columns[odd].Value {
		out.Columns[odd].Value[i] *= factor
	}
	return &out, []scaled{{rec.Columns[odd].Signal, factor, n == 2}}
}

// oddColumn returns which column is not of the size of the others: the smaller of
// two, of three that whose size is furthest from the middle one.
func oddColumn(n int, size func(int) float64) (odd int) {
	all := make([]float64, n)
	for c := range all {
		all[c] = size(c)
	}
	middle := slices.Sorted(slices.Values(all))[n/2]
	for c, v := range all {
		if math.Abs(math.Log(v/middle)) > math.Abs(math.Log(all[odd]/middle)) {
			odd = c
		}
	}
	return odd
}

// voltsKnown reports whether the size of the phases in volts is known.
func (a *analysis) voltsKnown() bool {
	return a.rec.VoltsPerUnit > 0 && !(a.fit != nil && a.fit.Signals.Cut) && !slices.ContainsFunc(a.scaled, func(m scaled) bool { return m.alone })
}

// reportScaled names the columns that were brought to the others' scale.
func (a *analysis) reportScaled() {
	for _, m := range a.scaled {
		text := fmt.Sprintf("%s was recorded at %g of the others' scale, at exactly the right angle: taken as a wrong probe or range setting and corrected", m.signal, 1/m.factor)
		if m.alone {
			text += "; which of the two is right is not known, so volts are not either"
		}
		a.find("phase-scale", commutation.Note, "", text, "set all channels alike")
	}
}

// scales returns by which power of ten the phases of each part are to be scaled:
// 1, or where the scale of one single difference is off by a power of ten from
// that of the others, that. It takes phases in balance to believe it.
func (j *joiner) scales() []float64 {
	factors := make([]float64, len(j.parts))
	var seen []view
	var of []int
	for k, p := range j.parts {
		factors[k] = 1
		if p.fit == nil || !j.linkage.has(k) {
			continue
		}
		for _, v := range p.scaledViews(p.fit.Unknowns(), 1) {
			seen, of = append(seen, v), append(of, k)
		}
	}
	if len(seen) < 2 {
		return factors
	}
	odd := oddColumn(len(seen), func(i int) float64 { return cmplx.Abs(phasor(seen[i].wave)) })
	other := (odd + 1) % len(seen)
	factor := tenFold(cmplx.Abs(phasor(seen[odd].wave)), cmplx.Abs(phasor(seen[other].wave)), 2*scaleFactor)
	if factor == 1 || of[odd] == of[other] {
		return factors
	}
	seen[odd].scale(factor)
	inverse, ok := normalInverse(seen)
	if !ok || !(unbalance(solve(inverse, seen)) < unequalShare) {
		return factors
	}
	factors[of[odd]] = factor
	p := j.parts[of[odd]]
	p.scaled = append(p.scaled, scaled{seen[odd].signal(), factor, len(seen) == 2})
	return factors
}
