package winding

import "math"

// Test is a measurement beside the back-EMF of a hand spin.
type Test string

// The measurements that tell faults apart which the phasors do not.
const (
	// Resistance: of the three pairs of leads, to two percent.
	Resistance Test = "resistance"
	// StarPoint: the back-EMF against the star point, or of a delta opened at
	// one corner.
	StarPoint Test = "star-point"
	// OtherInputs: another recording with the three leads exchanged round at the
	// board's inputs, where what stays with an input is its divider's.
	OtherInputs Test = "other-inputs"
	// Gap: between rotor and stator, at several places around.
	Gap Test = "gap"
	// Drag: whether the rotor brakes and a coil warms, with all leads open.
	Drag Test = "drag"
	// SingleCoil: each coil of the phase by itself, with a probe, or with a
	// compass and a small direct current through the phase.
	SingleCoil Test = "single-coil"
)

// What must differ for a test to tell: relative to the sound winding.
const (
	tellsResistance = 0.02 // what comparing phases by a four-wire meter resolves (common practice)
	tellsZero       = 0.02 // twice what well-made phases differ by
)

// Tests returns those that can tell some of the given faults apart, the easiest
// first.
func (l Layout) Tests(faults []Fault, floating bool) []Test {
	var tests []Test
	add := func(yes bool, t Test) {
		if yes {
			tests = append(tests, t)
		}
	}
	add(l.spread(faults, l.resistances) > tellsResistance, Resistance)
	add(floating && l.spread(faults, l.zeros) > tellsZero, StarPoint)
	missing, scaled, off, places := false, false, false, map[[2]int]bool{}
	for _, f := range faults {
		missing = missing || f.Kind == CoilMissing || f.Kind == PairMissing || f.Kind == CoilPart
		scaled = scaled || f.partial()
		off = off || f.Kind == OffCentre
		if len(f.Teeth) > 0 {
			places[[2]int{f.Teeth[0], f.Teeth[len(f.Teeth)-1]}] = true
		}
	}
	add(scaled, OtherInputs)
	add(off && len(faults) > 1, Gap)
	add(missing, Drag) // tells a shorted coil from one left out
	add(len(places) > 1, SingleCoil)
	return tests
}

// spread returns the largest difference between two faults in any of the numbers
// that each has.
func (l Layout) spread(faults []Fault, of func(Fault) [3]float64) float64 {
	low := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
	high := [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
	for _, f := range faults {
		for i, x := range of(f) {
			low[i], high[i] = min(low[i], x), max(high[i], x)
		}
	}
	most := 0.0
	for i := range low {
		if high[i] > low[i] {
			most = max(most, high[i]-low[i])
		}
	}
	return most
}

// resistances is [Layout.Resistances] with an open phase as a very large number,
// so that differences exist.
func (l Layout) resistances(f Fault) [3]float64 {
	r := l.Resistances(f)
	for i := range r {
		r[i] = min(r[i], 1e9)
	}
	return r
}

func (l Layout) zeros(f Fault) [3]float64 {
	z := Zero(l.Predict(f, false))
	return [3]float64{math.Sqrt(norm(z))}
}

// Resistances returns each phase's resistance with a fault relative to the sound
// one, for coils in series; infinite where the phase is open. Turns that are shorted
// or left out take their share of the resistance with them.
func (l Layout) Resistances(f Fault) [3]float64 {
	share, whole := 1.0, f
	if f.partial() {
		share, whole = f.Share, f.whole()
	}
	before, after := l.Count(), l.With(whole).Count()
	var r [3]float64
	for i := range r {
		r[i] = 1 - share*(1-float64(after[i])/float64(before[i]))
	}
	if f.Kind == PhaseOpen {
		r[f.Phases[0]] = math.Inf(1)
	}
	return r
}

// StarLines returns the resistances between leads A-B, B-C, C-A of three phases
// in star.
func StarLines(r [3]float64) [3]float64 {
	return [3]float64{r[0] + r[1], r[1] + r[2], r[2] + r[0]}
}

// DeltaLines returns the resistances between the leads of three phases in delta;
// phase A lies between the first two leads, B between the next two, C between the
// third and the first.
func DeltaLines(r [3]float64) [3]float64 {
	var out [3]float64
	for i := range out {
		out[i] = parallel(r[i], r[(i+1)%3]+r[(i+2)%3])
	}
	return out
}

// parallel also is right where one of the two is infinite.
func parallel(a, b float64) float64 { return 1 / (1/a + 1/b) }
