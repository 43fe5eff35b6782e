package difference

import (
	"math"
	"math/cmplx"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// third is a turn by 120 degrees.
var third = cmplx.Rect(1, 2*math.Pi/3)

// view is a motor as a recording shows it, by lead, on an angle of its own.
type view struct {
	// emf are the fundamentals as in [spin.Result.EMF], and sd is the standard
	// deviation of either part; volts is what makes volts of them, NaN if not known.
	emf   [3]complex128
	sd    float64
	volts float64
	order []int // the leads in the order in which they follow one another
	hall  [3]place
	// zeroSD is the standard deviation of what all sensors' places share.
	zeroSD float64
	// broken is true where a phase is reversed or next to nothing, so that the order of
	// the phases does not tell which way the rotor was turned.
	broken bool
}

// place is where a sensor changes.
type place struct {
	known, placed bool
	deg           spin.Value // midway between rise and fall
	width         float64    // of the high level, in degrees
	late          spin.Value // its hysteresis, NaN where it was passed one way only
	way           float64    // by how many times that deg is late: 0, or 1, or -1 of a view turned over
	// usual is by how many degrees the usual delay of the sensor's signal makes it late at the
	// mean speed. Where the speed is steady that is in deg, where it varied it was taken out.
	usual  float64
	steady bool
}

// steadyBy is by how many times the mean the fastest speed of a drill is more at the most; of
// pushes by hand it is about two.
const steadyBy = 1.25

func viewOf(r *spin.Result) view {
	v := view{zeroSD: r.ZeroSD, emf: r.EMF, order: r.PhaseOrder, volts: r.FluxLinkage.Value / strongest(r.EMF), broken: commutation.Found(r.Findings, "phase-spacing")}
	for i := range 6 {
		v.sd += r.EMFCov[i][i] / 6
	}
	v.sd = math.Sqrt(v.sd)
	for k, s := range r.Sensors {
		v.hall[k] = placeOf(s)
		v.hall[k].usual = 360 * r.Speed.MeanHz * MostLateUS * 1e-6
		v.hall[k].steady = r.Speed.FastestHz < steadyBy*r.Speed.MeanHz
	}
	return v
}

func placeOf(s spin.Sensor) place {
	p := place{known: s.Known, placed: s.Placed, late: s.HysteresisDeg}
	if !s.Placed {
		return p
	}
	p.width = commutation.Wrap(s.FallDeg.Value - s.RiseDeg.Value)
	p.deg = spin.Value{Value: commutation.Wrap(s.RiseDeg.Value + p.width/2), SD: math.Hypot(s.RiseDeg.SD, s.FallDeg.SD) / 2}
	if math.IsNaN(s.HysteresisDeg.Value) {
		p.way = 1
	}
	return p
}

func strongest(emf [3]complex128) float64 {
	return max(cmplx.Abs(emf[0]), cmplx.Abs(emf[1]), cmplx.Abs(emf[2]))
}

// turnedOver is the view of one who calls the other way forward: angles change their
// sign, and so do speed and voltage per speed twice.
func (v view) turnedOver() view {
	for k := range 3 {
		v.emf[k] = cmplx.Conj(v.emf[k])
		v.hall[k].deg.Value = commutation.Wrap(-v.hall[k].deg.Value)
		v.hall[k].way = -v.hall[k].way
	}
	v.order = []int{v.order[0], v.order[2], v.order[1]}
	return v
}

// relabelled is the view with the phase leads and Hall leads exchanged: lead k is what
// was lead phases[k] or halls[k].
func (v view) relabelled(phases, halls [3]int) view {
	out := v
	for k := range 3 {
		out.emf[k], out.hall[k] = v.emf[phases[k]], v.hall[halls[k]]
	}
	out.order = orderOf(out.emf)
	return out
}

// orderOf returns the leads in the order of their back-EMFs, the first one first.
func orderOf(emf [3]complex128) []int {
	if cmplx.Abs(emf[0]+third*emf[1]+third*third*emf[2]) >= cmplx.Abs(emf[0]+third*third*emf[1]+third*emf[2]) {
		return []int{0, 1, 2}
	}
	return []int{0, 2, 1}
}

// sequences are the parts of three leads' phasors that rotate with the leads' order and
// against it (symmetrical components). They hold differences of leads only.
func (v view) sequences(e [3]complex128) (with, against complex128) {
	p, q, r := e[v.order[0]], e[v.order[1]], e[v.order[2]]
	return (p + third*q + third*third*r) / 3, (p + third*third*q + third*r) / 3
}

// turnedAgainst reports whether the second's rotor was turned the other way, if its leads
// are the first's: the phases follow one another the other way, or where one is broken
// the sensors do.
func turnedAgainst(a, b view) bool {
	if p, q := a.sensorOrder(), b.sensorOrder(); (a.broken || b.broken) && p*q != 0 {
		return p != q
	}
	return a.order[1] != b.order[1]
}

// sensorOrder is 1 where h1, h2 and h3 follow one another in this order, -1 where in
// the other, 0 where that is not known.
func (v view) sensorOrder() int {
	h := v.hall
	if !h[0].placed || !h[1].placed || !h[2].placed {
		return 0
	}
	if commutation.Wrap(h[1].deg.Value-h[0].deg.Value) < commutation.Wrap(h[2].deg.Value-h[0].deg.Value) {
		return 1
	}
	return -1
}

// agree gives both views one order of the phases, that of the more balanced: of a motor
// with a reversed phase the order is not that of the leads' axes.
func agree(a, b view) (view, view) {
	if a.unbalance().Value > b.unbalance().Value {
		a.order = b.order
	} else {
		b.order = a.order
	}
	return a, b
}

// unbalance is the ratio of the two: 0 of a sound winding.
func (v view) unbalance() spin.Value {
	with, against := v.sequences(v.emf)
	size := cmplx.Abs(with)
	return spin.Value{Value: cmplx.Abs(against) / size, SD: v.sd / math.Sqrt(3) / size}
}

// centred is the view against the mean of the leads.
func (v view) centred() view {
	mean := (v.emf[0] + v.emf[1] + v.emf[2]) / 3
	for k := range v.emf {
		v.emf[k] -= mean
	}
	return v
}
