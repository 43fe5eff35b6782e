package spin

import (
	"fmt"
	"math"
	"slices"

	"handspin/capture"
	"handspin/commutation"
)

// The limits of the findings. Those that decide a verdict are wide of what
// sound motors show: sensors of factory motors are off by up to nine degrees.
const (
	leastTurns    = 1.2    // electrical turns that show every sensor's both edges
	leastCovered  = 340    // of 360 degrees passed
	mixedShare    = 0.7    // of the lesser direction to the greater
	countingError = 0.0005 // of the turns, standard deviation of their count
	countingFloor = 0.04   // turns, the same for the ends of the recording
	poorAgreement = 0.85   // of a level with its place: below, the sensor is unfit
	fairAgreement = 0.985
	misplacedDeg  = 10.0
	inPhaseDeg    = 20.0 // two sensors this close are as good as one
	hardlyShare   = 0.3  // a lead's back-EMF beside which a broken balance is its own
	dutyError     = 0.06 // of 0.5, 22 degrees
	noisyShare    = 0.05 // glitches per edge
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
	a.reportTurning()
	a.reportSensors()
	a.reportPhases()
	a.reportDrag()
	a.judgeReliability()
	if a.has("phase-open") || a.has("phase-spacing") {
		a.result.Usable = false
	}
}

// has reports whether a finding of that code was made.
func (a *analysis) has(code string) bool {
	return slices.ContainsFunc(a.result.Findings, func(f commutation.Finding) bool { return f.Code == code })
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
		limit := gapLimit(a.rec)
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
	if a.rotor != nil && (total < leastTurns || a.covered < leastCovered) {
		a.find("too-little-rotation", commutation.Data, "", fmt.Sprintf("the rotor turned %.1f electrical turns over %d of 360 electrical degrees", total, a.covered),
			"turn the rotor at least one whole shaft turn, more if it has few poles")
		return
	}
	less, more := min(r.TurnsForward, r.TurnsBackward), max(r.TurnsForward, r.TurnsBackward)
	switch doubt := countingError*total + countingFloor; {
	case a.rotor == nil:
	case more-less < 1.65*doubt:
		a.find("mixed-direction", commutation.Data, "", fmt.Sprintf("the rotor turned %.1f electrical turns each way, so nothing says which is forward; of the wirings that run it, only the names forward and reverse depend on that", more),
			"record a spin that goes mostly one way, the way that is to be forward")
	case less > mixedShare*more:
		a.find("mixed-direction", commutation.Note, "", fmt.Sprintf("the rotor turned %.1f electrical turns one way and only %.1f the other; the first was taken as forward", more, less),
			"record a spin mostly one way, or exchange the names with --spun backward")
	}
}

func leadName(kind string, i int) string { return fmt.Sprintf("%s%d", kind, i+1) }

func (a *analysis) reportSensors() {
	if s := a.result.Sensors; !s[0].Known && !s[1].Known && !s[2].Known {
		a.find("sensor-not-recorded", commutation.Data, "", "no Hall lead is in the recording", "record all three Hall leads together with the phase leads")
		return
	}
	for i, s := range a.result.Sensors {
		a.reportSensor(leadName("h", i), i, s)
	}
	r := &a.result
	if math.IsNaN(r.SpacingDeg) || r.SpacingDeg == 120 {
		return
	}
	if r.SpacingDeg == 60 {
		middle := leadName("h", a.middleSensor())
		a.find("sensor-spacing", commutation.Note, middle, "the sensors are 60 electrical degrees apart, with "+middle+" in the middle",
			"a controller for 60-degree sensors takes them as they are, "+middle+" on its own middle input")
		a.find("sensor-inverted", commutation.Note, middle, "the same is seen of a set 120 degrees apart in which "+middle+" is inverted",
			"if the motor is known to be a 120-degree one, that sensor was mounted or wired the other way round")
		return
	}
	if r.SpacingDeg < inPhaseDeg {
		a.find("sensor-spacing", commutation.Repair, "", fmt.Sprintf(
			"two sensors are only %.0f electrical degrees apart: the three do not tell six sectors of a turn apart", r.SpacingDeg),
			"the places must differ by 120 or 60 electrical degrees; that is the mechanical angle times the number of pole pairs")
		return
	}
	a.find("sensor-spacing", commutation.Note, "", fmt.Sprintf(
		"the sensors are neither 120 nor 60 electrical degrees apart; the closest two are %.0f degrees apart", r.SpacingDeg),
		"the list takes that into account; moving the sensor that is farthest off its place wins torque")
}

