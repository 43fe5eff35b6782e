package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"handspin/capture"
	"handspin/capture/rest"
	"handspin/commutation"
)

// pairs are the currents through two leads, and stars those through all three.
var (
	pairs = [][3]float64{{1, -1, 0}, {1, 0, -1}, {0, 1, -1}, {-1, 1, 0}, {-1, 0, 1}, {0, -1, 1}}
	stars = [][3]float64{{1, -.5, -.5}, {.5, .5, -1}, {-.5, 1, -.5}, {-1, .5, .5}, {-.5, -.5, 1}, {.5, -1, .5}}
)

func TestRestAngle(t *testing.T) {
	// Current into A and out of B locks the rotor at -30 electrical degrees from
	// phase A (MathWorks, sensorless six-step commutation block). The rotor is at
	// 0 there when its flux is along A, so that the flux in A is cos of the
	// angle, and the back-EMF, its derivative, -sin: 180 degrees from our zero.
	if got := commutation.Signed(RestDeg([3]float64{1, -1, 0}, 120) - 180); math.Abs(got+30) > 1e-9 {
		t.Errorf("A+ B- rests at %g", got)
	}
	// Torque is zero there and turns the rotor back on either side.
	for _, lag := range []float64{120, -120} {
		for _, current := range append(pairs, stars...) {
			torque := func(deg float64) (sum float64) {
				for i, c := range current {
					sum += c * math.Sin((deg-lag*float64(i))*math.Pi/180)
				}
				return sum
			}
			at := RestDeg(current, lag)
			if math.Abs(torque(at)) > 1e-9 || torque(at-5) <= 0 || torque(at+5) >= 0 {
				t.Errorf("%v with lag %g does not rest at %g", current, lag, at)
			}
		}
	}
}

// measured returns what a person writes down of a motor whose rest positions are
// pulled off by a normal number of the given deviation.
func measured(m commutation.Motor, currents [][3]float64, off float64, random *rand.Rand) *rest.Table {
	t := &rest.Table{}
	for n, c := range currents {
		at := RestDeg(c, 120) + off*random.NormFloat64()
		p := rest.Position{Current: c, Hall: capture.UnknownLevels, Line: n + 2}
		for i, s := range m.Sensors {
			p.Hall = p.Hall.With(i, s.Level(at))
		}
		t.Positions = append(t.Positions, p)
	}
	return t
}

// ideal returns the motor that a class of tables is for, with its sensors off by
// the given degrees.
func ideal(c commutation.Class, off [3]float64) (m commutation.Motor) {
	step := float64(c.SpacingDeg)
	if c.Opposite {
		step = -step
	}
	for i := range 3 {
		m.EMF[i] = commutation.Sine(1, 120*float64(i))
		rise := commutation.Wrap(float64(c.RiseDeg) + step*float64(i) + off[i])
		m.Sensors[i] = commutation.Sensor{RiseDeg: rise, FallDeg: commutation.Wrap(rise + 180)}
	}
	return m
}

// ask returns the verdict on a table and whether the clean wirings are right.
func ask(t *rest.Table, m commutation.Motor, table commutation.DriveTable) (commutation.Verdict, bool) {
	r := Analyse(t, false)
	got := commutation.Rank(r.Motor, r.Draws, table)
	v, _ := commutation.Decide(got, r.Usable, r.Reliability, r.Findings)
	want := map[commutation.Wiring]commutation.Behaviour{}
	for _, j := range commutation.Rank(m, nil, table).Clean() {
		want[j.Wiring] = j.Behaviour
	}
	for _, j := range got.Clean() {
		if want[j.Wiring] != j.Behaviour {
			return v, false
		}
	}
	return v, len(got.Clean()) == len(want)
}

// TestRankedIsRight: over all classes of motors, sensors a few degrees off and
// rest positions pulled, a list that is called ranked is right.
func TestRankedIsRight(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for name, currents := range map[string][][3]float64{"pairs": pairs, "stars": stars} {
		ranked, wrong, all := 0, 0, 0
		for range 20 {
			for _, c := range commutation.Classes() {
				off := [3]float64{4 * random.NormFloat64(), 4 * random.NormFloat64(), 4 * random.NormFloat64()}
				m := ideal(c, off)
				v, right := ask(measured(m, currents, 6, random), m, c.Table())
				all++
				if v == commutation.Ranked {
					ranked++
					if !right {
						wrong++
					}
				}
			}
		}
		t.Logf("%s: %d of %d ranked, %d of them wrong", name, ranked, all, wrong)
		// The verdict claims 95 % at least; half must be answered to be of use.
		if float64(wrong) > 0.05*float64(ranked) || ranked < all/2 {
			t.Errorf("%s: %d of %d ranked, %d of them wrong", name, ranked, all, wrong)
		}
	}
}

func TestFlickering(t *testing.T) {
	// Sensors that switch where the pairs rest, each seen to flicker there.
	for _, c := range commutation.Classes() {
		m := ideal(c, [3]float64{})
		table := measured(m, pairs, 0, rand.New(rand.NewPCG(1, 1)))
		for n := range table.Positions {
			p := &table.Positions[n]
			at := RestDeg(p.Current, 120)
			levels := capture.UnknownLevels
			for i, s := range m.Sensors {
				if s.Level(at-5) == s.Level(at+5) {
					levels = levels.With(i, s.Level(at))
				}
			}
			p.Hall = levels
		}
		if v, right := ask(table, m, c.Table()); v != commutation.Ranked || !right {
			t.Errorf("%v: %s, right %v", c, v, right)
		}
	}
}

