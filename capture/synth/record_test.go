package synth

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"handspin/capture"
)

// A stamp is rounded to 4 us, so it is off by 2 us at the most; the comparison
// may round by a picosecond more.
const stampTol = 2e-6 + 1e-12

// Edge rows carry the time at which the true angle passes the sensor's edge, by
// the declared lag later.
func TestEdgeStamps(t *testing.T) {
	c := Config{Motor: NewMotor(6, 0.02), Spin: Coast(1, 40, 10), FrontEnd: Board()}
	c.FrontEnd.HallLagUS = 100
	c.Motor.Sensors[1].HysteresisDeg = 3
	c.Motor.Sensors[1].RiseDeg += 2.5
	r, truth := record(c)
	near(t, "declared lag in s", r.HallLag, 100e-6, 1e-18)
	previous, edges := r.Hall[0], 0
	for i := range r.Time {
		if !r.Edge[i] {
			continue
		}
		edges++
		lead, high := changed(t, previous, r.Hall[i])
		previous = r.Hall[i]
		s := truth.Sensors[lead]
		want := s.FallDeg
		if high {
			want = s.RiseDeg
		}
		at := r.Time[i] - r.HallLag
		off := math.Remainder(truth.AngleAt(at)-want-s.HysteresisDeg, 360)
		if math.Abs(off) > 360*truth.SpeedAt(at)*stampTol {
			t.Fatalf("row %d: edge of h%d is off by %g degrees", i, lead+1, off)
		}
	}
	if edges < 6*30 { // 35 turns: 40 Hz for 1 s less 5
		t.Errorf("%d edge rows", edges)
	}
}

// changed returns the lead that differs and its new level.
func changed(t *testing.T, from, to capture.Levels) (lead int, high bool) {
	t.Helper()
	found := -1
	for i := range 3 {
		before, _ := from.Level(i)
		after, _ := to.Level(i)
		if before != after {
			if found >= 0 {
				t.Fatalf("%v to %v changes two leads", from, to)
			}
			found, high = i, after
		}
	}
	if found < 0 {
		t.Fatalf("%v to %v changes nothing", from, to)
	}
	return found, high
}

// Samples show the levels that the angle at their time demands.
func TestSampledLevels(t *testing.T) {
	c := Random(SampledHalls, 5)
	c.Motor.PoleShift = 0
	for i := range c.Motor.Sensors {
		c.Motor.Sensors[i].HysteresisDeg = 0
	}
	r, truth := record(c)
	for i, at := range r.Time {
		if r.Edge[i] {
			t.Fatal("an edge row without stamping")
		}
		deg := truth.AngleAt(at)
		for lead, s := range truth.Sensors {
			distance := min(math.Abs(math.Remainder(deg-s.RiseDeg, 360)), math.Abs(math.Remainder(deg-s.FallDeg, 360)))
			if distance < 360*math.Abs(truth.SpeedAt(at))*stampTol+1e-6 {
				continue // the stamp's rounding may put it on the other side
			}
			want := turn(deg-s.RiseDeg) < turn(s.FallDeg-s.RiseDeg)
			if got, known := r.Hall[i].Level(lead); got != want || !known {
				t.Fatalf("row %d: h%d is %v at %g degrees", i, lead+1, got, deg)
			}
		}
	}
}

// The counter's start shows in no time of the recording, even where it wraps:
// 2^32 us is a multiple of the 4 us grid.
func TestCounterWraps(t *testing.T) {
	c := Random(Reversing, 2)
	c.FrontEnd.StartUS = 0
	plain, _ := record(c)
	c.FrontEnd.StartUS = math.MaxUint32 - 2e6 + 1 // wraps after two seconds; a multiple of 4
	wrapped, _ := record(c)
	for i, at := range plain.Time {
		near(t, "time of a row", wrapped.Time[i], at, 0)
	}
}

