package spin

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// ErrNoSharedSensor says that recordings cannot be joined by angle.
var ErrNoSharedSensor = errors.New("no two of the recordings have a Hall lead in common that changes, so nothing joins their angles")

// AnalyseAll estimates the motor from several recordings of it, made one after
// another with fewer inputs than leads, all spun the same way. They are joined
// by angle on the Hall leads that they share, two and two in a chain or all one;
// the rotor's speed may differ. One recording alone is analysed as it is. The
// error is ErrNoSharedSensor, with what each recording has.
func AnalyseAll(recs []*capture.Recording, opt Options) (*Result, error) {
	if len(recs) == 1 {
		return Analyse(recs[0], opt), nil
	}
	var parts []*analysis
	for _, rec := range recs {
		parts = append(parts, newPart(rec, opt))
	}
	c := longestChain(parts)
	if c.length() < 2 {
		return nil, fmt.Errorf("%w: %s", ErrNoSharedSensor, changing(parts))
	}
	way := directionOf(parts)
	j := &joiner{analysis: newAnalysis(&capture.Recording{}), linkage: c, way: way}
	j.joinSensors()
	j.joinPhases()
	j.report()
	for k, p := range j.parts {
		if j.linkage.has(k) {
			j.result.parts = append(j.result.parts, p)
		}
	}
	return &j.result, nil
}

// changing says which Hall leads change in which part.
func changing(parts []*analysis) string {
	var all []string
	for _, p := range parts {
		if leads := p.placed(); len(leads) > 0 {
			all = append(all, p.rec.Name+" has "+strings.Join(leads, " and "))
		} else {
			all = append(all, p.rec.Name+" has none")
		}
	}
	return strings.Join(all, ", ")
}

// placed returns the Hall leads that change at places of their own.
func (a *analysis) placed() (leads []string) {
	for i := range a.result.Sensors {
		if _, ok := a.mark(2 * i); ok {
			leads = append(leads, leadName("h", i))
		}
	}
	return leads
}

// newPart analyses one recording, on an angle whose zero is anywhere.
func newPart(rec *capture.Recording, opt Options) *analysis {
	a := newAnalysis(rec)
	a.followRotor()
	a.orient(opt.Backward)
	if a.fit != nil {
		a.mendScale(a.leadWaves(a.fit.Unknowns()))
		a.referenceLead = onReference(a.leadWaves(a.fit.Unknowns()), a.fit.Signals)
	}
	a.readSensors()
	a.readDrag()
	return a
}

// joiner puts the parts of a chain together. Its own analysis holds the joined
// result.
type joiner struct {
	*analysis
	*linkage
	way direction
}

// joinSensors takes each Hall lead from the parts that have it, and turns the
// parts to the common zero.
func (j *joiner) joinSensors() {
	for i := range j.result.Sensors {
		joined := (&sensorData{}).sensor(false)
		for k, p := range j.parts {
			if s := p.result.Sensors[i]; s.Known && j.linkage.has(k) {
				joined = merge(joined, s)
			}
		}
		if rise, fall := j.linkage.mark[2*i], j.linkage.mark[2*i+1]; joined.Placed && !math.IsNaN(rise.Value) {
			joined.RiseDeg, joined.FallDeg = Value{commutation.Wrap(rise.Value), rise.SD}, Value{commutation.Wrap(fall.Value), fall.SD}
			joined.Duty = commutation.Wrap(fall.Value-rise.Value) / 360
		}
		j.result.Sensors[i] = joined
		j.data[i] = &sensorData{known: joined.Known}
	}
	var rotors []*rotorAngle
	for k, p := range j.parts {
		if j.linkage.has(k) && p.rotor != nil {
			rotors = append(rotors, p.rotor)
			p.rotor.zero -= p.rotor.sense * j.zero[k].Value * math.Pi / 180
			j.result.TurnsForward += p.result.TurnsForward
			j.result.TurnsBackward += p.result.TurnsBackward
		}
	}
	j.result.Speed = speedOf(rotors...)
	j.placeOnGrid()
}

// apartDeg is how far two recordings' places of one sensor may differ, in
// electrical degrees: hysteresis and a short spin do not add up to more.
const apartDeg = 20.0

// uncertain returns s with another standard deviation of both edges added.
func (s Sensor) uncertain(sd float64) Sensor {
	s.RiseDeg.SD = math.Hypot(s.RiseDeg.SD, sd)
	s.FallDeg.SD = math.Hypot(s.FallDeg.SD, sd)
	return s
}

// merge joins what two recordings tell of one sensor, its place aside.
func merge(a, b Sensor) Sensor {
	if !a.Known || !a.Placed {
		return b
	}
	if !b.Placed {
		return a
	}
	a.HysteresisDeg = meanValue(a.HysteresisDeg, b.HysteresisDeg)
	a.Edges += b.Edges
	a.Glitches += b.Glitches
	a.Agreement = min(a.Agreement, b.Agreement)
	return a
}

