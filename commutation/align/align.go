// Package align estimates a motor from where its rotor comes to rest under a
// small direct current. It knows less than a hand spin tells: it takes the phases
// for sound, p1 p2 p3 for their order forward, and the sensors to sit about where
// six-step drive wants them.
package align

import (
	"math"
	"math/cmplx"
	"math/rand/v2"

	"handspin/capture/rest"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// Deviations in electrical degrees that are taken for usual. Cogging and friction
// pull a rest position; sensors are placed some degrees off (common practice: up
// to ten); sd is that of the distance between the two. Besides, a level is
// misread now and then.
const (
	restSD  = 8.0
	placeSD = 6.0
	sd      = 10.0
	misread = 0.01
)

// Analyse estimates the motor. With backward, forward is the order p1 p3 p2. Like
// spin.Analyse it never fails: what the table does not tell is in its findings.
func Analyse(t *rest.Table, backward bool) *spin.Result {
	a := &analysis{table: t, lag: 120}
	if backward {
		a.lag = -120
	}
	a.weigh()
	r := a.result()
	r.Findings = a.findings()
	return r
}

type analysis struct {
	table *rest.Table
	// lag is by how much each phase lags the one before.
	lag float64
	// places are the possible ones of the three sensors, with their
	// probabilities; best is the likeliest.
	places []places
	best   places
}

// places are the angles at which the sensors rise.
type places struct {
	rise    [3]float64
	spacing float64
	weight  float64
}

// RestDeg returns the angle at which the rotor of a motor whose phases lag one
// another by lag rests under a current. The torque is the sum over the phases of
// current times sin(a - its lag), a sine itself; the rotor rests at its falling
// zero, whence any push turns it back.
func RestDeg(current [3]float64, lag float64) float64 {
	var sum complex128
	for i, c := range current {
		sum += complex(c, 0) * cmplx.Rect(1, -lag*float64(i)*math.Pi/180)
	}
	return commutation.Wrap(180 - cmplx.Phase(sum)*180/math.Pi)
}

// likely60 is how probable each of the 36 regular places with 60 degrees between
// sensors is, relative to each of the 12 with 120, which are far more usual
// (common practice).
const likely60 = 0.1

// weigh gives all regular places their probabilities: each sensor switches where
// a pair of leads takes over from another, at 30 and every 60 degrees from there,
// and no two at the same places.
func (a *analysis) weigh() {
	sum := 0.0
	for n := range 6 * 6 * 6 {
		p := places{weight: likely60, spacing: 60}
		for i, k := range []int{n % 6, n / 6 % 6, n / 36} {
			p.rise[i] = float64(30 + 60*k)
		}
		between := func(i, j int) float64 { return math.Mod(math.Abs(p.rise[i]-p.rise[j]), 180) }
		if between(0, 1) == 0 || between(1, 2) == 0 || between(2, 0) == 0 {
			continue
		}
		if math.Mod(p.rise[0]-p.rise[1]+360, 120) == 0 && math.Mod(p.rise[1]-p.rise[2]+360, 120) == 0 {
			p.weight, p.spacing = 1, 120
		}
		for _, pos := range a.table.Positions {
			for i := range 3 {
				p.weight *= a.chance(pos, i, p.rise[i])
			}
		}
		sum += p.weight
		a.places = append(a.places, p)
		if p.weight > a.best.weight {
			a.best = p
		}
	}
	for i := range a.places {
		a.places[i].weight /= sum
	}
	a.best.weight /= sum
}

// chance returns how probable the level of sensor i at a rest position is if the
// sensor rises at the given angle.
func (a *analysis) chance(pos rest.Position, i int, rise float64) float64 {
	high, known := pos.Hall.Level(i)
	from := commutation.Wrap(RestDeg(pos.Current, a.lag)-rise) / sd
	const half, full = 180 / sd, 360 / sd
	p := below(from) - below(from-half) + below(from-full)
	switch {
	case !known: // it flickers, as at an edge
		edge := math.Abs(math.Remainder(from, half))
		p = math.Exp(-edge * edge / 2)
	case !high:
		p = 1 - p
	}
	return misread + (1-2*misread)*p
}

// below returns the probability that a standard normal number is less than x.
func below(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

// maxSure is the most that is claimed. What is taken for granted, that the phases
// are sound and the sensors sit where six-step drive wants them, no table of rest
// positions shows.
const maxSure = 0.99

// minChanging is how many sensors have to change for their places to be told
// apart at all.
const minChanging = 2

// tells reports whether the table determines the sensors' places.
func (a *analysis) tells() bool {
	changing := 0
	for i := range 3 {
		if low, high := a.seen(i); low && high {
			changing++
		}
	}
	return changing >= minChanging && a.best.weight >= minWeight
}

// draws is how many motors stand for the scatter of the sensors about the
// likeliest places. Whether these are the right ones is the reliability.
const draws = 100

func (a *analysis) result() *spin.Result {
	unknown := spin.Value{Value: math.NaN(), SD: math.NaN()}
	order := []int{0, 1, 2}
	if a.lag < 0 {
		order = []int{0, 2, 1}
	}
	r := &spin.Result{
		Motor: a.motor(a.best.rise), Usable: a.tells(), Reliability: min(a.best.weight, maxSure),
		PhaseOrder: order, FluxLinkage: unknown, SpacingDeg: a.best.spacing,
	}
	random := rand.New(rand.NewPCG(1, 1)) // the same answer every time
	for range draws {
		rise := a.best.rise
		for i := range rise {
			rise[i] += placeSD * random.NormFloat64()
		}
		r.Draws = append(r.Draws, a.motor(rise))
	}
	if !r.Usable {
		r.SpacingDeg = math.NaN()
	}
	for i := range 3 {
		r.Phases[i] = spin.Phase{AngleDeg: unknown, Amplitude: unknown}
		s := r.Motor.Sensors[i]
		scatter := a.scatter(i)
		low, high := a.seen(i)
		r.Sensors[i] = spin.Sensor{
			Known: low || high, Placed: low && high, ErrorDeg: math.NaN(), HysteresisDeg: unknown, Duty: math.NaN(),
			RiseDeg: spin.Value{Value: s.RiseDeg, SD: scatter}, FallDeg: spin.Value{Value: s.FallDeg, SD: scatter},
		}
	}
	return r
}

// motor returns a sinusoidal motor with the sensors at the given places.
func (a *analysis) motor(rise [3]float64) (m commutation.Motor) {
	for i := range 3 {
		m.EMF[i] = commutation.Sine(1, a.lag*float64(i))
		m.Sensors[i] = commutation.Sensor{RiseDeg: commutation.Wrap(rise[i]), FallDeg: commutation.Wrap(rise[i] + 180)}
	}
	return m
}

// scatter returns the standard deviation of a sensor's place.
func (a *analysis) scatter(i int) float64 {
	sum := placeSD * placeSD
	for _, p := range a.places {
		d := commutation.Signed(p.rise[i] - a.best.rise[i])
		sum += p.weight * d * d
	}
	return math.Sqrt(sum)
}

// seen reports at which levels a sensor was seen.
func (a *analysis) seen(i int) (low, high bool) {
	for _, pos := range a.table.Positions {
		if level, known := pos.Hall.Level(i); known {
			low, high = low || !level, high || level
		}
	}
	return low, high
}
