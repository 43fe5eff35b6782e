package winding

import (
	"errors"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func machine(t testing.TB, slots, poles int) Machine {
	t.Helper()
	m, err := New(slots, poles)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// fourDigits is half a unit in the fourth digit, three half of one in the third:
// the digits that the tables below are given to.
const (
	fourDigits = 0.5e-4 + 1e-9
	three      = 0.5e-3 + 1e-9
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6f, want %.6f", what, got, want)
	}
}

// windingFactors is computed by hand-written closed forms and sums outside this
// program, in these digits. Published values that agree: 12/10 0.9330, 9/8 0.9452,
// 18/16 0.9452 and cogging 60 and 72 (attributed in public test code to Bianchi
// and Dai Pre, "Use of the star of slots", 2006); 12/10 0.933, 12/8 0.866, 9/8
// 0.945, 9/6 0.866 (attributed to Hendershot and Miller, Design of Brushless
// Permanent-Magnet Machines, 2010); 24/22 0.9495 = 0.9914 x 0.9577, third 0.6036,
// fifth 0.1629, and 27/22 0.9153 = 0.9580 x 0.9555, third 0.4113, fifth 0.0225
// (METU EE568 coursework report). From memory: 9/10, 15/14, 18/14, 21/20, 24/26,
// 27/20, 33/32, 36/34, 48/46, 51/46 in three digits.
var windingFactors = []struct {
	slots, poles      int
	kw1, kw3, kw5, k7 float64
	cogging           int
}{
	{9, 6, .8660, 0, .866, .866, 18}, {9, 12, .8660, 0, .866, .866, 36},
	{12, 8, .8660, 0, .866, .866, 24}, {12, 16, .8660, 0, .866, .866, 48},
	{9, 8, .9452, .577, .140, .061, 72}, {9, 10, .9452, .577, .140, .061, 90},
	{12, 10, .9330, .500, .067, .067, 60}, {12, 14, .9330, .500, .067, .067, 84},
	{15, 14, .9514, .616, .173, .111, 210}, {15, 16, .9514, .616, .173, .111, 240},
	{18, 14, .9019, .333, .038, .136, 126}, {18, 16, .9452, .577, .140, .061, 144},
	{18, 20, .9452, .577, .140, .061, 180}, {18, 22, .9019, .333, .038, .136, 198},
	{21, 20, .9531, .626, .182, .124, 420}, {21, 22, .9531, .626, .182, .124, 462},
	{24, 20, .9330, .500, .067, .067, 120}, {24, 28, .9330, .500, .067, .067, 168},
	{24, 22, .9495, .604, .163, .096, 264}, {24, 26, .9495, .604, .163, .096, 312},
	{27, 20, .8773, .219, .087, .134, 540}, {27, 22, .9153, .411, .022, .063, 594},
	{27, 24, .9452, .577, .140, .061, 216}, {27, 30, .9452, .577, .140, .061, 270},
	{30, 28, .9514, .616, .173, .111, 420}, {30, 32, .9514, .616, .173, .111, 480},
	{33, 32, .9542, .632, .187, .131, 1056}, {36, 30, .9330, .500, .067, .067, 180},
	{36, 42, .9330, .500, .067, .067, 252}, {36, 32, .9452, .577, .140, .061, 288},
	{36, 40, .9452, .577, .140, .061, 360}, {36, 34, .9525, .622, .179, .119, 612},
	{36, 38, .9525, .622, .179, .119, 684}, {42, 40, .9531, .626, .182, .124, 840},
	{48, 40, .9330, .500, .067, .067, 240}, {48, 56, .9330, .500, .067, .067, 336},
	{48, 44, .9495, .604, .163, .096, 528}, {48, 52, .9495, .604, .163, .096, 624},
	{48, 46, .9536, .628, .184, .127, 1104}, {48, 50, .9536, .628, .184, .127, 1200},
	{51, 46, .9438, .571, .138, .065, 2346}, {51, 56, .9438, .571, .138, .065, 2856},
	{51, 50, .9546, .635, .189, .134, 2550}, {54, 50, .9490, .601, .162, .096, 1350},
	{15, 8, .7109, .380, .173, .061, 120},
}

func TestWindingFactors(t *testing.T) {
	for _, c := range windingFactors {
		m := machine(t, c.slots, c.poles)
		l := m.Layout()
		for phase := range 3 {
			near(t, l.String(), l.Factor(phase, 1).Winding, c.kw1, fourDigits)
			near(t, l.String(), l.Factor(phase, 3).Winding, c.kw3, three)
			near(t, l.String(), l.Factor(phase, 5).Winding, c.kw5, three)
			near(t, l.String(), l.Factor(phase, 7).Winding, c.k7, three)
		}
		if got := m.CoggingPerTurn(); got != c.cogging {
			t.Errorf("%d/%d: cogging %d, want %d", c.slots, c.poles, got, c.cogging)
		}
	}
	l := machine(t, 24, 22).Layout() // the two shares, as the report of the METU course has them
	near(t, "24/22 pitch", l.Factor(0, 1).Pitch, .9914, fourDigits)
	near(t, "24/22 distribution", l.Factor(0, 1).Distribution, .9577, fourDigits)
	near(t, "24/22 third", l.Factor(0, 3).Winding, .6036, fourDigits)
	near(t, "24/22 fifth", l.Factor(0, 5).Winding, .1629, fourDigits)
	l = machine(t, 27, 22).Layout()
	near(t, "27/22 pitch", l.Factor(0, 1).Pitch, .9580, fourDigits)
	near(t, "27/22 distribution", l.Factor(0, 1).Distribution, .9555, fourDigits)
	near(t, "27/22 third", l.Factor(0, 3).Winding, .4113, fourDigits)
	near(t, "27/22 fifth", l.Factor(0, 5).Winding, .0225, fourDigits)
}

// anyMachine draws any machine that has a balanced winding.
var anyMachine = rapid.Custom(func(t *rapid.T) *Machine {
	m, err := New(3*rapid.IntRange(1, 60).Draw(t, "thirds"), 2*rapid.IntRange(1, 100).Draw(t, "pairs"))
	if err != nil {
		return nil
	}
	return &m
}).Filter(func(m *Machine) bool { return m != nil })

// TestClosedForm: kw = sin(pi p/Q) sin 30 / (n sin(30/n)) with n = z/3 or z/6
// (textbook), which does not need the layout. The phases of any balanced machine
// are equal and follow one another.
func TestClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMachine.Draw(t, "machine")
		p, q := float64(m.PolePairs()), float64(m.Slots())
		z := m.Slots() / gcd(m.Slots(), m.PolePairs())
		n := float64(z) / 3
		if z%2 == 0 {
			n /= 2
		}
		want := math.Abs(math.Sin(pi*p/q)) * 0.5 / (n * math.Sin(pi/6/n))
		l := m.Layout()
		for phase := range 3 {
			if got := l.Factor(phase, 1).Winding; math.Abs(got-want) > exact {
				t.Fatalf("%v: phase %d has %g, want %g", l, phase, got, want)
			}
		}
		_, positive, _ := sequences(l.EMF(l))
		if cmplx.Abs(positive-1) > exact { // A, B, C at 0, 120, 240
			t.Fatalf("%v: positive sequence %v", l, positive)
		}
		if c := l.Check(); !c.Right {
			t.Fatalf("%v is not right: %+v", l, c)
		}
		if l.Coils[0] != (Coil{0, 1}) {
			t.Fatalf("%v does not begin with +A", l)
		}
	})
}

