package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// Traces are what a recording shows against angle and time, for pictures.
type Traces struct {
	// Waves are the back-EMFs that were recorded: of the leads, or of
	// differences between them; none where no angle explains the columns.
	Waves []WaveTrace
	// Volts says that the waves are in volts per electrical rad/s. Otherwise
	// they are in the columns' own unit per rad/s.
	Volts bool
	// Levels[i][d] is the share of the turning from d to d+1 electrical degrees
	// in which Hall lead i was high; NaN where the recording does not tell.
	Levels [3][360]float64
	// Runs are the recordings one after another.
	Runs []Run
}

// WaveTrace is one back-EMF over an electrical turn.
type WaveTrace struct {
	Signal capture.Signal
	// Points are means over equal bins of the angle, in its order.
	Points []WavePoint
	// Fit is what the model takes the wave for.
	Fit commutation.Wave
}

// WavePoint is the mean of the samples near one angle.
type WavePoint struct {
	// Deg is in electrical degrees in [0, 360). Value is back-EMF over speed,
	// and Scatter the standard deviation of a single sample about it.
	Deg, Value, Scatter float64
}

// Run is the rotor's motion in one recording.
type Run struct {
	Speed []SpeedPoint
}

// SpeedPoint is the speed at a moment.
type SpeedPoint struct {
	// Second counts from the recording's first row. Rate is in electrical turns
	// per second, positive forward; NaN where the angle is not known.
	Second, Rate float64
}

// Traces works out the traces of a result of [Analyse] or [AnalyseAll]; those of
// any other are empty. It takes some milliseconds, so call it once.
func (r *Result) Traces() *Traces {
	t := &Traces{Volts: len(r.parts) > 0}
	var high, all [3][360]float64
	for _, p := range r.parts {
		if p.rotor == nil {
			continue
		}
		t.Runs = append(t.Runs, p.run())
		for i := range high { // anew: the part's angle may have been turned since
			gather(p.rec, p.rotor, i).profile.share(r.originDeg, &high[i], &all[i])
		}
		if p.fit != nil {
			t.Waves = append(t.Waves, p.waveTraces(r.originDeg)...)
			t.Volts = t.Volts && p.voltsKnown()
		}
	}
	for i := range high {
		for d := range high[i] {
			t.Levels[i][d] = high[i][d] / all[i][d] // NaN where the rotor never was
		}
	}
	return t
}

// share adds the travel at high level, and all of it, by degree from origin on,
// taken to whole degrees.
func (p *profile) share(origin float64, high, all *[360]float64) {
	shift := int(math.Round(commutation.Wrap(origin)))
	for d := range 360 {
		from := (d + shift) % 360
		high[d] += p.high[from]
		all[d] += p.high[from] + p.low[from]
	}
}

// runPoints is how many points a run's speed is drawn with.
const runPoints = 900

// run follows the speed at equal times.
func (a *analysis) run() Run {
	var out Run
	seconds := a.rec.Seconds()
	for k := range runPoints + 1 {
		t := seconds * float64(k) / runPoints
		_, rate, known := a.rotor.angleAt(t)
		if !known {
			rate = math.NaN()
		}
		out.Speed = append(out.Speed, SpeedPoint{t, rate / 360})
	}
	return out
}

// mix is a signal as a weighted sum of a fit's channels: a column, or what
// stands for one.
type mix struct {
	signal capture.Signal
	weight [3]float64
}

// mixes returns the signals that a part shows, as its views are.
func (a *analysis) mixes() []mix {
	lead := a.fit.Signals.Lead
	columns := a.rec.Columns
	switch {
	case a.fit.Signals.All():
		out := make([]mix, 3)
		for k := range out {
			for c := range lead[k] {
				out[k].weight[c] = lead[k][c] * a.mends[k]
			}
			out[k].signal = capture.Signal(k)
		}
		if a.referenceLead >= 0 {
			centreMixes(out)
		}
		return out
	case len(columns) == 2 && columns[1].Signal == capture.P3 && columns[0].Signal == capture.P1:
		return []mix{{capture.P31, [3]float64{-1, 1}}}
	case len(columns) == 2 && !columns[0].Signal.Difference():
		return []mix{{capture.P12 + columns[0].Signal, [3]float64{1, -1}}}
	}
	return []mix{{columns[0].Signal, [3]float64{1}}}
}

