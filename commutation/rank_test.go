package commutation

import (
	"math"
	"strings"
	"testing"
)

// even reports whether the order of three is cyclic, 123, 231 or 312.
func even(order [3]int) bool { return order[1] == (order[0]+1)%3 }

func TestAll36(t *testing.T) {
	// The reference table on the motor it is made for, worked out by hand for
	// each pair of permutations. Cyclic orders of both, the same one: forward.
	// Cyclic but different: half the torque backward, from 0 to .866 of the
	// peak. One order cyclic, the other not: no mean torque.
	reverseClean := map[[2][3]int]bool{
		{{0, 2, 1}, {1, 0, 2}}: true, {{1, 0, 2}, {2, 1, 0}}: true, {{2, 1, 0}, {0, 2, 1}}: true,
	}
	for _, j := range Rank(motor120(), nil, Typical()).Wirings {
		w := j.Wiring
		want, least := 0.0, math.NaN()
		switch {
		case even(w.Phase) != even(w.Hall):
		case w.Phase == w.Hall && even(w.Phase):
			want, least = 1, math.Sqrt(3)/2
		case even(w.Phase):
			want, least = -0.5, 0
		case reverseClean[[2][3]int{w.Phase, w.Hall}]:
			want, least = -1, math.Sqrt(3)/2
		default:
			want, least = 0.5, 0
		}
		near(t, w.String(), j.Torque, want, rounding)
		if want != 0 {
			near(t, w.String()+" least", j.TorqueMin*sineMean, least, rounding)
		} else if j.Behaviour != Stall || math.Signbit(j.Torque) || j.TorqueMin >= 0 {
			t.Errorf("%v: %+v", w, j)
		}
	}
}

func TestStallSectors(t *testing.T) {
	// Exchanging two Hall leads alone: sector means of 1, -1/2, -1/2 of the
	// full torque in turn, worked out by hand.
	w := straight()
	w.Hall = [3]int{1, 0, 2}
	s := w.steps(Typical())
	full, half := 0, 0
	for _, sec := range newTurn(motor120()).sectors {
		one := turn{sectors: []sector{sec}}.drive(s).mean * 6
		switch {
		case math.Abs(math.Abs(one)-1) < rounding:
			full++
		case math.Abs(math.Abs(one)-0.5) < rounding:
			half++
		}
	}
	if full != 2 || half != 4 {
		t.Errorf("%d sectors of full and %d of half the torque, want 2 and 4", full, half)
	}
}

func TestTwelveTrials(t *testing.T) {
	// Common practice: one Hall order, then one with two Hall leads exchanged,
	// each with the six phase orders, finds one clean wiring each way.
	r := Rank(motor120(), nil, Typical())
	for _, hall := range [][3]int{{0, 1, 2}, {1, 0, 2}} {
		clean := map[Behaviour]int{}
		for _, j := range r.Clean() {
			if j.Wiring.Hall == hall {
				clean[j.Behaviour]++
			}
		}
		want := CleanForward
		if !even(hall) {
			want = CleanReverse
		}
		if len(clean) != 1 || clean[want] != 1 {
			t.Errorf("Hall order %v: %v", hall, clean)
		}
	}
}

func TestOrder(t *testing.T) {
	// Equal wirings are ordered by how many leads are moved, then by lead; an
	// ideal motor's rounding errors, different at each angle, must not show.
	first := []string{
		"U=p1 V=p2 W=p3 HU=h1 HV=h2 HW=h3",
		"U=p2 V=p3 W=p1 HU=h2 HV=h3 HW=h1",
		"U=p3 V=p1 W=p2 HU=h3 HV=h1 HW=h2",
		"U=p1 V=p3 W=p2 HU=h2 HV=h1 HW=h3",
	}
	want := Rank(motor120(), nil, Typical())
	for _, turned := range []float64{0, 17.3, 123.45, 299.999} {
		m := motor120()
		for i := range 3 {
			m.EMF[i] = Wave{tone(1, 0.0199, 120*float64(i)+turned)}
			m.Sensors[i] = half(m.Sensors[i].RiseDeg + turned)
		}
		r := Rank(m, nil, Typical())
		if len(r.Wirings) != 36 {
			t.Fatalf("%d wirings", len(r.Wirings))
		}
		for i, j := range r.Wirings {
			if j.Rank != i+1 || j.Wiring != want.Wirings[i].Wiring {
				t.Errorf("turned by %g: place %d has rank %d, %v; want %v", turned, i+1, j.Rank, j.Wiring, want.Wirings[i].Wiring)
			}
			if i < len(first) && j.Wiring.String() != first[i] {
				t.Errorf("turned by %g: place %d is %v, want %s", turned, i+1, j.Wiring, first[i])
			}
		}
	}
	last := -1
	for _, j := range want.Wirings {
		for place, b := range []Behaviour{CleanForward, CleanReverse, WeakForward, WeakReverse, Stall, Fault} {
			if b == j.Behaviour {
				if place < last {
					t.Errorf("%s after a worse one", b)
				}
				last = place
			}
		}
	}
}

