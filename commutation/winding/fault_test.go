package winding

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"
)

// row is what a single fault does, computed by hand from coil phasors at the
// angles of the star of slots: E of phases A and B as length and degrees from
// where they should be, the three line voltages over sound ones, the three leads
// against three resistors, and the mean against the star point. Zero values were
// not worked out.
type row struct {
	kind           Kind
	teeth          []int // from 1
	a, aDeg        float64
	b, bDeg        float64
	lines, floated [3]float64
	zero           float64
	known          bool // zero is known
	h3, h5, h7     float64
}

// tables are those of 12/10, 9/8, 12/8 and 9/6.
var tables = map[[2]int][]row{
	{12, 10}: {
		{Sound, nil, 1, 0, 1, 0, [3]float64{1, 1, 1}, [3]float64{1, 1, 1}, 0, true, 1, 1, 1},
		{CoilReversed, []int{1}, .5176, -15, 1, 0, [3]float64{.816, 1, .716}, [3]float64{.673, .970, .886}, .173, true, .707, 1.93, 1.93},
		{CoilReversed, []int{7}, .5176, -15, 1, 0, [3]float64{.816, 1, .716}, [3]float64{.673, .970, .886}, .173, true, .707, 1.93, 1.93},
		{CoilReversed, []int{2}, .5176, 15, 1, 0, [3]float64{.716, 1, .816}, [3]float64{.673, .886, .970}, .173, true, .707, 1.93, 1.93},
		{CoilReversed, []int{8}, .5176, 15, 1, 0, [3]float64{.716, 1, .816}, [3]float64{.673, .886, .970}, .173, true, .707, 1.93, 1.93},
		{CoilMissing, []int{1}, .7530, -5.10, 1, 0, [3]float64{.901, 1, .857}, [3]float64{.835, .981, .941}, .086, true, .791, 1.20, 1.20},
		{CoilMissing, []int{7}, .7530, -5.10, 1, 0, [3]float64{.901, 1, .857}, [3]float64{.835, .981, .941}, .086, true, .791, 1.20, 1.20},
		{CoilMissing, []int{2}, .7530, 5.10, 1, 0, [3]float64{.857, 1, .901}, [3]float64{.835, .941, .981}, .086, true, .791, 1.20, 1.20},
		{CoilMissing, []int{8}, .7530, 5.10, 1, 0, [3]float64{.857, 1, .901}, [3]float64{.835, .941, .981}, .086, true, .791, 1.20, 1.20},
		{CoilsSwapped, []int{1, 3}, .5787, 11.57, .7530, -24.90, [3]float64{.518, .966, .837}, [3]float64{.579, .753, 1}, 0, true, 1, 2.16, 2.16},
		{CoilsSwapped, []int{1, 9}, .5787, 11.57, .7530, -24.90, [3]float64{.518, .966, .837}, [3]float64{.579, .753, 1}, 0, true, 1, 2.16, 2.16},
		{CoilsSwapped, []int{3, 7}, .5787, 11.57, .7530, -24.90, [3]float64{.518, .966, .837}, [3]float64{.579, .753, 1}, 0, true, 1, 2.16, 2.16},
		{CoilsSwapped, []int{7, 9}, .5787, 11.57, .7530, -24.90, [3]float64{.518, .966, .837}, [3]float64{.579, .753, 1}, 0, true, 1, 2.16, 2.16},
		{CoilsSwapped, []int{1, 4}, .7071, 15, .7071, -15, [3]float64{.577, .913, .913}, [3]float64{.707, .707, 1}, 0, true, 1.12, .71, .71},
		{CoilsSwapped, []int{2, 3}, .6197, 23.79, .6197, -23.79, [3]float64{.423, .891, .891}, [3]float64{.620, .620, 1}, 0, true, 1.12, 1.45, 1.45},
		{CoilsSwapped, []int{2, 4}, .7530, 24.90, .5787, -11.57, [3]float64{.518, .837, .966}, [3]float64{.753, .579, 1}, 0, true, 1, 1.20, 1.20},
		{CoilsCrossed, []int{1, 3}, .9659, -15, .8372, 12.63, [3]float64{1, .857, .901}, [3]float64{.981, .941, .835}, .173, true, .707, .26, .26},
		{CoilsCrossed, []int{1, 10}, .8763, -21.21, .8763, 21.21, [3]float64{1, .824, .824}, [3]float64{.945, .945, .756}, .244, true, .5, 2.06, 2.06},
		{CoilsCrossed, []int{2, 4}, .8372, -12.63, .9659, 15, [3]float64{1, .901, .857}, [3]float64{.941, .981, .835}, .173, true, .707, 1.82, 1.82},
		{CoilsCrossed, []int{2, 9}, .9402, -7.09, .9402, 7.09, [3]float64{1, .934, .934}, [3]float64{.978, .978, .911}, .089, true, .5, 1.62, 1.62},
		{PhaseReversed, nil, 1, 180, 1, 0, [3]float64{.577, 1, .577}, [3]float64{.333, .882, .882}, .667, true, 1, 1, 1},
	},
	{9, 8}: {
		{CoilReversed, []int{1}, .4208, -34.37, 1, 0, [3]float64{.803, 1, .609}, [3]float64{.587, .987, .836}, .232, true, 1, 3.38, 3.06},
		{CoilReversed, []int{2}, .3054, 0, 1, 0, [3]float64{.683, 1, .683}, [3]float64{.537, .907, .907}, .232, true, 0, 2.06, 4.76},
		{CoilReversed, []int{3}, .4208, 34.37, 1, 0, [3]float64{.609, 1, .803}, [3]float64{.587, .836, .987}, .232, true, 1, 3.38, 3.06},
		{CoilMissing, []int{1}, .6840, -10, 1, 0, [3]float64{.885, 1, .803}, [3]float64{.786, .987, .914}, .116, true, .87, 1.97, 1.29},
		{CoilMissing, []int{2}, .6527, 0, 1, 0, [3]float64{.832, 1, .832}, [3]float64{.768, .947, .947}, .116, true, .50, .53, 2.88},
		{CoilMissing, []int{3}, .6840, 10, 1, 0, [3]float64{.803, 1, .885}, [3]float64{.786, .914, .987}, .116, true, .87, 1.97, 1.29},
		{CoilsSwapped, []int{1, 4}, .4208, 14.4, .7672, -36.9, [3]float64{.421, 1, .767}, [3]float64{.421, .767, 1}, 0, true, 0, 0, 0},
		{CoilsSwapped, []int{1, 5}, .5321, 20, .6840, -30, [3]float64{.409, .940, .836}, [3]float64{.532, .684, 1}, 0, true, 0, 0, 0},
		{CoilsSwapped, []int{1, 6}, .6527, 20, .6527, -20, [3]float64{.484, .899, .899}, [3]float64{.653, .653, 1}, 0, true, 0, 0, 0},
		{CoilsSwapped, []int{2, 4}, .4465, 30, .6527, -40, [3]float64{.289, .940, .811}, [3]float64{.446, .653, 1}, 0, true, 0, 0, 0},
		{CoilsSwapped, []int{2, 5}, .5656, 32.1, .5656, -32.1, [3]float64{.305, .879, .879}, [3]float64{.566, .566, 1}, 0, true, 0, 0, 0},
		{CoilsSwapped, []int{3, 4}, .5321, 40, .5321, -40, [3]float64{.210, .872, .872}, [3]float64{.532, .532, 1}, 0, true, 0, 0, 0},
		{PhaseReversed, nil, 1, 180, 1, 0, [3]float64{.577, 1, .577}, [3]float64{.333, .882, .882}, .667, true, 1, 1, 1},
	},
	{12, 8}: {
		{CoilReversed, []int{1}, .5, 0, 1, 0, [3]float64{.764, 1, .764}, [3]float64{}, 0, false, 0, .5, .5},
		{CoilMissing, []int{4}, .75, 0, 1, 0, [3]float64{.878, 1, .878}, [3]float64{}, 0, false, 0, .75, .75},
		{CoilsSwapped, []int{1, 2}, .6614, 19.1, .6614, -19.1, [3]float64{.5, .901, .901}, [3]float64{}, 0, true, 0, 0, 0},
		{PhaseReversed, nil, 1, 180, 1, 0, [3]float64{.577, 1, .577}, [3]float64{}, .667, true, 0, 1, 1},
	},
	{9, 6}: {
		{CoilReversed, []int{1}, .3333, 0, 1, 0, [3]float64{.694, 1, .694}, [3]float64{}, 0, false, 0, .333, .333},
		{CoilMissing, []int{4}, .6667, 0, 1, 0, [3]float64{.839, 1, .839}, [3]float64{}, 0, false, 0, .667, .667},
		{CoilsSwapped, []int{1, 2}, .5774, 30, .5774, -30, [3]float64{.333, .882, .882}, [3]float64{}, 0, true, 0, 0, 0},
	},
}

