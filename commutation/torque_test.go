package commutation

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

// sineMean is the mean of a correct six-step sector over the lead-to-lead peak,
// 3/pi: a textbook result.
const sineMean = 3 / math.Pi

func TestPerfectTimingByQuadrature(t *testing.T) {
	// Mean of the lead-to-lead back-EMF of a unit sine over a correct sector:
	// 3 sqrt(3)/pi, by the formula and by quadrature over one sector.
	m := motor120()
	l := newLines(m.EMF)
	zeros, _ := l.landmarks()
	got := l.meanLargest(zeros)
	near(t, "formula", got, 3*math.Sqrt(3)/math.Pi, rounding)
	sector := quad.Fixed(func(a float64) float64 { return m.EMF[0].At(a) - m.EMF[1].At(a) }, 30, 90, 20, quad.Legendre{}, 0) / 60
	near(t, "quadrature", got, sector, rounding)
}

func TestIdealExtremes(t *testing.T) {
	m := motor120()
	drive := newTurn(m).drive(straight().steps(Typical()))
	near(t, "mean", drive.mean, 1, rounding)
	// cos 30 of the peak at each edge, textbook.
	near(t, "least over peak", drive.low*sineMean, math.Sqrt(3)/2, rounding)
	near(t, "peak", drive.high*sineMean, 1, rounding)
	// (1 - cos 30)/(3/pi), given as 0.1403: half a unit of its last digit.
	near(t, "ripple", (drive.high-drive.low)/drive.mean, 0.1403, 0.5e-4)
}

func TestCommonShift(t *testing.T) {
	// Sensors all late by d: mean cos d, least cos(30+d) over the peak; the
	// five decimals were computed by hand.
	for d, want := range map[float64]float64{
		1: .99985, 2: .99939, 5: .99619, 10: .98481, 15: .96593, 20: .93969,
		25: .90631, 30: .86603, 45: .70711, 60: .5, 90: 0,
	} {
		for _, late := range []float64{d, -d} {
			drive := newTurn(ideal(30+late, 150+late, 270+late)).drive(straight().steps(Typical()))
			near(t, "mean", drive.mean, want, 0.5e-5) // half of the last digit
			near(t, "mean", drive.mean, math.Cos(d*math.Pi/180), rounding)
			near(t, "least", drive.low*sineMean, math.Cos((30+d)*math.Pi/180), rounding)
		}
	}
}

func TestSeparateSensorErrors(t *testing.T) {
	// (cos e1 + cos e2 + cos e3)/3 for sensors late by e1, e2, e3, six
	// decimals computed by hand; derived by integrating sector by sector.
	for _, c := range []struct{ e1, e2, e3, want float64 }{
		{5, 0, 0, .998732}, {10, 0, 0, .994936}, {10, -10, 0, .989872},
		{15, 5, -20, .967271}, {29, -29, 0, .916413}, {-3, 7, 12, .989774},
	} {
		m := ideal(30+c.e1, 150+c.e2, 270+c.e3)
		near(t, fmt.Sprint(c), find(t, Rank(m, nil, Typical()), straight()).Torque, c.want, 0.5e-6)
	}
}

func TestSixEdgeErrors(t *testing.T) {
	// Each of the six edges late by its own angle: the mean of the six
	// cosines, as long as the edges keep their order.
	rapid.Check(t, func(t *rapid.T) {
		m := motor120()
		sum := 0.0
		for i := range m.Sensors {
			rise := rapid.Float64Range(-29, 29).Draw(t, "rise")
			fall := rapid.Float64Range(-29, 29).Draw(t, "fall")
			m.Sensors[i].RiseDeg = Wrap(m.Sensors[i].RiseDeg + rise)
			m.Sensors[i].FallDeg = Wrap(m.Sensors[i].FallDeg + fall)
			sum += math.Cos(rise*math.Pi/180) + math.Cos(fall*math.Pi/180)
		}
		got := newTurn(m).drive(straight().steps(Typical())).mean
		if math.Abs(got-sum/6) > rounding {
			t.Fatalf("got %v, want %v", got, sum/6)
		}
	})
}

