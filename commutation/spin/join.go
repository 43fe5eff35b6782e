package spin

import (
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"strings"

	"gonum.org/v1/gonum/mat"

	"handspin/capture"
	"handspin/commutation"
)

// ErrNoSharedSensor says that recordings cannot be joined by angle.
var ErrNoSharedSensor = errors.New("no Hall lead is in every recording, so nothing joins their angles")

// AnalyseAll estimates the motor from several recordings of it, made one after
// another with fewer inputs than leads, all spun the same way. They are joined
// by angle on a Hall lead that each of them has; the rotor's speed may differ.
// One recording alone is analysed as it is. The error is ErrNoSharedSensor.
func AnalyseAll(recs []*capture.Recording, opt Options) (*Result, error) {
	if len(recs) == 1 {
		return Analyse(recs[0], opt), nil
	}
	shared := sharedSensor(recs)
	if shared < 0 {
		return nil, ErrNoSharedSensor
	}
	j := &joiner{analysis: newAnalysis(&capture.Recording{}), shared: shared}
	for _, rec := range recs {
		j.parts = append(j.parts, newPart(rec, shared, opt))
	}
	j.joinSensors()
	j.joinPhases()
	j.report()
	j.result.parts = j.parts
	return &j.result, nil
}

// sharedSensor returns the first Hall lead that all recordings have and that
// changes in all of them, -1 for none.
func sharedSensor(recs []*capture.Recording) int {
	for lead := range 3 {
		in := 0
		for _, rec := range recs {
			for _, runs := range runsOf(rec, lead, gapLimit(rec)) {
				if len(runs) > 2 {
					in++
					break
				}
			}
		}
		if in == len(recs) {
			return lead
		}
	}
	return -1
}

// newPart analyses one recording, with angle zero at the shared sensor's rise.
func newPart(rec *capture.Recording, shared int, opt Options) *analysis {
	a := newAnalysis(rec)
	a.followRotor()
	a.orient(opt.Backward)
	if a.fit != nil {
		a.mendScale(a.leadWaves(a.fit.unknowns()))
		a.referenceLead = onReference(a.leadWaves(a.fit.unknowns()), a.fit.sig)
	}
	a.zeroAtSensor(shared)
	a.readSensors()
	return a
}

// joiner puts parts together. Its own analysis holds the joined result.
type joiner struct {
	*analysis
	shared int
	parts  []*analysis
}

// joinSensors takes each Hall lead from the parts that have it.
func (j *joiner) joinSensors() {
	for i := range j.result.Sensors {
		joined := (&sensorData{}).sensor(false)
		for _, p := range j.parts {
			s := p.result.Sensors[i]
			if !s.Known {
				continue
			}
			if i != j.shared && s.Placed {
				s = s.uncertain(p.result.Sensors[j.shared].RiseDeg.SD)
			}
			j.contradicts(p, i, joined, s)
			joined = merge(joined, s)
		}
		j.result.Sensors[i] = joined
		j.data[i] = &sensorData{known: joined.Known}
	}
	j.placeOnGrid()
	for _, p := range j.parts {
		j.result.TurnsForward += p.result.TurnsForward
		j.result.TurnsBackward += p.result.TurnsBackward
	}
}

// apartDeg is how far two recordings' places of one sensor may differ, in
// electrical degrees: hysteresis and a short spin do not add up to more.
const apartDeg = 20.0

// contradicts notes where a recording puts a sensor elsewhere than those before
// it: then one of them was spun the other way, or is of another motor.
func (j *joiner) contradicts(p *analysis, i int, before, s Sensor) {
	if i == j.shared || !before.Placed || !s.Placed {
		return
	}
	if off := commutation.Signed(s.RiseDeg.Value - before.RiseDeg.Value); math.Abs(off) > apartDeg {
		j.find("mixed-direction", commutation.Data, leadName("h", i), fmt.Sprintf("%s has %s %.0f electrical degrees from where the recordings before it have it: it was spun the other way, or is of another motor",
			p.rec.Name, leadName("h", i), math.Abs(off)), "record that one again, spun the same way as the others")
	}
}