// codes lists the findings of a table.
func codes(t *rest.Table) map[string]commutation.Severity {
	out := map[string]commutation.Severity{}
	for _, f := range Analyse(t, false).Findings {
		out[f.Code] = f.Severity
	}
	return out
}

func TestAbstains(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	m := ideal(commutation.Classes()[0], [3]float64{})
	few := measured(m, stars[:4], 0, random)
	if got := codes(few); got["pairs-missing"] != commutation.Data {
		t.Errorf("four positions: %v", got)
	}
	dead := m
	dead.Sensors[1] = commutation.Sensor{Stuck: true}
	if got := codes(measured(dead, stars, 0, random)); got["sensor-stuck-low"] != commutation.Repair {
		t.Errorf("dead sensor: %v", got)
	}
	odd := measured(m, stars, 0, random)
	odd.Positions[2].Hall ^= 4
	if got := codes(odd); got["rest-contradiction"] != commutation.Data {
		t.Errorf("one level wrong: %v", got)
	}
	// Approached from one side only, sensors that switch at the rest positions
	// all seem late: that is as well true of sensors 60 degrees further.
	oneSided := measured(ideal(commutation.Classes()[0], [3]float64{5, 5, 5}), pairs, 0, random)
	if got := codes(oneSided); got["rest-ambiguous"] != commutation.Data {
		t.Errorf("one side: %v", got)
	}
	if got := codes(measured(m, stars, 0, random)); got["dc-alignment"] != commutation.Note || len(got) != 1 {
		t.Errorf("a good table: %v", got)
	}
}

// TestNoListFromNothing: where two sensors stay at a level, or none has any, the
// table says nothing about the places, and there is no motor to rank by; a sensor
// that was not seen to change has no place, and the set no spacing.
func TestNoListFromNothing(t *testing.T) {
	m := ideal(commutation.Classes()[0], [3]float64{})
	for name, c := range map[string]struct {
		levels func(*capture.Levels)
		code   string
	}{
		"all low":       {func(l *capture.Levels) { *l = capture.UnknownLevels.With(0, false).With(1, false).With(2, false) }, "sensor-stuck-low"},
		"all high":      {func(l *capture.Levels) { *l = capture.UnknownLevels.With(0, true).With(1, true).With(2, true) }, "sensor-stuck-high"},
		"no level seen": {func(l *capture.Levels) { *l = capture.UnknownLevels }, "sensor-not-seen"},
		"two dead":      {func(l *capture.Levels) { *l = l.With(1, false).With(2, true) }, "sensor-stuck-low"},
	} {
		for _, currents := range [][][3]float64{pairs, stars} {
			table := measured(m, currents, 0, rand.New(rand.NewPCG(1, 1)))
			for n := range table.Positions {
				c.levels(&table.Positions[n].Hall)
			}
			r := Analyse(table, false)
			if _, ok := codes(table)[c.code]; r.Usable || !ok {
				t.Errorf("%s: usable %v, %v", name, r.Usable, r.Findings)
			}
			for i, sensor := range r.Sensors {
				low, high := false, false
				for _, pos := range table.Positions {
					level, known := pos.Hall.Level(i)
					low, high = low || known && !level, high || known && level
				}
				if sensor.Placed != (low && high) || sensor.Known != (low || high) || !math.IsNaN(r.SpacingDeg) {
					t.Errorf("%s: h%d, seen low %v and high %v, spacing %g: %+v", name, i+1, low, high, r.SpacingDeg, sensor)
				}
			}
			if v, _ := commutation.Decide(commutation.Ranking{}, r.Usable, r.Reliability, r.Findings); v == commutation.Ranked {
				t.Errorf("%s: ranked", name)
			}
		}
	}
	if r := Analyse(measured(m, stars, 0, rand.New(rand.NewPCG(1, 1))), false); !r.Usable || r.Reliability > maxSure {
		t.Errorf("a good table: usable %v, reliability %g", r.Usable, r.Reliability)
	}
}

func TestBackward(t *testing.T) {
	// With the other order of the phases forward and reverse are exchanged.
	m := ideal(commutation.Classes()[0], [3]float64{})
	table := measured(m, stars, 0, rand.New(rand.NewPCG(1, 1)))
	behaviours := func(backward bool) map[commutation.Wiring]commutation.Behaviour {
		out := map[commutation.Wiring]commutation.Behaviour{}
		for _, j := range commutation.Rank(Analyse(table, backward).Motor, nil, commutation.Typical()).Clean() {
			out[j.Wiring] = j.Behaviour
		}
		return out
	}
	back := behaviours(true)
	for w, b := range behaviours(false) {
		if want := map[commutation.Behaviour]commutation.Behaviour{commutation.CleanForward: commutation.CleanReverse, commutation.CleanReverse: commutation.CleanForward}[b]; back[w] != want {
			t.Errorf("%v: %s, backward %s", w, b, back[w])
		}
	}
	if len(back) != 6 {
		t.Errorf("%d clean wirings", len(back))
	}
}