func TestTrapezoid(t *testing.T) {
	// A back-EMF flat for 120 degrees with straight ramps between: late by d,
	// the lead-to-lead back-EMF has fallen by d/60 at the end of each sector, so
	// the mean is 1 - d*d/7200. The wave is the Fourier series of the trapezoid,
	// odd orders up to 199: 4/(pi*r*n*n) sin(n r) sin(n a), ramps 2r = 60 degrees.
	const r = math.Pi / 6
	for _, d := range []float64{0, 5, 10, 15, 20, 30, 60} {
		m := ideal(30+d, 150+d, 270+d)
		for i := range 3 {
			m.EMF[i] = nil
			for n := 1; n < 200; n += 2 {
				size := 4 * math.Sin(float64(n)*r) / (math.Pi * r * float64(n*n))
				m.EMF[i] = append(m.EMF[i], tone(n, size, float64(n*120*i)))
			}
		}
		// The harmonic of order n adds at most 4/n^3 to a sector's relative
		// mean (its lead-to-lead peak, twice over n, by a sector of pi/3); those
		// from 201 on sum to 2.5e-5, and as much again in the normaliser.
		near(t, fmt.Sprint(d), newTurn(m).drive(straight().steps(Typical())).mean, 1-d*d/7200, 5e-5)
	}
}

// anyMotor draws a motor with large harmonics and sensors anywhere, some stuck.
// Its fundamentals are at least 20 degrees apart, so that there is torque.
func anyMotor(t *rapid.T) Motor {
	var m Motor
	for i := range 3 {
		for _, n := range []int{1, 3, 5, 7, 11} {
			size := rapid.Float64Range(0.2, 1).Draw(t, "size") / float64(n)
			lag := rapid.Float64Range(-180, 180).Draw(t, "lag")
			if n == 1 {
				lag = 120*float64(i) + lag*50/180
			}
			m.EMF[i] = append(m.EMF[i], tone(n, size, lag))
		}
		m.Sensors[i] = Sensor{
			RiseDeg: rapid.Float64Range(0, 359.9).Draw(t, "rise"),
			FallDeg: rapid.Float64Range(0, 359.9).Draw(t, "fall"),
			Stuck:   rapid.IntRange(0, 7).Draw(t, "stuck") == 0,
			High:    rapid.Bool().Draw(t, "high"),
		}
	}
	return m
}

// driven returns the leads that are driven high and low at angle deg, straight
// from the definitions.
func driven(m Motor, w Wiring, table DriveTable, deg float64) (high, low int, ok bool) {
	text := ""
	for _, lead := range w.Hall {
		if m.Sensors[lead].Level(deg) != w.Invert[lead] {
			text += "1"
		} else {
			text += "0"
		}
	}
	s, err := ParseState(text)
	if err != nil {
		panic(err)
	}
	d, ok := table.At(s)
	return w.Phase[d.High], w.Phase[d.Low], ok
}

func TestTorqueByQuadratureAndSampling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMotor(t)
		table := rapid.SampledFrom([]DriveTable{Typical(), Typical60(), Typical().Reverse()}).Draw(t, "table")
		w := Wirings()[rapid.IntRange(0, 35).Draw(t, "wiring")]
		w.Invert[rapid.IntRange(0, 2).Draw(t, "lead")] = rapid.Bool().Draw(t, "invert")
		l := newLines(m.EMF)
		zeros, _ := l.landmarks()
		full := l.meanLargest(zeros) // has a test of its own
		got := newTurn(m).drive(w.steps(table))
		edges := m.edges()
		mean, low, high, gap := 0.0, math.Inf(1), math.Inf(-1), 0.0
		for i, from := range edges {
			to := append(edges, edges[0]+360)[i+1]
			i, j, ok := driven(m, w, table, (from+to)/2)
			k := func(a float64) float64 {
				if !ok {
					return 0
				}
				return m.EMF[i].At(a) - m.EMF[j].At(a)
			}
			if !ok {
				gap = max(gap, to-from)
			}
			mean += quad.Fixed(k, from, to, 64, quad.Legendre{}, 0) / 360
			if to == from || !ok {
				continue
			}
			const samples = 4000
			for n := range samples + 1 {
				v := k(from + (to-from)*float64(n)/samples)
				low, high = min(low, v), max(high, v)
			}
		}
		if low > high {
			low, high = 0, 0
		}
		// Between samples at most 0.09 degrees apart an extreme of order 11
		// hides 121*0.00079^2/2 = 4e-5 of its size; 1e-4 is what is promised.
		if math.Abs(got.mean-mean/full) > rounding || math.Abs(got.low-low/full) > 1e-4 || math.Abs(got.high-high/full) > 1e-4 || got.gapDeg != gap {
			t.Fatalf("got %+v, want mean %v, low %v, high %v, gap %v", got, mean/full, low/full, high/full, gap)
		}
	})
}