// fault finds the layout's fault of that kind and teeth, from 1.
func fault(t testing.TB, l Layout, kind Kind, teeth ...int) Fault {
	t.Helper()
	want := []int{}
	for _, k := range teeth {
		want = append(want, k-1)
	}
	for _, f := range l.Faults() {
		if f.Kind == kind && fmt.Sprint(f.Teeth) == fmt.Sprint(want) && (len(teeth) > 0 || kind == Sound || f.Phases[0] == 0) {
			return f
		}
	}
	t.Fatalf("%v has no fault %d %v", l, kind, teeth)
	return Fault{}
}

func TestFaultTables(t *testing.T) {
	for pair, rows := range tables {
		l := machine(t, pair[0], pair[1]).Layout()
		for _, r := range rows {
			f := fault(t, l, r.kind, r.teeth...)
			e := l.Predict(f, false)
			name := fmt.Sprintf("%v %v", pair, f)
			near(t, name+" A", cmplx.Abs(e[0]), r.a, fourDigits)
			near(t, name+" B", cmplx.Abs(e[1]), r.b, fourDigits)
			near(t, name+" A deg", turned(e[0], r.aDeg), 0, 0.05) // to a tenth of a degree
			near(t, name+" B deg", turned(e[1], r.bDeg+120), 0, 0.05)
			for i, line := range Lines(e) {
				near(t, name+" line", cmplx.Abs(line), r.lines[i], three)
				if r.floated[0] != 0 {
					near(t, name+" lead", cmplx.Abs(l.Predict(f, true)[i]), r.floated[i], three)
				}
			}
			if r.known {
				near(t, name+" zero", cmplx.Abs(Zero(e)), r.zero, three)
			}
			harmonics(t, name, l, f, map[int]float64{3: r.h3, 5: r.h5, 7: r.h7})
		}
	}
}

