package present

import (
	"math"
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