func TestNormaliserByQuadrature(t *testing.T) {
	// Between its kinks the largest lead-to-lead back-EMF is smooth; the kinks
	// are bracketed by bisection here, then each stretch is integrated by
	// Gauss-Legendre quadrature.
	rapid.Check(t, func(t *rapid.T) {
		m := anyMotor(t)
		order := func(a float64) [3]bool {
			x, y, z := m.EMF[0].At(a), m.EMF[1].At(a), m.EMF[2].At(a)
			return [3]bool{x < y, y < z, z < x}
		}
		largest := func(a float64) float64 {
			x, y, z := m.EMF[0].At(a), m.EMF[1].At(a), m.EMF[2].At(a)
			return max(x, y, z) - min(x, y, z)
		}
		want, from := 0.0, 0.0
		stretch := func(to float64) {
			want += quad.Fixed(largest, from, to, 24, quad.Legendre{}, 0) / 360
			from = to
		}
		for i := range 1440 {
			a, b := float64(i)/4, float64(i+1)/4
			if order(a) != order(b) {
				for range 50 {
					if middle := (a + b) / 2; order(middle) == order(a) {
						a = middle
					} else {
						b = middle
					}
				}
				stretch(a)
			}
		}
		stretch(360)
		l := newLines(m.EMF)
		zeros, _ := l.landmarks()
		// A kink that is off by the square of a tenth of the highest
		// harmonic's radian costs less than this.
		if got := l.meanLargest(zeros); math.Abs(got/want-1) > 1e-5 {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

// Half-way between two zeros of these waves two of them are equal, while the third all but
// touches zero: which is the largest elsewhere is told all the same. Drawn by rapid.
func TestNormaliserWhereTwoAreEqual(t *testing.T) {
	wave := func(first, lag float64, others ...[2]float64) Wave {
		w := Wave{tone(1, first, lag)}
		for i, n := range []int{3, 5, 7, 11} {
			w = append(w, tone(n, others[i][0]/float64(n), others[i][1]))
		}
		return w
	}
	m := Motor{EMF: [3]Wave{
		wave(0.28125, -0.5*50/180, [2]float64{0.2, 1}, [2]float64{0.837890625, -164}, [2]float64{1, 0.75}, [2]float64{1, 0.25}),
		wave(1, 120+172.5*50/180, [2]float64{1, 0.0625}, [2]float64{0.5869140625, 1}, [2]float64{1, -2}, [2]float64{0.69140625, 115}),
		wave(0.25, 240+1.0*50/180, [2]float64{0.75, 1}, [2]float64{1, 1}, [2]float64{1, 1}, [2]float64{1, -64}),
	}}
	const samples = 1 << 16 // a sum of so many is within 1e-8 of the mean, kinks and all
	want := 0.0
	for i := range samples {
		a := 360 * (float64(i) + 0.5) / samples
		x, y, z := m.EMF[0].At(a), m.EMF[1].At(a), m.EMF[2].At(a)
		want += (max(x, y, z) - min(x, y, z)) / samples
	}
	l := newLines(m.EMF)
	zeros, _ := l.landmarks()
	near(t, "mean of the largest", l.meanLargest(zeros), want, 1e-5*want) // as above
}
