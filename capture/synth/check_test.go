package synth

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestCheckNamesWhatIsWrong(t *testing.T) {
	check := func(want string, spoil func(c *Config)) {
		t.Helper()
		c := Config{Motor: NewMotor(7, 0.02), Spin: Pushes(6, 3, 15), FrontEnd: Board()}
		c.Motor.Harmonics = map[int]float64{5: 0.1}
		if err := c.Check(); err != nil {
			t.Fatalf("sound configuration: %v", err)
		}
		spoil(&c)
		err := c.Check()
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error is %v, want one about %q", err, want)
		}
	}
	check("number of pole pairs is 0, it must be from 1 to 200", func(c *Config) { c.Motor.PolePairs = 0 })
	check("flux linkage in V s is NaN", func(c *Config) { c.Motor.Flux = math.NaN() })
	check("magnetic phase of p3", func(c *Config) { c.Motor.PhaseOrder[2] = 3 })
	check("gain of p1", func(c *Config) { c.Motor.Gain[0] = math.Inf(-1) })
	check("order of a harmonic", func(c *Config) { c.Motor.Harmonics[1] = 0.1 })
	check("harmonic 5", func(c *Config) { c.Motor.Harmonics[5] = math.NaN() })
	check("h2: width", func(c *Config) { c.Motor.Sensors[1].WidthDeg = 0 })
	check("h3: hysteresis", func(c *Config) { c.Motor.Sensors[2].HysteresisDeg = 91 })
	check("h1: probability", func(c *Config) { c.Motor.Sensors[0].DropRate = 1.5 })
	check("push 2: duration", func(c *Config) { c.Spin.Pushes[1].Duration = 0 })
	check("add up", func(c *Config) { c.Spin.Pushes[0].Peak = 1e6 })
	check("friction", func(c *Config) { c.Spin.Friction = -1 })
	check("duration of the spin", func(c *Config) { c.Spin.Seconds = 0 })
	check("sample rate", func(c *Config) { c.FrontEnd.RateHz = 0 })
	check("number of samples", func(c *Config) { c.Spin.Seconds, c.FrontEnd.RateHz = 1000, 1e5 })
	check("volts per count", func(c *Config) { c.FrontEnd.VoltsPerCount = 0 })
	check("lowest count", func(c *Config) { c.FrontEnd.ClipLow = 5 })
	check("reference", func(c *Config) { c.FrontEnd.Reference = Differences + 1 })
	check("column 3: skew", func(c *Config) { c.FrontEnd.SkewUS[2] = 1e7 })
}

// Whatever passes the check is recorded without a panic, in order of time, and
// without values beyond the converter's range.
func TestAnythingCheckedIsRecorded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConfig(t)
		if err := c.Check(); err != nil {
			t.Fatalf("drawn within bounds: %v", err)
		}
		r, truth := c.Record()
		if !slices.IsSorted(r.Time) {
			t.Fatal("times are not in order")
		}
		for _, column := range r.Columns {
			for i, v := range column.Value {
				if !r.Edge[i] && !(v >= 0 && v <= 1023) {
					t.Fatalf("value %g in row %d", v, i)
				}
			}
		}
		if math.IsNaN(truth.TurnsForward) || truth.TurnsBackward > truth.TurnsForward {
			t.Fatalf("turns %g forward, %g backward", truth.TurnsForward, truth.TurnsBackward)
		}
	})
}

// drawConfig draws a short spin with anything the configuration has.
func drawConfig(t *rapid.T) Config {
	number := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	c := Config{Motor: NewMotor(rapid.IntRange(1, 200).Draw(t, "pole pairs"), number("flux", -1, 1))}
	c.Seed = rapid.Uint64().Draw(t, "seed")
	c.Motor.PoleStrength, c.Motor.PoleShift = number("strength", 0, 1), 15.0
	for i := range 3 {
		c.Motor.Open[i] = rapid.Bool().Draw(t, "open")
		c.Motor.Gain[i] = number("gain", -2, 2)
		s := &c.Motor.Sensors[i]
		s.RiseDeg, s.WidthDeg = number("rise", -1000, 1000), number("width", 1, 359)
		s.HysteresisDeg = number("hysteresis", 0, min(s.WidthDeg, 360-s.WidthDeg)/2)
		c.Motor.PoleShift = number("shift", 0, min(c.Motor.PoleShift, s.narrow()/12))
		s.Stuck = Stuck(rapid.IntRange(0, 2).Draw(t, "stuck"))
		s.DropRate, s.DropHigh = number("drop", 0, 1), rapid.Bool().Draw(t, "high")
		s.Bounces, s.BounceUS = rapid.IntRange(0, 3).Draw(t, "bounces"), number("bounce", 0, 1e4)
		s.GlitchRate, s.GlitchUS = number("rate", 0, 1000), number("glitch", 0, 1e4)
	}
	c.Spin = Spin{
		Seconds: number("seconds", 0.001, 0.1), StartDeg: number("start", -1e4, 1e4),
		StartHz: number("hz", -2000, 2000), Friction: number("friction", 0, 1e6),
		Cogging: number("cogging", 0, 1e5), CoggingOrder: rapid.IntRange(0, 10000).Draw(t, "order"),
		Pushes: []Push{{number("at", -0.1, 0.1), number("duration", 1e-3, 0.1), number("peak", -1e4, 1e4)}},
		Drill:  Drill{Hz: number("drill", -500, 500), Ripple: number("ripple", -1, 1), RippleHz: 10},
	}
	c.FrontEnd = Board()
	c.FrontEnd.Reference = Reference(rapid.IntRange(0, int(Differences)).Draw(t, "reference"))
	c.FrontEnd.EdgeRows = rapid.Bool().Draw(t, "edge rows")
	c.FrontEnd.HallLagUS = number("lag", 0, 1e4)
	c.FrontEnd.StartUS = rapid.Uint32().Draw(t, "counter")
	c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = number("from", 0, 0.1), number("to", 0, 0.1)
	return c
}
