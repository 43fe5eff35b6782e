package spin

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

func (a *analysis) reportPhases() {
	if len(a.rec.Columns) == 0 {
		return
	}
	a.reportScaled()
	if a.mirrored() {
		a.find("phase-reference", commutation.Data, "", "the two phase columns mirror each other: the reference floats with the motor, and each shows a part of the one voltage between the two leads; that is no fault",
			"measure both against the third lead, or record the differences p12 and p23")
		return
	}
	if a.fit == nil {
		a.reportNoFit()
		return
	}
	for k := range a.result.Phases {
		a.reportPhase(k)
	}
	if a.referenceLead >= 0 {
		lead := leadName("p", a.referenceLead)
		a.find("phase-reference", commutation.Note, lead, lead+" reads nothing, and the two others are closer together than if it were open: it was taken as the lead that they were measured against", "")
	}
	a.reportReversed()
	a.reportBalance(a.unbalanced())
	a.reportClipped()
	a.reportHum()
}

// reportReversed names a reversed phase: by its angle where the columns are against the star
// point, and where another phase is weak or it is itself, so that the fundamentals do not
// show it, by its third harmonic.
func (a *analysis) reportReversed() {
	if a.has("phase-open") || a.fit.Signals.Floating || !a.fit.Signals.All() {
		return
	}
	w := a.finalWaves(a.fit.Unknowns())
	if k := turnedOver(w); k >= 0 {
		a.findReversed(k, "%[1]s's back-EMF lies between those of the two others, where a sound winding has it opposite to that place: the phase is reversed")
		return
	}
	if unbalance(w) > brokenShare || a.fit.Signals.Clipped {
		return
	}
	if k := reversed(w); k >= 0 {
		a.findReversed(k, "the third harmonic of %[1]s is opposite to that of the two others, which in a sound winding is alike in all three: the phase is reversed")
	}
}

func (a *analysis) findReversed(k int, text string) {
	lead := leadName("p", k)
	a.find("phase-spacing", commutation.Repair, lead, fmt.Sprintf(text, lead),
		"its two winding ends are probably exchanged, or the channel is inverted; measure each phase by itself before rewinding")
}

// reportHum says what was taken out of the columns, tones near each other as one.
func (a *analysis) reportHum() {
	var tones []string
	largest := 0.0
	for _, h := range a.fit.Hum {
		if name := fmt.Sprintf("%.0f Hz", h.Hz); !slices.Contains(tones, name) {
			tones = append(tones, name)
		}
		largest = max(largest, h.Share)
	}
	if len(tones) == 0 {
		return
	}
	a.find("phase-hum", commutation.Note, "", fmt.Sprintf("the phase columns carry hum of the mains, %s, up to %.0f %% of the back-EMF, which was taken out", strings.Join(tones, " and "), 100*largest),
		"keep the leads from mains wiring and together, and connect the board's ground to the motor's Hall ground")
}

func (a *analysis) reportClipped() {
	if !a.fit.Signals.Clipped {
		return
	}
	text := "the phase columns are cut off at a limit for part of the time; only the rest was used"
	if a.fit.Signals.Cut {
		text = "the phase columns are cut off at their limits for more than half of the time; the rest tells the angles, but not how large the back-EMF is"
	}
	a.find("phase-clipped", commutation.Note, "", text, lessVoltage)
}

// lessVoltage is what to do where columns are cut off.
const lessVoltage = "use a larger divider ratio, or bias the dividers to half the supply, or turn more slowly"

// mains reports whether what seems to be turning is pick-up of 50 or 60 Hz: no
// sensor changes, and the rate is a mains frequency from beginning to end,
// within one per cent, which no hand can do.
func (a *analysis) mains() bool {
	if a.fit == nil || a.data[0].changes+a.data[1].changes+a.data[2].changes > 0 {
		return false
	}
	for _, hz := range []float64{50, 60} {
		if a.steadyAt(hz) {
			return true
		}
	}
	return false
}

// steadyAt reports whether the fitted rate stays within a hundredth of hz.
func (a *analysis) steadyAt(hz float64) bool {
	s := a.fit.Signals
	off, n := 0, 0
	for _, st := range s.Stretches {
		for i := st.Lo; i < st.Hi; i++ {
			_, w := a.fit.Angle.AtTime(s.Time[i])
			if math.Abs(math.Abs(w)/(2*math.Pi)-hz) > hz/100 {
				off++
			}
			n++
		}
	}
	return off*10 < n
}

// mirrored reports whether the recording's only two phase columns are opposite
// to each other, as two probes on a motor without any other connection are.
func (a *analysis) mirrored() bool {
	if len(a.rec.Columns) != 2 || a.rec.Columns[0].Signal.Difference() {
		return false
	}
	return a.columns().Correlation(0, 1) < -0.9
}

// leastTogether is the correlation of two leads' columns from which both are taken as
// measured against the third: 0.5 in a sound motor, 0.34 where only the positive halves
// show, up to 0.61 if the rotor also rests. With the third lead open it is -0.5 or less,
// of halves up to 0.11 if the rotor also rests (integrals of sines 60, 120 and 180
// degrees apart).
const leastTogether = 0.2

