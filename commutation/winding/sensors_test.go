package winding

import (
	"math"
	"slices"
	"testing"
)

// TestPlacements: worked out by hand from tooth angles and the rule that a sensor
// is on time on the axis of a phase or a multiple of 60 degrees from it.
func TestPlacements(t *testing.T) {
	for _, c := range []struct {
		slots, poles, spacing int
		first                 [3]string
		mech                  [3]float64
		span                  float64
		n                     int
	}{
		// 12/10: axis at -15, openings at 75 + 150 k. On time are 2|3, 4|5 and so
		// on at 225, 165, 105, 45, 345, 285: each 60 before the last. Up to
		// turning, every second is the only way to 120, three in a row that to 60.
		{12, 10, 120, [3]string{"2|3", "10|11", "6|7"}, [3]float64{45, 285, 165}, 240, 1},
		{12, 10, 60, [3]string{"6|7", "4|5", "2|3"}, [3]float64{165, 105, 45}, 120, 1},
		// 9/8: axis at -20, openings at 80 + 160 k; on time are 3|4, 6|7, 9|1
		// at 400, 880, 1360, which are 2.5, 5.5, 8.5 teeth of 40 mechanical degrees.
		{9, 8, 120, [3]string{"3|4", "6|7", "9|1"}, [3]float64{100, 220, 340}, 240, 1},
		// 12/8: each opening, 120 degrees from the last.
		{12, 8, 120, [3]string{"1|2", "2|3", "3|4"}, [3]float64{15, 45, 75}, 60, 0},
	} {
		l := machine(t, c.slots, c.poles).Layout()
		all := l.Placements(c.spacing)
		if len(all) == 0 || c.n > 0 && len(all) != c.n {
			t.Fatalf("%d/%d: %d placements: %v", c.slots, c.poles, len(all), all)
		}
		for i, k := range all[0].Openings {
			if got := l.OpeningName(k); got != c.first[i] {
				t.Errorf("%d/%d: sensor %d in %s, want %s", c.slots, c.poles, i+1, got, c.first[i])
			}
			near(t, "mechanical", math.Mod(all[0].MechanicalDeg[i], 360), c.mech[i], 1e-9)
		}
		near(t, "span", all[0].SpanDeg, c.span, 1e-9)
		near(t, "off", all[0].OffDeg, 0, 0)
	}
	if all := machine(t, 12, 8).Layout().Placements(60); all != nil { // openings 120 degrees apart only
		t.Errorf("12/8 at 60: %v", all)
	}
	// 18/14: axis on a spoke, multiples of 20 degrees; openings at odd multiples
	// of 10: none on time, 10 degrees off at best.
	for _, p := range machine(t, 18, 14).Layout().Placements(120) {
		near(t, "18/14", math.Abs(p.OffDeg), 10, 1e-9)
	}
}

// TestPlacementsSwitchOnTime: for all machines, each sensor is where it is said to
// be, spaced as asked, equally far from time, and shorter spans come first.
func TestPlacementsSwitchOnTime(t *testing.T) {
	for _, c := range windingFactors {
		l := machine(t, c.slots, c.poles).Layout()
		p := float64(l.PolePairs())
		for _, spacing := range []int{60, 120} {
			all := l.Placements(spacing)
			if len(all) == 0 && spacing == 120 {
				t.Errorf("%d/%d: no placement", c.slots, c.poles)
			}
			span := 0.0
			for _, at := range all {
				if at.SpanDeg < span || at.SpanDeg >= 360 {
					t.Errorf("%d/%d: span %g after %g", c.slots, c.poles, at.SpanDeg, span)
				}
				span = at.SpanDeg
				for i, deg := range at.MechanicalDeg {
					off := math.Remainder(p*deg-l.AxisDeg(), 60)
					near(t, "time", math.Remainder(off-at.OffDeg, 60), 0, 1e-6)
					later := at.MechanicalDeg[(i+1)%3]
					if i < 2 {
						near(t, "spacing", math.Remainder(p*(later-deg)-float64(spacing), 360), 0, 1e-6)
					}
					// Moving by TurnBy teeth keeps the time.
					pitch := 360 / float64(c.slots)
					near(t, "turned", math.Remainder(p*pitch*float64(l.TurnBy()), 60), 0, 1e-6)
				}
			}
		}
		near(t, "best", math.Remainder(p*l.BestDeg()-l.AxisDeg(), 60), 0, 1e-6)
	}
}

// TestSpacings: 120 degrees electrical are 120/p mechanical, 240 are 240/p, 60 are
// 60/p; 120 mechanical are whole electrical turns where three divides p (derived by
// hand; 4- and 8-pole grids agree with a Baldor servo manual, 17.1 degrees for
// seven pole pairs with applied-ee's notes).
func TestSpacings(t *testing.T) {
	for p, want := range map[int][3]float64{ // 120, 240, 60
		1: {120, 240, 60}, 2: {60, 120, 30}, 4: {30, 60, 15}, 5: {24, 48, 12}, 7: {17.142857, 34.285714, 8.571429},
		8: {15, 30, 7.5}, 10: {12, 24, 6}, 20: {6, 12, 3}, 23: {5.217391, 10.434783, 2.608696}, 28: {4.285714, 8.571429, 2.142857},
		3: {40, 80, 20}, 15: {8, 16, 4},
	} {
		m := Machine{3, 2 * p} // the slots do not matter
		have := func(all []float64, deg float64) bool {
			return slices.ContainsFunc(all, func(x float64) bool { return math.Abs(x-deg) < 1e-5 })
		}
		all := m.Spacings(120)
		if !slices.IsSorted(all) || !have(all, want[0]) || want[1] <= 120 && !have(all, want[1]) {
			t.Errorf("p=%d: %v", p, all)
		}
		if have(all, 120) != (p%3 != 0) {
			t.Errorf("p=%d: 120 mechanical degrees in %v", p, all)
		}
		if six := m.Spacings(60); math.Abs(six[0]-want[2]) > 1e-5 {
			t.Errorf("p=%d: %v", p, six)
		}
	}
}

// TestOnTimeByField: six-step drive has to change over where the voltage between
// two leads is zero. Here by another way than the placements' rule: a sinusoidal
// field passes the teeth and the sensor, a coil's voltage is the numerical
// derivative of the field at its tooth, and the sensor switches where its own field
// is zero.
func TestOnTimeByField(t *testing.T) {
	for _, c := range windingFactors {
		l := machine(t, c.slots, c.poles).Layout()
		p := float64(l.PolePairs())
		field := func(mechDeg, rotorDeg float64) float64 { return math.Cos((rotorDeg - p*mechDeg) * pi / 180) }
		voltage := func(phase int, rotorDeg float64) float64 {
			sum := 0.0
			for k, coil := range l.Coils {
				if coil.Phase == phase {
					at := 360 * float64(k) / float64(c.slots)
					sum += float64(coil.Sense) * (field(at, rotorDeg+0.5) - field(at, rotorDeg-0.5))
				}
			}
			return sum
		}
		for _, at := range l.Placements(120) {
			for _, deg := range at.MechanicalDeg {
				switches := p*deg + 90 // field zero
				largest, least := 0.0, math.Inf(1)
				for i := range 3 {
					line := math.Abs(voltage(i, switches) - voltage((i+1)%3, switches))
					largest, least = max(largest, line), min(least, line)
				}
				// At a zero of one the others are sin 60 of their peak.
				want := math.Sin(math.Abs(at.OffDeg)*pi/180) / math.Sin((60+math.Abs(at.OffDeg))*pi/180)
				near(t, l.Letters(), least/largest, want, 1e-6)
			}
		}
	}
}
