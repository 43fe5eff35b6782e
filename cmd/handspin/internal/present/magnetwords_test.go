package present

import (
	"math"
	"slices"
	"strings"
	"testing"

	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// TestFirstMagnetNearATie: where two magnets are about equally far from the coil, the words
// say which of them is the first.
func TestFirstMagnetNearATie(t *testing.T) {
	for ahead, want := range map[float64]string{0: "the one before p1's", 85: "just past p1's", -85: "next to come to p1's"} {
		r := &Rotor{Shaft: &spin.Shaft{IndexDeg: math.NaN()}, Pattern: &rotor.Pattern{AheadDeg: ahead}}
		if got := r.firstMagnet(); !strings.Contains(got, want) {
			t.Errorf("%g degrees: %s", ahead, got)
		}
	}
}

// TestAbsentAndDisplacedChanges: of changes that all sensors lack an odd number is none
// too many, for they come in pairs; and where the level does change, but far from its
// place, no change is absent and a magnet is suspected all the same.
func TestAbsentAndDisplacedChanges(t *testing.T) {
	six := []int{6, 6, 6, 6, 6, 6}
	lacking := func(from []int, at ...int) []int {
		out := slices.Clone(from)
		for _, k := range at {
			out[k] = 0
		}
		return out
	}
	for _, c := range []struct {
		seen, changed []int
		gaps          int
		want          string
	}{
		{six, six, 0, ""},
		{lacking(six, 2, 3, 4), lacking(six, 2, 4), 2, "the sensors change 2 times less in a turn"},
		{lacking(six, 2, 3, 4), lacking(six, 2, 3, 4), 2, "the sensors change 2 times less in a turn"},
		{lacking(six, 2), six, 0, "each sensor changes far from its place"},
	} {
		b := spin.Borders{OffDeg: make([]spin.Value, 6), Seen: c.seen, Changed: c.changed, Expected: six}
		r := &Rotor{Shaft: &spin.Shaft{PolePairs: 3, IndexDeg: math.NaN(), Borders: [3]spin.Borders{b, b, b}}}
		f, found := r.gapFinding()
		if r.gaps() != c.gaps || found != (c.want != "") || !strings.HasPrefix(f.Text, c.want) {
			t.Errorf("seen %v, changed %v: %d gaps, %q", c.seen, c.changed, r.gaps(), f.Text)
		}
	}
}