func TestWirings(t *testing.T) {
	seen := map[Wiring]bool{}
	for _, w := range Wirings() {
		for _, order := range [][3]int{w.Phase, w.Hall} {
			if order[0]+order[1]+order[2] != 3 || order[0] == order[1] || order[1] == order[2] {
				t.Errorf("%v is no permutation", order)
			}
		}
		seen[w] = true
	}
	if len(seen) != 36 { // 3! times 3!
		t.Errorf("%d different wirings", len(seen))
	}
	w := Wiring{Phase: [3]int{2, 0, 1}, Hall: [3]int{1, 0, 2}, Invert: [3]bool{true, false, false}}
	if got := w.String(); got != "U=p3 V=p1 W=p2 HU=h2 HV=not h1 HW=h3" {
		t.Error(got)
	}
	// Leads h1 h2 h3 at 1 0 0; h1, inverted, is at HV: inputs 0 0 0.
	if got := w.inputs(0b100); got != 0b000 {
		t.Errorf("inputs %v", got)
	}
	if got := w.inputs(0b010); got != 0b110 {
		t.Errorf("inputs %v", got)
	}
}

func TestMisplacedSensor(t *testing.T) {
	// h1 late by 25 degrees, by hand: it rises at 55 and falls at 235, so CB is
	// driven until 55, 25 degrees past its due: cos 55 of the peak.
	m := ideal(55, 150, 270)
	for _, c := range []struct {
		from, to float64
		state    State
	}{{55, 90, 0b101}, {90, 150, 0b100}, {150, 235, 0b110}, {235, 270, 0b010}, {270, 330, 0b011}, {330, 415, 0b001}} {
		for _, deg := range []float64{c.from + 0.01, c.to - 0.01} {
			if got := m.state(Wrap(deg)); got != c.state {
				t.Errorf("state at %g: %v, want %v", deg, got, c.state)
			}
		}
	}
	// Also with h2 early by 25, its edge then in the sector before: AC is left
	// at 125, 55 before the peak of the BC that follows.
	for _, c := range []struct {
		m    Motor
		mean float64
	}{
		{m, (math.Cos(25*math.Pi/180) + 2) / 3},
		{ideal(55, 125, 270), (2*math.Cos(25*math.Pi/180) + 1) / 3},
	} {
		r := Rank(c.m, nil, Typical())
		j := find(t, r, straight())
		near(t, "mean", j.Torque, c.mean, rounding)
		near(t, "least", j.TorqueMin, math.Cos(55*math.Pi/180)/sineMean, rounding)
		if j.Behaviour != CleanForward || j.Rank != 1 || len(r.Clean()) != 6 || len(r.Findings) != 0 {
			t.Errorf("%+v, %d clean, findings %v", j, len(r.Clean()), r.Findings)
		}
	}
}

func TestHalfwaySensors(t *testing.T) {
	// All sensors 30 degrees late sit between two of the twelve classes: the
	// wirings of both have cos 30 of the torque, forward and reverse.
	r := Rank(ideal(60, 180, 300), nil, Typical())
	if n := tally(r); n[CleanForward] != 6 || n[CleanReverse] != 6 {
		t.Errorf("%v", n)
	}
	for _, j := range r.Clean() {
		near(t, "mean", math.Abs(j.Torque), math.Sqrt(3)/2, rounding)
		near(t, "least", j.TorqueMin, 0.5/sineMean, rounding) // cos 60 of the peak
	}
}