// reportNoFit says why the back-EMF does not give the angle.
func (a *analysis) reportNoFit() {
	alive := a.liveColumns()
	leads := len(a.rec.Columns) == 3 && !a.rec.Columns[0].Signal.Difference()
	switch {
	case a.undersampled():
		a.reportTooFast()
	case leads && len(alive) == 2 && a.columns().Correlation(alive[0], alive[1]) > leastTogether:
		a.find("phase-reference", commutation.Data, "", "one phase column reads nothing, and the two others rise and fall together as they do when measured against that lead; what is left of them does not tell the angle",
			"record all three against the star point, a virtual one or biased dividers; if the two were not measured against the third, its lead or winding is open")
	case leads && len(alive) == 2:
		dead := capture.P1 + capture.P2 + capture.P3 - a.rec.Columns[alive[0]].Signal - a.rec.Columns[alive[1]].Signal
		a.find("phase-open", commutation.Repair, dead.String(), dead.String()+" carries no back-EMF, and the two others do not tell the angle by themselves: its lead or winding is open, or it was not connected to the board",
			"measure the resistance from "+dead.String()+" to the other leads, and check the board's connection")
	case leads && len(alive) == 1:
		a.find("phase-open", commutation.Repair, "", "only "+a.rec.Columns[alive[0]].Signal.String()+" carries back-EMF: of the two other leads or their windings at least one is open, or was not connected to the board",
			"measure the resistances between the three leads, and check the board's connections")
	case len(alive) == 0:
		a.find("phase-weak", commutation.Data, "", "no phase column carries back-EMF above its noise",
			"turn the rotor faster, use a smaller divider ratio, and check that the phase leads and the common reference are connected")
	case a.columns().Limited() && !a.foreign:
		a.find("phase-irregular", commutation.Data, "", "the phase columns are cut off at a limit, and what is left of them does not look like the back-EMF of a turning motor",
			lessVoltage+"; check the common reference, too")
	case len(a.rec.Columns) < 3:
		a.find("phase-not-recorded", commutation.Data, "", "the phase columns in the recording do not determine the three leads",
			"record p1, p2 and p3 together, or the differences p12 and p23")
	case a.foreign:
		a.find("phase-irregular", commutation.Data, "", "the sensors change in a regular order, but not at fixed angles of what the phase columns show: these carry something else beside this rotor's back-EMF, or the columns are mixed up",
			"check which column is which and what else the leads are connected to, keep them from mains wiring, and record again")
	default:
		a.find("phase-irregular", commutation.Data, "", "the phase columns do not look like the back-EMF of a turning motor",
			"check the common reference and that nothing else is connected to the phase leads, then turn the rotor by itself")
	}
}

// liveColumns returns the columns whose variance is well above their noise.
func (a *analysis) liveColumns() []int {
	s := a.columns()
	var power []float64
	largest := 0.0
	for _, ch := range s.Channels {
		one := emf.Signals{Time: s.Time, Channels: []emf.Channel{ch}}
		p := one.Covariance([3]float64{ch.Offset()}).At(0, 0)
		if p < one.Quiet() {
			p = 0
		}
		power, largest = append(power, p), max(largest, p)
	}
	var alive []int
	for c, p := range power {
		if p > emf.DeadShare*emf.DeadShare*largest {
			alive = append(alive, c)
		}
	}
	return alive
}

func (a *analysis) reportPhase(k int) {
	p, lead := a.result.Phases[k], leadName("p", k)
	switch {
	case !p.Known:
		a.find("phase-not-recorded", commutation.Data, lead, lead+" is not in the recording", "record p1, p2 and p3 together, or the differences p12 and p23")
	case k == a.referenceLead:
	case a.mends[k] != 1:
		a.find("phase-scale", commutation.Note, lead, fmt.Sprintf("%s was recorded at %g of the others' scale, at exactly the right angle: taken as a wrong probe or range setting and corrected", lead, 1/a.mends[k]),
			"set the three channels alike")
	case p.Amplitude.Value < emf.DeadShare:
		a.find("phase-open", commutation.Repair, lead, lead+" carries no back-EMF: its lead or winding is open, or it was not connected to the board",
			"measure the resistance from "+lead+" to the other leads, and check the board's connection; if the columns were measured against "+lead+" itself, a phase is reversed instead")
	case p.Amplitude.Value < hardlyShare && a.unbalanced() > brokenShare:
		a.find("phase-open", commutation.Repair, lead, fmt.Sprintf("%s carries only %.0f %% of the strongest lead's back-EMF: its lead or winding is open and picks up from its neighbours, or most of its turns are shorted", lead, 100*p.Amplitude.Value),
			"measure the resistance from "+lead+" to the other leads, and check the board's connection")
	case p.Amplitude.Value < weakShare:
		a.find("phase-weak", commutation.Note, lead, fmt.Sprintf("%s has only %.0f %% of the strongest lead's back-EMF", lead, 100*p.Amplitude.Value),
			a.weakHint())
	}
}

// weakHint says what to do about a weak lead. One whose phase is reversed or dead reads
// a third of what it should against the mean of the three.
func (a *analysis) weakHint() string {
	if a.unbalanced() > brokenShare {
		return "look at this phase first"
	}
	return "compare the coil resistances and the turns of the three phases, and the channel's divider"
}

// unbalanced returns the unbalance of the fitted leads; NaN where the recording
// does not have all three.
func (a *analysis) unbalanced() float64 {
	if a.fit == nil || !a.fit.Signals.All() {
		return math.NaN()
	}
	return unbalance(a.finalWaves(a.fit.Unknowns()))
}

func (a *analysis) reportBalance(u float64) {
	if a.has("phase-open") || a.has("phase-spacing") {
		return // the same fault
	}
	switch {
	case u > brokenShare:
		a.find("phase-spacing", commutation.Repair, "", "the three back-EMFs are not 120 degrees apart: one phase is reversed, or carries next to nothing",
			"one phase's two winding ends are probably exchanged; measure each phase by itself before rewinding")
	case u > unequalShare:
		a.find("phase-unbalance", commutation.Note, "", fmt.Sprintf("the three phases differ: their back-EMF has an unbalance of %.0f %%", 100*u),
			"a coil with its ends exchanged does that, too, and no resistance shows it: handspin inspect with --slots and --poles looks for one")
	}
}