// middleSensor returns the sensor between the two others of a 60-degree set.
func (a *analysis) middleSensor() int {
	best, at := math.Inf(1), 0
	for i, s := range a.result.Sensors {
		sum := 0.0
		for _, o := range a.result.Sensors {
			sum += math.Abs(commutation.Signed(o.place() - s.place()))
		}
		if sum < best {
			best, at = sum, i
		}
	}
	return at
}

func (a *analysis) reportSensor(lead string, i int, s Sensor) {
	d := a.data[i]
	switch {
	case !s.Known:
		a.find("sensor-not-recorded", commutation.Data, lead, lead+" is not in the recording", "record all three Hall leads")
		return
	case a.mains():
		return
	case a.stuck(i):
		a.reportStuck(lead, i)
		return
	case !d.turnedEnough():
		return
	case s.Agreement < poorAgreement && a.agreeing() < 2:
		a.find("sensor-intermittent", commutation.Data, lead, fmt.Sprintf("%s has the level of its place for only %.0f %% of the turning, but so few sensors agree with the angle that it may be the angle that is wrong", lead, 100*s.Agreement),
			"record again, turning the rotor by itself through several whole turns")
		return
	case s.Agreement < poorAgreement:
		a.find("sensor-intermittent", commutation.Repair, lead, fmt.Sprintf("%s has the level of its place for only %.0f %% of the turning", lead, 100*s.Agreement),
			"check its solder joints, its supply, its pull-up and the magnet's distance")
		return
	case s.Agreement < fairAgreement:
		a.find("sensor-intermittent", commutation.Note, lead, fmt.Sprintf("%s misses pulses: it has the wrong level for %.1f %% of the turning", lead, 100*(1-s.Agreement)),
			"check its solder joints, its supply, its pull-up and the magnet's distance")
	}
	if !s.Placed {
		a.find("sensor-intermittent", commutation.Repair, lead, lead+" changes at no fixed place of the rotor", "check its supply, its pull-up and the magnet's distance")
		return
	}
	if float64(s.Glitches) > max(noisyShare*float64(s.Edges), 2) {
		a.find("sensor-noisy", commutation.Note, lead, fmt.Sprintf("%s bounces or picks up noise: %d short pulses beside %d edges; they were left out", lead, s.Glitches, s.Edges),
			"add a pull-up and a small capacitor at the input, or route the cable away from the phase leads")
	}
	a.reportPlace(lead, s)
}

// agreeing counts the sensors that change at fixed places.
func (a *analysis) agreeing() int {
	n := 0
	for i, s := range a.result.Sensors {
		if s.Placed && !a.stuck(i) && s.Agreement >= poorAgreement {
			n++
		}
	}
	return n
}

func (a *analysis) reportStuck(lead string, i int) {
	_, high := a.level(i)
	if high {
		a.find("sensor-stuck-high", commutation.Repair, lead, lead+" stayed high while the rotor turned",
			"an open wire with a pull-up reads high: check the wire and the connector, then the sensor's supply, then the sensor")
		return
	}
	a.find("sensor-stuck-low", commutation.Repair, lead, lead+" stayed low while the rotor turned",
		"a missing pull-up or a short to ground reads low: check those, then the sensor's supply, then the sensor")
}

func (a *analysis) reportPlace(lead string, s Sensor) {
	if math.Abs(s.ErrorDeg) > misplacedDeg {
		a.find("sensor-misplaced", commutation.Note, lead, fmt.Sprintf("%s sits %.0f electrical degrees %s of its regular place", lead, math.Abs(s.ErrorDeg), ahead(s.ErrorDeg)),
			"errors up to nine degrees are usual; move the sensor if the motor runs rough")
	}
	if math.Abs(s.Duty-0.5) > dutyError {
		a.find("sensor-misplaced", commutation.Note, lead, fmt.Sprintf("%s is high for %.0f %% of the turn instead of 50 %%", lead, 100*s.Duty),
			"the sensor may be too far from the magnets, or not centred over them")
	}
}