func TestInvertedLead(t *testing.T) {
	for _, c := range []struct {
		what     string
		m        Motor
		table    DriveTable
		inverted [3]bool
		text     []string
	}{
		{"60-degree sensors", motor60(), Typical(), [3]bool{false, true, false},
			[]string{"typical for sensors 120 degrees", "60 degrees apart with h2 in the middle", "set the controller to 60 degrees", "into h2", "turn that sensor over", "with h2 inverted 6 do"}},
		{"60-degree sensors, h1 the middle", ideal(150, 90, 210), Typical(), [3]bool{true, false, false},
			[]string{"with h1 in the middle"}},
		{"h3 inverted", ideal(30, 150, 90), Typical(), [3]bool{false, false, true},
			[]string{"with h3 in the middle"}},
		// Inverting two of three is inverting the third and reversing.
		{"h1 and h2 inverted", ideal(210, 330, 270), Typical(), [3]bool{false, false, true},
			[]string{"into h3"}},
		// Any one lead does; the first is taken.
		{"120-degree sensors, 60-degree table", motor120(), Typical60(), [3]bool{true, false, false},
			[]string{"typical-60 for sensors 60 degrees", "as if 120 degrees apart", "set the controller to 120 degrees"}},
	} {
		r := Rank(c.m, nil, c.table)
		if r.Inverted != c.inverted {
			t.Errorf("%s: inverted %v, want %v", c.what, r.Inverted, c.inverted)
		}
		for _, j := range r.Wirings {
			if j.Wiring.Invert != c.inverted {
				t.Errorf("%s: wiring %v", c.what, j.Wiring)
			}
		}
		near(t, c.what, r.Wirings[0].Torque, 1, rounding)
		if len(r.Findings) != 1 || r.Findings[0].Code != "table-mismatch" || r.Findings[0].Severity != Repair {
			t.Fatalf("%s: findings %+v", c.what, r.Findings)
		}
		f := r.Findings[0]
		for _, part := range c.text {
			if !strings.Contains(f.Text+" | "+f.Hint, part) {
				t.Errorf("%s: %q, %q lack %q", c.what, f.Text, f.Hint, part)
			}
		}
		if f.Lead == "" || !c.inverted[f.Lead[1]-'1'] {
			t.Errorf("%s: finding about %q", c.what, f.Lead)
		}
	}
	// After inverting, a 60-degree set is a 120-degree one: the counts of those.
	want := map[Behaviour]int{CleanForward: 3, CleanReverse: 3, WeakForward: 6, WeakReverse: 6, Stall: 18}
	got := tally(Rank(motor60(), nil, Typical()))
	for b, n := range want {
		if got[b] != n {
			t.Errorf("%d wirings %s, want %d", got[b], b, n)
		}
	}
}

func TestTwoInversions(t *testing.T) {
	// With sensors of half a turn one inverted lead always does, so these are
	// high for a third of a turn, 100 010 001, as in TestGap, h1 and h2 inverted.
	// The table drives the three right and U V at all its other states, which
	// no clean wiring can have beside its opposite; inverting one lead gives
	// a state that it lacks.
	table, err := ParseTable("odd", []byte("state,high,low\n100,U,W\n010,V,U\n001,W,V\n000,U,V\n111,U,V\n110,U,V\n"))
	if err != nil {
		t.Fatal(err)
	}
	m := motor120()
	m.Sensors = [3]Sensor{{RiseDeg: 180, FallDeg: 60}, {RiseDeg: 300, FallDeg: 180}, {RiseDeg: 300, FallDeg: 60}}
	r := Rank(m, nil, table)
	if r.Inverted != [3]bool{true, true, false} {
		t.Fatalf("inverted %v", r.Inverted)
	}
	j := r.Wirings[0]
	near(t, "mean", j.Torque, math.Sqrt(3)/2, rounding)
	if j.Wiring.String() != "U=p1 V=p2 W=p3 HU=not h1 HV=not h2 HW=h3" {
		t.Error(j.Wiring)
	}
	f := r.Findings[0]
	if f.Lead != "" || !strings.Contains(f.Hint, "into h1 and h2, or turn those sensors over") {
		t.Errorf("%+v", f)
	}
}