// turned returns by how many degrees a phasor is off.
func turned(z complex128, deg float64) float64 { return math.Remainder(degrees(z)-deg, 360) }

// harmonics compares phase A's harmonics with the sound winding's, where the
// table has them.
func harmonics(t *testing.T, name string, l Layout, f Fault, want map[int]float64) {
	t.Helper()
	if want[5] == 0 {
		return
	}
	for order, h := range want {
		before, after := cmplx.Abs(l.sums(order)[0]), cmplx.Abs(l.With(f).sums(order)[0])
		if l.Factor(0, order).Winding > exact { // q = 1/2 has no third harmonic
			near(t, fmt.Sprintf("%s harmonic %d", name, order), after/before, h, 0.005+1e-9) // two decimals
		}
	}
}

// TestMirror: 12/14 has the table of 12/10 with the angles' signs turned and
// phases B and C exchanged, since a coil's phasor is the conjugate.
func TestMirror(t *testing.T) {
	ten, fourteen := machine(t, 12, 10).Layout(), machine(t, 12, 14).Layout()
	for _, f := range ten.Faults() {
		g := f
		g.Phases = nil
		for _, p := range f.Phases {
			g.Phases = append(g.Phases, [3]int{0, 2, 1}[p])
		}
		a, b := ten.Predict(f, false), fourteen.Predict(g, false)
		for i, other := range [3]int{0, 2, 1} {
			near(t, f.String(), cmplx.Abs(a[i]-cmplx.Conj(b[other])), 0, exact)
		}
	}
}