// Rows are in order of time from 0, all columns as long as the rows, edge rows
// without and samples with values; a sample's row is at its multiple of the
// period.
func TestShapeOfRecordings(t *testing.T) {
	for k := range Kinds {
		c := Random(k, 11)
		r, _ := record(c)
		if r.Time[0] != 0 || !slices.IsSorted(r.Time) {
			t.Errorf("%s: times are not in order from 0", k)
		}
		if len(r.Hall) != r.Rows() || len(r.Edge) != r.Rows() {
			t.Errorf("%s: %d rows, %d levels, %d edges", k, r.Rows(), len(r.Hall), len(r.Edge))
		}
		for _, column := range r.Columns {
			if len(column.Value) != r.Rows() {
				t.Fatalf("%s: %d values of %s for %d rows", k, len(column.Value), column.Source, r.Rows())
			}
			for i, v := range column.Value {
				if math.IsNaN(v) != r.Edge[i] {
					t.Fatalf("%s: row %d, edge %v, has %g", k, i, r.Edge[i], v)
				}
			}
		}
		rows := samples(r)
		if want := int(c.Spin.Seconds*c.FrontEnd.RateHz) + 1; len(rows) != want {
			t.Errorf("%s: %d samples, want %d", k, len(rows), want)
		}
		for n, i := range rows {
			// Rounded like the first row, which is at 0.
			near(t, "time of a sample", r.Time[i], float64(n)/c.FrontEnd.RateHz, 2*stampTol)
		}
	}
}

func TestMissingStretch(t *testing.T) {
	c := Random(Ordinary, 7)
	full, _ := record(c)
	c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = 1, 1.5
	gap, truth := record(c)
	kept := 0
	for i, at := range full.Time {
		if at < 1-1e-9 || at >= 1.5-1e-9 {
			if gap.Time[kept] != at || gap.Hall[kept] != full.Hall[i] {
				t.Fatalf("row %d differs after the gap", kept)
			}
			kept++
		}
	}
	if kept != gap.Rows() || kept >= full.Rows() {
		t.Errorf("%d rows of %d kept, want %d", gap.Rows(), full.Rows(), kept)
	}
	if truth.TurnsForward == 0 {
		t.Error("the truth lost its turns")
	}
	c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = 0, 10
	if none, _ := record(c); none.Rows() != 0 {
		t.Errorf("%d rows although all are missing", none.Rows())
	}
}

func TestSameSeedSameRecording(t *testing.T) {
	c := Random(Ordinary, 9)
	c.Motor.Sensors[1].GlitchRate, c.Motor.Sensors[1].GlitchUS = 5, 20
	c.Motor.Sensors[2].DropRate = 0.1
	a, _ := record(c)
	b, _ := record(c)
	same := func(x, y *capture.Recording) bool {
		return reflect.DeepEqual(x.Time, y.Time) && reflect.DeepEqual(x.Hall, y.Hall)
	}
	if !same(a, b) {
		t.Error("two runs differ")
	}
	for k := range a.Columns {
		for _, i := range samples(a) {
			if a.Columns[k].Value[i] != b.Columns[k].Value[i] {
				t.Fatalf("two runs differ in row %d", i)
			}
		}
	}
	c.Seed++
	if other, _ := record(c); same(a, other) {
		t.Error("another seed gives the same recording")
	}
	if !reflect.DeepEqual(Random(Short, 4), Random(Short, 4)) || reflect.DeepEqual(Random(Short, 4), Random(Short, 5)) {
		t.Error("random motors do not follow their seed")
	}
}

// Changing the noise of one part leaves the draws of the others alone.
func TestStreamsAreIndependent(t *testing.T) {
	c := Random(Ordinary, 9)
	plain, _ := record(c)
	c.Motor.Sensors[0].GlitchRate, c.Motor.Sensors[0].GlitchUS = 50, 20
	noisy, _ := record(c)
	a, b := samples(plain), samples(noisy)
	for n := range a {
		if plain.Columns[0].Value[a[n]] != noisy.Columns[0].Value[b[n]] {
			t.Fatalf("sample %d changed with the sensor's noise", n)
		}
	}
}

func BenchmarkRecord(b *testing.B) {
	for _, k := range []Kind{Ordinary, SampledHalls, Fast} {
		b.Run(k.String(), func(b *testing.B) {
			c := Random(k, 1)
			b.ReportAllocs()
			for b.Loop() {
				c.Record()
			}
		})
	}
}