// centreMixes takes the mean of the three leads off each.
func centreMixes(leads []mix) {
	for c := range 3 {
		mean := (leads[0].weight[c] + leads[1].weight[c] + leads[2].weight[c]) / 3
		for k := range leads {
			leads[k].weight[c] -= mean
		}
	}
}

// waveTraces returns the part's signals over the turn, in volts where their scale
// is known.
func (a *analysis) waveTraces(origin float64) []WaveTrace {
	scale := 1.0
	if a.rec.VoltsPerUnit > 0 {
		scale = a.rec.VoltsPerUnit
	}
	var out []WaveTrace
	for _, m := range a.mixes() {
		own := scale
		for _, s := range a.scaled {
			if s.signal == m.signal && m.signal.Difference() { // leads have it in their mends
				own *= s.factor
			}
		}
		out = append(out, WaveTrace{m.signal, a.points(m, origin, own), a.mixed(m, origin, own)})
	}
	return out
}

// mixed returns the fit's wave of a signal, times scale, with the origin at zero.
func (a *analysis) mixed(m mix, origin, scale float64) commutation.Wave {
	unknowns := a.fit.Unknowns()
	turn := rotorAngle{sense: 1, zero: origin * math.Pi / 180}
	var w commutation.Wave
	for c := range a.fit.Signals.Channels {
		for o, h := range a.channelWave(unknowns, c) {
			if c == 0 {
				w = append(w, commutation.Harmonic{N: h.N})
			}
			w[o].Sin += scale * m.weight[c] * h.Sin
			w[o].Cos += scale * m.weight[c] * h.Cos
		}
	}
	turn.turn(w)
	return w
}

// bins is in how many points a wave is drawn over the turn.
const bins = 120

// points averages a signal's samples by angle. In each bin the value is the f of
// least squares for v = f w, w being the speed: sum(v w) / sum(w^2).
func (a *analysis) points(m mix, origin, scale float64) []WavePoint {
	var vv, vw, ww [bins]float64
	for i := range a.fit.Signals.Time {
		v, t, ok := a.sample(m, i)
		deg, rate, known := a.rotor.angleAt(t)
		if !ok || !known {
			continue
		}
		k := int(commutation.Wrap(deg-origin) / 360 * bins)
		w := rate * math.Pi / 180
		vv[k], vw[k], ww[k] = vv[k]+v*v, vw[k]+v*w, ww[k]+w*w
	}
	var out []WavePoint
	for k := range bins {
		if ww[k] == 0 {
			continue
		}
		f := vw[k] / ww[k]
		left := max(0, vv[k]-f*vw[k]) // what the mean leaves
		out = append(out, WavePoint{(float64(k) + 0.5) * 360 / bins, scale * f, scale * math.Sqrt(left/ww[k])})
	}
	return out
}

// sample returns sample i of a signal less its offset, and when it was taken; ok
// is false where a channel of it is missing or clipped.
func (a *analysis) sample(m mix, i int) (v, t float64, ok bool) {
	sig, last, skew := a.fit.Signals, a.fit.PerChannel()-1, 0.0
	most := 0.0
	for c, ch := range sig.Channels {
		weight := m.weight[c]
		if weight == 0 {
			continue
		}
		if math.IsNaN(ch.Value[i]) || ch.Bound != nil && ch.Bound[i] != emf.Exact {
			return 0, 0, false
		}
		v += weight * (ch.Value[i] - a.fit.Wave[c][last])
		if math.Abs(weight) > most {
			most, skew = math.Abs(weight), ch.Skew
		}
	}
	return v, sig.Time[i] + skew, true
}
