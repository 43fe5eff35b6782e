package csvfile

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"handspin/capture"
)

// readColumns reads a file with three h columns, one row per microsecond.
func readColumns(t *testing.T, n int, value func(line, i int) float64) *capture.Recording {
	t.Helper()
	var text strings.Builder
	text.WriteString("t_us,h1,h2,h3\n")
	for i := range n {
		fmt.Fprintf(&text, "%d,%g,%g,%g\n", i, value(0, i), value(1, i), value(2, i))
	}
	rec, err := Parse([]byte(text.String()), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// A linear Hall sensor gives a sine; its level is the sine's sign but for what
// hysteresis holds back near zero. The two means of a sine of amplitude A are
// 2A/pi apart from zero, so the band is 0.15 * 4/pi * A = 0.19 A.
func TestSineIsParted(t *testing.T) {
	sine := func(line, i int) float64 { return 2.5 + math.Sin(float64(i)/20+2*math.Pi/3*float64(line)) }
	rec := readColumns(t, 2000, sine)
	for i, l := range rec.Hall {
		for k := range 3 {
			v := sine(k, i) - 2.5
			if high, known := l.Level(k); math.Abs(v) > 0.25 && (!known || high != (v > 0)) {
				t.Fatalf("row %d: h%d at %.2f is %s", i, k+1, v, l)
			}
		}
	}
}

// Noise and evenly spread values are no levels.
func TestNoiseDoesNotSwing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	rec := readColumns(t, 2000, func(line, i int) float64 {
		if line == 0 {
			return 2 + rng.Float64()
		}
		return 2 + rng.NormFloat64()
	})
	for i, l := range rec.Hall {
		if l != capture.UnknownLevels {
			t.Fatalf("row %d is %s", i, l)
		}
	}
}

// Two levels in noise a tenth of their distance: the noise passes the band, 0.35
// of the distance from a level, at 3.5 deviations, which one value in 4,300 does
// (normal distribution). Hysteresis then holds until the next value, so at most
// a few of 6,000 may be wrong.
func TestNoisyLevels(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	level := func(line, i int) bool { return (i/50+line)%3 == 0 }
	rec := readColumns(t, 2000, func(line, i int) float64 {
		v := 0.5 * rng.NormFloat64()
		if level(line, i) {
			v += 5
		}
		return v
	})
	wrong := 0
	for i, l := range rec.Hall {
		for k := range 3 {
			if high, known := l.Level(k); !known || high != level(k, i) {
				wrong++
			}
		}
	}
	if wrong > 10 {
		t.Errorf("%d of 6000 levels are wrong", wrong)
	}
}

// A line that idles is judged by the levels of the others, even where its own
// last digit flickers.
func TestIdleLineIsJudgedByTheOthers(t *testing.T) {
	for idle, want := range map[float64]bool{0.02: false, 3.3: true} {
		rec := readColumns(t, 300, func(line, i int) float64 {
			if line == 1 {
				return idle + 0.005*float64(i%2)
			}
			return 3.3 * float64((i/10+line)%2)
		})
		for i, l := range rec.Hall {
			if high, known := l.Level(1); !known || high != want {
				t.Fatalf("%g V: row %d is %s", idle, i, l)
			}
		}
	}
}