func TestNoWiringServes(t *testing.T) {
	same := ideal(30, 30, 30)
	stuck := motor120()
	stuck.Sensors[1] = Sensor{Stuck: true, High: true}
	for what, m := range map[string]Motor{"sensors at one place": same, "stuck sensor": stuck} {
		r := Rank(m, nil, Typical())
		if len(r.Clean()) != 0 || r.Inverted != [3]bool{} {
			t.Errorf("%s: %d clean, inverted %v", what, len(r.Clean()), r.Inverted)
		}
		if len(r.Findings) != 1 || r.Findings[0].Code != "no-clean-wiring" || r.Findings[0].Severity != Repair {
			t.Errorf("%s: findings %+v", what, r.Findings)
		}
		if v, _ := Decide(r, true, 1, nil); v != RepairFirst {
			t.Errorf("%s: %s", what, v)
		}
	}
	// Sensors at one place show 000 and 111 only, which the table lacks.
	if n := tally(Rank(same, nil, Typical()))[Fault]; n != 36 {
		t.Errorf("%d wirings fault", n)
	}
	if text := Rank(same, nil, Typical()).Findings[0].Text; !strings.Contains(text, "its sensors show 2 states") {
		t.Error(text)
	}
}

func TestGap(t *testing.T) {
	// Sensors high for 120 degrees each show 100, 010, 001 only. Placed to rise
	// at 60, 180, 300 each of the three pairs is driven within 60 degrees of its
	// peak, by hand: mean sin 60/(pi/3) over 3/pi = sin 60, least cos 60. h1
	// falls early by gap: 000 for that long, where the torque is lost.
	for _, c := range []struct {
		gap  float64
		want Behaviour
	}{{0, CleanForward}, {0.4, CleanForward}, {0.99, CleanForward}, {1.5, Fault}} {
		m := motor120()
		for i := range 3 {
			m.Sensors[i] = Sensor{RiseDeg: 60 + 120*float64(i), FallDeg: Wrap(180 + 120*float64(i))}
		}
		m.Sensors[0].FallDeg -= c.gap
		j := find(t, Rank(m, nil, Typical()), straight())
		if j.Behaviour != c.want {
			t.Errorf("gap of %g: %s", c.gap, j.Behaviour)
		}
		sin60, rest := math.Sin(math.Pi/3), math.Sin((60-c.gap)*math.Pi/180)
		near(t, "mean", j.Torque, (5*sin60+rest)/6, rounding)
		least := 0.5 / sineMean
		if c.want == Fault {
			least = 0
		}
		near(t, "least", j.TorqueMin, least, rounding)
	}
}

func TestNoMotor(t *testing.T) {
	broken := motor120()
	broken.Sensors[2].RiseDeg = math.NaN()
	infinite := motor120()
	infinite.EMF[0][0].Sin = math.Inf(1)
	common := motor120()
	common.EMF = [3]Wave{common.EMF[0], common.EMF[0], common.EMF[0]}
	for what, m := range map[string]Motor{"nothing": {}, "a place that is NaN": broken, "infinite": infinite, "no difference": common} {
		r := Rank(m, []Motor{m}, Typical())
		if len(r.Wirings) != 36 || len(r.Clean()) != 0 || r.CleanConfidence != 0 {
			t.Errorf("%s: %d wirings, %d clean, confidence %g", what, len(r.Wirings), len(r.Clean()), r.CleanConfidence)
		}
		for _, j := range r.Wirings {
			if j.Torque != 0 || j.TorqueMin != 0 || j.Confidence != 0 {
				t.Errorf("%s: %+v", what, j)
			}
		}
		if len(r.Findings) != 1 || r.Findings[0].Code != "no-motor" {
			t.Errorf("%s: %v", what, r.Findings)
		}
		if v, c := Decide(r, true, 1, nil); v != MoreData || c != 0 {
			t.Errorf("%s: %s %g", what, v, c)
		}
	}
}

func TestConstantWave(t *testing.T) {
	// A constant on one lead, order 0, shifts a pair's mean by hand: driven
	// high over a third of the turn and low over another, it cancels.
	m := motor120()
	l := newLines([3]Wave{{{N: 0, Cos: 2}}, nil, nil})
	area0, area90 := l.area(0), l.area(90)
	near(t, "integral", area90[0]-area0[0], math.Pi, rounding) // 2 * pi/2
	m.EMF[0] = append(m.EMF[0], Harmonic{N: 0, Cos: 0.1})
	turn := newTurn(m)
	full := newLines(m.EMF)
	zeros, _ := full.landmarks()
	near(t, "mean", turn.drive(straight().steps(Typical())).mean*full.meanLargest(zeros), 3*math.Sqrt(3)/math.Pi, rounding)
}
