package synth

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// alike are magnets without differences.
func alike(polePairs int) magnets {
	return newMagnets(NewMotor(polePairs, 1), rand.New(rand.NewPCG(0, 0)))
}

// A bisection of 100 us in 20 steps leaves 0.1 ns; a nanosecond has room for
// the rounding of the angle.
const crossingTol = 1e-9

// At constant speed f an edge at angle d of turn k comes at (d/360+k)/f: later
// by the hysteresis going forward, and going backward where the angle has fallen
// below the border by the hysteresis.
func TestSensorEdgesAtConstantSpeed(t *testing.T) {
	const hz, start = 25.0, 10.0
	s := Sensor{RiseDeg: 50, WidthDeg: 170, HysteresisDeg: 4}
	check := func(hz float64, first bool, angles []float64) {
		t.Helper()
		spin := Coast(0.2, hz, 0)
		spin.StartDeg = start
		l := s.follow(spin.run(3), alike(3))
		if l.first != first || len(l.toggles) != len(angles) {
			t.Fatalf("first level %v with %d edges, want %v with %d", l.first, len(l.toggles), first, len(angles))
		}
		for i, a := range angles {
			near(t, "time of an edge", l.toggles[i], (a-start)/360/hz, crossingTol)
		}
	}
	// Five turns in 0.2 s, from 10 degrees: rises at 54, falls at 224.
	check(hz, false, []float64{54, 224, 414, 584, 774, 944, 1134, 1304, 1494, 1664})
	// Backward from 10 degrees: the border at 220-360 is passed at 216-360.
	check(-hz, false, []float64{-144, -314, -504, -674, -864, -1034, -1224, -1394, -1584, -1754})
}

// A late line has the same edges, each later by the same time.
func TestLateLine(t *testing.T) {
	s := Sensor{RiseDeg: 50, WidthDeg: 170}
	l := s.follow(Coast(0.2, 25, 0).run(3), alike(3))
	s.LateUS = 300
	late := s.spoil(line{l.first, slices.Clone(l.toggles)}, 0.2, rand.New(rand.NewPCG(0, 0)))
	if len(late.toggles) != len(l.toggles) || len(l.toggles) == 0 {
		t.Fatalf("%d edges, want %d", len(late.toggles), len(l.toggles))
	}
	for i := range l.toggles {
		near(t, "lateness", late.toggles[i]-l.toggles[i], 300e-6, 1e-12)
	}
}

// A rotor that turns back within the hysteresis gives no second edge.
func TestNoEdgesWithinHysteresis(t *testing.T) {
	swing := func(hysteresis float64) int {
		// Swings by 1.6 degrees about 90 degrees, where the sensor rises.
		spin := Spin{Seconds: 2, StartDeg: 90, StartHz: 0.1, Cogging: 100, CoggingOrder: 4}
		s := Sensor{RiseDeg: 90, WidthDeg: 180, HysteresisDeg: hysteresis}
		return len(s.follow(spin.run(1), alike(1)).toggles)
	}
	// sqrt(2 pi 100 * 4)/(2 pi) = 8.0 swings a second, amplitude 0.1/8.0/2pi
	// turns = 0.72 degrees: two edges each swing, or none.
	if n := swing(0.7); n < 30 || n > 33 {
		t.Errorf("%d edges in 16 swings beyond the hysteresis", n)
	}
	if n := swing(0.75); n != 0 {
		t.Errorf("%d edges in swings within the hysteresis", n)
	}
}

// Borders are displaced as drawn and repeat each shaft turn.
func TestPoleShiftRepeatsEachShaftTurn(t *testing.T) {
	m := NewMotor(4, 1)
	m.PoleShift = 2
	g := newMagnets(m, rand.New(rand.NewPCG(2, 3)))
	s := Sensor{RiseDeg: 30, WidthDeg: 180}
	const hz = 40.0
	edges := s.follow(Coast(0.25, hz, 0).run(4), g).toggles
	if len(edges) != 20 {
		t.Fatalf("%d edges in 10 turns", len(edges))
	}
	spread := 0.0
	for i, at := range edges {
		shift := g.shift[i%8]
		near(t, "time of an edge", at, (30+180*float64(i)+shift)/360/hz, crossingTol)
		spread = max(spread, math.Abs(shift))
	}
	if spread == 0 {
		t.Error("no border is displaced")
	}
}

func TestPlaced(t *testing.T) {
	got := Placed(60, 30, [3]int{2, 0, 1}, [3]float64{1, -2, 3})
	for i, want := range []float64{151, 28, 93} { // 30+2*60+1, 30-2, 30+60+3
		near(t, "rise", got[i].RiseDeg, want, 0)
		near(t, "width", got[i].WidthDeg, 180, 0)
	}
}

// square is a line of 20 pulses, 10 ms high and 10 ms low, low at first.
func square() line {
	l := line{}
	for i := range 40 {
		l.toggles = append(l.toggles, 0.01*float64(i+1))
	}
	return l
}

// highTime is how long a line is high until the end.
func highTime(l line, end float64) float64 {
	sum, level, since := 0.0, l.first, 0.0
	for _, at := range append(append([]float64{}, l.toggles...), end) {
		if level {
			sum += at - since
		}
		level, since = !level, at
	}
	return sum
}

func TestSpoiledLines(t *testing.T) {
	rng := func() *rand.Rand { return rand.New(rand.NewPCG(8, 8)) }
	end := 0.41
	spoil := func(s Sensor) line { return s.spoil(square(), end, rng()) }
	near(t, "high time", highTime(spoil(Sensor{}), end), 0.2, 1e-12)
	near(t, "high time inverted", highTime(spoil(Sensor{Inverted: true}), end), 0.21, 1e-12)
	near(t, "high time stuck low", highTime(spoil(Sensor{Stuck: StuckLow}), end), 0, 0)
	near(t, "high time stuck high", highTime(spoil(Sensor{Stuck: StuckHigh, Inverted: true}), end), end, 0)

	bounced := spoil(Sensor{Bounces: 2, BounceUS: 100})
	if n := len(bounced.toggles); n != 40*5 { // each edge and two pulses of two toggles
		t.Errorf("%d toggles with bounces", n)
	}
	// Each edge has up to 4 gaps of 100 us, in which the level is off.
	near(t, "high time with bounces", highTime(bounced, end), 0.2, 40*2*100e-6)

	dropped := spoil(Sensor{DropRate: 1})
	if h := highTime(dropped, end); h >= 0.2 || h <= 0 {
		t.Errorf("high for %g s of 0.2 s although each pole loses some", h)
	}
	raised := spoil(Sensor{DropRate: 1, DropHigh: true})
	if h := highTime(raised, end); h <= 0.2 || h >= end {
		t.Errorf("high for %g s of %g s although each gap loses some", h, end)
	}
}

// The number of false pulses is a Poisson variable: 200 expected, with a standard
// deviation of 14, of which four are allowed.
func TestGlitchesComeAtTheirRate(t *testing.T) {
	s := Sensor{GlitchRate: 20, GlitchUS: 30}
	l := s.spoil(line{}, 10, rand.New(rand.NewPCG(1, 2)))
	near(t, "false pulses", float64(len(l.toggles))/2, 200, 4*14.2)
	near(t, "high time", highTime(l, 10), 30e-6*float64(len(l.toggles))/2, 1e-4)
}
