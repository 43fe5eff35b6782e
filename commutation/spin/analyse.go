package spin

import (
	"math"
	"slices"

	"handspin/capture"
	"handspin/commutation/spin/curve"
	"handspin/commutation/spin/emf"
)

// Options are what the person says about a recording.
type Options struct {
	// Backward exchanges forward and backward: most of the turning in the
	// recording was done backward.
	Backward bool
}

// Analyse estimates the motor from a recording. It never fails: what the
// recording does not tell is absent from the result and named in its findings.
func Analyse(rec *capture.Recording, opt Options) *Result {
	a := newAnalysis(rec)
	a.followRotor()
	a.orient(opt.Backward)
	a.setZero()
	a.readSensors()
	if a.contradicted() {
		a.dropFit()
		a.orient(opt.Backward)
		a.setZero()
		a.readSensors()
	}
	a.readDrag()
	a.readPhases()
	a.report()
	a.result.parts = []*analysis{a}
	return &a.result
}

// followRotor finds the rotor's angle, from the back-EMF if possible, else from
// the sensors. The sensors' angle may then carry a fit of what back-EMF there is.
func (a *analysis) followRotor() {
	a.fitBest()
	if a.rotor == nil {
		a.fitUneven()
	}
	if a.rotor != nil {
		return
	}
	a.followHalls()
	if a.rotor != nil {
		a.fitFromHalls()
	}
}

// contradicted reports whether the back-EMF's angle is at odds with the sensors:
// of two or more that change, none does so at a fixed place. Sensors do not all
// fail at once in such a way, while columns that are no back-EMF of this rotor,
// or a fit gone astray, make all of them look bad.
func (a *analysis) contradicted() bool {
	if a.fit == nil {
		return false
	}
	changing, agreeing := 0, 0
	for i, s := range a.result.Sensors {
		if a.data[i].changes > 3 {
			changing++
			if s.Agreement >= poorAgreement || a.data[i].inPlace(s) {
				agreeing++
			}
		}
	}
	return changing >= 2 && agreeing == 0
}

// leastClear is the back-EMF, in standard deviations of its noise, that columns must show to
// be believed after they contradicted the sensors.
const leastClear = 5.0

// dropFit goes back to the sensors' own angle. Columns that are this rotor's back-EMF, but
// misled a fit by themselves, may be fitted from there.
func (a *analysis) dropFit() {
	a.fit, a.rotor = nil, nil
	a.mends, a.referenceLead = [3]float64{1, 1, 1}, -1
	a.followHalls()
	halls := a.rotor
	if halls != nil {
		a.fitFromHalls()
	}
	if a.fit != nil && a.fit.Clearness() < leastClear { // any noise can be fitted
		a.fit, a.rotor = nil, halls
	}
	a.foreign = a.fit == nil
}

// fitFromHalls fits the columns with the sensors' angle to begin with: a single
// signal, which does not tell the angle by itself, refines it.
func (a *analysis) fitFromHalls() {
	for _, r := range emf.Readings(a.rec) {
		s := r.Signals.Thin(r.Signals.ThinningAt(a.rotor.fastest()))
		angle, seen := make([]float64, len(s.Time)), []curve.Stretch(nil)
		for i, t := range s.Time {
			deg, _, ok := a.rotor.angleAt(t)
			angle[i] = deg * math.Pi / 180
			if n := len(seen); ok && n > 0 && seen[n-1].Hi == i && a.rotor.sameChain(s.Time[i-1], t) {
				seen[n-1].Hi++
			} else if ok {
				seen = append(seen, curve.Stretch{Lo: i, Hi: i + 1})
			}
		}
		s.Stretches = slices.DeleteFunc(seen, func(st curve.Stretch) bool { return st.Hi-st.Lo < emf.LeastRun })
		f, err := emf.NewFit(s, angle, emf.ByHand)
		if err == nil && f.Refine() == nil && f.Explained() > wellExplained {
			a.fit, a.rotor = f, rotorOf(f)
			return
		}
	}
}

// analysis is the work on one recording.
type analysis struct {
	rec    *capture.Recording
	result Result

	read  *emf.Signals // see columns
	fit   *emf.Fit     // nil where the back-EMF does not give the angle
	rotor *rotorAngle  // nil where nothing gives the angle
	data  [3]*sensorData
	// covered is how many of the 360 electrical degrees the rotor passed.
	covered int
	// turnedMore is by how many electrical turns the rotor turned more one way than
	// the other, with what gaps hide, and turnedDoubt the standard deviation of that.
	turnedMore, turnedDoubt float64
	gridDeg                 float64    // where the sensors' grid lies, on the angle's scale
	mends                   [3]float64 // factors by which a column's scale was off
	// foreign is set where the columns' angle contradicted the sensors.
	foreign bool
	// drag is how the sensors' angles depend on the speed.
	drag drag
	// hidden is how far poles that half waves hide may move the zero, in degrees.
	hidden float64
	// scaled are the columns that were brought to the others' scale before the fit.
	scaled []scaled
	// spikes is how many samples were replaced before anything else was done.
	spikes int
	// referenceLead is the phase lead that was the columns' reference, or -1.
	referenceLead int
}

// columns are the phase columns, found once.
func (a *analysis) columns() *emf.Signals {
	if a.read == nil {
		a.read = emf.Columns(a.rec)
	}
	return a.read
}

func newAnalysis(rec *capture.Recording) *analysis {
	a := &analysis{mends: [3]float64{1, 1, 1}, referenceLead: -1}
	a.rec, a.spikes = emf.Calmed(rec)
	a.rec, a.scaled = mendColumns(a.rec)
	a.result.FluxLinkage = unknown
	a.result.Speed = speedOf()
	a.result.SpacingDeg, a.result.ShiftDeg = math.NaN(), math.NaN()
	for i := range a.result.Phases {
		a.result.Phases[i] = Phase{AngleDeg: unknown, Amplitude: unknown}
	}
	return a
}

// leastExplained is the share of the back-EMF that a fit must account for to be
// believed at all. Magnets that differ by a tenth leave one per cent; the right
// reading of the columns leaves less than a wrong one by far. An angle that may
// jump with every cog can follow anything, so a fit with it must leave less. With
// wellExplained no other reading needs to be tried.
const (
	leastExplained   = 0.95
	leastWithCogging = 0.98
	wellExplained    = 0.97
)

// unevenShare is what a fit may miss of the back-EMF before the speed is taken to
// change more quickly than by hand; very unequal magnets leave less.
const unevenShare = 0.12

// fitBest fits the possible readings of the columns and keeps the one that
// explains them best. Only where none suits a rotor turned by hand may the rotor
// be one that cogging makes jump: such an angle makes up for a wrong reading.
func (a *analysis) fitBest() {
	all := emf.Readings(a.rec)
	best := bestFit(all, emf.ByHand, leastExplained)
	if best == nil || best.Missed() >= unevenShare {
		g := bestFit(all, emf.ByCogging, leastWithCogging)
		if g != nil && (best == nil || g.Missed() < best.Missed()/2) {
			best = g
		}
	}
	if best != nil {
		a.fit, a.rotor = best, rotorOf(best)
	}
}

// bestFit is the reading's fit that explains more than least and the most; nil
// where there is none.
func bestFit(all []emf.Reading, how emf.Pace, least float64) *emf.Fit {
	var best *emf.Fit
	for _, r := range all {
		f := emf.FitReading(r, how)
		if f == nil || f.Explained() <= least {
			continue
		}
		best, least = f, f.Explained()
		if least > wellExplained && f.Missed() < unevenShare {
			break
		}
	}
	return best
}