func ahead(deg float64) string {
	if deg > 0 {
		return "late"
	}
	return "early"
}

func (a *analysis) reportPhases() {
	if len(a.rec.Columns) == 0 {
		return
	}
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
		a.find("phase-reference", commutation.Note, lead, lead+" reads nothing and the two others are 60 degrees apart: it was taken as the lead that the others were measured against", "")
	}
	a.reportBalance(a.unbalanced())
	clipped := false
	for _, ch := range a.fit.sig.ch {
		clipped = clipped || ch.bound != nil
	}
	if clipped {
		a.find("phase-clipped", commutation.Note, "", "the phase columns are cut off at a limit for part of the time; only the rest was used",
			"use a larger divider ratio, or bias the dividers to half the supply, or turn more slowly")
	}
}

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
	s := a.fit.sig
	off, n := 0, 0
	for _, st := range s.stretches {
		for i := st.lo; i < st.hi; i++ {
			_, w := a.fit.angle.at(a.fit.angle.locate(s.t[i]))
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
	s := columns(a.rec)
	cov := s.covariance([3]float64{s.ch[0].offset(), s.ch[1].offset()})
	return cov.At(0, 1) < -0.9*math.Sqrt(math.Abs(cov.At(0, 0)*cov.At(1, 1)))
}

// reportNoFit says why the back-EMF does not give the angle.
func (a *analysis) reportNoFit() {
	alive := a.liveColumns()
	switch {
	case a.undersampled():
		a.find("too-fast", commutation.Data, "", fmt.Sprintf("the rotor turned too fast for the sampling: fewer than %d samples in an electrical turn", leastSamples),
			"turn more slowly, or sample faster")
	case len(a.rec.Columns) == 3 && !a.rec.Columns[0].Signal.Difference() && len(alive) == 2:
		dead := capture.P1 + capture.P2 + capture.P3 - a.rec.Columns[alive[0]].Signal - a.rec.Columns[alive[1]].Signal
		a.find("phase-open", commutation.Repair, dead.String(), dead.String()+" carries no back-EMF, and the two others do not tell the angle by themselves: its lead or winding is open, or it was not connected to the board",
			"measure the resistance from "+dead.String()+" to the other leads, and check the board's connection")
	case len(a.rec.Columns) == 3 && !a.rec.Columns[0].Signal.Difference() && len(alive) == 1:
		a.find("phase-open", commutation.Repair, "", "only "+a.rec.Columns[alive[0]].Signal.String()+" carries back-EMF: of the two other leads or their windings at least one is open, or was not connected to the board",
			"measure the resistances between the three leads, and check the board's connections")
	case len(alive) == 0:
		a.find("phase-weak", commutation.Data, "", "no phase column carries back-EMF above its noise",
			"turn the rotor faster, use a smaller divider ratio, and check that the phase leads and the common reference are connected")
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

// leastSamples is how many samples a turn needs at least; at fewer than two a
// fast rotor looks like a slow one.
const leastSamples = 4

// undersampled reports whether the sensors show electrical turns of fewer than
// leastSamples samples, for a fifth of the time or more.
func (a *analysis) undersampled() bool {
	s := columns(a.rec)
	mask, alive := a.aliveLeads()
	if alive == 0 || len(s.ch) == 0 {
		return false
	}
	var stays []float64
	total := 0.0
	for _, v := range visits(a.rec, mask) {
		stays = append(stays, length(v))
		total += length(v)
	}
	slices.Sort(stays)
	// By time, since bounces are many but short.
	passed := 0.0
	for _, stay := range stays {
		if passed += stay; passed >= total/5 {
			turn := stay * float64(2*alive)
			return turn < leastSamples*usualInterval(s.t)
		}
	}
	return false
}

// liveColumns returns the columns whose variance is well above their noise.
func (a *analysis) liveColumns() []int {
	s := columns(a.rec)
	var power []float64
	largest := 0.0
	for _, ch := range s.ch {
		one := signals{t: s.t, ch: []channel{ch}}
		p := one.covariance([3]float64{ch.offset()}).At(0, 0)
		if p < one.quiet() {
			p = 0
		}
		power, largest = append(power, p), max(largest, p)
	}
	var alive []int
	for c, p := range power {
		if p > deadShare*deadShare*largest {
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
	case p.Amplitude.Value < deadShare:
		a.find("phase-open", commutation.Repair, lead, lead+" carries no back-EMF: its lead or winding is open, or it was not connected to the board",
			"measure the resistance from "+lead+" to the other leads, and check the board's connection; if the columns were measured against "+lead+" itself, its phase is reversed instead")
	case p.Amplitude.Value < hardlyShare && a.unbalanced() > brokenShare:
		a.find("phase-open", commutation.Repair, lead, fmt.Sprintf("%s carries only %.0f %% of the strongest lead's back-EMF: its lead or winding is open and picks up from its neighbours, or most of its turns are shorted", lead, 100*p.Amplitude.Value),
			"measure the resistance from "+lead+" to the other leads, and check the board's connection")
	case p.Amplitude.Value < weakShare:
		a.find("phase-weak", commutation.Note, lead, fmt.Sprintf("%s has only %.0f %% of the strongest lead's back-EMF", lead, 100*p.Amplitude.Value),
			"compare the coil resistances and the turns of the three phases, and the channel's divider")
	}
}

// unbalanced returns the unbalance of the fitted leads; NaN where the recording
// does not have all three.
func (a *analysis) unbalanced() float64 {
	if a.fit == nil || a.fit.sig.known != [3]bool{true, true, true} {
		return math.NaN()
	}
	return unbalance(a.finalWaves(a.fit.unknowns()))
}

func (a *analysis) reportBalance(u float64) {
	if a.has("phase-open") {
		return // the same fault
	}
	switch {
	case u > brokenShare:
		a.find("phase-spacing", commutation.Repair, "", "the three back-EMFs are not 120 degrees apart: one phase is reversed, or carries next to nothing",
			"one phase's two winding ends are probably exchanged; measure each phase by itself before rewinding")
	case u > unequalShare:
		a.find("phase-unbalance", commutation.Note, "", fmt.Sprintf("the three phases differ: their back-EMF has an unbalance of %.0f %%", 100*u),
			"compare the coil resistances and the turns of the three phases")
	}
}

// judgeReliability weighs how far the two independent witnesses, back-EMF and
// sensors, bear each other out. The angle comes from the back-EMF alone, so
// sensors that change at fixed angles confirm it.
func (a *analysis) judgeReliability() {
	if a.rotor == nil || a.fit == nil {
		return
	}
	if a.undersampled() {
		a.find("too-fast", commutation.Data, "", fmt.Sprintf("the rotor turned too fast for the sampling: fewer than %d samples in an electrical turn", leastSamples),
			"turn more slowly, or sample faster")
	}
	if a.mains() {
		a.find("phase-irregular", commutation.Data, "", "the phase columns carry a steady mains frequency and no sensor changes: pick-up, while the rotor was at rest",
			"turn the rotor, keep the leads away from mains wiring, and connect the board's ground to the motor's Hall ground")
	}
	if share := a.lostTurning(); share > lostShare {
		a.find("phase-irregular", commutation.Data, "", fmt.Sprintf("the phase columns do not fit a turning motor for %.0f %% of the turning", 100*share),
			"check the connections and the common reference, and turn the rotor by itself")
	}
	if x := a.edgeScatter(); x > mostScatter || x > mostScatter/2 && a.fit.pace.doubt > 0 {
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
	return median(all)
}

// lostTurning is the share of the fitted time in motion that was lost.
func (a *analysis) lostTurning() float64 {
	var bad, all float64
	lost := a.fit.lost()
	s := a.fit.sig
	for _, st := range s.stretches {
		for i := st.lo + 1; i < st.hi; i++ {
			_, w := a.fit.angle.at(a.fit.angle.locate(s.t[i]))
			d := math.Abs(w) * (s.t[i] - s.t[i-1])
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