func TestUnbalanced(t *testing.T) {
	// The four pairs are unbalanced because Q/(3t) is not whole (textbook rule).
	for pair, want := range map[[2]int]string{
		{12, 12}:  "12 slots and 12 poles: the teeth stand at 2 places of the electrical turn, 6 at each, and that is not a multiple of three",
		{12, 6}:   "12 slots and 6 poles: the teeth stand at 4 places",
		{12, 18}:  "12 slots and 18 poles: the teeth stand at 4 places",
		{9, 18}:   "9 slots and 18 poles: the teeth stand at 1 place of",
		{10, 8}:   "10 slots and 8 poles: 10 teeth cannot be shared",
		{12, 9}:   "12 slots and 9 poles: north and south",
		{0, 8}:    "0 slots and 8 poles: the number of slots must be from 3 to 999",
		{12, 0}:   "12 slots and 0 poles: the number of poles must be from 2 to 998",
		{-3, -2}:  "-3 slots and -2 poles: the number of slots",
		{1002, 2}: "1002 slots and 2 poles: the number of slots",
	} {
		_, err := New(pair[0], pair[1])
		e, ok := errors.AsType[*ImpossibleError](err)
		if !ok || !strings.HasPrefix(e.Error(), want) || e.Hint == "" {
			t.Errorf("%v: got %v", pair, err)
		}
	}
	_, err := New(12, 12)
	e, _ := errors.AsType[*ImpossibleError](err)
	if want := "with 12 slots, 10 or 14 poles would do: count the magnets again"; e.Hint != want {
		t.Errorf("hint %q", e.Hint)
	}
}

