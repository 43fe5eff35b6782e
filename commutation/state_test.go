package commutation

import (
	"math"
	"strings"
	"testing"
)

func TestStateText(t *testing.T) {
	// By definition: digits in the order of the inputs, the first in bit 2.
	for text, want := range map[string]State{"000": 0, "001": 1, "100": 4, "101": 5, "111": 7} {
		got, err := ParseState(text)
		if err != nil || got != want || got.String() != text {
			t.Errorf("%s: got %d (%v), error %v", text, got, got, err)
		}
	}
	for _, text := range []string{"", "1", "10", "1010", "102", "1 0", "1,0", "été"} {
		if s, err := ParseState(text); err == nil {
			t.Errorf("%q was read as state %v", text, s)
		}
	}
}

func TestTerminalText(t *testing.T) {
	for i, text := range []string{"U", "V", "W"} {
		got, err := ParseTerminal(text)
		if err != nil || got != Terminal(i) || got.String() != text {
			t.Errorf("%s: got %v, error %v", text, got, err)
		}
	}
	for _, text := range []string{"", "u", "A", "1", "UV", "HU"} {
		_, err := ParseTerminal(text)
		if err == nil || !strings.Contains(err.Error(), "U, V, W") {
			t.Errorf("%q: error %v does not name the three terminals", text, err)
		}
	}
	if got := Terminal(3).String(); got != "?" {
		t.Errorf("no such terminal prints as %q", got)
	}
}

// seenBy returns the states that sensors at the given places, each high for
// half a turn, pass through, by sampling every tenth of a degree.
func seenBy(places ...float64) (seen [8]bool) {
	m := ideal(places...)
	for i := range 3600 {
		seen[m.state(float64(i)/10+0.05)] = true
	}
	return seen
}

func TestMissingPair(t *testing.T) {
	// That 120-degree sensors never show 000 and 111 and 60-degree ones never
	// 010 and 101 is in the data sheets of the A3930 and the MSK4470; which
	// input has the middle sensor follows by relabelling.
	for _, c := range []struct {
		places  []float64
		pair    string
		spacing float64
		middle  int
	}{
		{[]float64{30, 150, 270}, "000", 120, -1},
		{[]float64{30, 270, 150}, "000", 120, -1},
		{[]float64{0, 60, 120}, "010", 60, 1},
		{[]float64{120, 60, 0}, "010", 60, 1},
		{[]float64{0, 300, 240}, "010", 60, 1},
		{[]float64{60, 0, 120}, "011", 60, 0},
		{[]float64{0, 120, 60}, "001", 60, 2},
		{[]float64{5, 140, 250}, "000", 120, -1},
		{[]float64{-20, 70, 135}, "010", 60, 1},
	} {
		pair, ok := MissingPair(seenBy(c.places...))
		if !ok || pair.String() != c.pair || pair.SpacingDeg() != c.spacing || pair.Middle() != c.middle {
			t.Errorf("sensors at %v: pair %v %v, %g degrees, middle %d; want %s, %g, %d",
				c.places, pair, ok, pair.SpacingDeg(), pair.Middle(), c.pair, c.spacing, c.middle)
		}
		if other := pair ^ 7; other.SpacingDeg() != c.spacing || other.Middle() != c.middle {
			t.Errorf("%v and its complement disagree", pair)
		}
	}
	for _, seen := range [][8]bool{{}, {0: true, 7: true}, {true, true, true, true, true, true, true, true}} {
		if pair, ok := MissingPair(seen); ok {
			t.Errorf("states %v: one pair %v is said to be missing", seen, pair)
		}
	}
}

func TestMechanicalSpacing(t *testing.T) {
	// Electrical degrees are pole pairs times mechanical degrees. Spacings
	// that give 120, 240 or 60 electrical degrees, computed by hand as 120/p,
	// 240/p and 60/p; and what 120 mechanical degrees give, 120 p mod 360.
	for _, c := range []struct {
		polePairs              int
		at120, at240, at60     float64
		sameWhenThirdOfCircle  bool
		thirdOfCircleSpacingEl float64
	}{
		{1, 120, 240, 60, false, 120}, {2, 60, 120, 30, false, 240}, {3, 40, 80, 20, true, 0},
		{4, 30, 60, 15, false, 120}, {5, 24, 48, 12, false, 240}, {6, 20, 40, 10, true, 0},
		{7, 120. / 7, 240. / 7, 60. / 7, false, 120}, {9, 40. / 3, 80. / 3, 20. / 3, true, 0},
		{15, 8, 16, 4, true, 0}, {23, 120. / 23, 240. / 23, 60. / 23, false, 240}, {28, 30. / 7, 60. / 7, 15. / 7, false, 120},
	} {
		at := func(mech float64) (State, bool) {
			el := mech * float64(c.polePairs)
			return MissingPair(seenBy(10, 10+el, 10+2*el))
		}
		for mech, want := range map[float64]float64{c.at120: 120, c.at240: 120, c.at60: 60} {
			if pair, ok := at(mech); !ok || pair.SpacingDeg() != want {
				t.Errorf("%d pole pairs, %g mechanical degrees: pair %v %v, want spacing %g", c.polePairs, mech, pair, ok, want)
			}
		}
		near(t, "a third of the circle", Wrap(120*float64(c.polePairs)), c.thirdOfCircleSpacingEl, rounding)
		if _, ok := at(120); ok == c.sameWhenThirdOfCircle {
			t.Errorf("%d pole pairs, 120 mechanical degrees: usable %v", c.polePairs, ok)
		}
	}
}

func TestTableSpacing(t *testing.T) {
	if got := Typical().SpacingDeg(); got != 120 {
		t.Errorf("typical: %g", got)
	}
	if got := Typical60().SpacingDeg(); got != 60 {
		t.Errorf("typical-60: %g", got)
	}
	// The decoder of the ST L6229Q serves both spacings with eight codes: it
	// lacks no pair. Rows as both columns of the MSK4470 sheet together.
	universal := Typical()
	for s := range State(8) {
		if d, ok := Typical60().At(s); ok {
			universal.drives[s] = d
		}
	}
	if got := universal.SpacingDeg(); !math.IsNaN(got) {
		t.Errorf("eight states: %g", got)
	}
}

func TestBuiltin(t *testing.T) {
	for name, want := range map[string]DriveTable{"typical": Typical(), "typical-60": Typical60()} {
		if got, ok := Builtin(name); !ok || got != want {
			t.Errorf("%s: got %v, %v", name, got, ok)
		}
	}
	if got, ok := Builtin("Typical"); ok {
		t.Errorf("an unknown name gave %v", got)
	}
}
