package synth

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/mat"

	"handspin/capture"
)

// projection returns the sine and cosine parts of order n of a column per rad/s,
// by a least-squares fit of the recorded samples on the truth's own angle and
// speed with gonum's QR decomposition: the words of the truth put to the test.
func projection(r *capture.Recording, truth Truth, column int, orders []int) []float64 {
	rows := samples(r)
	a := mat.NewDense(len(rows), 2*len(orders), nil)
	b := mat.NewVecDense(len(rows), nil)
	for k, i := range rows {
		at := r.Time[i] + r.Columns[column].Skew
		w := truth.SpeedAt(at) * 2 * math.Pi
		for j, n := range orders {
			sin, cos := math.Sincos(float64(n) * truth.AngleAt(at) * math.Pi / 180)
			a.Set(k, 2*j, w*sin)
			a.Set(k, 2*j+1, w*cos)
		}
		b.SetVec(k, r.Columns[column].Value[i])
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		panic(err)
	}
	return x.RawVector().Data
}

// uneven is a motor whose phases differ in order, strength and sign.
func uneven(sense float64) Config {
	m := rich()
	m.PoleStrength = 0
	f := ideal(Neutral)
	f.RateHz, f.EdgeRows = 1000, true // a whole number of 4 us steps
	return Config{Motor: m, Spin: Pushes(2, 3, sense*15), FrontEnd: f}
}

// What the truth says of the back-EMF fits the samples to their rounding, turned
// either way.
func TestTruthFitsTheSamples(t *testing.T) {
	for _, sense := range []float64{1, -1} {
		for _, first := range []int{0, 1, 2} {
			c := uneven(sense)
			c.Motor.PhaseOrder = [3]int{first, (first + 1) % 3, (first + 2) % 3}
			c.Motor.Gain[0] = float64(1 - 2*(first%2)) // p1 itself reversed at times
			r, truth := record(c)
			if truth.Mirrored != (sense < 0) {
				t.Errorf("turned by %g pushes, mirrored is %v", sense, truth.Mirrored)
			}
			for lead, p := range truth.Phases {
				checkWave(t, r, truth, lead, p)
			}
			near(t, "angle of p1", math.Remainder(truth.Phases[0].AngleDeg, 360), 0, 1e-9)
			near(t, "flux linkage", truth.FluxVS, 0.02, 1e-15)
		}
	}
}

// checkWave compares a lead's wave with the samples of its column.
func checkWave(t *testing.T, r *capture.Recording, truth Truth, column int, p Phase) {
	t.Helper()
	fit := projection(r, truth, column, []int{1, 3, 5, 7})
	for j, term := range p.Wave {
		what := fmt.Sprintf("column %d order %d", column+1, term.N)
		// The fit is exact but for rounding: angles of some 1e4 degrees.
		near(t, what+" sine", fit[2*j], term.Sin, 1e-10)
		near(t, what+" cosine", fit[2*j+1], term.Cos, 1e-10)
	}
	peak := math.Hypot(fit[0], fit[1])
	near(t, "amplitude", p.Amplitude*truth.FluxVS, peak, 1e-10)
	if peak > 1e-3 {
		lag := math.Atan2(-fit[1], fit[0]) * 180 / math.Pi
		near(t, "lag", math.Remainder(p.AngleDeg-lag, 360), 0, 1e-6)
	}
}

// Against a virtual star the columns of unequal phases show Seen, not Phases.
func TestSeenFitsTheVirtualStar(t *testing.T) {
	for _, sense := range []float64{1, -1} {
		c := uneven(sense)
		c.FrontEnd.Reference = VirtualStar
		r, truth := record(c)
		largest := 0.0
		for lead := range 3 {
			fit := projection(r, truth, lead, []int{1, 3, 5, 7})
			largest = max(largest, math.Hypot(fit[0], fit[1]))
		}
		truth.FluxVS = largest // that of Seen, whose amplitudes are relative to it
		for lead, p := range truth.Seen {
			checkWave(t, r, truth, lead, p)
		}
	}
}

// With p3 open the mean of the other two is the reference, so that they are seen
// in antiphase.
func TestSeenWithAnOpenLead(t *testing.T) {
	c := Config{Motor: NewMotor(5, 0.01), Spin: Pushes(2, 3, 15), FrontEnd: Board()}
	c.Motor.Open[2] = true
	_, truth := record(c)
	near(t, "lag of p2 behind p1", truth.Phases[1].AngleDeg, 120, 1e-9)
	near(t, "lag of p2 behind p1 as seen", turn(truth.Seen[1].AngleDeg-truth.Seen[0].AngleDeg), 180, 1e-9)
	near(t, "amplitude of p3", truth.Phases[2].Amplitude, 0, 0)
	if !truth.Phases[2].Open || !truth.Seen[2].Open {
		t.Error("p3 is not said to be open")
	}
}

// Phases 120 degrees apart, one reversed: the angles are 0, 120 and 240+180.
func TestTruthOfAReversedPhase(t *testing.T) {
	for _, sense := range []float64{1, -1} {
		c := Config{Motor: NewMotor(5, 0.01), Spin: Pushes(2, 3, 15*sense), FrontEnd: Board()}
		c.Motor.Gain[2] = -1
		_, truth := record(c)
		second, third := 120.0, 60.0
		if sense < 0 {
			second, third = 240, 300
		}
		near(t, "lag of p2", truth.Phases[1].AngleDeg, second, 1e-9)
		near(t, "lag of p3", truth.Phases[2].AngleDeg, third, 1e-9)
	}
}