// uncertain returns s with the standard deviation of its zero added.
func (s Sensor) uncertain(sd float64) Sensor {
	s.RiseDeg.SD = math.Hypot(s.RiseDeg.SD, sd)
	s.FallDeg.SD = math.Hypot(s.FallDeg.SD, sd)
	return s
}

// merge joins what two recordings tell of one sensor.
func merge(a, b Sensor) Sensor {
	if !a.Known || !a.Placed {
		return b
	}
	if !b.Placed {
		return a
	}
	a.RiseDeg, a.FallDeg = meanAngle(a.RiseDeg, b.RiseDeg), meanAngle(a.FallDeg, b.FallDeg)
	a.HysteresisDeg = meanValue(a.HysteresisDeg, b.HysteresisDeg)
	a.Edges += b.Edges
	a.Glitches += b.Glitches
	a.Agreement = min(a.Agreement, b.Agreement)
	a.Duty = commutation.Wrap(a.FallDeg.Value-a.RiseDeg.Value) / 360
	return a
}

// meanAngle is the weighted mean of two measured angles, in degrees.
func meanAngle(a, b Value) Value {
	wa, wb := 1/(a.SD*a.SD), 1/(b.SD*b.SD)
	off := commutation.Signed(b.Value-a.Value) * wb / (wa + wb)
	return Value{commutation.Wrap(a.Value + off), 1 / math.Sqrt(wa+wb)}
}

// view is what a part shows of the leads: the sum over the leads k of weight[k]
// times the lead's wave.
type view struct {
	weight [3]float64
	wave   commutation.Wave
}

// views returns what the part's columns show, at the given unknowns of its fit,
// in volts: differences of leads. What a single lead alone is measured against
// may be another point in each recording, so by itself it tells nothing here.
func (a *analysis) views(unknowns []float64) []view {
	var out []view
	switch {
	case a.fit.sig.known == [3]bool{true, true, true}:
		w := a.leadWaves(unknowns)
		out = append(out, difference(0, 1, w[0], w[1]), difference(1, 2, w[1], w[2]))
	case a.rec.Columns[0].Signal.Difference():
		k := int(a.rec.Columns[0].Signal - capture.P12)
		out = append(out, difference(k, (k+1)%3, a.channelWave(unknowns, 0), nil))
	case len(a.rec.Columns) == 2:
		p, q := int(a.rec.Columns[0].Signal), int(a.rec.Columns[1].Signal)
		out = append(out, difference(p, q, a.channelWave(unknowns, 0), a.channelWave(unknowns, 1)))
	}
	for i := range out {
		out[i].scale(a.rec.VoltsPerUnit)
	}
	return out
}

// channelWave returns the wave of channel c on the rotor's scale.
func (a *analysis) channelWave(unknowns []float64, c int) commutation.Wave {
	var w commutation.Wave
	at := c * a.fit.perChannel()
	for o, n := range a.fit.orders {
		w = append(w, a.rotor.rescale(commutation.Harmonic{N: n, Sin: unknowns[at+2*o], Cos: unknowns[at+2*o+1]}))
	}
	return w
}

// difference is the view of lead p less lead q, whose waves are given.
func difference(p, q int, wp, wq commutation.Wave) view {
	v := view{wave: combination(wp, wq)}
	v.weight[p], v.weight[q] = 1, -1
	return v
}

// combination returns a - b of two waves with the same orders; a nil b counts as
// zero.
func combination(a, b commutation.Wave) commutation.Wave {
	out := append(commutation.Wave(nil), a...)
	for o := range b {
		out[o].Sin -= b[o].Sin
		out[o].Cos -= b[o].Cos
	}
	return out
}

// scale converts to volts; a factor of 0 stands for unknown and leaves it alone.
func (v *view) scale(volts float64) {
	if volts == 0 {
		return
	}
	for o := range v.wave {
		v.wave[o].Sin *= volts
		v.wave[o].Cos *= volts
	}
}

