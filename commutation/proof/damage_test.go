package proof

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"handspin/commutation"
)

// However a recording's text was damaged, no wrong list is called ranked, and
// what is refused is refused with an error. The program does the same for
// thousands, see its flag -damaged.
func TestDamaged(t *testing.T) {
	refused, ranked := 0, 0
	const n = 40
	seeds := []uint64{700863} // its clock jumps by days
	for seed := range uint64(n - 1) {
		seeds = append(seeds, seed+1)
	}
	for _, seed := range seeds {
		o, ok, err := Damaged(seed)
		switch {
		case !ok && err == nil:
			t.Errorf("seed %d: refused without an error", seed)
		case !ok:
			refused++
		case o.Verdict == commutation.Ranked:
			ranked++
			if o.Wrong > 0 {
				t.Errorf("seed %d: a wrong list is ranked: %+v", seed, o)
			}
		}
	}
	// A few lost lines of thousands leave most recordings readable.
	if ranked < n/2 || refused > n/2 {
		t.Errorf("%d ranked and %d refused of %d: the damage is not what it is meant to be", ranked, refused, n)
	}
}

// Each kind of damage changes the text, and the same seed does so alike.
func TestDamageChanges(t *testing.T) {
	var text []byte
	for range 500 {
		text = append(text, "0,101,1,2,3\n"...)
	}
	text = append(text, "1,100,3,2,1\n"...)
	for seed := range uint64(50) {
		do := func() []byte { return damage(draw{rand.New(rand.NewPCG(seed, 1))}, bytes.Clone(text)) }
		if got := do(); !bytes.Equal(got, do()) {
			t.Errorf("seed %d: two results", seed)
		}
	}
	lines := func() [][]byte { return bytes.SplitAfter(bytes.Clone(text), []byte("\n")) }
	for name, harm := range map[string]func(draw, [][]byte) [][]byte{"flip": flip, "cut": cut, "join": joinLines, "repeat": repeat, "exchange": exchange} {
		changed := false
		for seed := range uint64(20) {
			got := bytes.Join(harm(draw{rand.New(rand.NewPCG(seed, 2))}, lines()), nil)
			changed = changed || !bytes.Equal(got, text)
		}
		if !changed && name != "exchange" { // equal lines may change places unseen
			t.Errorf("%s changes nothing", name)
		}
	}
}
