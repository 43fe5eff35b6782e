package spin

import (
	"fmt"
	"math"
	"slices"

	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// The limits of the findings. Those that decide a verdict are wide of what
// sound motors show: sensors of factory motors are off by up to nine degrees.
const (
	leastTurns    = 1.2    // electrical turns that show every sensor's both edges
	leastCovered  = 340    // of 360 degrees passed
	mixedShare    = 0.7    // of the lesser direction to the greater
	countingError = 0.0005 // of the turns, standard deviation of their count
	countingFloor = 0.04   // turns, the same for the ends of the recording
	gapDoubt      = 0.5    // of the turns that are not seen, the same
	surelyMore    = 3.0    // standard deviations from which it is known which way was more
	poorAgreement = 0.85   // of a level with its place: below, the sensor is unfit
	fairAgreement = 0.985
	misplacedDeg  = 10.0
	inPhaseDeg    = 20.0 // two sensors this close are as good as one
	hardlyShare   = 0.3  // a lead's back-EMF beside which a broken balance is its own
	dutyError     = 0.06 // of 0.5, 22 degrees
	noisyShare    = 0.05 // glitches per edge
	fewEdges      = 8    // that a sensor must have before it is accused of having no place
	weakShare     = 0.75
	unequalShare  = 0.05 // unbalance worth a word
	brokenShare   = 0.35 // unbalance that only a reversed or dead phase has
	lostShare     = 0.15 // of the turning that the fit does not explain
)

func (a *analysis) find(code string, severity commutation.Severity, lead, text, hint string) {
	a.result.Findings = append(a.result.Findings, commutation.Finding{
		Code: code, Severity: severity, Lead: lead, Text: text, Hint: hint})
}

// report collects the findings and the reliability. A winding that has to be
// repaired will be another motor afterwards, of which this one tells nothing.
func (a *analysis) report() {
	a.reportRows()
	a.reportSpikes()
	a.reportTurning()
	a.reportSensors()
	a.reportMerged()
	a.reportPhases()
	a.reportDrag()
	a.judgeReliability()
	if a.has("phase-open") || a.has("phase-spacing") {
		a.result.Usable = false
	}
	a.dropUnproven()
}

// outruns reports whether the angle of a short spin makes more turns than the sensors
// show by their changes, six in a turn: the fit is free to stretch a part of a turn.
// Two of three sensors may be dead where more turns bear the angle out.
func (a *analysis) outruns(turns float64) bool {
	const short, share = 3.0, 0.7
	changes, known := 0, 0
	for _, d := range a.data {
		if d.known {
			changes, known = changes+d.changes, known+1
		}
	}
	return known == len(a.data) && turns < short && float64(changes) < share*6*turns
}

// dropUnproven leaves out what is said against phases and sensors where the rotor
// turned too little: in a part of a turn a phase may make little voltage, a sensor may
// not change, and the fit is free to stretch that part at the cost of the phases'
// balance.
func (a *analysis) dropUnproven() {
	if !a.hasData("too-little-rotation") {
		return
	}
	faults := []string{"sensor-stuck-low", "sensor-stuck-high", "sensor-intermittent", "phase-open", "phase-reference", "phase-spacing", "phase-weak", "phase-unbalance"}
	a.result.Findings = slices.DeleteFunc(a.result.Findings, func(f commutation.Finding) bool {
		return (f.Severity != commutation.Data || f.Code == "sensor-intermittent" || f.Code == "phase-reference") && slices.Contains(faults, f.Code)
	})
}

// has reports whether a finding of that code was made.
func (a *analysis) has(code string) bool {
	return commutation.Found(a.result.Findings, code)
}

func (a *analysis) reportRows() {
	if n := a.rec.BadRows; n > 0 {
		a.find("rows-damaged", commutation.Note, "", fmt.Sprintf("%d of %d rows were damaged and left out", n, n+a.rec.Rows()),
			"check the cable and the baud rate if there are many")
	}
	if a.rec.LostSets+a.rec.LostEdges > 0 {
		a.find("rows-lost", commutation.Note, "", fmt.Sprintf("the board could not send %d sample sets and %d Hall edges", a.rec.LostSets, a.rec.LostEdges),
			"turn more slowly, or use the faster line rate")
	}
	gaps, longest := 0, 0.0
	if len(a.rec.Columns) > 0 {
		limit := emf.GapLimit(a.rec)
		for i := 1; i < len(a.rec.Time); i++ {
			if d := a.rec.Time[i] - a.rec.Time[i-1]; d > limit {
				gaps, longest = gaps+1, max(longest, d)
			}
		}
	}
	if gaps > 0 {
		a.find("clock", commutation.Note, "", fmt.Sprintf("time is missing in %d place(s), at most %.0f ms at once; each part was used on its own", gaps, longest*1000), "")
	}
}

func (a *analysis) reportTurning() {
	r := &a.result
	if len(a.rec.Columns) == 0 {
		a.find("no-phases", commutation.Data, "", "the recording has no phase columns, so nothing ties the sensors to the phases",
			"record the three phase leads together with the three Hall leads")
	}
	total := r.TurnsForward + r.TurnsBackward
	if a.rotor != nil && (total < leastTurns || a.covered < leastCovered || a.outruns(total)) {
		seen := fmt.Sprintf("no more than %.1f electrical turns", total)
		switch {
		case total < leastTurns:
		case a.covered < leastCovered:
			seen = fmt.Sprintf("only %d of the 360 electrical degrees were passed", a.covered)
		default:
			seen = "the sensors changed less often than the phases' angle asks for"
		}
		a.find("too-little-rotation", commutation.Data, "", "the rotor turned too little: "+seen,
			"turn the rotor at least one whole shaft turn, more if it has few poles")
		return
	}
	less, more := min(r.TurnsForward, r.TurnsBackward), max(r.TurnsForward, r.TurnsBackward)
	switch {
	case a.rotor == nil:
	case math.Abs(a.turnedMore) < surelyMore*a.turnedDoubt:
		a.find("mixed-direction", commutation.Data, "", fmt.Sprintf("the rotor turned %.1f electrical turns each way, so nothing says which is forward; of the wirings that run it, only the names forward and reverse depend on that", more),
			"record a spin that goes mostly one way, the way that is to be forward")
	case less > mixedShare*more:
		a.find("mixed-direction", commutation.Note, "", fmt.Sprintf("the rotor turned %.1f electrical turns one way and %.1f the other; the first was taken as forward", r.TurnsForward, r.TurnsBackward),
			"record a spin mostly one way, or exchange the names with --spun backward")
	}
}

func leadName(kind string, i int) string { return fmt.Sprintf("%s%d", kind, i+1) }

// judgeReliability weighs how far the two independent witnesses, back-EMF and
// sensors, bear each other out. The angle comes from the back-EMF alone, so
// sensors that change at fixed angles confirm it.
func (a *analysis) judgeReliability() {
	if a.rotor == nil || a.fit == nil {
		return
	}
	if a.undersampled() {
		a.reportTooFast()
	}
	if a.mains() {
		a.find("phase-irregular", commutation.Data, "", "the phase columns carry a steady mains frequency and no sensor changes: pick-up, while the rotor was at rest",
			"turn the rotor, keep the leads away from mains wiring, and connect the board's ground to the motor's Hall ground")
	}
	if share := a.lostTurning(); share > lostShare {
		a.find("phase-irregular", commutation.Data, "", fmt.Sprintf("the phase columns do not fit a turning motor for %.0f %% of the turning", 100*share),
			"check the connections and the common reference, and turn the rotor by itself")
	}
	if x := a.edgeScatter(); x > mostScatter || x > mostScatter/2 && a.fit.Pace.Doubt > 0 {
		a.find("phase-irregular", commutation.Data, "", fmt.Sprintf("the sensors' edges scatter by %.0f electrical degrees about their places, so the angle that the phase columns give is not to be relied on", x),
			"check the connections and the common reference, and turn the rotor by itself")
	}
	worst := 1.0
	for _, s := range a.result.Sensors {
		if s.Placed && s.Agreement >= poorAgreement {
			worst = min(worst, s.Agreement)
		}
	}
	if a.agreeing() >= 2 {
		a.result.Reliability = 0.9999 - 0.05*(1-worst)
	} else {
		a.result.Reliability = 0.9
	}
	a.result.Reliability = min(a.result.Reliability, a.doubted())
}

// How often an estimate is right about which a finding raises doubts, on simulated motors
// of all kinds (cmd/proof, 100,000 of them, and 12,000 for the last two): a capacitor seen,
// 1160 of 1638 lists; columns that do not fit, 84 of 93; both, 172 of 806; a speed so steady
// that a capacitor would not be seen, 357 of 377; too little turning, 365 of 379.
const (
	rightFiltered  = 0.71
	rightIrregular = 0.90
	rightNeither   = 0.2
	rightSteady    = 0.95
	rightShort     = 0.96
	// rightUntimed is a guess at how seldom sensors are so late: their lines rarely
	// have capacitors.
	rightUntimed = 0.99
)

// doubted returns the probability that the estimate is right in spite of the
// findings, 1 where none raises doubts.
func (a *analysis) doubted() float64 {
	right := 1.0
	for code, p := range map[string]float64{
		"phase-filtered": rightFiltered, "phase-irregular": rightIrregular,
		"speed-steady": rightSteady, "too-little-rotation": rightShort,
	} {
		if a.hasData(code) {
			right = min(right, p)
		}
	}
	if a.hasData("phase-filtered") && a.hasData("phase-irregular") {
		right = rightNeither
	}
	if a.drag.untimed() {
		right = min(right, rightUntimed)
	}
	if a.hasData("mixed-direction") {
		right *= a.directionSure()
	}
	return right
}

// directionSure is the probability that the direction of more turning is that,
// by the counts' own error.
func (a *analysis) directionSure() float64 {
	return math.Erfc(-math.Abs(a.turnedMore)/(a.turnedDoubt*math.Sqrt2)) / 2
}

// hasData reports whether a finding of that code says that the recording cannot
// tell.
func (a *analysis) hasData(code string) bool {
	return slices.ContainsFunc(a.result.Findings, func(f commutation.Finding) bool {
		return f.Severity == commutation.Data && f.Code == code
	})
}

// mostScatter is the scatter of single edges in electrical degrees beyond which
// it is not the magnets that differ. Where the fit may follow every jump of the
// rotor, half of that, since such an angle can follow anything.
const mostScatter = 9.0

// edgeScatter is the middle one of the sensors' scatters, of those that change
// at fixed places; 0 where none tells it.
func (a *analysis) edgeScatter() float64 {
	var all []float64
	for _, s := range a.result.Sensors {
		if s.Placed && !math.IsNaN(s.Scatter) {
			all = append(all, s.Scatter)
		}
	}
	return emf.Median(all)
}

// lostTurning is the share of the fitted time in motion that was lost.
func (a *analysis) lostTurning() float64 {
	var bad, all float64
	lost := a.fit.Lost()
	s := a.fit.Signals
	for _, st := range s.Stretches {
		for i := st.Lo + 1; i < st.Hi; i++ {
			_, w := a.fit.Angle.AtTime(s.Time[i])
			d := math.Abs(w) * (s.Time[i] - s.Time[i-1])
			all += d
			if lost[i] {
				bad += d
			}
		}
	}
	if all == 0 {
		return 0
	}
	return bad / all
}

// reportSpikes says that samples were replaced or left out.
func (a *analysis) reportSpikes() {
	n := a.spikes
	if a.fit != nil {
		n += a.fit.Sparks
	}
	if n > 0 {
		a.find("phase-spikes", commutation.Note, "", fmt.Sprintf("%d sample(s) of the phases stood far beyond the others, as sparks of a drill's brushes do, and were not used", n),
			"if there are many, keep the leads away from the drill, or spin by hand")
	}
}
