package synth

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
)

// ideal returns a front end whose columns are the volts themselves.
func ideal(r Reference) FrontEnd {
	return FrontEnd{RateHz: 2000, VoltsPerCount: 1, Reference: r, EdgeRows: true}
}

var sound [3]bool

// drawEMF draws three voltages about 10 V.
func drawEMF(t *rapid.T) [3]float64 {
	v := rapid.Float64Range(-10, 10)
	return [3]float64{v.Draw(t, "e1"), v.Draw(t, "e2"), v.Draw(t, "e3")}
}

// ulps bounds the rounding of a few sums of numbers up to 10.
const ulps = 1e-14

// Whatever the reference, as long as no column is clamped, differences between
// columns are those between the leads.
func TestDifferencesDoNotDependOnTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawEMF(t)
		for _, r := range []Reference{Neutral, VirtualStar, LowestLead, FirstLead} {
			c := ideal(r).columns(e, sound)
			for i := range 3 {
				if d := c[i] - c[(i+1)%3] - (e[i] - e[(i+1)%3]); math.Abs(d) > 4*ulps {
					t.Fatalf("%s: difference %d is off by %g V", r, i+1, d)
				}
			}
		}
		d := ideal(Differences).columns(e, sound)
		for i := range 3 {
			if off := d[i] - (e[i] - e[(i+1)%3]); math.Abs(off) > 4*ulps {
				t.Fatalf("difference column %d is off by %g V", i+1, off)
			}
		}
	})
}

func TestReferences(t *testing.T) {
	e := [3]float64{6, -2, -1} // their mean is 1
	for r, want := range map[Reference][3]float64{
		Neutral:     {6, -2, -1},
		VirtualStar: {5, -3, -2},
		LowestLead:  {8, 0, 1},
		HalfWave:    {5, 0, 0},
		FirstLead:   {0, -8, -7},
		Differences: {8, -1, -7},
	} {
		got := ideal(r).columns(e, sound)
		for i := range want {
			near(t, r.String(), got[i], want[i], ulps)
		}
	}
}

// An open lead rests at the reference: with p1 open the mean of the others is
// -1.5.
func TestReferencesWithAnOpenLead(t *testing.T) {
	e, open := [3]float64{0, -2, -1}, [3]bool{true, false, false}
	for r, want := range map[Reference][3]float64{
		Neutral:     {0, -2, -1},
		VirtualStar: {0, -0.5, 0.5},
		LowestLead:  {0, 0, 1},
		HalfWave:    {0, 0, 0.5},
		FirstLead:   {0, -0.5, 0.5},
		Differences: {0.5, -1, 0.5},
	} {
		got := ideal(r).columns(e, open)
		for i := range want {
			near(t, r.String(), got[i], want[i], ulps)
		}
	}
	all := [3]bool{true, true, true}
	for r := Neutral; r <= Differences; r++ {
		if got := ideal(r).columns([3]float64{}, all); got != [3]float64{} {
			t.Errorf("%s with all leads open reads %v", r, got)
		}
	}
}

// Kirchhoff's current law at the ground of clamped dividers: the currents, each
// voltage times its conductance, add up to nothing.
func TestClampedGroundBalancesCurrents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := ideal(HalfWave)
		f.ClampLoad = rapid.Float64Range(0, 1).Draw(t, "load")
		e := drawEMF(t)
		ground, sum := f.reference(e, sound), 0.0
		for _, v := range e {
			current := v - ground
			if current < 0 {
				current *= 1 + f.ClampLoad
			}
			sum += current
		}
		if math.Abs(sum) > 10*ulps {
			t.Fatalf("currents add up to %g", sum)
		}
	})
}

func record(c Config) (*capture.Recording, Truth) {
	if err := c.Check(); err != nil {
		panic(err)
	}
	return c.Record()
}

// samples returns the rows that are samples.
func samples(r *capture.Recording) []int {
	var out []int
	for i, edge := range r.Edge {
		if !edge {
			out = append(out, i)
		}
	}
	return out
}

// With an unpowered controller the lowest column is at zero all the time, and
// the differences of columns are line voltages.
func TestLowestLeadRecording(t *testing.T) {
	c := Config{Motor: rich(), Spin: Pushes(1, 2, 15), FrontEnd: ideal(LowestLead)}
	low, _ := record(c)
	c.FrontEnd.Reference = Differences
	line, _ := record(c)
	for _, i := range samples(low) {
		v := [3]float64{low.Columns[0].Value[i], low.Columns[1].Value[i], low.Columns[2].Value[i]}
		if min(v[0], v[1], v[2]) != 0 {
			t.Fatalf("row %d: lowest of %v is not 0", i, v)
		}
		for k := range 3 {
			near(t, line.Columns[k].Source, line.Columns[k].Value[i], v[k]-v[(k+1)%3], 100*ulps)
		}
	}
}

// A skewed column shows at time t what one without skew shows at t + skew.
func TestSkewMovesSamples(t *testing.T) {
	c := Config{Motor: rich(), Spin: Pushes(1, 2, 15), FrontEnd: ideal(Neutral)}
	c.FrontEnd.EdgeRows = false
	straight, _ := record(c)
	c.FrontEnd.SkewUS = [3]float64{0, 500, -500} // the period of the samples
	skewed, _ := record(c)
	for i := 1; i+1 < straight.Rows(); i++ {
		for k, shift := range []int{0, 1, -1} {
			near(t, "skewed sample", skewed.Columns[k].Value[i], straight.Columns[k].Value[i+shift], 1e-9)
		}
	}
	near(t, "declared skew in s", skewed.Columns[1].Skew, 500e-6, 1e-18)
}

