package spin

import (
	"maps"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// drawn is a random short recording: cheap enough to try a hundred.
func drawn(t *rapid.T) *capture.Recording {
	c := synth.Random(synth.Short, rapid.Uint64().Draw(t, "seed"))
	c.FrontEnd.HallLagUS = 0
	rec, _ := c.Record()
	return rec
}

func ranked(r *Result) map[string]commutation.Behaviour {
	if !r.Usable {
		return nil
	}
	return spintest.Clean(commutation.Rank(r.Motor, r.Draws, commutation.Typical()))
}

// alike fails unless two results of one motor agree within deg degrees and so
// many of the stated standard deviations.
func alike(t *rapid.T, a, b *Result, deg, deviations float64) {
	t.Helper()
	near := func(what string, x, y Value) {
		tolerance := deg + deviations*x.SD
		if d := math.Abs(commutation.Signed(x.Value - y.Value)); d > tolerance || math.IsNaN(x.Value) != math.IsNaN(y.Value) {
			t.Fatalf("%s is %v and %v", what, x, y)
		}
	}
	for i := range 3 {
		near("a rise", a.Sensors[i].RiseDeg, b.Sensors[i].RiseDeg)
		near("a fall", a.Sensors[i].FallDeg, b.Sensors[i].FallDeg)
		near("a phase", a.Phases[i].AngleDeg, b.Phases[i].AngleDeg)
	}
}

// Naming the leads otherwise renames the answer and changes nothing else.
func TestPermutingLeads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		phase := rapid.Permutation([]int{0, 1, 2}).Draw(t, "phase")
		hall := rapid.Permutation([]int{0, 1, 2}).Draw(t, "hall")
		moved := *rec
		moved.Columns = nil
		for k := range 3 { // new lead k is old lead phase[k]
			c := rec.Columns[phase[k]]
			c.Signal = capture.Signal(k)
			moved.Columns = append(moved.Columns, c)
		}
		moved.Hall = nil
		for _, l := range rec.Hall {
			var m capture.Levels
			for k := range 3 {
				high, _ := l.Level(hall[k])
				m = m.With(k, high)
			}
			moved.Hall = append(moved.Hall, m)
		}
		want := map[string]commutation.Behaviour{}
		a, b := Analyse(rec, Options{}), Analyse(&moved, Options{})
		if a.Usable {
			for _, j := range commutation.Rank(a.Motor, a.Draws, commutation.Typical()).Clean() {
				var w commutation.Wiring
				for k := range 3 {
					w.Phase[k] = slices.Index(phase, j.Wiring.Phase[k])
					w.Hall[k] = slices.Index(hall, j.Wiring.Hall[k])
					w.Invert[k] = j.Wiring.Invert[hall[k]]
				}
				want[w.String()] = j.Behaviour
			}
		}
		if got := ranked(b); !maps.Equal(got, want) {
			t.Fatalf("clean wirings %v, want %v", got, want)
		}
	})
}

// A recording played backward is that of the rotor turned the other way, with
// the back-EMF's sign exchanged: forward and reverse exchange their names.
func TestReversingTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		back := playedBackward(rec)
		exchange := map[commutation.Behaviour]commutation.Behaviour{
			commutation.CleanForward: commutation.CleanReverse,
			commutation.CleanReverse: commutation.CleanForward,
		}
		want := map[string]commutation.Behaviour{}
		for w, b := range ranked(Analyse(rec, Options{})) {
			want[w] = exchange[b]
		}
		if got := ranked(Analyse(back, Options{})); !maps.Equal(got, want) {
			t.Fatalf("clean wirings %v, want %v", got, want)
		}
	})
}

// playedBackward plays a recording backward. An edge row then has the levels that
// were before it.
func playedBackward(rec *capture.Recording) *capture.Recording {
	n := rec.Rows()
	out := *rec
	out.Time, out.Hall, out.Edge = make([]float64, n), make([]capture.Levels, n), make([]bool, n)
	for i := range n {
		from := n - 1 - i
		out.Time[i] = rec.Time[n-1] - rec.Time[from]
		out.Edge[i] = rec.Edge[from]
		out.Hall[i] = rec.Hall[from]
		if rec.Edge[from] && from > 0 {
			out.Hall[i] = rec.Hall[from-1]
		}
	}
	out.Columns = nil
	for _, c := range rec.Columns {
		v := make([]float64, n)
		for i := range v {
			v[i] = 1023 - c.Value[n-1-i]
		}
		c.Value, c.Skew = v, -c.Skew
		out.Columns = append(out.Columns, c)
	}
	return &out
}

// The unit of volts and the offsets leave the angles alone, to a hundredth of a
// degree, far above rounding.
func TestScalingVolts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		gain := rapid.Float64Range(1e-3, 1e3).Draw(t, "gain")
		offset := rapid.Float64Range(-1e3, 1e3).Draw(t, "offset")
		scaled := *rec
		scaled.Columns = nil
		for _, c := range rec.Columns {
			v := make([]float64, len(c.Value))
			for i, x := range c.Value {
				v[i] = gain * (x + offset)
			}
			c.Value = v
			scaled.Columns = append(scaled.Columns, c)
		}
		alike(t, Analyse(rec, Options{}), Analyse(&scaled, Options{}), 0.01, 0)
	})
}

// The clock's scale changes the angles only where it moves the spline's knots,
// whose distance has limits in seconds: that is another estimate from the same
// samples, within three of its standard deviations and half a degree, an eighth
// of what such short recordings may be off.
func TestScalingSeconds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawn(t)
		scale := rapid.Float64Range(0.7, 1.5).Draw(t, "scale")
		scaled := *rec
		scaled.Time = nil
		for _, x := range rec.Time {
			scaled.Time = append(scaled.Time, scale*x)
		}
		scaled.Columns = nil
		for _, c := range rec.Columns {
			c.Skew *= scale
			scaled.Columns = append(scaled.Columns, c)
		}
		alike(t, Analyse(rec, Options{}), Analyse(&scaled, Options{}), 0.5, 3)
	})
}

// --spun backward exchanges the names forward and reverse.
func TestSpunBackward(t *testing.T) {
	rec, _ := synth.Random(synth.Ordinary, 5).Record()
	a, b := Analyse(rec, Options{}), Analyse(rec, Options{Backward: true})
	if a.TurnsForward != b.TurnsBackward || a.TurnsBackward != b.TurnsForward {
		t.Errorf("turns %v %v and %v %v do not exchange", a.TurnsForward, a.TurnsBackward, b.TurnsForward, b.TurnsBackward)
	}
	forward, reverse := ranked(a), ranked(b)
	for w, behaviour := range forward {
		if reverse[w] == behaviour || len(reverse) != len(forward) {
			t.Errorf("%s is %s both ways", w, behaviour)
		}
	}
}
