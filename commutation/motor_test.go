package commutation

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestAngles(t *testing.T) {
	// By definition of the two ranges.
	for _, c := range []struct{ deg, wrapped, signed float64 }{
		{0, 0, 0}, {360, 0, 0}, {-90, 270, -90}, {180, 180, -180}, {-180, 180, -180}, {725, 5, 5}, {-1e-18, 0, 0}, {359, 359, -1},
	} {
		near(t, "wrapped", Wrap(c.deg), c.wrapped, rounding)
		near(t, "signed", Signed(c.deg), c.signed, rounding)
	}
	rapid.Check(t, func(t *rapid.T) {
		deg := rapid.Float64Range(-1e6, 1e6).Draw(t, "deg")
		if w, s := Wrap(deg), Signed(deg); w < 0 || w >= 360 || s < -180 || s >= 180 {
			t.Fatalf("%v became %v and %v", deg, w, s)
		}
	})
}

func TestWaveAndLevel(t *testing.T) {
	// sin 30 = 1/2, cos 60 = 1/2, sin 90 = 1.
	w := Wave{{N: 1, Sin: 4}, {N: 2, Cos: 6}, {N: 3, Sin: 1}}
	near(t, "wave", w.At(30), 2+3+1, rounding)
	near(t, "slope", firstSlope(w, 30), 4*math.Sqrt(3)/2-2*6*math.Sqrt(3)/2, 1e-6) // 4 cos 30 - 12 sin 60 + 3 cos 90
	s := Sensor{RiseDeg: 350, FallDeg: 170}
	for deg, want := range map[float64]bool{349: false, 350: true, 0: true, 169: true, 170: false, 260: false} {
		if s.Level(deg) != want {
			t.Errorf("level at %g is %v", deg, !want)
		}
	}
	if !(Sensor{Stuck: true, High: true}).Level(200) || (Sensor{Stuck: true}).Level(200) {
		t.Error("a stuck sensor moved")
	}
}

// firstSlope returns the slope of w per radian as the first of a motor's
// lead-to-lead waves has it when the other leads have none.
func firstSlope(w Wave, deg float64) float64 {
	_, slope := newLines([3]Wave{w, nil, nil}).at(deg)
	return slope[0]
}