// joinPhases solves for the leads' waves what the parts show together.
func (j *joiner) joinPhases() {
	var seen []view
	var drawn [draws][]view
	rng := rand.New(rand.NewPCG(5, 6))
	for _, p := range j.parts {
		if p.fit == nil {
			continue
		}
		sets, err := p.fit.drawWaves()
		if err != nil {
			continue
		}
		seen = append(seen, p.views(p.fit.unknowns())...)
		for d, u := range sets {
			// The part's zero is as uncertain as its shared sensor.
			off := rng.NormFloat64() * p.result.Sensors[j.shared].RiseDeg.SD * math.Pi / 180
			for _, v := range p.views(u) {
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
	j.describePhases(w, all)
	j.buildMotor(w, all)
	j.judgeBalance(unbalance(w))
	j.result.Reliability = 0.99 // nothing but the person's word says that all were spun the same way
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

// commonScale is 1 where every part's volts are known, which views are then in.
func (j *joiner) commonScale() float64 {
	for _, p := range j.parts {
		if p.fit != nil && p.rec.VoltsPerUnit == 0 {
			return 0
		}
	}
	return 1
}

// normalInverse returns the inverse of the views' normal matrix; ok is false
// where they do not determine the differences of all leads. What the reference
// is they need not tell.
func normalInverse(views []view) (inverse *mat.SymDense, ok bool) {
	n := mat.NewSymDense(3, []float64{1e-9, 0, 0, 0, 1e-9, 0, 0, 0, 1e-9})
	for _, v := range views {
		n.SymRankOne(n, 1, mat.NewVecDense(3, v.weight[:]))
	}
	var chol mat.Cholesky
	if !chol.Factorize(n) {
		return nil, false
	}
	inverse = mat.NewSymDense(3, nil)
	if chol.InverseTo(inverse) != nil {
		return nil, false
	}
	for k := range 2 {
		variance := inverse.At(k, k) + inverse.At(k+1, k+1) - 2*inverse.At(k, k+1)
		if variance > 1e3 { // only the 1e-9 holds this difference
			return nil, false
		}
	}
	return inverse, true
}

// solve returns the leads' waves that fit the views best.
func solve(inverse *mat.SymDense, views []view) (w [3]commutation.Wave) {
	for _, n := range []int{1, 3, 5, 7} {
		var sin, cos [3]float64
		for _, v := range views {
			for _, h := range v.wave {
				if h.N == n {
					for k, weight := range v.weight {
						sin[k] += weight * h.Sin
						cos[k] += weight * h.Cos
					}
				}
			}
		}
		for k := range w {
			h := commutation.Harmonic{N: n}
			for l := range w {
				h.Sin += inverse.At(k, l) * sin[l]
				h.Cos += inverse.At(k, l) * cos[l]
			}
			w[k] = append(w[k], h)
		}
	}
	return w
}

// zeroAtFirst moves angle zero from the shared sensor to p1's zero crossing.
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

// turn rescales a wave in place.
func (r *rotorAngle) turn(w commutation.Wave) {
	for o := range w {
		w[o] = r.rescale(w[o])
	}
}

// report collects the parts' findings, each with its recording's name, and what
// the whole set does not determine.
func (j *joiner) report() {
	for _, p := range j.parts {
		p.report()
		for _, f := range p.result.Findings {
			if !partial(f.Code) {
				f.Text = p.rec.Name + ": " + f.Text
				j.result.Findings = append(j.result.Findings, f)
			}
		}
	}
	j.find("joined", commutation.Note, "", fmt.Sprintf("%d recordings were joined by angle on h%d; that all were spun the same way is taken for granted", len(j.parts), j.shared+1),
		"if one was not, record it again")
	var missing []string
	for i, s := range j.result.Sensors {
		if !s.Known {
			missing = append(missing, leadName("h", i))
		}
	}
	if len(missing) > 0 {
		j.find("sensor-not-recorded", commutation.Data, "", "no recording has "+strings.Join(missing, " and "),
			fmt.Sprintf("record it together with h%d", j.shared+1))
	}
	if len(j.result.PhaseOrder) == 0 && !j.has("phase-open") {
		j.find("phase-not-recorded", commutation.Data, "", "the recordings do not determine the three phase leads against one another",
			fmt.Sprintf("record the voltages p12 and p23 between the leads, each together with h%d, turning steadily enough to see; a lead against a ground of its own does not do", j.shared+1))
	}
}

// partial tells the findings that only say that one recording is not all.
func partial(code string) bool {
	switch code {
	case "sensor-not-recorded", "phase-not-recorded", "no-phases", "sensor-spacing", "phase-unbalance", "phase-spacing":
		return true
	}
	return false
}