func TestCountsAreWholeAndInRange(t *testing.T) {
	c := Random(Clipped, 4)
	r, _ := record(c)
	low, high := 0, 0
	for _, column := range r.Columns {
		for _, i := range samples(r) {
			v := column.Value[i]
			if v != math.Trunc(v) || v < 0 || v > 1023 {
				t.Fatalf("row %d: %g counts of ten bits", i, v)
			}
			if v == 0 {
				low++
			}
			if v == 1023 {
				high++
			}
		}
	}
	if low == 0 || high == 0 {
		t.Errorf("%d samples at the lower rail and %d at the upper", low, high)
	}
}

// A rotor at rest shows the offset, the noise and the hum alone. Quantising adds
// 1/12 to the variance of the noise. The statistics of 2000 samples are within
// four standard errors: sd/sqrt(n) and sd/sqrt(2n).
func TestOffsetNoiseAndHumAtRest(t *testing.T) {
	c := Config{Motor: rich(), Spin: Spin{Seconds: 0.9999}, FrontEnd: ideal(VirtualStar), Seed: 3}
	f := &c.FrontEnd
	f.Bits, f.NoiseCounts, f.OffsetCounts = 10, 1.5, [3]float64{500, 510.3, 495}
	r, _ := record(c)
	const n, sd = 2000, 1.527525 // sqrt(1.5^2 + 1/12)
	for k, column := range r.Columns {
		sum, square := 0.0, 0.0
		for _, v := range column.Value {
			d := v - f.OffsetCounts[k]
			sum += d / n
			square += d * d / n
		}
		near(t, "offset's error", sum, 0, 4*sd/math.Sqrt(n))
		near(t, "noise", math.Sqrt(square), sd, 4*sd/math.Sqrt(2*n))
	}
	f.Bits, f.NoiseCounts, f.Hum, f.HumHz = 0, 0, 3, 50
	f.GainError = [3]float64{0.01, 0, 0}
	r, _ = record(c)
	for _, column := range r.Columns[1:] {
		for i, v := range column.Value {
			near(t, "difference of columns in hum", v-r.Columns[0].Value[i], column.Value[0]-500, 1e-12)
		}
	}
	near(t, "quarter of the hum's period", r.Columns[0].Value[10], 503, 1e-9) // 5 ms of 20 ms
	f.Reference = Differences
	r, _ = record(c)
	near(t, "hum in a difference", r.Columns[0].Value[10], 500, 0)
}

// Spikes come as often as they are asked for, and change nothing between them: of
// 20,000 samples a twentieth with a standard deviation of 31, within four of these. A
// size drawn evenly from -300 to 300 has a standard deviation of 300/sqrt(3).
func TestSpikes(t *testing.T) {
	c := Config{Motor: rich(), Spin: Pushes(1, 2, 15), FrontEnd: ideal(Neutral), Seed: 5}
	c.FrontEnd.RateHz = 20000
	plain, _ := record(c)
	c.FrontEnd.Spikes, c.FrontEnd.SpikeCounts = 1000, 300
	spiked, _ := record(c)
	for k := range plain.Columns {
		n, square, largest := 0.0, 0.0, 0.0
		for _, i := range samples(plain) {
			if d := spiked.Columns[k].Value[i] - plain.Columns[k].Value[i]; d != 0 {
				n, square, largest = n+1, square+d*d, max(largest, math.Abs(d))
			}
		}
		near(t, "number of spikes", n, 1000, 4*31)
		near(t, "size of the spikes", math.Sqrt(square/n), 300/math.Sqrt(3), 4*300/math.Sqrt(3)/math.Sqrt(2*1000))
		near(t, "largest spike", largest, 295, 5) // of a thousand, the chance of none beyond 290 is exp(-33)
	}
}

// A gain error scales what is above the offset.
func TestGainError(t *testing.T) {
	c := Config{Motor: rich(), Spin: Pushes(1, 2, 15), FrontEnd: ideal(Neutral)}
	c.FrontEnd.OffsetCounts = [3]float64{10, 20, 30}
	exact, _ := record(c)
	c.FrontEnd.GainError = [3]float64{0.02, -0.1, 0}
	wrong, _ := record(c)
	for k, factor := range []float64{1.02, 0.9, 1} {
		offset := c.FrontEnd.OffsetCounts[k]
		for _, i := range samples(exact) {
			near(t, "scaled value", wrong.Columns[k].Value[i], offset+factor*(exact.Columns[k].Value[i]-offset), 1e-12)
		}
	}
}

// A column's filters turn a sine of angular frequency w by -atan(w tau) and by
// atan(1/(w tau)), the phases of first-order sections. At 20,000 samples a second
// and 10 Hz the held input delays by half a sample, 0.09 degrees, and settling is
// over after the first second; 0.2 degrees bound both.
func TestFilters(t *testing.T) {
	const hz, tau = 10.0, 0.01
	w := 2 * math.Pi * hz
	for name, c := range map[string]struct {
		f    FrontEnd
		want float64
	}{
		"low-pass":  {FrontEnd{RateHz: 20000, LowPass: tau}, -math.Atan(w * tau)},
		"high-pass": {FrontEnd{RateHz: 20000, HighPass: tau}, math.Atan(1 / (w * tau))},
		"none":      {FrontEnd{RateHz: 20000}, 0},
	} {
		var x filter
		var re, im float64
		for k := range 40000 {
			s, co := math.Sincos(w * float64(k) / c.f.RateHz)
			v := x.pass(c.f, s)
			if k >= 20000 { // ten whole turns
				re, im = re+v*s, im+v*co
			}
		}
		if d := (math.Atan2(im, re) - c.want) * 180 / math.Pi; math.Abs(d) > 0.2 {
			t.Errorf("%s: the phase is off by %.3f degrees", name, d)
		}
	}
}
