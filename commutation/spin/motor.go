package spin

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"handspin/capture/cores"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

func strongest(w [3]commutation.Wave) float64 {
	largest := 0.0
	for k := range w {
		largest = max(largest, cmplx.Abs(phasor(w[k])))
	}
	return largest
}

// readSensors evaluates the three Hall leads at the final angle.
func (a *analysis) readSensors() {
	cores.Each(len(a.data), func(i int) {
		if a.rotor == nil {
			a.data[i] = &sensorData{known: a.hallKnown(i)}
		} else {
			a.data[i] = gather(a.rec, a.rotor, i)
		}
	})
	both := a.data[0].bothWays() && a.data[1].bothWays() && a.data[2].bothWays()
	for i := range a.data {
		a.result.Sensors[i] = a.data[i].sensor(both)
		if a.fit != nil {
			a.result.Sensors[i] = a.result.Sensors[i].uncertain(a.fit.Pace.Doubt)
		}
	}
	if a.rotor != nil {
		for i := range a.data {
			s := &a.result.Sensors[i]
			s.Missed, s.Extra = a.data[i].irregular(*s, a.rotor)
		}
	}
	a.placeOnGrid()
}

func (a *analysis) hallKnown(lead int) bool {
	for _, l := range a.rec.Hall {
		if _, known := l.Level(lead); known {
			return true
		}
	}
	return false
}

// readPhases evaluates the leads' back-EMF and builds the motor.
func (a *analysis) readPhases() {
	if a.fit == nil {
		return
	}
	w := a.finalWaves(a.fit.Unknowns())
	drawn, err := a.fit.DrawWaves()
	if err != nil {
		return
	}
	var pure, all [][3]commutation.Wave
	for _, unknowns := range drawn {
		pure, all = append(pure, a.finalWaves(unknowns)), append(all, a.leadWaves(unknowns))
	}
	if a.fit.Signals.All() {
		a.keepPhasors(w, pure)
	}
	a.measures().unequal(all)
	a.describePhases(w, all)
	a.shift(w)
	a.hidden = a.hiddenPoles()
	a.buildMotor(w, all)
	a.doubtZero(zeroDoubt(w, all))
}

// keepPhasors puts the fundamentals and their covariance into the result.
func (a *analysis) keepPhasors(w [3]commutation.Wave, all [][3]commutation.Wave) {
	if len(all) == 0 {
		return
	}
	for k := range w {
		a.result.EMF[k] = phasor(w[k])
	}
	for _, d := range all {
		var off [6]float64
		for k := range d {
			x := phasor(d[k]) - a.result.EMF[k]
			off[2*k], off[2*k+1] = real(x), imag(x)
		}
		for i := range off {
			for j := range off {
				a.result.EMFCov[i][j] += off[i] * off[j] / float64(len(all))
			}
		}
	}
}

// shift tells how far the sensors' grid is from that of the back-EMFs. The line
// voltages of a sound motor cross zero 30 degrees after the leads', so sensors
// that suit have their places, midway between their edges, at multiples of 60
// degrees from the rotating component of the three (the larger symmetrical
// component, which no single lead sets).
func (a *analysis) shift(w [3]commutation.Wave) {
	if math.IsNaN(a.result.SpacingDeg) || len(a.result.PhaseOrder) == 0 {
		return
	}
	turn := cmplx.Exp(complex(0, 2*math.Pi/3))
	one := phasor(w[0]) + turn*phasor(w[1]) + turn*turn*phasor(w[2])
	two := phasor(w[0]) + turn*turn*phasor(w[1]) + turn*phasor(w[2])
	if cmplx.Abs(two) > cmplx.Abs(one) {
		one = two
	}
	lead := cmplx.Phase(one) * 180 / math.Pi
	off := commutation.Wrap(a.gridDeg + lead + 30) // multiples of 60 are at 30
	a.result.ShiftDeg = math.Mod(off, 60) - 30
}

