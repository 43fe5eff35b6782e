package winding

import (
	"errors"
	"slices"
	"testing"
)

func parse(t testing.TB, m Machine, text string) Layout {
	t.Helper()
	l, err := m.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestParse(t *testing.T) {
	m := machine(t, 12, 10)
	want := m.Layout().String()
	for _, text := range []string{
		want, "AabBCcaABbcC", "A a b B C c a A B b c C", "A,a,b,B,C,c,a,A,B,b,c,C",
		" +A-A-B+B +C-C-A+A +B-B-C+C ", "+A \u2212A -B +B +C -C -A +A +B -B -C +C",
	} {
		if got := parse(t, m, text).String(); got != want {
			t.Errorf("%q: got %s", text, got)
		}
	}
	six := parse(t, m, "+A 0 +B 0 +C 0 -A 0 -B 0 -C 0")
	if got := six.Letters(); got != "A0B0C0a0b0c0" || six.Count() != [3]int{2, 2, 2} {
		t.Errorf("got %s %v", got, six.Count())
	}
}

func TestParseErrors(t *testing.T) {
	m := machine(t, 9, 8)
	for text, want := range map[string]string{
		"":                              "layout: it has 0 coils for 9 teeth",
		"+A":                            "layout: it has 1 coil for 9 teeth",
		"+A -A +A +B -B +B +C -C +C +A": "layout: it has 10 coils for 9 teeth",
		"+A -X":                         `layout:5: 'X' is none of the phases A, B, C`,
		"+A \x1b":                       `layout:4: '\x1b' is none of the phases A, B, C`,
		"+A -":                          "layout:4: a sign without a phase",
		"+A - A":                        `layout:5: ' ' is none of the phases A, B, C`,
		"+A -a":                         "layout:4: a sign with a small letter: which of them is the sense?",
		"+A B":                          "layout:4: some coils have a sign and some have not",
		"AaA+B":                         "layout:4: some coils have a sign and some have not",
		"AaABbBBbB":                     "layout: phase C has no coil",
		"000000000":                     "layout: phase A has no coil",
	} {
		_, err := m.Parse(text)
		e, ok := errors.AsType[*LayoutError](err)
		if !ok || e.Error() != want || e.Hint == "" {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

// FuzzParse: whatever the text, there is a layout or an error, and a layout is
// read again from either way of writing it.
func FuzzParse(f *testing.F) {
	f.Add("+A -A +A +B -B +B +C -C +C")
	f.Add("AaABbBCcC")
	f.Add("A0aBbBCcC")
	m := machine(f, 9, 8)
	f.Fuzz(func(t *testing.T, text string) {
		l, err := m.Parse(text)
		if err != nil {
			return
		}
		for _, again := range []string{l.String(), l.Letters()} {
			if got := parse(t, m, again); !slices.Equal(got.Coils, l.Coils) {
				t.Errorf("%q becomes %v", again, got)
			}
		}
		l.Check()
	})
}

func TestCheck(t *testing.T) {
	twelve, nine, eighteen := machine(t, 12, 10), machine(t, 9, 8), machine(t, 18, 16)
	for name, c := range map[string]struct {
		m               Machine
		text            string
		balanced, right bool
		wrong           []int
	}{
		// Turned, mirrored or inverted as a whole it is the same machine.
		"its own":  {twelve, "+A -A -B +B +C -C -A +A +B -B -C +C", true, true, nil},
		"turned":   {twelve, "+C +A -A -B +B +C -C -A +A +B -B -C", true, true, nil},
		"inverted": {twelve, "-A +A +B -B -C +C +A -A -B +B +C -C", true, true, nil},
		"mirrored": {twelve, "+C -C -B +B +A -A -C +C +B -B -A +A", true, true, nil},
		// 12/14's list is 12/10's with B and C exchanged.
		"for 14 poles": {twelve, "+A -A -C +C +B -B -A +A +C -C -B +B", true, true, nil},
		// A public code file's list.
		"published": {twelve, "+A +B -B -C +C +A -A -B +B +C -C -A", true, true, nil},
		// Every other tooth bare: one coil group at the same angle per phase.
		"six coils":       {twelve, "+A 0 -B 0 +C 0 -A 0 +B 0 -C 0", true, true, nil},
		"tooth 3 turned":  {twelve, "+A -A +B +B +C -C -A +A +B -B -C +C", false, false, []int{2}},
		"4 and 5 swapped": {twelve, "+A -A -B +C +B -C -A +A +B -B -C +C", false, false, []int{3, 4}},
		"nine":            {nine, "+A -A +A +B -B +B +C -C +C", true, true, nil},
		"nine, tooth 9":   {nine, "+A -A +A +B -B +B +C -C -C", false, false, []int{8}},
		"eighteen":        {eighteen, "+A -A +A +B -B +B +C -C +C +A -A +A +B -B +B +C -C +C", true, true, nil},
		// The list of 9/8 repeated with its signs inverted cancels itself.
		"dead": {eighteen, "+A -A +A +B -B +B +C -C +C -A +A -A -B +B -B -C +C -C", false, false, []int{9, 10, 11, 12, 13, 14, 15, 16, 17}},
	} {
		got := parse(t, c.m, c.text).Check()
		if got.Balanced != c.balanced || got.Right != c.right || !slices.Equal(got.Wrong, c.wrong) {
			t.Errorf("%s: got %+v", name, got)
		}
		if !got.Nearest.Check().Right {
			t.Errorf("%s: the nearest, %v, is not right", name, got.Nearest)
		}
	}
}

// TestBalancedButWeak: with all coils of 18/16 in one sense, those of a phase are
// at 0, 160, 320 degrees and no longer at 0, -20, -40; by hand, their sum is 2 cos
// 20 - 1 where 2 cos 20 + 1 is right. With +A +B +C repeated on 12/10 the four of
// a phase are at 0, 90, 180, 270 degrees: nothing is left.
func TestBalancedButWeak(t *testing.T) {
	l := parse(t, machine(t, 18, 16), "AAABBBCCCAAABBBCCC")
	c := l.Check()
	if !c.Balanced || c.Right || len(c.Wrong) != 6 {
		t.Errorf("got %+v", c)
	}
	near(t, "share", real(c.EMF[0]), 0.8793852/2.8793852, 1e-6)
	dead := parse(t, machine(t, 12, 10), "ABCABCABCABC").Check()
	if dead.Balanced || dead.Right {
		t.Errorf("got %+v", dead)
	}
}

// TestCheckFindsFaults: a single wrong coil of any machine is found where it is.
func TestCheckFindsFaults(t *testing.T) {
	for _, c := range windingFactors {
		l := machine(t, c.slots, c.poles).Layout()
		for _, f := range l.Faults() {
			if f.Kind != CoilReversed {
				continue
			}
			if got := l.With(f).Check(); got.Right || got.Balanced || !slices.Equal(got.Wrong, f.Teeth) && got.Ties == 0 {
				t.Errorf("%d/%d, %v: got %+v", c.slots, c.poles, f, got)
			}
		}
	}
}