// TestLayouts: the lists are computed by the star of slots by hand. The one of
// 12/10 is, up to turning and signs, A+ B+ B- C- C+ A+ A- B- B+ C+ C- A-, found in
// a public code file.
func TestLayouts(t *testing.T) {
	for pair, want := range map[[2]int]string{
		{9, 6}:   "+A +B +C +A +B +C +A +B +C",
		{9, 12}:  "+A +C +B +A +C +B +A +C +B",
		{12, 16}: "+A +C +B +A +C +B +A +C +B +A +C +B",
		{9, 8}:   "+A -A +A +B -B +B +C -C +C",
		{9, 10}:  "+A -A +A +C -C +C +B -B +B",
		{12, 10}: "+A -A -B +B +C -C -A +A +B -B -C +C",
		{12, 14}: "+A -A -C +C +B -B -A +A +C -C -B +B",
		{12, 8}:  "+A +B +C +A +B +C +A +B +C +A +B +C",
		{18, 16}: "+A -A +A +B -B +B +C -C +C +A -A +A +B -B +B +C -C +C",
	} {
		if got := machine(t, pair[0], pair[1]).Layout().String(); got != want {
			t.Errorf("%v: got %s, want %s", pair, got, want)
		}
	}
	if got, want := machine(t, 12, 10).Layout().Letters(), "AabBCcaABbcC"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestFacts(t *testing.T) {
	m := machine(t, 12, 10)
	near(t, "span", m.SpanDeg(), 150, exact) // 180 x 10 / 12
	near(t, "q", m.SlotsPerPolePhase(), 0.4, exact)
	if m.Pulls() || !m.OfTeeth() || m.Slots() != 12 || m.Poles() != 10 {
		t.Error("12/10")
	}
	// gcd(9, 8) = 1: unbalanced pull, as the public test code of Bianchi's rules
	// has it.
	if m := machine(t, 9, 8); !m.Pulls() || !m.OfTeeth() {
		t.Error("9/8")
	}
	if m := machine(t, 18, 16); m.Pulls() {
		t.Error("18/16")
	}
	// A tooth of 36 spans 30 degrees of 6 poles, and sin 15 = 0.26 is under 0.6; one
	// of 9 spans 120, and sin 60 = 0.87.
	if machine(t, 36, 6).OfTeeth() || !machine(t, 9, 6).OfTeeth() {
		t.Error("36/6, 9/6")
	}
}