// finalWaves returns the leads' waves with a lead that served as the reference
// given its part back.
func (a *analysis) finalWaves(unknowns []float64) [3]commutation.Wave {
	w := a.leadWaves(unknowns)
	if a.referenceLead >= 0 {
		centre(&w)
	}
	return w
}

// describePhases fills the result's phases from the waves and their draws.
func (a *analysis) describePhases(w [3]commutation.Wave, all [][3]commutation.Wave) {
	largest, best := strongest(w), 0
	if !(largest > 0) {
		return
	}
	for k := range w {
		if cmplx.Abs(phasor(w[k])) == largest {
			best = k
		}
	}
	origin := phasor(w[0])
	if origin == 0 {
		origin = 1
	}
	for k := range w {
		p := phasor(w[k])
		if len(w[k]) == 0 {
			continue
		}
		var size, share, lag []float64
		for _, d := range all {
			q := phasor(d[k])
			size = append(size, cmplx.Abs(q)-cmplx.Abs(p))
			share = append(share, cmplx.Abs(q)/cmplx.Abs(phasor(d[best]))-cmplx.Abs(p)/largest)
			if p != 0 && q != 0 {
				from := phasor(d[0])
				if from == 0 {
					from = 1
				}
				lag = append(lag, cmplx.Phase(q/p/(from/origin))*180/math.Pi)
			}
		}
		a.result.Phases[k] = Phase{
			Known:     true,
			AngleDeg:  Value{commutation.Wrap(-cmplx.Phase(p/origin) * 180 / math.Pi), rms(lag)},
			Amplitude: Value{cmplx.Abs(p) / largest, rms(share)},
			Harmonics: significant(w[k], all, k),
		}
		if a.voltsKnown() && k == best {
			a.result.FluxLinkage = Value{largest * a.rec.VoltsPerUnit, math.Hypot(rms(size), a.halfWaveDoubt()*largest) * a.rec.VoltsPerUnit}
		}
	}
	a.result.PhaseOrder = a.phaseOrder()
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / math.Max(1, float64(len(x))))
}

// significant returns the harmonics of lead k that exceed three standard
// deviations, relative to the fundamental.
func significant(w commutation.Wave, all [][3]commutation.Wave, k int) map[int]float64 {
	out := map[int]float64{}
	fundamental := cmplx.Abs(phasor(w))
	for o, h := range w {
		size := math.Hypot(h.Sin, h.Cos)
		var dev []float64
		for _, d := range all {
			dev = append(dev, math.Hypot(d[k][o].Sin-h.Sin, d[k][o].Cos-h.Cos))
		}
		if h.N > 1 && size > 3*rms(dev) && fundamental > 0 {
			out[h.N] = size / fundamental
		}
	}
	return out
}

// phaseOrder returns the leads in the order in which their back-EMFs follow one
// another, nil unless all three are live.
func (a *analysis) phaseOrder() []int {
	for _, p := range a.result.Phases {
		if !p.Known || p.Amplitude.Value < emf.DeadShare {
			return nil
		}
	}
	order := []int{0, 1, 2}
	lag := func(k int) float64 { return a.result.Phases[k].AngleDeg.Value }
	if lag(2) < lag(1) {
		order[1], order[2] = 2, 1
	}
	return order
}

// buildMotor fills the motor and its draws. One dead sensor of three is given
// the place that completes a regular set of the two others, if there is one.
func (a *analysis) buildMotor(w [3]commutation.Wave, all [][3]commutation.Wave) {
	r := &a.result
	for _, p := range r.Phases {
		if !p.Known {
			return
		}
	}
	sensors, ok := a.sensorSet()
	if !ok {
		return
	}
	r.Motor = commutation.Motor{EMF: w, Sensors: seat(sensors, 0, 0, nil)}
	r.Usable = true
	rng := rand.New(rand.NewPCG(3, 4))
	for _, d := range all {
		r.Draws = append(r.Draws, commutation.Motor{EMF: d, Sensors: seat(sensors, a.drag.doubtful, a.hidden, rng)})
	}
}