// TestOpenPhase: worked out by hand. Against the star point the other two stay;
// floating, equal resistors halve the voltage between the two.
func TestOpenPhase(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	f := fault(t, l, PhaseOpen)
	star, floating := l.Predict(f, false), l.Predict(f, true)
	for i, want := range [3]float64{0, 1, 1} {
		near(t, "star", cmplx.Abs(star[i]), want, exact)
		near(t, "floating", cmplx.Abs(floating[i]), want*math.Sqrt(3)/2, exact)
	}
	near(t, "sum", cmplx.Abs(floating[1]+floating[2]), 0, exact)
}

func TestFaultNames(t *testing.T) {
	l := machine(t, 12, 10).Layout()
	for _, c := range []struct {
		f          Fault
		name, code string
	}{
		{fault(t, l, Sound), "winding sound", ""},
		{fault(t, l, CoilReversed, 3), "coil on tooth 3 (B) reversed", "coil-reversed"},
		{fault(t, l, CoilMissing, 3), "coil on tooth 3 (B) missing or shorted", "coil-missing"},
		{fault(t, l, PairMissing, 1, 7), "coils on teeth 1 (A) and 7 (A) missing or shorted", "coil-missing"},
		{fault(t, l, CoilsSwapped, 2, 3), "coils on teeth 2 (A) and 3 (B) exchanged, each tooth with its own sense", "coils-swapped"},
		{fault(t, l, CoilsCrossed, 1, 3), "coils on teeth 1 (A) and 3 (B) exchanged together with their senses", "coils-swapped"},
		{fault(t, l, PhaseReversed), "phase A reversed", "phase-reversed"},
		{fault(t, l, PhaseOpen), "phase A open", "phase-open"},
	} {
		if c.f.String() != c.name || c.f.Kind.Code() != c.code {
			t.Errorf("got %q %q, want %q %q", c.f, c.f.Kind.Code(), c.name, c.code)
		}
	}
}

// TestResistances: the triples are worked out by hand from Ohm's law, in units of
// a sound phase.
func TestResistances(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		r, star, delta [3]float64
	}{
		{[3]float64{1, 1, 1}, [3]float64{2, 2, 2}, [3]float64{.6667, .6667, .6667}},
		{[3]float64{.75, 1, 1}, [3]float64{1.75, 2, 1.75}, [3]float64{.5455, .6364, .6364}},
		{[3]float64{.6667, 1, 1}, [3]float64{1.6667, 2, 1.6667}, [3]float64{.5, .625, .625}},
		{[3]float64{.5, 1, 1}, [3]float64{1.5, 2, 1.5}, [3]float64{.4, .6, .6}},
		{[3]float64{inf, 1, 1}, [3]float64{inf, 2, inf}, [3]float64{2, 1, 1}},
		{[3]float64{2, 1, 1}, [3]float64{3, 2, 3}, [3]float64{1, .75, .75}},
		{[3]float64{1.3333, 1, 1}, [3]float64{2.3333, 2, 2.3333}, [3]float64{.8, .7, .7}},
	} {
		for i := range 3 {
			if got := StarLines(c.r)[i]; got != c.star[i] && math.Abs(got-c.star[i]) > 1e-4 {
				t.Errorf("star %v: got %v", c.r, StarLines(c.r))
			}
			near(t, fmt.Sprintf("delta %v", c.r), DeltaLines(c.r)[i], c.delta[i], 1e-4)
		}
	}
	l := machine(t, 12, 8).Layout() // four coils in series
	if got := l.Resistances(fault(t, l, CoilMissing, 1)); got != [3]float64{.75, 1, 1} {
		t.Errorf("one missing: %v", got)
	}
	if got := l.Resistances(fault(t, l, PairMissing, 1, 4)); got != [3]float64{.5, 1, 1} {
		t.Errorf("two missing: %v", got)
	}
	if got := l.Resistances(fault(t, l, PhaseOpen)); got != [3]float64{inf, 1, 1} {
		t.Errorf("open: %v", got)
	}
	if got := l.Resistances(fault(t, l, CoilReversed, 1)); got != [3]float64{1, 1, 1} {
		t.Errorf("reversed: %v", got)
	}
}