// joinPhases solves for the leads' waves what the parts show together.
func (j *joiner) joinPhases() {
	factors := j.scales()
	var seen []view
	var drawn [emf.Draws][]view
	rng := rand.New(rand.NewPCG(5, 6))
	for k, p := range j.parts {
		if p.fit == nil || !j.linkage.has(k) {
			continue
		}
		sets, err := p.fit.DrawWaves()
		if err != nil {
			continue
		}
		seen = append(seen, p.scaledViews(p.fit.Unknowns(), factors[k])...)
		for d, u := range sets {
			off := rng.NormFloat64() * j.zero[k].SD * math.Pi / 180
			for _, v := range p.scaledViews(u, factors[k]) {
				(&rotorAngle{sense: 1, zero: off}).turn(v.wave)
				drawn[d] = append(drawn[d], v)
			}
		}
	}
	inverse, ok := normalInverse(seen)
	if !ok {
		return
	}
	j.rec.VoltsPerUnit = j.commonScale()
	w := solve(inverse, seen)
	var all [][3]commutation.Wave
	for _, views := range drawn {
		all = append(all, solve(inverse, views))
	}
	j.zeroAtFirst(&w, all)
	j.placeOnGrid()
	j.keepPhasors(w, all)
	j.measures().unequal(all)
	j.describePhases(w, all)
	j.shift(w)
	j.gatherDoubts()
	j.buildMotor(w, all)
	j.doubtZero(zeroDoubt(w, all))
	j.judgeBalance(unbalance(w))
	j.result.Reliability = 0.99 // nothing but the person's word says that all were spun the same way
}

// fitted returns the joined parts of which the phases tell the angle.
func (j *joiner) fitted() (out []*analysis) {
	for k, p := range j.parts {
		if p.fit != nil && j.linkage.has(k) {
			out = append(out, p)
		}
	}
	return out
}

// measures returns what the parts' columns measure together: leads where any has all of
// them, else differences.
func (j *joiner) measures() measured {
	out := measured{floating: true}
	for _, p := range j.fitted() {
		m := p.measures()
		if p.fit.Signals.All() && m.between == [3]bool{} {
			return measured{floating: true}
		}
		for i, between := range m.between {
			out.between[i] = out.between[i] || between
		}
		if !p.fit.Signals.All() {
			for _, v := range p.views(p.fit.Unknowns()) {
				out.between[v.signal()-capture.P12] = true
			}
		}
	}
	return out
}

// gatherDoubts takes the parts' largest errors that all edges share: what hides poles in one
// or moves its sensors does so in all.
func (j *joiner) gatherDoubts() {
	for _, p := range j.fitted() {
		j.hidden, j.drag.left = max(j.hidden, p.hiddenPoles()), max(j.drag.left, p.drag.left)
		if math.Abs(p.drag.doubtful) > math.Abs(j.drag.doubtful) {
			j.drag.doubtful = p.drag.doubtful
		}
	}
}

// judgeBalance is milder than for one recording: phases that do not belong
// together may come from recordings that do not.
func (j *joiner) judgeBalance(u float64) {
	if u <= brokenShare {
		j.reportBalance(u)
		return
	}
	j.result.Usable = false
	j.find("phase-spacing", commutation.Data, "", "the three back-EMFs, as joined, are not 120 degrees apart: one recording was spun the other way or turned too little, or one phase is reversed or carries next to nothing",
		"record the phases again, spun the same way through several whole turns, or all leads at once")
}

// commonScale is 1 where the volts of all parts in use are known, which views are
// then in.
func (j *joiner) commonScale() float64 {
	for k, p := range j.parts {
		if p.fit != nil && j.linkage.has(k) && !p.voltsKnown() {
			return 0
		}
	}
	return 1
}

// zeroAtFirst moves angle zero from the chain's to p1's zero crossing.
func (j *joiner) zeroAtFirst(w *[3]commutation.Wave, all [][3]commutation.Wave) {
	by := -cmplx.Phase(phasor(w[0]))
	turn := rotorAngle{sense: 1, zero: by}
	for k := range w {
		turn.turn(w[k])
	}
	for _, d := range all {
		for k := range d {
			turn.turn(d[k])
		}
	}
	deg := by * 180 / math.Pi
	j.result.originDeg = deg
	for i := range j.result.Sensors {
		s := &j.result.Sensors[i]
		s.RiseDeg.Value = commutation.Wrap(s.RiseDeg.Value - deg)
		s.FallDeg.Value = commutation.Wrap(s.FallDeg.Value - deg)
	}
}