// The edges that the recording stamps lie at the truth's angles, turned either
// way and, by the hysteresis, in both directions. Inverted sensors rise where
// others fall.
func TestTruthFitsTheEdges(t *testing.T) {
	for _, spin := range []Spin{Pushes(3, 3, 15), Pushes(3, 3, -15), BackAndForth(3, 5, 15)} {
		c := Config{Motor: NewMotor(4, 0.01), Spin: spin, FrontEnd: Board()}
		c.Motor.Sensors = Placed(120, 90, [3]int{2, 0, 1}, [3]float64{1, -4, 2})
		c.Motor.Sensors[1].Inverted = true
		for i := range c.Motor.Sensors {
			c.Motor.Sensors[i].WidthDeg = 170
			c.Motor.Sensors[i].HysteresisDeg = float64(i)
		}
		r, truth := record(c)
		previous := r.Hall[0]
		for i, at := range r.Time {
			if !r.Edge[i] {
				continue
			}
			lead, high := changed(t, previous, r.Hall[i])
			previous = r.Hall[i]
			s, hz := truth.Sensors[lead], truth.SpeedAt(at)
			// Going backward the level goes high where it goes low forward.
			want := s.FallDeg
			if high == (hz > 0) {
				want = s.RiseDeg
			}
			want += math.Copysign(s.HysteresisDeg, hz)
			if off := math.Remainder(truth.AngleAt(at)-want, 360); math.Abs(off) > 360*math.Abs(hz)*stampTol+1e-9 {
				t.Fatalf("edge of h%d at %g s is off by %g degrees at %g Hz", lead+1, at, off, hz)
			}
		}
	}
}

func TestZeroOfTheAngle(t *testing.T) {
	c := Config{Motor: NewMotor(4, 0.01), Spin: Pushes(2, 2, -15), FrontEnd: Board()}
	_, truth := record(c)
	if truth.Zero != "p1" {
		t.Errorf("zero is at %q", truth.Zero)
	}
	c.Motor.Flux = 0
	_, truth = record(c)
	if truth.Zero != "h1" {
		t.Errorf("without back-EMF zero is at %q", truth.Zero)
	}
	near(t, "rise of h1", math.Remainder(truth.Sensors[0].RiseDeg, 360), 0, 1e-9)
	near(t, "distance of h2", truth.Sensors[1].RiseDeg, 240, 1e-9) // turned backward
	c.Motor.Sensors[0].Stuck = StuckHigh
	_, truth = record(c)
	if truth.Zero != "" || !truth.Sensors[0].Stuck || !truth.Sensors[0].High {
		t.Errorf("without p1 and h1 zero is at %q, h1 %+v", truth.Zero, truth.Sensors[0])
	}
}

// Moving zero moves all angles alike and leaves the back-EMF at a given moment
// what it was.
func TestFromMovesZero(t *testing.T) {
	c := uneven(-1)
	r, truth := record(c)
	moved := truth.From(50)
	near(t, "angle", truth.AngleAt(1)-moved.AngleAt(1), 50, 1e-9)
	near(t, "rise of h2", turn(truth.Sensors[1].RiseDeg-moved.Sensors[1].RiseDeg), 50, 1e-9)
	for lead, p := range moved.Phases {
		checkWave(t, r, moved, lead, p)
	}
	near(t, "lag of p1", moved.Phases[0].AngleDeg, 310, 1e-9)
	near(t, "lag of p1 before", math.Remainder(truth.Phases[0].AngleDeg, 360), 0, 1e-9)
}

func TestTurnsOfTheRecordedPart(t *testing.T) {
	c := Config{Motor: NewMotor(4, 0.01), Spin: Coast(2, -20, 10), FrontEnd: Board()}
	_, truth := record(c)
	near(t, "turns forward", truth.TurnsForward, 20, 1e-6) // w^2/(2a)
	near(t, "turns backward", truth.TurnsBackward, 0, 1e-6)
	c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = 1, 3
	c.FrontEnd.EdgeRows = false
	_, truth = record(c)
	// 15 turns in the first second, less what lies between the last row and it.
	near(t, "turns forward until a second", truth.TurnsForward, 15, 20.0/3200)
}

func TestTruthSurvivesJSON(t *testing.T) {
	c := uneven(1)
	c.Motor.Open[1] = true
	c.Motor.Sensors[2].Stuck = StuckLow
	_, truth := record(c)
	text, err := json.Marshal(truth)
	if err != nil {
		t.Fatal(err)
	}
	var back Truth
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	if back.Schema != TruthSchema || !math.IsNaN(back.AngleAt(1)) || !math.IsNaN(back.SpeedAt(1)) {
		t.Errorf("schema %q, angle %g, speed %g", back.Schema, back.AngleAt(1), back.SpeedAt(1))
	}
	truth.motion, truth.start, truth.scale = nil, 0, scale{}
	if !reflect.DeepEqual(back, truth) {
		t.Errorf("read back\n%+v\nfrom\n%+v", back, truth)
	}
}
